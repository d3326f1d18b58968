"""How two measured formulas differ: a reading's change with its own spread, in tolerances, and the drift of all."""

from __future__ import annotations

import math
from dataclasses import dataclass

from adapter.dough.readings.linear import sparse_dot
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import BY_KEY

EXCHANGED_SHARE = 0.3
"""From this share of the dough exchanged, the whole of `model_spread_difference` counts, in proportion below [A]."""

BY_ROUNDING = 1e-12
"""A change of no more than this part of the value comes of the order in which numbers were added, and is none."""


@dataclass(frozen=True, slots=True)
class Change:
    """How a reading differs between two formulas; `clear` is false when the change is inside its own spread."""

    key: str
    before: float
    after: float
    change: float
    spread: float
    clear: bool


def difference(before: Measured, after: Measured, key: str) -> Change:
    """How a reading differs, with the spread of the difference: figures that both share cancel.

    What is left is the spread of the figures that do not cancel, half a step of the scale on each weight that
    differs, and the part of the model's error that does not cancel when much of the dough is exchanged.
    """
    first, second = before.value(key), after.value(key)
    change = second - first
    if not math.isfinite(change):  # as between for ever and some hours
        return Change(key, first, second, 0.0 if first == second else change, 0.0, False)
    if abs(change) <= BY_ROUNDING * abs(first):
        return Change(key, first, second, 0.0, 0.0, False)
    was, now = before.slope_parts(key), after.slope_parts(key)
    squares = after.doubts_from(before).squares(was, now)
    squares += (after.made_effect(now) - before.made_effect(was)) ** 2
    exchanged = 0.0
    for side, step, vector, grams in after.reweighed_from(before):
        squares += (0.5 * step * sparse_dot(side.slope_parts(key), vector)) ** 2
        exchanged += 0.5 * grams / side.amount("mass")
    tolerance = after.kitchen.tolerances.get(key)
    if tolerance and tolerance.model_spread_difference:
        squares += (tolerance.model_spread_difference * min(1.0, exchanged / EXCHANGED_SHARE)) ** 2
    spread = math.sqrt(squares)
    return Change(key, first, second, change, spread, abs(change) > spread)


def drift(measured: Measured) -> float:
    """Sum over the readings that count of weight x |change| / tolerance, against the book formula."""
    total = 0.0
    book = measured.book
    for key, tolerance in measured.kitchen.tolerances.items():
        if tolerance.counts(book.value(key)):
            total += tolerance.weight * abs(tolerance_steps(measured, book, key))
    return total


def tolerance_steps(measured: Measured, book: Measured, key: str) -> float:
    """Change of a reading in tolerances, signed; of a mass in % of the book's."""
    tolerance = measured.kitchen.tolerances[key]
    change = measured.value(key) - book.value(key)
    if BY_KEY[key].percent_of_book:
        change *= 100.0 / book.value(key)
    return change / tolerance.value
