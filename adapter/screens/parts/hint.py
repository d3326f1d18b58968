"""The line under a field or a list: what may be done, or what is wrong."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from adapter.screens.parts.columns import harmless


class Hint(Static):
    """Plain text, never markup. The same said again is not laid out anew, as it would be with each key."""

    def __init__(self, text: str) -> None:
        super().__init__(Content(harmless(text)), id="hint")
        self._told = (text, False)

    def tell(self, text: str, fault: bool = False) -> None:
        """Say something else; a fault is marked by a sign as well as by its colour."""
        if (text, fault) != self._told:
            self._told = (text, fault)
            self.set_class(fault, "-fault")
            self.update(Content(harmless(f"! {text}" if fault else text)))
