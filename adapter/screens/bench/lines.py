"""The lines of a formula as rows, stage by stage."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Column
from adapter.screens.parts.formula_rows import by_stage
from adapter.screens.parts.levels import HELD
from adapter.screens.parts.rows import Row, RowList, heading

if TYPE_CHECKING:
    from adapter.formula.model import Formula, Line

COLUMNS = (
    Column("", room=1),
    Column("", least=12, most=40, gap=1),
    Column("grams", right=True, room=5, gap=1),
    Column("% flour", right=True, room=5, drop=3, gap=1),
    Column("pantry", right=True, room=6, drop=2, gap=1),
)
WITH_AMOUNTS = (*COLUMNS[:2], Column("written", gap=1, drop=4), *COLUMNS[2:])
"""Where amounts are written as people write them ("2 cups"), they stand beside their grams."""


class Lines(RowList):
    """The lines of the shown formula. A row is a line or the heading of a stage."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("formula", COLUMNS, empty="no lines: a puts one in", id=id)
        self._places: list[int | None] = []

    def show_lines(
        self,
        formula: Formula,
        flour_g: float | None,
        held: Callable[[int], bool],
        stock: Callable[[str], str],
        line: int | None = None,
    ) -> None:
        """Show a formula, without flour no % of it; the highlight goes to a line, else stays at its place."""
        rows: list[Row] = []
        self._places = []
        written = any(each.amount for each in formula.lines)
        self.columns = WITH_AMOUNTS if written else COLUMNS
        for stage, places in by_stage(formula.lines):
            rows.append(heading(stage))
            self._places.append(None)
            for place in places:
                each = formula.lines[place]
                rows.append(_row(each, flour_g, held(place), stock(each.ingredient), written))
                self._places.append(place)
        self.show(rows, None if line is None else self.row_of(line))

    @property
    def line(self) -> int | None:
        """The highlighted line, by its place in the formula."""
        return None if self.index is None else self._places[self.index]

    def row_of(self, line: int) -> int:
        """The row of a line, or the last row."""
        return self._places.index(line) if line in self._places else max(0, len(self._places) - 1)


def _row(line: Line, flour_g: float | None, held: bool, stock: str, written: bool) -> Row:
    from adapter.words.text_report import grams_text

    percent = "" if flour_g is None else f"{100.0 * line.grams / flour_g:.1f}"
    return Row(
        (
            HELD if held else "",
            line.ingredient,
            *((((line.amount or "", "faint"),),) if written else ()),
            ((grams_text(line.grams), "strong"),),
            ((percent, ""),),
            ((stock, "" if stock in ("ok", "") else "warn"),),
        )
    )
