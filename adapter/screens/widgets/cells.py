"""Rows whose cells can be highlighted one by one, and typed over where they stand."""

from __future__ import annotations

from collections.abc import Sequence

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Input

from adapter.screens.widgets.columns import Column
from adapter.screens.widgets.rows import RowList

LEAST_INPUT = 20


def marked(strip: Strip, start: int, end: int, style: Style) -> Strip:
    """A strip with a style over some of its cells, whatever style they had."""
    width = strip.cell_length
    before, inside, after = strip.crop(0, start), strip.crop(start, end), strip.crop(end, width)
    over = Strip([Segment(each.text, (each.style + style) if each.style else style) for each in inside])
    return Strip.join([before, over, after])


class CellRows(RowList):
    """A RowList with a highlighted column among those that can be edited."""

    COMPONENT_CLASSES = {"rows--cell"}
    DEFAULT_CSS = """
    CellRows > .rows--cell { background: $accent; color: $background; text-style: bold; }
    """

    class CellHighlighted(Message):
        """Another column is highlighted."""

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

    def shown_columns(self) -> list[int]:
        """The columns that can be edited, without those that the width leaves no room for."""
        return [place for place in self._editable if not self._given or place in self._given]

    def to_column(self, by: int) -> None:
        """Highlight the next or the last but one of the columns that can be edited."""
        shown = self.shown_columns()
        place = shown.index(self.column) if self.column in shown else 0
        column = shown[max(0, min(len(shown) - 1, place + by))]
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

    def _row(self, place: int, width: int) -> Strip:
        strip = super()._row(place, width)
        if place != self.index or not self.has_focus or self.rows[place].heading:
            return strip
        cell = self.cell_region(place, self.column)
        return marked(strip, cell.x, cell.right, self._style("cell"))

    def on_click(self, event: events.Click) -> None:
        place = self.scrolled_to + event.y - 1
        for column in self.shown_columns():
            cell = self.cell_region(place, column)
            if cell.x - 1 <= event.x <= cell.right and column != self.column:
                self.column = column
                self.refresh()
                self.post_message(self.CellHighlighted())
                if place == self.index:
                    return
        super().on_click(event)


class CellInput(Input):
    """A field that lies over one cell while it is typed over. Enter or Tab takes what stands in it, Esc leaves it."""

    DEFAULT_CSS = """
    CellInput {
        layer: above; position: absolute; display: none; height: 1; border: none; padding: 0;
        background: $accent; color: $background;
    }
    CellInput:focus { border: none; background: $accent; color: $background; background-tint: $accent 0%; }
    CellInput > .input--cursor { background: $background; color: $accent; text-style: none; }
    CellInput > .input--selection { background: $background 40%; color: $background; }
    CellInput > .input--placeholder { color: $background 70%; }
    """
    BINDINGS = [Binding("tab", "take_and_go_on", "next", show=False)]

    class GoOn(Message):
        """What stands in the field is to be taken, and the next cell typed over."""

    class Left(Message):
        """The field lost the keys to something else."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id, select_on_focus=False)
        self._over: tuple[CellRows, int, int] | None = None

    def open_over(self, rows: CellRows, row: int, column: int, value: str, begun: str | None = None) -> None:
        """Show over a cell, with what stands there marked, or with a character that was typed already."""
        self._over = (rows, row, column)
        self.place()
        self.value = value if begun is None else begun
        self.display = True
        self.focus()
        if begun is None:
            self.select_all()
        else:
            self.cursor_position = len(begun)

    def place(self) -> None:
        """Lie over the cell, wherever it is now."""
        parent = self.parent
        if self._over is None or not isinstance(parent, Widget):
            return
        rows, row, column = self._over
        cell = rows.cell_region(row, column).translate(rows.region.offset)
        width = min(max(cell.width + 1, LEAST_INPUT), parent.region.width)
        left = max(0, min(cell.x - parent.region.x, parent.region.width - width))
        self.styles.width = width
        self.styles.offset = (left, cell.y - parent.region.y)

    def close(self) -> None:
        self._over = None
        self.display = False

    def action_take_and_go_on(self) -> None:
        self.post_message(self.GoOn())

    def on_blur(self) -> None:
        if self.display:
            self.post_message(self.Left())
