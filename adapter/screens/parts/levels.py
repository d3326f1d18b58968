"""The levels as rows: against the book formula on the bench, against the band where there is no book."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from textual.geometry import Region

from adapter.screens.parts.columns import Cell, Column
from adapter.screens.parts.rows import Row, RowList
from adapter.screens.parts.track import Track

if TYPE_CHECKING:
    from adapter.dough.readings.levels import Level

HELD = "="
WORD_WIDTH = 15

COLUMNS = (
    Column("", room=1),
    Column("", gap=1),
    Column("book", right=True, room=6, gap=1, drop=2),
    Column("now", right=True, room=6),
    Column("", gap=1, room=2),
    Column("", gap=0, room=1),
    Column("change", right=True, room=8, drop=4),
    Column("±", right=True, room=5, drop=5, gap=1),
    Column("", least=11, most=45, drop=3, gap=1),
    Column("", room=WORD_WIDTH, gap=1),
)
BAND_COLUMNS = (
    Column("", room=1),
    Column("", gap=0),
    Column("", right=True, room=6),
    Column("", gap=1, room=2),
    Column("", gap=0, room=1),
    Column("", least=11, most=25, drop=1, gap=1),
    Column("usual", room=11, drop=2),
)


class Levels(RowList):
    """The levels of a formula, or of a swap that is looked at."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("levels", COLUMNS, id=id)
        self.levels: tuple[Level, ...] = ()

    def show_levels(self, levels: Sequence[Level], held: Collection[str], title: str = "levels") -> None:
        """Show other numbers; the highlight stays."""
        self.levels = tuple(levels)
        rows = [level_row(level, level.key in held) for level in levels]
        if title != self.title:
            self.title = title
            self.refresh(Region(0, 0, self.size.width, 1))
        if len(rows) == len(self.rows):
            self.change(rows)
        else:
            self.show(rows)

    def show_nothing(self, why: str) -> None:
        """No levels, and why."""
        self.levels = ()
        self.empty = why
        self.show([], title="levels")

    @property
    def key(self) -> str | None:
        """The reading that is highlighted."""
        return None if self.index is None or not self.levels else self.levels[self.index].key

    @property
    def more(self) -> str:
        hidden = self.levels[self.scrolled_to + self.page :]
        if not hidden:
            return ""
        moved = sum(1 for level in hidden if level.word and level.clear)
        return f"↓ {len(hidden)} more" + (f", {moved} moved" if moved else "")


def level_row(level: Level, held: bool) -> Row:
    """One level against the book formula."""
    from adapter.dough.readings.levels import NO_CLEAR_CHANGE
    from adapter.words.text_report import figure_text

    moved = level.change != 0
    outside = bool(level.word) and level.clear
    word = level.word or ("held" if held else "")
    now = figure_text(level.key, _finite(level.now))
    change = figure_text(level.key, _finite(level.change), True) if moved else ""
    if not any(sign in "123456789" for sign in change):
        change = ""
    cells: tuple[Cell, ...] = (
        HELD if held else "",
        level.label,
        ((figure_text(level.key, _finite(level.book)), "faint"),),
        ((now, "strong" if change else ""),),
        ((level.unit, "faint"),),
        ((band_mark(level.side), "warn" if level.side else ""),),
        ((change, ""),),
        ((figure_text(level.key, _finite(level.spread)) if change else "", "faint"),),
        Track(level.steps, level.word != NO_CLEAR_CHANGE, held),
        ((word, "warn" if outside else "faint"),),
    )
    return Row(cells)


def band_row(level: Level) -> Row:
    """One level against the band of its style of bread; the brackets are the ends of the band."""
    from adapter.dough.readings.levels import band_steps
    from adapter.words.text_report import figure_text

    band = level.band
    meter: Cell = ""
    if band is not None:
        meter = Track(band_steps(level))
    cells: tuple[Cell, ...] = (
        "",
        level.label,
        ((figure_text(level.key, _finite(level.now)), "strong"),),
        ((level.unit, "faint"),),
        ((band_mark(level.side), "warn" if level.side else ""),),
        meter,
        ((f"{band.low:g}–{band.high:g}" if band else "", "faint"),),
    )
    return Row(cells)


def band_mark(side: int) -> str:
    """Above or below where a style of bread normally lies."""
    return "↑" if side > 0 else "↓" if side < 0 else ""


def _finite(value: float) -> float | None:
    from math import isfinite

    return value if isfinite(value) else None
