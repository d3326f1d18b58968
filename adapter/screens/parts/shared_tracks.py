"""Several formulas on one track a reading: where each stands against the first, at a glance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Cell, Column, Items, Span
from adapter.screens.parts.rows import Row, RowList
from adapter.screens.parts.track import MIDDLE, RAIL, bracket_offset, bubble_offset, joined

if TYPE_CHECKING:
    from adapter.dough.readings.levels import Level

UNCLEAR = str.maketrans("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", "abcdefghijklmnopqrstuvwxyz⁰¹²³⁴⁵⁶⁷⁸⁹")
"""A small sign stands for a change that the figures are not good enough to tell."""
CROWD = "+"
NEAR = (0, 1, 2, -1, -2, 3, -3)


@dataclass(frozen=True)
class SharedTrack:
    """A cell with one track and a sign for each formula; the first formula is the middle.

    Signs that would hide each other stand beside each other, on the same side of a bracket.
    """

    marks: tuple[tuple[str, Level], ...]

    def __call__(self, width: int) -> tuple[Span, ...]:
        half = (width - 1) // 2
        if half < 3:
            return ((" " * width, ""),)
        bracket = bracket_offset(half)
        cells: list[Span] = [(RAIL, "track")] * (2 * half + 1)
        cells[half] = (MIDDLE, "track")
        for place in (half - bracket, half + bracket):
            cells[place] = ("[" if place < half else "]", "faint")
        taken: set[int] = set()
        for sign, level in self.marks:
            if math.isnan(level.steps):
                continue
            clear = level.clear or not level.change
            place, shown = self._free(half + bubble_offset(level.steps, half, bracket), half, bracket, taken)
            taken.add(place)
            sign = sign if clear else sign.translate(UNCLEAR)
            cells[place] = (sign if shown else CROWD, "warn" if clear and abs(level.steps) > 1.0 else "strong")
        cells += [(" ", "")] * (width - len(cells))
        return joined(cells)

    def _free(self, wanted: int, half: int, bracket: int, taken: set[int]) -> tuple[int, bool]:
        """The nearest free cell in the same part of the track, and whether there was one."""

        def part(place: int) -> int:
            return (place > half - bracket) + (place >= half + bracket)

        for by in NEAR:
            place = wanted + by
            inside = 0 <= place <= 2 * half and abs(place - half) != bracket and part(place) == part(wanted)
            if inside and place not in taken:
                return place, True
        return wanted, False


class SharedTracks(RowList):
    """A row for each reading: the values, one track for all, and in words who moved."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("levels", (Column(""),), empty="no clear difference in any reading", id=id)
        self.keys: tuple[str, ...] = ()

    def show_tracks(
        self,
        signs: Sequence[str],
        columns: Sequence[Sequence[Level]],
        middle: str,
        *,
        only: bool = False,
        with_values: bool = True,
        first: int = 1,
    ) -> None:
        """`columns` are the levels of each formula against the first; `only` leaves out what did not clearly move.

        Where there is no room for the values of all, those of the formula at `first` are kept beside the middle's.

        The bar names the parts of a row: the title is no wider than the names, so that it covers no sign of a formula.
        """
        told = any(differs_clearly(level) and level.word for levels in columns for level in levels)
        drops = [0, *(5 if place == first else 5 + place for place in range(1, len(signs)))]
        values = [Column(sign, right=True, room=6, gap=1, drop=drop) for sign, drop in zip(signs, drops, strict=True)]
        self.columns = (
            Column("", least=20, most=24),
            *(values if with_values else ()),
            *((Column("", gap=1, room=2),) if with_values else ()),
            Column(f"{middle} in the middle", least=21, most=61, gap=1),
            *((Column("", least=12, most=44, gap=1, drop=2),) if told else ()),
        )
        rows: list[Row] = []
        keys: list[str] = []
        for levels in zip(*columns, strict=True):
            if only and not any(differs_clearly(level) for level in levels[1:]):
                continue
            rows.append(_row(signs, levels, with_values))
            keys.append(levels[0].key)
        self.keys = tuple(keys)
        self.show(rows)

    @property
    def key(self) -> str | None:
        """The reading that is highlighted."""
        return None if self.index is None or not self.keys else self.keys[self.index]


def differs_clearly(level: Level) -> bool:
    """Whether a reading has clearly moved in the digits in which it is shown."""
    from adapter.words.text_report import figure_text

    if not level.change or not level.clear:
        return False
    if not math.isfinite(level.change):
        return True
    return figure_text(level.key, abs(level.change)) != figure_text(level.key, 0.0)


def _row(signs: Sequence[str], levels: Sequence[Level], with_values: bool) -> Row:
    from adapter.words.text_report import figure_text

    def value(level: Level) -> str:
        return figure_text(level.key, level.now if math.isfinite(level.now) else None)

    moved: dict[str, list[str]] = {}
    for sign, level in zip(signs[1:], levels[1:], strict=True):
        if level.word and differs_clearly(level):
            moved.setdefault(level.word, []).append(sign)
    told = [f"{' '.join(who)} {word}" for word, who in moved.items()]
    words = tuple(text if not place else f", {text}" for place, text in enumerate(told))
    values = [((value(level), "strong" if differs_clearly(level) else ""),) for level in levels]
    cells: tuple[Cell, ...] = (
        levels[0].label,
        *((*values, ((levels[0].unit, "faint"),)) if with_values else ()),
        SharedTrack(tuple(zip(signs[1:], levels[1:], strict=True))),
        Items(words) if words else "",
    )
    return Row(cells)
