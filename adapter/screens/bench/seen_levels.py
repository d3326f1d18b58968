"""The levels of what was looked at, worked out once, and those of the nearest swaps ahead of the keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from adapter.dough.readings.lately import Lately
from adapter.dough.readings.levels import Level
from adapter.dough.readings.levels import levels as levels_of

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured

MOST_AHEAD = 12
"""Swaps whose levels are worked out ahead."""
MOST_SEEN = 2 * MOST_AHEAD


class SeenLevels:
    """Levels by the formula they are of: of a swap they take as long as all its painting."""

    def __init__(self) -> None:
        self.forget()

    def of(self, measured: Measured) -> tuple[Level, ...]:
        return self._lately.of(measured)

    def look_ahead(self, formulas: Sequence[Measured], index: int) -> bool:
        """Work out the levels of one of the formulas nearest to a place; whether there was one left to do."""
        for place in nearest(len(formulas), index):
            if formulas[place] not in self._lately:
                self.of(formulas[place])
                return True
        return False

    def forget(self) -> None:
        self._lately: Lately[Measured, tuple[Level, ...]] = Lately(levels_of, MOST_SEEN)


def nearest(count: int, index: int) -> list[int]:
    """The places of so many rows that are worth working out ahead: those nearest to the highlighted one."""
    return sorted(range(count), key=lambda place: (abs(place - index), -place))[:MOST_AHEAD]
