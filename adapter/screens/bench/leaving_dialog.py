"""Asked before a formula is left that was begun here and never saved."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from adapter.screens.parts.columns import harmless
from adapter.screens.parts.dialog import Dialog
from adapter.screens.parts.dialogs import STYLE

SAVE, KEEP, THROW = "save", "keep", "throw"


class LeavingDialog(Dialog[str | None]):
    """Save it, leave it among the unsaved work, throw it away, or stay (None)."""

    CSS_PATH = STYLE
    DEFAULT_CSS = """
    LeavingDialog { align: center bottom; background: $background 0%; }
    LeavingDialog #dialog { width: 100%; height: auto; background: $panel; border-top: heavy $accent; padding: 0 1; }
    """
    BINDINGS = [
        Binding("s,y", "dismiss('save')", "save"),
        Binding("l,enter", "dismiss('keep')", "leave it unsaved"),
        Binding("t", "dismiss('throw')", "throw away"),
        Binding("escape", "dismiss(None)", "stay"),
    ]

    def __init__(self, name: str) -> None:
        super().__init__()
        self._name = name

    def compose(self) -> ComposeResult:
        keys = "s save it · l or Enter leave it among the unsaved work · t throw it away · Esc stay here"
        with Vertical(id="dialog"):
            yield Static(Content(harmless(f"{self._name} is not saved.")), id="question")
            yield Static(Content(keys), id="hint")
