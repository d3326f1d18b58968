"""The pages of a screen that is too large for the window: a strip of their names, the open one marked."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.content import Content
from textual.message import Message
from textual.widget import Widget


class PageStrip(Widget):
    """Names side by side; a click opens a page."""

    DEFAULT_CSS = """
    PageStrip { height: 1; background: $background; color: $faint; padding: 0 1; }
    """

    class Pressed(Message):
        def __init__(self, page: int) -> None:
            super().__init__()
            self.page = page

    def __init__(self, names: Sequence[str], *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.names = tuple(names)
        self.page = 0

    def show(self, page: int) -> None:
        if page != self.page:
            self.page = page
            self.refresh()

    def mark(self, page: int, name: str) -> None:
        """Another name for a page."""
        names = (*self.names[:page], name, *self.names[page + 1 :])
        if names != self.names:
            self.names = names
            self.refresh()

    def render(self) -> Content:
        parts = [
            Content.styled(f"[{name}]", "bold $accent") if number == self.page else Content(f" {name} ")
            for number, name in enumerate(self.names)
        ]
        return Content(" ").join(parts)

    def on_click(self, event: events.Click) -> None:
        at = 1
        for number, name in enumerate(self.names):
            if at <= event.x < at + len(name) + 2:
                self.post_message(self.Pressed(number))
            at += len(name) + 3
