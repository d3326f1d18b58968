"""The lines of a formula as rows, stage by stage."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Column
from adapter.screens.parts.formula_rows import by_stage
from adapter.screens.parts.levels import HELD
from adapter.screens.parts.rows import Row, RowList, heading

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured

MARKED = "✓"
LONGEST = 34
"""A name of an ingredient is whole up to here: columns go before it is cut."""

COLUMNS = (
    Column("", room=1),
    Column("", least=12, most=40, gap=1),
    Column("grams", right=True, room=5, gap=1),
    Column("%", right=True, room=5, drop=3, gap=1),
    Column("pantry", right=True, room=6, drop=2, gap=1),
)


class Lines(RowList):
    """The lines of the shown formula. A row is a line or the heading of a stage."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("formula", COLUMNS, empty="no lines: a puts one in", id=id)
        self._places: list[int | None] = []
        self.marked: set[int] = set()
        self._formula: object = None

    def show_lines(
        self, measured: Measured, held: Callable[[int], bool], stock: Callable[[str], str], line: int | None = None
    ) -> None:
        """Show a formula; the highlight goes to a line, else stays at its place."""
        if measured.formula is not self._formula:
            self.marked, self._formula = set(), measured.formula
        longest = max((len(each.ingredient) for each in measured.formula.lines), default=0)
        self.columns = (COLUMNS[0], COLUMNS[1]._replace(least=max(12, min(LONGEST, longest))), *COLUMNS[2:])
        rows: list[Row] = []
        self._places = []
        for stage, places in by_stage(measured.formula.lines):
            rows.append(heading(stage))
            self._places.append(None)
            for place in places:
                sign = MARKED if place in self.marked else HELD if held(place) else ""
                rows.append(_row(measured, place, sign, stock(measured.formula.lines[place].ingredient)))
                self._places.append(place)
        self.show(rows, None if line is None else self.row_of(line))

    def toggle_mark(self, line: int) -> int:
        """Mark a line, or take its mark away; how many are marked."""
        self.marked ^= {line}
        rows = list(self.rows)
        place = self.row_of(line)
        held, *rest = rows[place].cells
        sign = MARKED if line in self.marked else "" if held == MARKED else held
        rows[place] = Row((sign, *rest))
        self.change(rows)
        return len(self.marked)

    @property
    def line(self) -> int | None:
        """The highlighted line, by its place in the formula."""
        return None if self.index is None else self._places[self.index]

    def row_of(self, line: int) -> int:
        """The row of a line, or the last row."""
        return self._places.index(line) if line in self._places else max(0, len(self._places) - 1)


def _row(measured: Measured, place: int, sign: str, stock: str) -> Row:
    from adapter.words.text_report import grams_text

    line = measured.formula.lines[place]
    percent = 100.0 * line.grams / measured.amount("flour")
    return Row(
        (
            sign,
            line.ingredient,
            ((grams_text(line.grams), "strong"),),
            ((f"{percent:.1f}", ""),),
            ((stock, "" if stock in ("ok", "") else "warn"),),
        )
    )
