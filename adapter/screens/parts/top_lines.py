"""The line at the top that says what is open, and the line for messages."""

from __future__ import annotations

from time import monotonic

from textual.content import Content
from textual.widget import Widget

from adapter.screens.parts.columns import cut, harmless

FAULT_STAYS_S = 4.0


class TopLine(Widget):
    """The first line: what is open at the left, its state at the right. The right gives way last."""

    DEFAULT_CSS = """
    TopLine { height: 1; background: $bar; color: $bar-text; text-style: bold; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.left = ""
        self.rights: tuple[str, ...] = ("",)

    def show(self, left: str, *rights: str) -> None:
        """`rights` from the fullest to the shortest: the first that leaves the name room is taken."""
        if (left, rights or ("",)) != (self.left, self.rights):
            self.left, self.rights = left, rights or ("",)
            self.refresh()

    def render(self) -> Content:
        width = self.size.width
        left = harmless(self.left)
        room = min(len(left), max(20, width // 2))
        right = next((text for text in self.rights if len(text) + room + 4 <= width), self.rights[-1])
        right = harmless(right)
        return Content(f" {cut(left, max(0, width - len(right) - 3))} {right} ")


class StatusLine(Widget):
    """The last message, one line, never markup. A fault is marked by a word as well as by colour."""

    DEFAULT_CSS = """
    StatusLine { height: auto; min-height: 1; max-height: 2; padding: 0 1; color: $faint; background: $background; }
    StatusLine.-fault { color: $warning; text-style: bold; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.text = ""
        self._standing = ("", False)
        self._goes_at = 0.0

    def say(self, text: str, fault: bool = False) -> None:
        """Show a message until a further key; a fault can be read for a while first."""
        self._show(text or self._standing[0], fault if text else self._standing[1])
        self._goes_at = monotonic() + (FAULT_STAYS_S if fault else 0.0)

    def stand(self, text: str, fault: bool = False) -> None:
        """What stands in the line whenever there is no message."""
        self._standing = (text, fault)
        self.say("")

    def key_pressed(self) -> None:
        """A further key: an old message goes."""
        if monotonic() >= self._goes_at:
            self.say("")

    def _show(self, text: str, fault: bool) -> None:
        shown = ("! " if fault else "") + harmless(" ".join(text.split()))
        if shown != self.text or fault != self.has_class("-fault"):
            self.set_class(fault, "-fault")
            self.text = shown
            self.refresh(layout=True)

    def render(self) -> Content:
        return Content(self.text)
