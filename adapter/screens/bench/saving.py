"""Saving the shown variant into a file, and throwing unsaved work away."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from adapter.files.toml.source import exists
from adapter.screens.bench.leaving_dialog import KEEP, SAVE, THROW, LeavingDialog
from adapter.screens.parts.dialogs import AskDialog, ConfirmDialog
from adapter.screens.parts.frame import Frame
from adapter.work.paths import check_no_sample, path_told, path_typed


class Saved(Frame, Protocol):
    """What saving asks of the bench screen."""

    def changed(self, line: int | None = None) -> None:
        """The work changed: show it, and keep it."""
        ...

    def leave_bench(self) -> None:
        """Back to the list of formulas."""
        ...

    def show_all(self, line: int | None = None) -> None:
        """Show everything anew, with a line highlighted."""
        ...


class Saving:
    """Asks where to save, and over another file than the formula's own only when told so."""

    def __init__(self, screen: Saved) -> None:
        self._screen = screen

    def action_back(self) -> None:
        """Back to the list; from a formula that was begun here and never saved, only when told how."""
        screen = self._screen
        if not screen.session.open_piece.is_new:
            screen.leave_bench()
            return

        def take(answer: str | None) -> None:
            if answer == SAVE:
                self.ask_where(then=screen.leave_bench)
                return
            ways = {KEEP: screen.session.keep_draft, THROW: screen.session.throw_piece_away}
            if answer is not None and screen.attempt(ways[answer]):
                screen.leave_bench()

        screen.ask(LeavingDialog(screen.session.open_bench.formula.name), take)

    def action_save(self) -> None:
        self.ask_where()

    def ask_where(self, then: Callable[[], None] | None = None) -> None:
        """Ask for a path and save there; `then` is done when that went well."""
        screen = self._screen
        screen.session.open_piece.check_has_flour()

        def take(text: str | None) -> None:
            if text is None:
                return
            path = path_typed(text)
            book = screen.session.open_piece.is_over_its_book(path)
            if exists(path) and (book or not screen.session.open_piece.is_its_own(path)):
                there = "holds the book formula" if book else "is there already"
                question = f"{path.name} {there}. Write over it? Its comments stay, its formula goes."
                screen.ask(
                    ConfirmDialog(question, "write over it", "leave it"), lambda sure: self._save(path, sure, then)
                )
            else:
                self._save(path, True, then)

        def check(text: str) -> str | None:
            path = path_typed(text)
            check_no_sample(path)
            return f"{path.name[:60]} is a folder" if exists(path) and path.is_dir() else None

        offered = path_told(screen.session.open_piece.path_to_offer())
        screen.ask(AskDialog("Save where?", offered, check=check, select=False), take)

    def _save(self, path: Path, sure: bool | None, then: Callable[[], None] | None) -> None:
        screen = self._screen
        if sure and screen.attempt(lambda: screen.session.open_piece.save(path)):
            if then is not None:
                screen.keep_work()
                then()
                return
            screen.changed()
            screen.say(f"saved in {path_told(path)}")

    def action_throw_away(self) -> None:
        screen = self._screen
        if screen.session.open_piece.is_all_saved:
            screen.say("nothing is unsaved")
            return

        if screen.session.open_piece.is_new:
            self.action_back()
            return

        def thrown(sure: bool | None) -> None:
            if sure and screen.attempt(screen.session.throw_away):
                screen.show_all(0)
                screen.say("unsaved work thrown away")

        screen.ask(ConfirmDialog("Throw away everything that is not saved?", "throw away", "keep"), thrown)
