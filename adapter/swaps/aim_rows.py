"""Aims as straight rows of grams: how far a loaf lies above each end, and what a gram of a line does to that."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from adapter.dough.readings.linear import Parts, parts_of, sparse_dot
from adapter.dough.readings.measured import ACID_READINGS
from adapter.dough.readings.registry import BY_KEY
from adapter.formula.model import Amount, Line
from adapter.formula.pantry import Pantry
from adapter.swaps.balance import WATER
from adapter.swaps.comparison import priced
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import PRICE, Aim, Wishes, value_of

BY_YEAST = ("rise_time", "pace")
"""Aims that the yeast sees to after the programme."""

LOW, HIGH = 1.0, -1.0


@dataclass(frozen=True)
class AimRow:
    """One end of an aim. `sign` is LOW or HIGH; `start` says how far the loaf as it is lies above that end."""

    aim: Aim
    sign: float
    start: float
    swapper: Swapper
    pantry: Pantry | None
    slopes: Parts = ()
    _found: dict[tuple[str, float | None, float | None, str], float] = field(default_factory=dict, repr=False)

    @property
    def value(self) -> float:
        return self.aim.low if self.sign == LOW else self.aim.high

    @property
    def lacking(self) -> float:
        """How far the loaf as it is still has to go to this end; nothing where it is met."""
        return max(0.0, -self.sign * self.start)

    def per_gram(self, line: Line) -> float:
        """What a gram of a line does to the distance above this end."""
        kind = (line.ingredient, line.hydration, line.reaches, line.stage)
        found = self._found.get(kind)
        if found is None:
            found = self._found[kind] = self._per_gram(line)
        return found

    def _per_gram(self, line: Line) -> float:
        if self.aim.key == PRICE:
            price = None if line.ingredient == WATER or self.pantry is None else self.pantry.price_of(line.ingredient)
            return (price or 0.0) / 1000.0
        measured, balancer = self.swapper.measured, self.swapper.balancer
        vector = measured.kitchen.composer.vector(line, measured.uses)
        if self.aim.key in ACID_READINGS:
            vector = balancer.without_gas(line, vector)
        return sparse_dot(self.slopes, vector)

    def served(self, out: Sequence[tuple[Line, float]], into: Sequence[Amount]) -> float:
        """The part of what is lacking that a swap brings: grams going out of lines, and coming in with the first."""
        if not self.lacking:
            return 0.0
        stage = out[0][0].stage
        brought = sum(amount.grams * self.per_gram(Line(amount.ingredient, 0.0, stage)) for amount in into)
        change = brought - sum(grams * self.per_gram(line) for line, grams in out)
        return self.sign * change / self.lacking


def aim_rows(swapper: Swapper, aim: Aim, pantry: Pantry | None) -> tuple[AimRow, ...]:
    """Both ends of an aim that are set, or none for what the yeast sees to."""
    if aim.key in BY_YEAST:
        return ()
    rows = []
    for end, sign in ((aim.low, LOW), (aim.high, HIGH)):
        if not math.isfinite(end):
            continue
        if aim.key == PRICE:
            known = 0.0 if pantry is None else priced(swapper.formula, pantry)[0]
            rows.append(AimRow(aim, sign, known - end, swapper, pantry))
        else:
            start, slopes = BY_KEY[aim.key].above(swapper.measured, end)
            rows.append(AimRow(aim, sign, start, swapper, pantry, parts_of(slopes)))
    return tuple(rows)


def open_rows(swapper: Swapper, wishes: Wishes) -> tuple[AimRow, ...]:
    """The ends of aims that the loaf as it is does not meet."""
    return tuple(
        row
        for aim in wishes.aims
        for row in aim_rows(swapper, aim, wishes.pantry)
        if aim.misses(_now(row)) and row.lacking
    )


def _now(row: AimRow) -> float:
    return value_of(row.aim.key, row.swapper.measured, row.pantry)
