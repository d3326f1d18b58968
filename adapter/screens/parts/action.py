"""One thing that can be done by key, and how keys are printed."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple


class Task(StrEnum):
    """What a baker wants to get done: the help is ordered by it."""

    CHOOSE = "choose and go on"
    CHANGE = "change it"
    SWAP = "swap"
    LOOK = "look closer"
    VARIANTS = "variants and steps"
    KEEP = "save, write, copy"
    GO = "go elsewhere"
    PROGRAM = "the program"


class Action(NamedTuple):
    """One thing to do. `name` is the method without "action_"; `keys` are Textual's names, the first is shown.

    A key means one thing on every screen, so screens that have it share the name. Without keys an action is in the
    palette only. `part` says in which part of a screen it acts: the footer shows it there only. `footer` is its place
    in the footer, lowest first; 0 keeps it out (help and palette still list it). `shown` is printed there for the keys.
    """

    name: str
    keys: str
    label: str
    help: str
    screens: tuple[str, ...]
    task: Task
    footer: int = 0
    part: str = ""
    palette: bool = True
    shown: str = ""

    @property
    def key_shown(self) -> str:
        """The first key as it is printed, or what stands for several actions in the footer."""
        return self.shown or shown_key(self.keys.split(",")[0])

    @property
    def keys_shown(self) -> str:
        """Every key as it is printed."""
        return " ".join(shown_key(key) for key in self.keys.split(",")) if self.keys else ""


_SHOWN = {
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    "enter": "Enter",
    "escape": "Esc",
    "tab": "Tab",
    "shift+tab": "Shift+Tab",
    "space": "Space",
    "delete": "Del",
    "backspace": "Backspace",
    "question_mark": "?",
    "left_square_bracket": "[",
    "right_square_bracket": "]",
    "colon": ":",
    "less_than_sign": "<",
    "greater_than_sign": ">",
    "slash": "/",
    "plus": "+",
    "equals_sign": "=",
    "minus": "-",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "home": "Home",
    "end": "End",
}


def shown_key(key: str) -> str:
    """A key as it is printed: "question_mark" is "?"."""
    if key in _SHOWN:
        return _SHOWN[key]
    if key.startswith("shift+"):
        return "Shift+" + shown_key(key.removeprefix("shift+"))
    if key.startswith("ctrl+"):
        return "Ctrl+" + key.removeprefix("ctrl+").upper()
    if len(key) > 1 and key[0] == "f" and key[1:].isdigit():
        return key.upper()
    return key
