"""Help: the keys of a screen and what its marks mean, from the table of actions."""

from __future__ import annotations

from textual.content import Content

from adapter.screens.parts.actions import actions_of
from adapter.screens.parts.dialogs import TextDialog

NOTES = {
    "bench": (
        "A level shows where a reading stands against the book formula. The bubble ● is in the middle where nothing"
        " changed; inside the brackets [ ] the change is less than a baker notices; outside, a word says how far."
        " An open bubble ○ and “no clear change” mean that the figures are not known well enough to tell.",
        "= before a name: held.  ↑ ↓ after a number: above or below where this style of bread normally lies.",
        "Changes between variants are far better known than the absolute numbers.",
    ),
    "compare": (
        "! a clear change; ~ no clear change: within what the figures can tell; ≈ the same in the digits shown.",
        "‹ and › with a number: so many columns more on that side.",
    ),
    "pantry": (
        "* a figure of your own over the table's. ! short of what the open formula needs, or past its date.",
        "A packet's figures count in every formula, with a smaller spread than the table's.",
    ),
    "export": ("What is shown is what is written.",),
    "bake": (
        "Every input follows the formula, or its class of loaf, until it is typed over; Backspace gives it back.",
        "The minutes are good to a fifth: the thermometer in the core decides.",
    ),
    "formulas": (
        "Type a part of a name to find a formula. Unsaved work stands at the top until it is saved or thrown away.",
    ),
}


class HelpScreen(TextDialog):
    """The keys of one screen."""

    def __init__(self, screen: str) -> None:
        super().__init__(f"help: {screen}", help_text(screen))


def help_text(screen: str) -> Content:
    lines: list[Content] = []
    actions = list(actions_of(screen))
    width = max(len(action.keys_shown) for action in actions) + 2
    lines.append(Content("↑ ↓ choose, PgUp PgDn Home End further\n"))
    for action in actions:
        where = f" ({action.part})" if action.part else ""
        lines.append(Content.assemble((action.keys_shown.ljust(width), "bold $accent"), f"{action.help}{where}"))
    for note in NOTES.get(screen, ()):
        lines.append(Content("\n" + note))
    return Content("\n").join(lines)
