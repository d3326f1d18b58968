"""A part of a screen: a bar with its title and column heads, and rows under it of which one is highlighted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding
from textual.geometry import Region, Size
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from adapter.screens.parts.columns import Cell, Column, Span, cut, harmless, lay_out, widths

MARK = "▸"


class Row(NamedTuple):
    """One row of cells. A heading spans all columns and is never highlighted."""

    cells: tuple[Cell, ...]
    style: str = ""
    heading: bool = False


def heading(text: str) -> Row:
    return Row((text,), "heading", True)


class RowList(Widget, can_focus=True):
    """Rows with a highlight, drawn line by line: quick, and no markup ever touches the data."""

    COMPONENT_CLASSES = {
        "rows--bar",
        "rows--bar-focused",
        "rows--heading",
        "rows--cursor",
        "rows--cursor-blurred",
        "rows--faint",
        "rows--accent",
        "rows--strong",
        "rows--warn",
        "rows--track",
    }
    DEFAULT_CSS = """
    RowList { height: 1fr; background: $background; color: $foreground; }
    RowList > .rows--bar { background: $bar; color: $bar-text; }
    RowList > .rows--bar-focused { background: $accent; color: $background; text-style: bold; }
    RowList > .rows--heading { color: $faint; text-style: italic; }
    RowList > .rows--cursor { background: $cursor; color: $cursor-text; text-style: bold; }
    RowList > .rows--cursor-blurred { background: $surface; }
    RowList > .rows--faint { color: $faint; }
    RowList > .rows--accent { color: $accent; text-style: bold; }
    RowList > .rows--strong { text-style: bold; }
    RowList > .rows--warn { color: $warning; text-style: bold; }
    RowList > .rows--track { color: $track; }
    """
    BINDINGS = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("home", "edge(-1)", show=False),
        Binding("end", "edge(1)", show=False),
    ]

    class Highlighted(Message):
        """Another row is highlighted (or the rows are others)."""

        def __init__(self, rows: RowList, index: int | None) -> None:
            super().__init__()
            self.rows = rows
            self.index = index

        @property
        def control(self) -> RowList:
            return self.rows

    class Chosen(Message):
        """A row was clicked that was highlighted already."""

        def __init__(self, rows: RowList, index: int) -> None:
            super().__init__()
            self.rows = rows
            self.index = index

        @property
        def control(self) -> RowList:
            return self.rows

    def __init__(
        self, title: str, columns: Sequence[Column], *, empty: str = "", mark: bool = True, id: str | None = None
    ) -> None:
        super().__init__(id=id)
        self.title = title
        self.columns = tuple(columns)
        self.empty = empty
        self.mark = mark
        self.rows: tuple[Row, ...] = ()
        self.index: int | None = None
        self._top = 0
        self._given: dict[int, int] = {}
        self._laid_for: tuple[int, int] = (-1, -1)
        self._version = 0
        self._styles: dict[str, Style] = {}
        self.tell: Callable[[int | None], None] | None = None
        """Called at once, in place of the message Highlighted, so that what follows is painted in the same frame."""

    # ------------------------------------------------------------------ what it shows

    def show(self, rows: Sequence[Row], index: int | None = None, title: str | None = None) -> None:
        """Show other rows. The highlight goes to `index`, else stays at its place as far as it can."""
        self.rows = tuple(rows)
        self._version += 1
        if title is not None:
            self.title = title
        wanted = self.index if index is None else index
        self.index = self._nearest(0 if wanted is None else wanted)
        self._keep_in_view()
        self.refresh()

    def change(self, rows: Sequence[Row]) -> None:
        """The same rows with other content: highlight and scrolling stay, and only what differs is painted."""
        old, self.rows = self.rows, tuple(rows)
        self._version += 1
        if len(old) != len(rows) or not self._lay_out():
            self.refresh()
            return
        places = [place for place, row in enumerate(self.rows) if row != old[place]]
        if places:
            self.refresh(*(self.line_region(place) for place in places))

    def show_again(self, rows: Sequence[Row], index: int | None = None) -> None:
        """The same things with other numbers: where they are as many and the highlight stays, a change; else others.

        Where they take more or less room, all is laid out anew.
        """
        if len(rows) != len(self.rows):
            self.show(rows, index)
            self.refresh(layout=True)
        elif index in (None, self.index):
            self.change(rows)
        else:
            self.show(rows, index)

    def highlight(self, index: int | None) -> None:
        """Move the highlight; says so when it is another row than before."""
        place = None if index is None else self._nearest(index)
        if place == self.index:
            return
        old, top = self.index, self._top
        self.index = place
        self._keep_in_view()
        if top == self._top and old is not None and place is not None:
            self.refresh(self.line_region(old), self.line_region(place))
        else:
            self.refresh()
        if self.tell is not None:
            self.tell(place)
        else:
            self.post_message(self.Highlighted(self, place))

    def _nearest(self, index: int) -> int | None:
        """The row at or nearest to a place that can be highlighted."""
        choices = [place for place, row in enumerate(self.rows) if not row.heading]
        return min(choices, key=lambda place: (abs(place - index), -place)) if choices else None

    @property
    def page(self) -> int:
        return max(1, self.size.height - 1)

    def _keep_in_view(self) -> None:
        if self.index is None or self.size.height == 0:
            self._top = 0
            return
        last_top = max(0, len(self.rows) - self.page)
        first = self.index
        while first > 0 and self.rows[first - 1].heading:
            first -= 1
        if self.index - self._top >= self.page:
            self._top = self.index - self.page + 1
        self._top = max(0, min(self._top, first, last_top))
        if self.index - self._top >= self.page:
            self._top = self.index - self.page + 1

    @property
    def scrolled_to(self) -> int:
        """The first row that is shown."""
        return self._top

    @property
    def more(self) -> str:
        """Said in the bar of rows that are scrolled away under the last one shown."""
        hidden = len(self.rows) - self._top - self.page
        return f"↓ {hidden} more" if hidden > 0 else ""

    # ------------------------------------------------------------------ drawing

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return len(self.rows) + 1

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        self._lay_out()
        if y == 0:
            return self._bar(width)
        place = self._top + y - 1
        if place < len(self.rows):
            return self._row(place, width)
        if not self.rows and y == 1 and self.empty:
            return self._strip([("  " + self.empty, "faint")], "", width)
        return self._strip([], "", width)

    def _lay_out(self) -> bool:
        """Give every column its width, once for each content and width; whether they are as they were."""
        width = self.size.width
        if self._laid_for == (width, self._version):
            return True
        margin = 2 if self.mark else 0
        body = [row.cells for row in self.rows if not row.heading]
        given = widths(self.columns, body, max(1, width - margin - 1))
        same = given == self._given and self._laid_for[0] == width
        self._given, self._laid_for = given, (width, self._version)
        return same

    def _bar(self, width: int) -> Strip:
        """Title at the left, what is scrolled away, and the heads of the columns as far as they are not covered.

        Where the title would run into a head, "↓ 4 more" is "↓ 4".
        """
        style = "bar-focused" if self.has_focus else "bar"
        lead = f"{MARK} " if self.has_focus else "  " if self.mark else ""
        heads = "".join(text for text, _ in lay_out(self.columns, self._heads(), self._given))
        heads = (" " * (2 if self.mark else 0) + heads).ljust(width)
        first_head = len(heads) - len(heads.lstrip())
        for more in (self.more, self.more.replace(" more", "")):
            title = f"{lead}{harmless(self.title)}  {more}".rstrip() + " "
            covered = cell_len(title)
            if covered < first_head:
                break
        if covered >= width:
            return self._strip([(cut(title, width), "")], style, width)
        return self._strip([(title, ""), (_whole_words(heads, covered), "")], style, width)

    def _heads(self) -> tuple[str, ...]:
        return tuple(column.title for column in self.columns)

    def _row(self, place: int, width: int) -> Strip:
        row = self.rows[place]
        if row.heading:
            return self._strip([(cut(" " + harmless(str(row.cells[0])), width), "")], "heading", width)
        here = place == self.index
        spans: list[Span] = []
        if self.mark:
            spans.append((f"{MARK} " if here else "  ", "accent" if here else ""))
        spans += lay_out(self.columns, row.cells, self._given)
        base = row.style
        if here:
            base = "cursor" if self.has_focus else "cursor-blurred"
        return self._strip(spans, base, width)

    def _strip(self, spans: Sequence[Span], base: str, width: int) -> Strip:
        ground = self._ground(base)
        styles = {name: ground + self._style(name) for name in {name for _, name in spans if name}}
        segments = [Segment(text, styles[name] if name else ground) for text, name in spans if text]
        return Strip(segments).adjust_cell_length(width, ground)

    def _ground(self, base: str) -> Style:
        """The ground of a row, and of the widget for ""."""
        style = self._styles.get(base)
        if style is None:
            style = self.rich_style if not base else self._ground("") + self._style(base)
            self._styles[base] = style
        return style

    def _style(self, name: str) -> Style:
        """What a named style adds to the ground."""
        key = f"rows--{name}"
        style = self._styles.get(key)
        if style is None:
            style = self._styles[key] = self.get_component_rich_style(key, partial=True)
        return style

    def notify_style_update(self) -> None:
        """Another theme, or the keys came or went: styles are looked up anew."""
        super().notify_style_update()
        self._styles = {}

    # ------------------------------------------------------------------ keys and mouse

    @property
    def takes_on_leaving(self) -> bool:
        """Whether what is typed is taken when the keys go elsewhere: not where a signal ends the program amid it."""
        return not getattr(self.app, "is_ended", False)

    def action_move(self, by: int) -> None:
        if self.index is None:
            return
        place = self.index + by
        while 0 <= place < len(self.rows) and self.rows[place].heading:
            place += by
        if 0 <= place < len(self.rows):
            self.highlight(place)

    def action_page(self, by: int) -> None:
        if self.index is not None:
            self.highlight(max(0, min(len(self.rows) - 1, self.index + by * self.page)))

    def action_edge(self, side: int) -> None:
        self.highlight(0 if side < 0 else len(self.rows) - 1)

    def on_resize(self, event: events.Resize) -> None:
        self._keep_in_view()
        self.refresh()

    def on_focus(self) -> None:
        self.refresh()

    def on_blur(self) -> None:
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        place = self._top + event.y - 1
        if event.y < 1 or place >= len(self.rows) or self.rows[place].heading:
            return
        if place == self.index:
            self.post_message(self.Chosen(self, place))
        else:
            self.highlight(place)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        event.stop()
        self.action_move(1)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        event.stop()
        self.action_move(-1)

    def line_region(self, place: int) -> Region:
        """Where a row is drawn, in the widget's own cells."""
        return Region(0, place - self._top + 1, self.size.width, 1)


def _whole_words(heads: str, covered: int) -> str:
    """A line of heads from a cell on; a head that is half covered is blanked."""
    rest = heads[covered:]
    if heads[covered - 1 : covered].strip() and rest[:1].strip():
        end = next((place for place in range(len(rest)) if rest[place : place + 2].isspace()), len(rest))
        return " " * end + rest[end:]
    return rest
