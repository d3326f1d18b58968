"""Help: the keys of a screen and what its marks mean, from the table of actions."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from adapter.screens.parts.actions import actions_of
from adapter.screens.parts.dialogs import TextDialog


class HelpScreen(TextDialog):
    """The keys of one screen."""

    def __init__(self, screen: str, notes: Sequence[str]) -> None:
        super().__init__(f"help: {screen}", help_text(screen, notes))


def help_text(screen: str, notes: Sequence[str] = ()) -> Content:
    lines: list[Content] = []
    actions = list(actions_of(screen))
    width = max(len(action.keys_shown) for action in actions) + 2
    lines.append(Content("↑ ↓ choose, PgUp PgDn Home End further\n"))
    for action in actions:
        where = f" ({action.part})" if action.part else ""
        lines.append(Content.assemble((action.keys_shown.ljust(width), "bold $accent"), f"{action.help}{where}"))
    for note in notes:
        lines.append(Content("\n" + note))
    return Content("\n").join(lines)
