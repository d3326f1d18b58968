"""Bad input, said in one line: where it is, what is wrong, what would be right."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from adapter.formula.plain_text import shown

PATH_LIMIT = 200


class InputProblem(Exception):
    """Something a person gave the program cannot be used.

    `file` and `where` (a key, an entry or a line of the file) say where it stands, `what` is the fault, and
    `right` is what would be accepted, or what finds it, where that takes long. `about` is the key of the input that it
    comes from, where that is known: a form shows it there. `str()` gives the others as a single line.
    """

    def __init__(
        self,
        what: str,
        *,
        file: str | None = None,
        where: str | None = None,
        right: str | Callable[[], str] | None = None,
        about: str | None = None,
    ) -> None:
        super().__init__(what)
        self.what = what
        self.file = file
        self.where = where
        self._right = right
        self.about = about

    @property
    def right(self) -> str | None:
        """What would be accepted: found when it is to be said, since with each key that is typed nobody hears of it."""
        if callable(self._right):
            self._right = self._right()
        return self._right

    def in_file(self, file: str) -> InputProblem:
        """The same problem, naming the file it stands in unless it already names one."""
        return InputProblem(self.what, file=self.file or file, where=self.where, right=self._right, about=self.about)

    def __str__(self) -> str:
        place = ", ".join(part for part in (self.file, self.where) if part)
        text = f"{place}: {self.what}" if place else self.what
        if self.right:
            text += f" ({self.right})"
        return " ".join(text.split())


def file_name(path: Path | str) -> str:
    """A path as it is written in messages."""
    return shown(os.fspath(path), PATH_LIMIT)


def os_problem(error: OSError, path: Path | str, done: str) -> InputProblem:
    """A failure of the system in one line; `done` is what could not be done ("read", "written")."""
    what = f"cannot be {done}: {(error.strerror or type(error).__name__).lower()}"
    return InputProblem(what, file=file_name(path))
