"""A recipe pasted into the list of formulas, typed, or named as a file: read, and then gone through."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.formula.problems import InputProblem
from adapter.screens.parts.frame import Frame

if TYPE_CHECKING:
    from adapter.work.recipe_review import Review

LINES_AT_ONCE = 60
"""A longer recipe is read beside the keys."""


class RecipeReading:
    """Reads what it is given and opens the review of it."""

    def __init__(self, screen: Frame) -> None:
        self._screen = screen
        self._waiting: str | None = None

    def action_read(self) -> None:
        """Ask for a recipe."""
        from adapter.screens.formulas.recipe_dialog import RecipeDialog

        def take(text: str | None) -> None:
            if text is not None:
                self.read(text)

        if self._tables_are_there():
            self._screen.ask(RecipeDialog(), take)

    def read(self, text: str) -> None:
        """Read a recipe, or the file that one line names; what comes before the tables are there waits for them."""
        screen = self._screen
        if screen.session.tables is None:
            self._waiting = text
            screen.say("the recipe is read as soon as the tables are")
        elif text.count("\n") <= LINES_AT_ONCE and _file_named(text) is None:
            screen.attempt(lambda: self._open(self._read(text)))
        else:
            screen.say("reading the recipe …")
            screen.in_background(lambda: self._read_beside(text), "recipe", exclusive=True)

    def _read_beside(self, text: str) -> None:
        """In a thread: what takes a moment to read."""
        screen = self._screen
        try:
            found = self._read(text)
        except InputProblem as problem:
            screen.back_on_screen(screen.say, str(problem), True)
        else:
            screen.back_on_screen(lambda: screen.attempt(lambda: self._open(found)))

    def read_what_waits(self) -> bool:
        """Whether a recipe was waiting for the tables."""
        text, self._waiting = self._waiting, None
        if text is not None:
            self.read(text)
        return text is not None

    def _tables_are_there(self) -> bool:
        there = self._screen.session.tables is not None
        if not there:
            self._screen.say("the tables are still being read")
        return there

    def _read(self, text: str) -> Sequence[Review]:
        from adapter.recipes.sources import ALL, read_bytes
        from adapter.work.recipe_review import Review, read_recipes

        reader = self._screen.session.line_reader()
        path = _file_named(text)
        if path is None:
            return read_recipes(text, reader)
        try:
            data = path.read_bytes()
        except OSError as error:
            raise InputProblem(f"{path.name} cannot be read: {error.strerror}") from None
        return [Review.of(recipe, reader) for recipe in read_bytes(data, reader, path.name, ALL)]

    def _open(self, found: Sequence[Review]) -> None:
        if len(found) == 1:
            self._show(found[0])
            return
        from adapter.screens.parts.dialogs import ChooseDialog

        by_name = {f"{number} {review.recipe.name}": review for number, review in enumerate(found, start=1)}

        def find(words: str) -> Sequence[tuple[str, str]]:
            wanted = words.casefold()
            return [(name, f"{len(each.items)} lines") for name, each in by_name.items() if wanted in name.casefold()]

        def take(name: str | None) -> None:
            if name is not None:
                self._show(by_name[name])

        self._screen.ask(ChooseDialog("There are several recipes in it: which one?", find), take)

    def _show(self, review: Review) -> None:
        self._screen.session.review = review
        self._screen.go_to("review")


def _file_named(text: str) -> Path | None:
    """The file that a single line names; None for the text of a recipe."""
    line = text.strip()
    if "\n" in line or len(line) > 1000 or not line.isprintable():
        return None
    try:
        path = Path(line).expanduser()
        return path if path.is_file() else None
    except (OSError, RuntimeError, ValueError):
        return None
