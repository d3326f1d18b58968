"""Yeast after a swap: enough to keep the rise time that the formula had."""

from __future__ import annotations

import math

from adapter.dough.models.yeast import LAG_H
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula, scale_step
from adapter.swaps.balance import scale_grams

SAME_TIME_H = 1e-9
SAME_PERCENT = 1e-12


def yeast_lines(formula: Formula, catalogue: Catalogue) -> list[int]:
    """Places of the lines that are yeast of any kind."""
    return [place for place, line in enumerate(formula.lines) if catalogue.get(line.ingredient).property("yeast") > 0]


def yeast_grams(measured: Measured) -> float:
    """Grams of yeast of every kind in a formula, as it is weighed."""
    formula = measured.formula
    return sum(formula.lines[place].grams for place in yeast_lines(formula, measured.kitchen.catalogue))


def keep_rise_time(before: Measured, after: Measured) -> Measured:
    """The formula after a swap with its yeast scaled so that the rise takes as long as before, rounded to the scale.

    Left alone: a formula without yeast, one whose rise took for ever, and one that already rises in the same time.
    Yeast goes down to nothing where a sourdough's own is enough, and no further.
    """
    hours = before.values["rise_time"]
    same = abs(after.values["rise_time"] - hours) < SAME_TIME_H
    if after.values["yeast"] <= 0 or not LAG_H < hours < math.inf or same or after.rise.activity <= 0:
        return after
    return with_yeast_percent(after, after.rise.yeast_for(hours))


def keep_yeast_percent(before: Measured, after: Measured) -> Measured:
    """The formula after a swap with its yeast at the same % of flour as before, rounded to the scale."""
    percent = before.values["yeast"]
    if after.values["yeast"] <= 0 or abs(after.values["yeast"] - percent) < SAME_PERCENT:
        return after
    return with_yeast_percent(after, percent)


def with_yeast_percent(measured: Measured, percent: float) -> Measured:
    """A formula with its yeast scaled to so much fresh yeast in % of flour, rounded to the scale."""
    factor = percent / measured.values["yeast"]
    lines = list(measured.formula.lines)
    for place in yeast_lines(measured.formula, measured.kitchen.catalogue):
        grams = lines[place].grams * factor
        if abs(grams - lines[place].grams) >= 0.5 * scale_step(grams):
            least = scale_step(0.0) if grams > 0 else 0.0  # a pinch that is needed does not round away
            lines[place] = lines[place].with_grams(max(scale_grams(grams), least))
    changed = measured.formula.with_lines(lines)
    return measured if changed == measured.formula else measure(measured.kitchen, changed, measured.book)
