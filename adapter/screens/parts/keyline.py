"""The footer: the keys of a screen in the order of their use, as many as fit, help always among them."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from rich.segment import Segment
from textual import events
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from adapter.screens.parts.action import Action


class KeyLine(Widget):
    """One or two lines of keys, which can be clicked."""

    COMPONENT_CLASSES = {"keys--key", "keys--label"}
    DEFAULT_CSS = """
    KeyLine { height: 1; background: $bar; color: $bar-text; }
    KeyLine > .keys--key { color: $accent; text-style: bold; }
    KeyLine > .keys--label { color: $bar-text; }
    """

    class Pressed(Message):
        def __init__(self, action: Action) -> None:
            super().__init__()
            self.action = action

    def __init__(self, actions: Sequence[Action]) -> None:
        super().__init__()
        self._actions = tuple(actions)
        self._shown: list[tuple[int, int, Action]] = []

    def show(self, actions: Sequence[Action]) -> None:
        if tuple(actions) != self._actions:
            self._actions = tuple(actions)
            self.refresh()

    def fitting(self, width: int) -> list[Action]:
        """The actions that fit, help kept by leaving others out from the end."""
        fitting = list(self._actions)
        while fitting and sum(_length(action) for action in fitting) - 2 > width - 2:
            spare = [action for action in fitting if action.name not in ("help", "back")]
            fitting.remove((spare or fitting)[-1])
        return fitting

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        ground = self.rich_style
        key = ground + self.get_component_rich_style("keys--key", partial=True)
        label = ground + self.get_component_rich_style("keys--label", partial=True)
        segments = [Segment(" ", ground)]
        self._shown = []
        at = 1
        for action in self.fitting(width):
            self._shown.append((at, at + _length(action) - 2, action))
            segments += [Segment(action.key_shown, key), Segment(f" {action.label}  ", label)]
            at += _length(action)
        return Strip(segments).adjust_cell_length(width, ground)

    def on_click(self, event: events.Click) -> None:
        for start, end, action in self._shown:
            if start <= event.x < end:
                self.post_message(self.Pressed(action))


def _length(action: Action) -> int:
    return cell_len(action.key_shown) + 1 + cell_len(action.label) + 2
