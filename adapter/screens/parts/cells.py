"""Rows whose cells can be highlighted one by one, and typed over where they stand.

The keys stay with the rows while a cell is typed over: nothing is mounted and no focus moves, so that keys which come
faster than a turn of the program all land in the cell.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip

from adapter.screens.parts.columns import Column, harmless
from adapter.screens.parts.rows import RowList

LEAST_ROOM = 20
LONGEST = 100


def marked(strip: Strip, start: int, end: int, style: Style) -> Strip:
    """A strip with a style over some of its cells, whatever style they had."""
    width = strip.cell_length
    before, inside, after = strip.crop(0, start), strip.crop(start, end), strip.crop(end, width)
    over = Strip([Segment(each.text, (each.style + style) if each.style else style) for each in inside])
    return Strip.join([before, over, after])


@dataclass
class CellEdit:
    """A cell that is typed over. `take` says whether what was typed is taken; until then the cell stays open.

    While it is `fresh`, the first character that is typed goes over all that stands there.
    """

    text: str
    cursor: int
    take: Callable[[str], bool]
    fresh: bool

    def insert(self, text: str) -> None:
        if self.fresh:
            self.text, self.cursor, self.fresh = "", 0, False
        text = harmless(text.replace("\t", " "))[: max(0, LONGEST - len(self.text))]
        self.text = self.text[: self.cursor] + text + self.text[self.cursor :]
        self.cursor += len(text)

    def press(self, key: str) -> None:
        """A key that moves or deletes; others are left alone."""
        fresh, self.fresh = self.fresh, False
        if key == "backspace":
            if fresh:
                self.text, self.cursor = "", 0
            elif self.cursor:
                self.text = self.text[: self.cursor - 1] + self.text[self.cursor :]
                self.cursor -= 1
        elif key == "delete":
            self.text = "" if fresh else self.text[: self.cursor] + self.text[self.cursor + 1 :]
            self.cursor = min(self.cursor, len(self.text))
        elif key == "ctrl+u":
            self.text, self.cursor = self.text[self.cursor :] if not fresh else "", 0
        elif key in ("left", "right"):
            self.cursor = max(0, min(len(self.text), self.cursor + (1 if key == "right" else -1)))
        elif key in ("home", "end"):
            self.cursor = 0 if key == "home" else len(self.text)
        else:
            self.fresh = fresh


class CellRows(RowList):
    """A RowList with a highlighted column among those that can be edited.

    `opener` is asked to begin typing a cell over: it is given the character that was typed, or None for Enter, and
    calls `begin`.
    """

    COMPONENT_CLASSES = {"rows--cell", "rows--typed", "rows--caret"}
    DEFAULT_CSS = """
    CellRows > .rows--cell { background: $accent; color: $background; text-style: bold; }
    CellRows > .rows--typed { background: $foreground; color: $background; text-style: none; }
    CellRows > .rows--caret { background: $background; color: $foreground; text-style: none; }
    """

    class CellHighlighted(Message):
        """Another column is highlighted."""

    class GoOn(Message):
        """A cell was taken by Tab: the next one is to be typed over."""

        def __init__(self, rows: CellRows) -> None:
            super().__init__()
            self.rows = rows

    class Dropped(Message):
        """What was typed could not be taken when the keys went elsewhere: the cell is as it was."""

    class Left(Message):
        """Typing was left by Esc: the cell is as it was."""

    def __init__(
        self,
        title: str,
        columns: Sequence[Column],
        editable: Sequence[int],
        *,
        empty: str = "",
        id: str | None = None,
    ) -> None:
        super().__init__(title, columns, empty=empty, id=id)
        self._editable = tuple(editable)
        self.column = self._editable[0]
        self.opener: Callable[[str | None], None] | None = None
        self.edit: CellEdit | None = None

    # ------------------------------------------------------------------ which cell

    def shown_columns(self) -> list[int]:
        """The columns that can be edited, without those that the width leaves no room for."""
        return [place for place in self._editable if not self._given or place in self._given]

    def to_column(self, by: int) -> None:
        """Highlight the next or the last but one of the columns that can be edited."""
        shown = self.shown_columns()
        place = shown.index(self.column) if self.column in shown else 0
        self._highlight_column(shown[max(0, min(len(shown) - 1, place + by))])

    def _highlight_column(self, column: int) -> None:
        if column != self.column:
            self.column = column
            self.refresh()
            self.post_message(self.CellHighlighted())

    def cell_region(self, row: int, column: int) -> Region:
        """Where a cell is drawn, in the widget's own cells."""
        line = self.line_region(row)
        at = 2 if self.mark else 0
        for number, (place, width) in enumerate(self._given.items()):
            at += self.columns[place].gap if number else 0
            if place == column:
                return Region(at, line.y, width, 1)
            at += width
        return Region(at, line.y, 0, 1)

    # ------------------------------------------------------------------ typing over

    def begin(self, text: str, take: Callable[[str], bool], begun: str | None = None) -> None:
        """Type the highlighted cell over, from what stands there or from a character that was typed."""
        self.edit = CellEdit(text, len(text), take, fresh=True)
        if begun is not None:
            self.edit.insert(begun)
        self.refresh()

    def end(self) -> None:
        """Leave the cell as it was."""
        self.edit = None
        self.refresh()

    def finish(self) -> bool:
        """Take what was typed, if it can be taken; else the cell stays open."""
        edit = self.edit
        if edit is not None and edit.take(edit.text):
            self.edit = None
            self.refresh()
        return self.edit is None

    def on_key(self, event: events.Key) -> None:
        if self.edit is None:
            begins = event.key == "enter" or (event.character is not None and event.character.isdecimal())
            if begins and self.opener is not None:
                event.stop()
                event.prevent_default()
                self.opener(None if event.key == "enter" else event.character)
            return
        event.stop()
        event.prevent_default()
        if event.key == "enter":
            self.finish()
        elif event.key == "tab":
            if self.finish():
                self.post_message(self.GoOn(self))
        elif event.key == "escape":
            self.end()
            self.post_message(self.Left())
        elif event.character is not None and event.is_printable:
            self.edit.insert(event.character)
        else:
            self.edit.press(event.key)
        self.refresh()

    def on_paste(self, event: events.Paste) -> None:
        if self.edit is not None:
            event.stop()
            self.edit.insert(" ".join(event.text.split()))
            self.refresh()

    def on_blur(self) -> None:
        if self.edit is not None and not (self.takes_on_leaving and self.finish()):
            self.end()
            self.post_message(self.Dropped())

    # ------------------------------------------------------------------ drawing

    def _row(self, place: int, width: int) -> Strip:
        strip = super()._row(place, width)
        if place != self.index or not self.has_focus or self.rows[place].heading:
            return strip
        cell = self.cell_region(place, self.column)
        if self.edit is None:
            return marked(strip, cell.x, cell.right, self._style("cell"))
        room = min(max(cell.width + 1, LEAST_ROOM), width)
        left = max(0, min(cell.x, width - room))
        return Strip.join([strip.crop(0, left), self._typed_strip(room), strip.crop(left + room, width)])

    def _typed_strip(self, room: int) -> Strip:
        """What stands in the cell that is typed over, around the caret."""
        edit = self.edit
        assert edit is not None
        style, caret = self._style("typed"), self._style("caret")
        if edit.fresh:
            style = style + Style(underline=True)
        before = edit.text[: edit.cursor]
        while cell_len(before) > room - 2:
            before = before[1:]
        under = edit.text[edit.cursor : edit.cursor + 1] or " "
        after = edit.text[edit.cursor + 1 :]
        segments = [Segment(before, style), Segment(under, caret), Segment(after, style)]
        return Strip(segments).adjust_cell_length(room, self._style("typed")).crop(0, room)

    # ------------------------------------------------------------------ mouse

    def on_click(self, event: events.Click) -> None:
        """The column first; RowList's own handler then sees to the row, unless the click only changed the column."""
        if not self.finish():
            event.prevent_default()
            return
        place = self.scrolled_to + event.y - 1
        for column in self.shown_columns():
            cell = self.cell_region(place, column)
            if cell.x - 1 <= event.x <= cell.right and column != self.column:
                self._highlight_column(column)
                if place == self.index:
                    event.prevent_default()

    def action_move(self, by: int) -> None:
        if self.edit is None:
            super().action_move(by)
