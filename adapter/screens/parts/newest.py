"""Only the newest question is worked out: what an older one would find is nobody's any more."""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock
from time import perf_counter
from typing import Generic, TypeVar

from adapter.formula.problems import InputProblem
from adapter.screens.parts.frame import Frame

Found = TypeVar("Found")


class Newest(Generic[Found]):
    """Works one question at a time out in the background, and shows what is found if none was asked since.

    `show` gets what was found, or None and why nothing was, and how many seconds it took.
    """

    def __init__(self, screen: Frame, group: str, show: Callable[[Found | None, str, float], None]) -> None:
        self._screen, self._group, self._show = screen, group, show
        self._turn = 0
        self._waiting: tuple[int, Callable[[], Found]] | None = None
        self._is_at_work = False
        self._handing_over = Lock()

    def ask(self, find: Callable[[], Found]) -> None:
        """One thread works, whatever is asked meanwhile: those that wait for it would keep the work from being kept."""
        self.drop()
        with self._handing_over:
            self._waiting = (self._turn, find)
            is_at_work, self._is_at_work = self._is_at_work, True
        if not is_at_work:
            self._screen.in_background(self._work, self._group)

    def _work(self) -> None:
        while (wanted := self._next()) is not None:
            self._work_out(*wanted)

    def _next(self) -> tuple[int, Callable[[], Found]] | None:
        with self._handing_over:
            wanted, self._waiting = self._waiting, None
            self._is_at_work = wanted is not None
        return wanted

    def _work_out(self, turn: int, find: Callable[[], Found]) -> None:
        screen = self._screen
        with screen.session.solving:
            if turn != self._turn:
                return
            start = perf_counter()
            try:
                found = find()
            except InputProblem as problem:
                screen.back_on_screen(self._take, turn, None, str(problem), 0.0)
                return
        screen.back_on_screen(self._take, turn, found, "", perf_counter() - start)

    def drop(self) -> None:
        """What has been asked so far is not wanted any more."""
        self._turn += 1

    def _take(self, turn: int, found: Found | None, why_not: str, took_s: float) -> None:
        if turn == self._turn:
            self._show(found, why_not, took_s)
