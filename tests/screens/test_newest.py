"""Questions that are worked out beside the keys: of many only the last, and by one thread."""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock
from types import SimpleNamespace
from typing import Any, cast

from adapter.screens.parts.frame import Frame
from adapter.screens.parts.newest import Newest


def test_of_many_questions_one_is_worked_out_at_a_time_and_the_last_is_shown() -> None:
    begun: list[Callable[[], None]] = []
    shown: list[object] = []
    worked_out: list[int] = []

    def back_on_screen(call: Callable[..., object], *values: Any) -> None:
        call(*values)

    screen = SimpleNamespace(
        session=SimpleNamespace(solving=Lock()),
        in_background=lambda work, group: begun.append(work),
        back_on_screen=back_on_screen,
    )
    newest: Newest[int] = Newest(cast("Frame", screen), "group", lambda found, why, took_s: shown.append(found))

    def find(number: int) -> Callable[[], int]:
        def found() -> int:
            worked_out.append(number)
            if number == 3:
                newest.ask(find(4))
                newest.ask(find(5))
            return number

        return found

    for number in (1, 2, 3):
        newest.ask(find(number))
    assert len(begun) == 1, "more threads than one wait for each other, and the draft waits for a thread"
    begun.pop()()
    assert worked_out == [3, 5] and shown == [5] and not begun
    newest.ask(find(6))
    begun.pop()()
    assert shown == [5, 6]
