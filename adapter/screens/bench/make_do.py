"""Making do with the pantry, asked over the bench: the swaps of the plan, and whether to take them."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from adapter.screens.parts.columns import harmless
from adapter.screens.parts.dialogs import ConfirmDialog


class MakeDoDialog(ConfirmDialog):
    """The lines of a plan, with yes and no; the levels behind it show what it would be."""

    def __init__(self, lines: list[str]) -> None:
        super().__init__("Make do with the pantry?", "take it", "leave it", sure=True)
        self.lines = lines

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog"):
            yield Static(Content(self._question), id="question")
            yield Static(Content("\n".join(harmless(line) for line in self.lines)))
            yield Static(Content("y take it · n leave it · Enter take it"), id="hint")
