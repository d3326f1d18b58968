"""Keeping the pantry: every change goes over the tables, onto the bench and into the file, or nowhere at all."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from adapter.files.pantry_file import read_pantry_and_stamp
from adapter.files.pantry_saving import write_pantry
from adapter.files.places import make_folder
from adapter.files.stamp import MISSING, stamp_of
from adapter.formula.pantry import Pantry
from adapter.formula.problems import InputProblem
from adapter.screens.parts.dialogs import ConfirmDialog
from adapter.screens.parts.frame import Frame
from adapter.words.stock_words import recalibrated
from adapter.work.paths import path_told

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.formula.catalogue import Catalogue
    from adapter.work.session import Session

NOT_SAVED = "NOT SAVED: s tries again"
EMPTY = Pantry("pantry")


class Keeping(Frame, Protocol):
    """What keeping asks of the pantry screen."""

    def show_pantry(self, index: int | None = None) -> None:
        """The pantry is another one: show it, with the highlight at an entry."""
        ...


class PantryKeeper:
    """Takes every change, writes it, takes it back, and looks after the file."""

    def __init__(self, screen: Keeping) -> None:
        self._screen = screen
        self.is_saved = True
        self._past: list[Pantry] = []

    @property
    def session(self) -> Session:
        return self._screen.session

    @property
    def pantry(self) -> Pantry:
        return self.session.kept_pantry or EMPTY

    @property
    def shipped_catalogue(self) -> Catalogue:
        """The tables without figures of the baker's own packets."""
        assert self.session.tables is not None
        return self.session.tables.shipped.catalogue

    def standing(self) -> tuple[str, ...]:
        """How the pantry stands on disk, for the top line, from the fullest to the shortest form."""
        if self.session.kept_pantry is None:
            return ("your own, empty so far: a puts something in", "your own, empty", "empty")
        if self.session.pantry_is_sample:
            return ("the sample store: your first change makes a copy of your own", "the sample store", "sample")
        if not self.is_saved:
            return (NOT_SAVED, "NOT SAVED")
        return (f"saved in {path_told(self.session.pantry_path)}", "saved")

    def look_at_file(self) -> None:
        """On arrival: whether the file still holds what was read, or what was changed since."""
        session = self.session
        if session.pantry_is_sample or session.kept_pantry is None or session.pantry_path is None:
            return
        try:
            on_file, stamp = read_pantry_and_stamp(session.pantry_path, self.shipped_catalogue)
        except InputProblem as problem:
            self.is_saved = False
            self._screen.say(str(problem), fault=True)
        else:
            self.is_saved = on_file == session.kept_pantry
            if not self.is_saved:
                own = session.pantry_stamp is not None and stamp.digest == session.pantry_stamp.digest
                said = "is not saved yet: s tries again" if own else "was changed by another program: o reads it again"
                self._screen.say(f"the pantry {said}", fault=True)
        self._screen.show_pantry(None)

    # ------------------------------------------------------------------ changing

    def change(self, new: Pantry, said: str, index: int | None = None, *, undoing: bool = False) -> bool:
        """Take another pantry: readings follow, the file is written. Where its figures cannot be, nothing changes.

        A file that cannot be written leaves the change in the program, and it is said that it is not saved.
        """
        old, was_sample, before = self.session.kept_pantry, self.session.pantry_is_sample, self._on_bench()
        if not self._screen.attempt(lambda: self.session.use_pantry(new)):
            return False
        if old is not None and not undoing:
            self._past.append(old)
        saved = self._screen.attempt(self._write)
        self.is_saved = saved
        self._screen.show_pantry(index)
        if saved:
            made = f" · from now on your own pantry, {self.session.pantry_path}" if was_sample or old is None else ""
            self._screen.say(" · ".join(part for part in (said, self._effect(before)) if part) + made)
        return True

    def _write(self) -> None:
        session = self.session
        path = session.pantry_path
        assert session.own_pantry is not None and path is not None
        make_folder(path.parent)
        stamp = session.pantry_stamp or MISSING
        session.pantry_stamp = write_pantry(session.own_pantry, path, self.shipped_catalogue, stamp)

    def _on_bench(self) -> Measured | None:
        bench = self.session.bench
        return None if bench is None or not bench.has_flour else bench.now

    def _effect(self, before: Measured | None) -> str:
        after = self._on_bench()
        moved = "" if before is None or after is None else recalibrated(before, after)
        return f"on the bench {moved}" if moved else ""

    def action_undo(self) -> None:
        if not self._past:
            self._screen.say("nothing to undo since this screen was opened")
            return
        before = self._past.pop()
        if not self.change(before, "undone", undoing=True):
            self._past.append(before)

    # ------------------------------------------------------------------ the file

    def action_save(self) -> None:
        """Every change is written at once; this is for what could not be."""
        session = self.session
        if session.pantry_is_sample or session.kept_pantry is None:
            what = "the sample store" if session.pantry_is_sample else "empty so far"
            self._screen.say(f"this is {what}: your first change is written")
        elif self.is_saved:
            self._screen.say(f"saved in {path_told(session.pantry_path)}")
        elif self._is_changed_elsewhere():
            question = "The pantry file was changed by another program. Write over it?"
            self._screen.ask(ConfirmDialog(question, "write over it", "leave it"), self._save_over)
        else:
            self._save_again()

    def _is_changed_elsewhere(self) -> bool:
        path, known = self.session.pantry_path, self.session.pantry_stamp
        assert path is not None
        try:
            now = stamp_of(path)
        except InputProblem:
            return False
        return now.digest != (known or MISSING).digest

    def _save_over(self, sure: bool | None) -> None:
        if sure:
            path = self.session.pantry_path
            assert path is not None
            if self._screen.attempt(lambda: setattr(self.session, "pantry_stamp", stamp_of(path))):
                self._save_again()

    def _save_again(self) -> None:
        self.is_saved = self._screen.attempt(self._write)
        self._screen.show_pantry(None)
        if self.is_saved:
            self._screen.say(f"saved in {path_told(self.session.pantry_path)}")

    def action_fetch(self) -> None:
        """Take the file as it is now; what is not saved goes, so it is asked first."""
        if self.session.pantry_is_sample or self.session.kept_pantry is None:
            self._screen.say("there is no file of your own yet")
        elif self.is_saved:
            self._read_again(True)
        else:
            question = "Read the pantry file again? What is not saved here goes; u brings it back."
            self._screen.ask(ConfirmDialog(question, "read it again", "leave it"), self._read_again)

    def _read_again(self, sure: bool | None) -> None:
        session = self.session
        path = session.pantry_path
        if not sure or path is None:
            return

        def read() -> None:
            pantry, stamp = read_pantry_and_stamp(path, self.shipped_catalogue)
            old = self.pantry
            session.use_pantry(pantry)
            session.pantry_stamp, self.is_saved = stamp, True
            if old != pantry:
                self._past.append(old)

        if self._screen.attempt(read):
            self._screen.show_pantry(None)
            self._screen.say(f"read again: {len(self.pantry.stock)} entries")
