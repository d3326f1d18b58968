"""Levels: a reading set against the book formula, in steps of what a baker notices, with a word for how far.

And against its band, where there is no book to set it against.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from adapter.dough.readings.differences import difference, tolerance_steps
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import BY_KEY, READING_KEYS
from adapter.dough.tables.bands import Band

LEAST, MORE, MUCH_MORE = 0.2, 1.0, 3.0
"""Tolerances from which a change is worth a word where it is not clear, is more than nothing, and is much."""

NO_CLEAR_CHANGE = "no clear change"


@dataclass(frozen=True, slots=True)
class Level:
    """A reading against the book formula.

    `steps` is the change in tolerances, signed; `clear` is false where the change is inside its own spread;
    `side` is −1 below the band of this style of bread, 1 above it, else 0, and `reason` is the formula's own for it.
    """

    key: str
    unit: str
    book: float
    now: float
    change: float
    spread: float
    steps: float
    clear: bool
    band: Band | None
    side: int
    reason: str

    @property
    def label(self) -> str:
        return BY_KEY[self.key].label

    @property
    def word(self) -> str:
        """How far the reading has moved, in words; empty where a baker notices nothing."""
        if abs(self.steps) < LEAST or math.isnan(self.steps):
            return ""
        if not self.clear and math.isfinite(self.change):
            return NO_CLEAR_CHANGE
        if abs(self.steps) <= MORE:
            return ""
        return f"much {self.direction}" if abs(self.steps) > MUCH_MORE else self.direction

    @property
    def direction(self) -> str:
        """Which way it has moved, as a baker says of this reading: more salt, a less sour pH, a longer rise."""
        return BY_KEY[self.key].moved[self.change > 0]


def levels(measured: Measured, book: Measured | None = None) -> tuple[Level, ...]:
    """Every reading of a formula against its book formula (or another that is named)."""
    against = book or measured.book
    return tuple(level(measured, against, key) for key in READING_KEYS)


def level(measured: Measured, book: Measured, key: str) -> Level:
    """One reading against the book formula."""
    now, before = measured.value(key), book.value(key)
    same = now == before
    change = None if same else difference(book, measured, key)
    steps = 0.0 if same else tolerance_steps(measured, book, key)
    band = measured.band(key)
    return Level(
        key,
        BY_KEY[key].short_unit,
        before,
        now,
        0.0 if change is None else change.change,
        0.0 if change is None else change.spread,
        steps,
        change is not None and change.clear,
        band,
        _side(now, band),
        dict(measured.formula.reasons).get(key, ""),
    )


def _side(value: float, band: Band | None) -> int:
    if band is None or not math.isfinite(value):
        return 0
    return -1 if value < band.low else 1 if value > band.high else 0


def band_steps(found: Level) -> float | None:
    """Where a reading stands in its band: −1 at the low end, 0 in the middle, 1 at the high end, beyond it outside."""
    if found.band is None or not math.isfinite(found.now):
        return None
    middle = 0.5 * (found.band.low + found.band.high)
    return (found.now - middle) / (0.5 * (found.band.high - found.band.low))
