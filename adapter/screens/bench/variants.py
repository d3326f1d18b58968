"""Steps back and forth on the bench, and its variants."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from adapter.formula.plain_text import clean
from adapter.screens.parts.dialogs import AskDialog, ConfirmDialog
from adapter.screens.parts.frame import Frame


class Showing(Frame, Protocol):
    """What variants ask of the bench screen."""

    def changed(self, line: int | None = None) -> None:
        """The work changed: show it, and keep it."""
        ...


class Variants:
    """Undo, redo, and variants begun, shown, named and dropped."""

    def __init__(self, screen: Showing) -> None:
        self._screen = screen

    def _history(self, step: Callable[[], bool], done: str, nothing: str) -> None:
        said = self._screen.history_step(step, done, nothing)
        if said:
            self._screen.changed()
            self._screen.say(said)

    def action_undo(self) -> None:
        self._history(self._screen.session.open_bench.undo, "undone", "this is where the variant starts")

    def action_redo(self) -> None:
        self._history(self._screen.session.open_bench.redo, "done again", "there is nothing to do again")

    def action_from_here(self) -> None:
        if self._screen.session.open_bench.begin_here():
            self._screen.changed()
            self._screen.say("from here on this is the book formula · u undoes it")
        else:
            self._screen.say("it is a book formula already")

    def action_new_variant(self) -> None:
        screen = self._screen
        bench = screen.session.open_bench
        screen.session.open_piece.check_has_flour()
        if not screen.session.open_piece.new_variant():
            screen.say("there are as many variants as there are letters", fault=True)
            return
        screen.changed()
        letter = bench.letter(bench.work.shown)
        screen.say(f"variant {letter}, from what was shown · [ and ] change between variants · n names it")

    def action_variant_before(self) -> None:
        self._to_variant(-1)

    def action_variant_after(self) -> None:
        self._to_variant(1)

    def _to_variant(self, by: int) -> None:
        bench = self._screen.session.open_bench
        if len(bench.work.variants) == 1:
            self._screen.say("there is one variant only · v starts another")
            return
        bench.show(bench.work.shown + by)
        self._screen.changed()
        self._screen.say(f"variant {bench.letter(bench.work.shown)}: {bench.formula.name}")

    def action_drop(self) -> None:
        screen = self._screen
        bench = screen.session.open_bench
        if len(bench.work.variants) == 1:
            screen.say("the last variant stays · t throws unsaved work away")
            return
        name = f"variant {bench.letter(bench.work.shown)}, {bench.formula.name}"

        def drop(sure: bool | None) -> None:
            if sure and screen.session.open_piece.drop_variant():
                screen.changed()
                screen.say(f"{name} dropped")

        screen.ask(ConfirmDialog(f"Drop {name}? Its steps are lost.", "drop", "keep"), drop)

    def action_rename(self) -> None:
        screen = self._screen
        bench = screen.session.open_bench

        def take(text: str | None) -> None:
            name = clean(text or "")
            if name and name != bench.formula.name:
                bench.rename(name)
                screen.changed()
                screen.say(f"now called {name}")

        def check(text: str) -> str | None:
            return None if clean(text) else "a formula needs a name"

        screen.ask(AskDialog("What is it called?", bench.formula.name, check=check), take)
