"""Where a recipe is pasted or typed; a single line may name a file."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static, TextArea

from adapter.screens.parts.dialog import Dialog
from adapter.screens.parts.dialogs import STYLE


class RecipeDialog(Dialog[str | None]):
    """Gives the text as it stands; None when left by Esc."""

    TAKES_TEXT = True
    CSS_PATH = STYLE
    DEFAULT_CSS = """
    RecipeDialog { align: center bottom; background: $background 0%; }
    RecipeDialog #dialog { width: 100%; height: 70%; background: $panel; border-top: heavy $accent; padding: 0 1; }
    RecipeDialog TextArea { height: 1fr; border: none; padding: 0; background: $surface; }
    """
    BINDINGS = [
        Binding("escape", "dismiss(None)", "leave it", priority=True),
        Binding("f5", "read", "read it", priority=True),
    ]

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog"):
            yield Static(Content("The recipe: paste or type it, or the path of a file"), id="question")
            yield TextArea(id="text", show_line_numbers=False, soft_wrap=True)
            yield Static(Content("F5 reads it · Esc leaves it"), id="hint")

    def on_mount(self) -> None:
        self.query_one(TextArea).focus()

    def action_read(self) -> None:
        text = self.query_one(TextArea).text
        if text.strip():
            self.dismiss(text)
