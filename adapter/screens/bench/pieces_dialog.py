"""A bare number for something that is counted in pieces: grams or pieces?"""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from adapter.screens.parts.columns import harmless
from adapter.screens.parts.dialog import Dialog
from adapter.screens.parts.dialogs import STYLE
from adapter.screens.parts.frame import Frame
from adapter.words.units import Units
from adapter.work.typed_lines import Amount, PiecesOrGrams


class PiecesDialog(Dialog[Amount | None]):
    """g means grams, p means pieces; Esc leaves it."""

    CSS_PATH = STYLE
    DEFAULT_CSS = """
    PiecesDialog { align: center bottom; background: $background 0%; }
    PiecesDialog #dialog { width: 100%; height: auto; background: $panel; border-top: heavy $accent; padding: 0 1; }
    """
    BINDINGS = [
        Binding("g", "answer('g')", "grams"),
        Binding("p", "answer('p')", "pieces"),
        Binding("escape", "dismiss(None)", "leave it"),
    ]

    def __init__(self, name: str, asked: PiecesOrGrams, units: Units) -> None:
        super().__init__()
        self._units = units
        self._name = name
        self._asked = asked

    def compose(self) -> ComposeResult:
        asked = self._asked
        number = asked.number.strip()
        with Vertical(id="dialog"):
            yield Static(Content(harmless(f"{self._name}, {number}: {self._units.weight} or pieces?")), id="question")
            weight, of_pieces = (self._units.amount(each.grams) for each in (asked.grams, asked.pieces))
            pieces = f"p {number} pieces, {of_pieces}"
            yield Static(Content(f"g {weight} · {harmless(pieces)} · Esc leaves it"), id="hint")

    def action_answer(self, which: str) -> None:
        self.dismiss(self._asked.grams if which == "g" else self._asked.pieces)


def ask_which(screen: Frame, name: str, amount: Amount | PiecesOrGrams, take: Callable[[Amount], None]) -> None:
    """Take an amount; where it may be grams or pieces, ask first."""
    if isinstance(amount, Amount):
        take(amount)
        return

    def answered(answer: Amount | None) -> None:
        if answer is not None:
            take(answer)

    screen.ask(PiecesDialog(name, amount, screen.units), answered)
