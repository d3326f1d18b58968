"""The first screen: the formulas that can be opened, found as you type, with a preview."""

from __future__ import annotations

from textual.app import ComposeResult

from adapter.screens.shell import OtherloafScreen
from adapter.screens.widgets.columns import Column
from adapter.screens.widgets.rows import RowList


class FormulasScreen(OtherloafScreen):
    """Stub for the shell; being written."""

    NAME = "formulas"

    def body(self) -> ComposeResult:
        yield RowList("formulas", (Column("", least=20),), empty="no formulas yet", id="list")

    def on_mount(self) -> None:
        self.top("otherloaf", "formulas")
