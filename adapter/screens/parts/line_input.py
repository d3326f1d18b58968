"""A field of one line, no longer than a name or a note can be: with each key all of it is read anew."""

from __future__ import annotations

from textual.widgets import Input

LONGEST_LINE, LONGEST_PATH = 500, 4000


class LineInput(Input):
    """An Input that takes as much of what is typed or pasted as it has room for."""

    TAKES_LETTERS = True
    """No letter that is typed moves the keys elsewhere (see key_order.py)."""

    def __init__(
        self,
        value: str = "",
        *,
        placeholder: str = "",
        select_on_focus: bool = True,
        most: int = LONGEST_LINE,
        id: str | None = None,
    ) -> None:
        super().__init__(value, placeholder=placeholder, select_on_focus=select_on_focus, max_length=most, id=id)

    def replace(self, text: str, start: int, end: int) -> None:
        room = (self.max_length or 0) - len(self.value) + abs(end - start)
        super().replace(text[: max(0, room)], start, end)
