"""A text to read before it is written: line by line, long lines wrapped and marked, nothing interpreted."""

from __future__ import annotations

from rich.cells import cell_len, set_cell_size
from textual import events

from adapter.screens.parts.columns import Column, harmless
from adapter.screens.parts.rows import Row, RowList

GOES_ON = "↪"
MARGIN = 4
MOST_SIGNS = 8
"""Signs that are looked at for each cell: more of them than this have no width of their own."""


class TextView(RowList):
    """A file's text. Its rows are the lines, wrapped to the width; the bar says what it is and how long."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("", (Column("", room=1), Column("", gap=1, least=1)), mark=False, id=id)
        self.text = ""
        self._about = ""

    def show_text(self, text: str, about: str) -> None:
        self.text, self._about = text, about
        if self.size.width:
            self._wrap(0)

    def _wrap(self, index: int | None) -> None:
        width = max(8, self.size.width - MARGIN)
        lines = self.text.removesuffix("\n").splitlines()
        rows = []
        for line in lines:
            parts = wrapped(harmless(line), width)
            rows += [Row((((GOES_ON if number else "", "faint"),), part)) for number, part in enumerate(parts)]
        count = f"{len(lines)} lines" if len(lines) != 1 else "1 line"
        self.show(rows, index, f" {self._about} · {count}")

    def on_resize(self, event: events.Resize) -> None:
        self._wrap(None)


def wrapped(line: str, width: int) -> list[str]:
    """A line in parts of at most `width` cells, broken after a blank or a comma where there is one."""
    parts = []
    while True:
        near = line[: MOST_SIGNS * width]  # a whole file may stand on one line
        if cell_len(near) <= width:
            parts.append(near)
            if len(near) == len(line):
                return parts
            line = line[len(near) :]
            continue
        part = set_cell_size(near, width).rstrip()
        part = near[: len(part)] if near.startswith(part) else part
        at = max(part.rfind(" "), part.rfind(",")) + 1
        if at <= width // 3:
            at = max(1, len(part))
        parts.append(line[:at])
        line = line[at:]
