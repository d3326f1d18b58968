"""What every dialog is: a screen over another one, which answers once."""

from __future__ import annotations

from typing import TypeVar

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen

from adapter.screens.parts.painting import PaintedScreen

Answer = TypeVar("Answer")


class Dialog(ModalScreen[Answer], PaintedScreen[Answer]):
    """A dialog that answers once; a second answer is too late."""

    _answered = False

    def dismiss(self, result: Answer | None = None) -> AwaitComplete:
        if self._answered or self.app.screen is not self:
            return AwaitComplete()
        self._answered = True
        return super().dismiss(result)

    def tell_what_is_typed(self) -> None:
        """Called before the program ends: what stands in the dialog and is to be kept."""


class ListDialog(Dialog[Answer]):
    """A list over the lower part of the screen, between its `#question` and its `#hint`."""

    DEFAULT_CSS = """
    ListDialog { align: center bottom; background: $background 0%; }
    ListDialog #dialog { width: 100%; height: 60%; background: $panel; border-top: heavy $accent; padding: 0 1; }
    ListDialog #question { text-style: bold; height: auto; }
    ListDialog #hint { color: $faint; height: auto; }
    ListDialog RowList { background: $panel; }
    """
