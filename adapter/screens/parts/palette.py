"""The palette: every command of a screen, found by a part of its name or of what its help says."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from adapter.screens.parts.action import Action
from adapter.screens.parts.dialogs import ChooseDialog


class Palette(ChooseDialog):
    """Gives the name of an action."""

    def __init__(self, actions: Iterable[Action]) -> None:
        super().__init__("Which command?", self._matching)
        self._actions = {title_of(action): action for action in actions}

    def _matching(self, words: str) -> Sequence[tuple[str, str]]:
        """Those whose name has every word first, then those whose help has."""
        wanted = words.casefold().split()
        named, helped = [], []
        for title, action in self._actions.items():
            pair = (title, action.help)
            if all(word in title.casefold() for word in wanted):
                named.append(pair)
            elif all(word in f"{title} {action.help}".casefold() for word in wanted):
                helped.append(pair)
        return [*named, *helped]

    def answer_of(self, name: str) -> str:
        return self._actions[name].name


def title_of(action: Action) -> str:
    return f"{action.label.capitalize()}  ({action.keys_shown})"
