"""The palette: commands of the screen, and with some letters typed formulas, ingredients and readings, by name."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING, NamedTuple, Protocol

from adapter.screens.parts.action import Action
from adapter.screens.parts.dialogs import ChooseDialog
from adapter.screens.parts.frame import Frame

if TYPE_CHECKING:
    from adapter.formula.ingredient import Ingredient
    from adapter.work.formula_list import Entry

LEAST_LETTERS = 2
_WORD = re.compile(r"[^\s(),.;:/·-]+")
MOST_OF_A_KIND = 12


class Choice(NamedTuple):
    """Something that can be chosen: its name, what is said beside it, and what it does."""

    title: str
    about: str
    run: Callable[[], None]


class Calling(Frame, Protocol):
    """What the palette asks of the screen it is called on."""

    def action_do(self, name: str, *values: str) -> None: ...

    def open_formula(self, entry: Entry) -> None:
        """Go to the bench with a formula of the list."""
        ...


class Palette(ChooseDialog):
    """Gives the title of a choice; `choice` has it."""

    def __init__(self, screen: Calling, actions: Sequence[Action]) -> None:
        super().__init__("Which command, formula, ingredient or reading?", self._find_titles)
        self._calling = screen
        self._actions = tuple(actions)
        self._choices: dict[str, Choice] = {}
        self._entries: list[Entry] | None = None

    def choice(self, title: str) -> Choice:
        return self._choices[title]

    def _find_titles(self, words: str) -> Sequence[tuple[str, str]]:
        self._choices = {}
        for choice in self._matching(_WORD.findall(words.casefold())):
            self._choices.setdefault(choice.title, choice)
        return [(choice.title, choice.about) for choice in self._choices.values()]

    def _matching(self, words: Sequence[str]) -> Iterator[Choice]:
        """Commands by their name, then formulas, ingredients and readings, then commands by what they do."""
        named, helped = [], []
        for action in self._actions:
            title = _title(action)
            run = partial(self._calling.action_do, action.name)
            if _has(title, words):
                named.append(Choice(title, action.help, run))
            elif _has(f"{title} {action.help}", words):
                helped.append(Choice(title, action.help, run))
        yield from named
        if sum(map(len, words)) >= LEAST_LETTERS:
            yield from _first(self._formulas(words))
            yield from _first(_readings(self._calling, words))
            yield from _first(_ingredients(self._calling, words))
        yield from helped

    def _formulas(self, words: Sequence[str]) -> Iterator[Choice]:
        """Formulas whose name has every word; the files are looked at once, not with each letter."""
        from adapter.work.formula_list import file_entries

        screen = self._calling
        if screen.session.tables is None:
            return
        if self._entries is None:
            self._entries = [*screen.session.draft_entries(), *file_entries(screen.session.files)]
        for entry in self._entries:
            if _has(entry.title, words):
                about = " · ".join(part for part in (f"formula, {entry.group}", entry.detail) if part)
                yield Choice(entry.title, about, partial(screen.open_formula, entry))


def _readings(screen: Calling, words: Sequence[str]) -> Iterator[Choice]:
    from adapter.dough.readings.registry import READINGS

    bench = screen.session.bench
    if bench is None or not bench.has_flour:
        return
    for reading in READINGS:
        if _has(reading.label, words):
            about = f"reading of {bench.formula.name}: how it was worked out"
            yield Choice(reading.label, about, partial(_show_reading, screen, reading.key))


def _show_reading(screen: Calling, key: str) -> None:
    from adapter.screens.parts.why import WhyReading

    screen.ask(WhyReading(screen.session.open_bench.now, key))


def _ingredients(screen: Calling, words: Sequence[str]) -> Iterator[Choice]:
    tables = screen.session.tables
    if tables is None:
        return
    items = tables.kitchen.catalogue.search(" ".join(words))
    named = [item for item in items if _has(item.name, words)]
    also_called = [item for item in items if item not in named and _has(" ".join(item.aliases), words)]
    for item in (*named, *also_called):
        about = ", ".join(("ingredient", *item.aliases))
        yield Choice(item.name, about, partial(_show_ingredient, screen, item))


def _show_ingredient(screen: Calling, ingredient: Ingredient) -> None:
    from adapter.screens.parts.why import WhyIngredient

    screen.ask(WhyIngredient(ingredient))


def _first(choices: Iterator[Choice]) -> Iterator[Choice]:
    for _, choice in zip(range(MOST_OF_A_KIND), choices, strict=False):
        yield choice


def _has(text: str, words: Sequence[str]) -> bool:
    """Whether every word begins one of the words of a text."""
    beginnings = _WORD.findall(text.casefold())
    return all(any(each.startswith(word) for each in beginnings) for word in words)


def _title(action: Action) -> str:
    keys = f"  ({action.keys_shown})" if action.keys else ""
    return f"{action.label.capitalize()}{keys}"
