"""Yeast after a swap: enough to keep the rise time that the formula had."""

from __future__ import annotations

import math

from adapter.dough.models.ripening import GAS_WAKES_H
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.readings.stage_uses import FOLLOWED, use_of
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula, scale_step
from adapter.swaps.balance import scale_grams

MOST_ROUNDS = 3


def yeast_lines(formula: Formula, catalogue: Catalogue) -> list[int]:
    """Places of the lines that are yeast of any kind."""
    worth = catalogue.fresh_yeast
    return [place for place, line in enumerate(formula.lines) if worth(line.ingredient) > 0]


def yeast_grams(measured: Measured) -> float:
    """Grams of yeast of every kind in a formula, as it is weighed."""
    formula = measured.formula
    return sum(formula.lines[place].grams for place in yeast_lines(formula, measured.kitchen.catalogue))


def keep_rise_time(before: Measured, after: Measured, refined: bool = False) -> Measured:
    """The formula after a swap with its yeast scaled so that the rise takes as long as before, rounded to the scale.

    Left alone: a formula without yeast in its dough, one that rose before yeast is awake or never, and one that rises
    in the same time but for what a scale shows. Yeast goes down to nothing where a sourdough's own is enough, and no
    further. Without `refined` it is taken in closed form from the proof before, and put right by the new proof's own
    gas until the scale shows no difference: for a list of many swaps.
    """
    hours = before.value("rise_time")
    if _added_percent(after) <= 0 or not GAS_WAKES_H < hours < math.inf or not after.rise.is_alive:
        return after
    if refined:
        return with_yeast_percent(after, after.rise.yeast_for(hours))
    found = with_yeast_percent(after, after.rise.yeast_like(before.rise, hours))
    if not found.rise.is_alive:
        return after
    for _ in range(MOST_ROUNDS):
        if _added_percent(found) <= 0 or not found.rise.is_followed:
            break
        nearer = with_yeast_percent(found, found.rise.yeast_near(hours))
        if nearer is found or not nearer.rise.is_alive:  # in a dough almost dry the yeast's own water decides
            break
        found = nearer
    return found


def keep_yeast_percent(before: Measured, after: Measured) -> Measured:
    """The formula after a swap with its yeast at the same % of flour as before, rounded to the scale."""
    wanted, now = _added_percent(before), _added_percent(after)
    if now <= 0:
        return after
    return with_yeast_percent(after, after.rise.yeast_percent + wanted - now)


def with_yeast_percent(measured: Measured, percent: float) -> Measured:
    """A formula with so much fresh yeast in % of flour at work in its dough, rounded to the scale.

    What a preferment brings of it stays; the yeast of the dough itself makes up the rest.
    """
    added = _added_percent(measured)
    brought = measured.rise.yeast_percent - added
    factor = max(percent - brought, 0.0) / added
    lines = list(measured.formula.lines)
    for place in dough_yeast_lines(measured):
        grams = lines[place].grams * factor
        least = scale_step(0.0) if grams > 0 else 0.0  # a pinch that is needed does not round away
        weighed = max(scale_grams(grams), least)
        if min(abs(each - lines[place].grams) for each in (grams, weighed)) >= 0.5 * scale_step(grams):
            lines[place] = lines[place].with_grams(weighed)
    changed = measured.formula.with_lines(lines)
    return measured if changed == measured.formula else measure(measured.kitchen, changed, measured.book, measured.near)


def dough_yeast_lines(measured: Measured) -> list[int]:
    """Places of the yeast that goes into the dough itself, not into a preferment that is followed by the hour."""
    formula = measured.formula
    return [
        place
        for place in yeast_lines(formula, measured.kitchen.catalogue)
        if use_of(formula.lines[place].stage, measured.uses) != FOLLOWED
    ]


def _added_percent(measured: Measured) -> float:
    """Fresh yeast that goes into the dough itself, in % of flour."""
    catalogue, lines = measured.kitchen.catalogue, measured.formula.lines
    fresh = sum(
        lines[place].grams * catalogue.fresh_yeast(lines[place].ingredient) for place in dough_yeast_lines(measured)
    )
    return 100.0 * fresh / measured.amount("flour")
