"""A formula to look at before it is opened: its lines, and its levels in the bands of its style of bread."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal

from adapter.dough.readings.levels import levels as levels_of
from adapter.screens.parts.formula_rows import PREVIEW_COLUMNS, preview_columns, preview_rows
from adapter.screens.parts.levels import BAND_COLUMNS, band_row
from adapter.screens.parts.rows import Row, RowList

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.formula.model import Formula
    from adapter.words.units import Units


class Preview(Horizontal):
    """Lines and levels side by side; in a narrow window the levels alone."""

    DEFAULT_CSS = """
    Preview { width: 3fr; margin-left: 1; }
    Preview #preview-lines { width: 2fr; }
    Preview #preview-levels { width: 3fr; margin-left: 1; min-width: 48; }
    Preview.-wide #preview-lines { min-width: 41; }
    Preview.-wide #preview-levels { min-width: 43; }
    """

    def compose(self) -> ComposeResult:
        for title, columns, name in (("", PREVIEW_COLUMNS, "lines"), ("levels", BAND_COLUMNS, "levels")):
            rows = RowList(title, columns, mark=False, id=f"preview-{name}")
            rows.can_focus = False
            yield rows

    def show_formula(self, measured: Measured, units: Units) -> None:
        style = measured.kitchen.bands.style_for(measured.value("rye_share")).name
        lines, levels = self.query_one("#preview-lines", RowList), self.query_one("#preview-levels", RowList)
        self.set_class(units.is_wide, "-wide")
        lines.columns = preview_columns(units)
        lines.show(preview_rows(measured, units), title=measured.formula.name)
        levels.show([band_row(level) for level in levels_of(measured)], title=f"{style} bread")

    def show_begun(self, formula: Formula, units: Units) -> None:
        """A formula that has no flour yet: its lines."""
        lines = self.query_one("#preview-lines", RowList)
        lines.columns = preview_columns(units)
        amounts = [(each.ingredient, units.cell(each.grams, each.ingredient)) for each in formula.lines]
        rows = [Row((name, ((amount, "strong"),), "")) for name, amount in amounts]
        lines.show(rows, title=formula.name)
        self.query_one("#preview-levels", RowList).show([], title="no flour yet")

    def show_nothing(self, why: str) -> None:
        self.query_one("#preview-lines", RowList).show([], title="")
        self.query_one("#preview-levels", RowList).show([], title=why)
