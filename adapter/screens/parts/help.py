"""Help: the keys of a screen and what its marks mean, from the table of actions."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from textual.content import Content

from adapter.screens.parts.action import Action, Task
from adapter.screens.parts.actions import actions_of
from adapter.screens.parts.dialogs import TextDialog

NARROWEST_HELP, WIDEST_HELP = 52, 88
"""What fits beside the keys at 80 columns, and in the widest page."""
AROUND = 28
"""Columns of a screen that the keys, the frame and what is beside it take."""


class HelpScreen(TextDialog):
    """The keys of one screen."""

    def __init__(self, screen: str, notes: Sequence[str], columns: int) -> None:
        room = max(NARROWEST_HELP, min(WIDEST_HELP, columns - AROUND))
        super().__init__(f"help: {screen}", help_text(screen, notes, room))


def help_text(screen: str, notes: Sequence[str], room: int) -> Content:
    """The keys by what they are for, wrapped beside them, and what the marks of the screen mean."""
    lines: list[Content] = []
    actions = [action for action in actions_of(screen) if action.keys]
    width = max(len(action.keys_shown) for action in actions) + 2
    for task in Task:
        lines.append(Content.styled(task.value, "bold"))
        if task is Task.CHOOSE:
            lines.append(Content.assemble(("↑ ↓".ljust(width), "bold $accent"), "choose; PgUp PgDn Home End further"))
        for action in actions:
            if action.task is task:
                lines += _described(action, width, room)
        if lines[-1].plain == task.value:
            lines.pop()
        else:
            lines.append(Content(""))
    for note in notes:
        lines.append(Content(note + "\n"))
    return Content("\n").join(lines)


def _described(action: Action, width: int, room: int) -> list[Content]:
    """The keys of an action and what it does, wrapped beside them."""
    where = f" ({action.part})" if action.part and not action.help.startswith("In the") else ""
    parts = wrap(f"{action.help}{where}", room)
    heads = [(action.keys_shown.ljust(width), "bold $accent"), *((" " * width, "") for _ in parts[1:])]
    return [Content.assemble(head, part) for head, part in zip(heads, parts, strict=True)]
