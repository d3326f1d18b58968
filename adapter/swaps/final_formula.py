"""An answer made final: weights of a scale, within the stock, aims met as they are shown, the yeast put right."""

from __future__ import annotations

import math

from adapter.dough.readings.linear import parts_of, sparse_dot
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.model import Formula, scale_step
from adapter.swaps.balance import AS_WORKED_OUT, WATER, rounded
from adapter.swaps.wishes import PRICE, Aim, Wishes, value_of
from adapter.swaps.yeast import (
    dough_yeast_lines,
    keep_rise_time,
    keep_yeast_percent,
    with_yeast_percent,
)

MOST_TOUCHES, LINES_TOUCHED, MOST_TOUCHED_G, PART_TOUCHED = 6, 6, 6.0, 0.03
"""So often, for so many lines, and by so many grams or such a part of a line at most, a weight is put right for an aim
that rounding misses."""

TOUCHED_FIRST, TENTH = ("salt", "water"), 0.1
ROUNDING = 1.0
"""By so many grams rounding may overdraw a stock; more is short, and told."""


def finished(before: Measured, exact: Formula, wishes: Wishes, swapped: bool, count: float = 1.0) -> Measured:
    """The formula as it is weighed, read. Where rounding misses an aim, one line is weighed to a tenth of a gram."""
    yeasts = before.kitchen.catalogue.of_kind("yeast")
    weighed = rounded(before.formula, exact, yeasts)
    nothing = {line for line in before.formula.lines if line.grams <= 0}
    weighed = weighed.with_lines(line for line in weighed.lines if line.grams > 0 or line in nothing)
    after = with_yeast(before, weighed, wishes, swapped, count)
    for _ in range(MOST_TOUCHES):
        better = next((touched for aim in wishes.aims if (touched := _touched(after, before, aim, wishes))), None)
        if better is None:
            break
        after = better
    return after


def _touched(after: Measured, before: Measured, aim: Aim, wishes: Wishes) -> Measured | None:
    """The formula with the line that serves an aim best weighed to a tenth, where that brings the aims nearer."""
    miss = aim.misses(value_of(aim.key, after, wishes.pantry))
    if not miss or not math.isfinite(miss) or aim.key in (PRICE, "rise_time", "pace"):
        return None
    slopes, composer = parts_of(after.gradient(aim.key)), after.kitchen.composer
    old = {(line.ingredient, line.stage): line.grams for line in before.formula.lines}
    open_lines = []
    for place, line in enumerate(after.formula.lines):
        effect = sparse_dot(slopes, composer.vector(line, after.uses))
        moved = old.get((line.ingredient, line.stage)) != line.grams or line.ingredient in TOUCHED_FIRST
        flour = "flour" in after.kitchen.catalogue.get(line.ingredient).kinds
        if effect and (moved or flour) and f"line:{line.ingredient}" not in wishes.holds:
            by = math.copysign(max(TENTH, round(abs(miss / effect), 1)), -miss / effect)
            if abs(by) <= max(MOST_TOUCHED_G, PART_TOUCHED * line.grams) and line.grams + by > 0:
                open_lines.append((abs(by), place, by))
    best = None
    for _, place, by in sorted(open_lines)[:LINES_TOUCHED]:
        lines = list(after.formula.lines)
        grams = round(lines[place].grams + by, 1)
        stock = math.inf if wishes.pantry is None else wishes.pantry.grams_of(lines[place].ingredient)
        if grams > max(lines[place].grams, stock):
            continue
        lines[place] = lines[place].with_grams(grams)
        touched = measure(after.kitchen, after.formula.with_lines(lines), before.book)
        if all_misses(touched, wishes) < all_misses(best or after, wishes):
            best = touched
    return best


def all_misses(measured: Measured, wishes: Wishes) -> float:
    """How far all aims together are missed, in tolerances."""
    total = 0.0
    for aim in wishes.aims:
        tolerance = measured.kitchen.tolerances.get(aim.key)
        miss = aim.misses(value_of(aim.key, measured, wishes.pantry))
        total += abs(miss) / (tolerance.value if tolerance else 1.0)
    return total


def with_yeast(before: Measured, formula: Formula, wishes: Wishes, swapped: bool, count: float) -> Measured:
    """The yeast as wished: for a rise time that is aimed at, else for the time it took, within the stock."""
    formula = _within_stock(before.formula, formula, wishes, count)
    after = measure(before.kitchen, formula, before.book)
    held = {hold for hold in wishes.holds if hold.startswith("line:")}
    lines = after.formula.lines
    free = not any(f"line:{lines[place].ingredient}" in held for place in dough_yeast_lines(after))
    timed = next((aim for aim in wishes.aims if aim.key == "rise_time"), None)
    if free and dough_yeast_lines(after) and not any(aim.key == "yeast" for aim in wishes.aims):
        if timed is not None:
            now = before.value("rise_time")
            hours = min(max(now, timed.low), timed.high) if math.isfinite(now) else timed.high
            after = _rising_in(after, hours)
        elif swapped or formula is not before.formula:
            keep = keep_yeast_percent if "yeast" in wishes.holds else _keep_time
            after = keep(before, after) if formula.lines != before.formula.lines else after
    last = _within_stock(before.formula, after.formula, wishes, count)
    return after if last is after.formula else measure(before.kitchen, last, before.book)


def _keep_time(before: Measured, after: Measured) -> Measured:
    return keep_rise_time(before, after, True)


def _rising_in(measured: Measured, hours: float) -> Measured:
    if not math.isfinite(hours) or hours <= 0 or not measured.rise.is_alive:
        return measured
    try:
        return with_yeast_percent(measured, measured.rise.yeast_for(hours))
    except ValueError:
        return measured


def _within_stock(before: Formula, formula: Formula, wishes: Wishes, count: float) -> Formula:
    """Weights that rounding or the yeast brought above the stock go down to it, where the formula had enough."""
    pantry = wishes.pantry
    if pantry is None:
        return formula
    lines = list(formula.lines)
    for name in dict.fromkeys(line.ingredient for line in lines):
        stock = pantry.grams_of(name)
        places = [place for place, line in enumerate(lines) if line.ingredient == name]
        used = count * sum(line.grams for line in lines if line.ingredient == name)
        had = count * sum(line.grams for line in before.lines if line.ingredient == name)
        over = round((used - stock) / count, AS_WORKED_OUT)
        if name == WATER or over <= 0.0 or (had > stock and over > ROUNDING):
            continue
        largest = max(places, key=lambda place: lines[place].grams)
        lines[largest] = lines[largest].with_grams(_down(max(0.0, lines[largest].grams - over)))
    kept = [line for line in lines if line.grams > 0 or any(old.same_thing(line) for old in before.lines)]
    return formula if kept == list(formula.lines) else formula.with_lines(kept)


def _down(grams: float) -> float:
    """The next lower weight that a scale shows."""
    tenths = math.floor(10.0 * round(grams, AS_WORKED_OUT)) / 10.0
    return tenths if scale_step(tenths) < 1.0 else float(math.floor(tenths))
