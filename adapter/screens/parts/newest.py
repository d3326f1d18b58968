"""Only the newest question is worked out: what an older one would find is nobody's any more."""

from __future__ import annotations

from collections.abc import Callable
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

    def ask(self, find: Callable[[], Found]) -> None:
        self.drop()
        turn, screen = self._turn, self._screen

        def work() -> None:
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

        screen.in_background(work, self._group)

    def drop(self) -> None:
        """What has been asked so far is not wanted any more."""
        self._turn += 1

    def _take(self, turn: int, found: Found | None, why_not: str, took_s: float) -> None:
        if turn == self._turn:
            self._show(found, why_not, took_s)
