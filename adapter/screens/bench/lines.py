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
    from adapter.words.units import Units

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
WITH_AMOUNTS = (*COLUMNS[:2], Column("written", gap=1, drop=4), *COLUMNS[2:])
"""Where amounts are written as people write them ("2 cups"), they stand beside their grams."""


class Lines(RowList):
    """The lines of the shown formula. A row is a line or the heading of a stage."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("formula", COLUMNS, empty="no lines: a puts one in", id=id)
        self._places: list[int | None] = []
        self.marked: set[int] = set()
        self._formula: object = None

    def show_lines(
        self,
        formula: Formula,
        flour_g: float | None,
        held: Callable[[int], bool],
        stock: Callable[[str], str],
        units: Units,
        line: int | None = None,
    ) -> None:
        """Show a formula, without flour no % of it; the highlight goes to a line, else stays at its place."""
        if formula is not self._formula:
            self.marked, self._formula = set(), formula
        rows: list[Row] = []
        self._places = []
        written = any(each.amount for each in formula.lines)
        longest = max((len(each.ingredient) for each in formula.lines), default=0)
        columns = tuple(
            each._replace(title=units.head) if each.title == "grams" else each
            for each in (WITH_AMOUNTS if written else COLUMNS)
        )
        if written and not any(stock(each.ingredient) for each in formula.lines):
            columns = (*columns[:-1], Column("", drop=9))
        self.columns = (columns[0], columns[1]._replace(least=max(12, min(LONGEST, longest))), *columns[2:])
        for stage, places in by_stage(formula.lines):
            rows.append(heading(stage))
            self._places.append(None)
            for place in places:
                each = formula.lines[place]
                sign = MARKED if place in self.marked else HELD if held(place) else ""
                rows.append(_row(each, flour_g, sign, stock(each.ingredient), written, units))
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


def _row(line: Line, flour_g: float | None, sign: str, stock: str, written: bool, units: Units) -> Row:
    percent = "" if flour_g is None else f"{100.0 * line.grams / flour_g:.1f}"
    return Row(
        (
            sign,
            line.ingredient,
            *((((line.amount or "", "faint"),),) if written else ()),
            ((units.cell(line.grams, line.ingredient), "strong"),),
            ((percent, ""),),
            ((stock, "" if stock in ("ok", "") else "warn"),),
        )
    )
