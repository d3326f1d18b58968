"""Variants as columns, side by side: what does not fit is whole columns, said at the edge, never a digit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from rich.cells import cell_len
from textual import events
from textual.binding import Binding
from textual.message import Message
from textual.strip import Strip

from adapter.screens.parts.cells import marked
from adapter.screens.parts.columns import Column, Span, cut, harmless
from adapter.screens.parts.rows import MARK, Row, RowList, heading
from adapter.words.comparison_words import SIGNS

LABEL_LEAST, LABEL_MOST = 14, 34
NAME_ROOM = 12
BEFORE, AFTER = "‹", "›"
EDGE = 3
MOST_GAP = 6
NAME_MOST = 40


@dataclass(frozen=True, slots=True)
class VariantCell:
    """What a variant has in a row. `text` stands alone over the whole column and may be cut; the rest never is.

    `sign` is one character, `word` says the same where there is room; `second` is a share or a change.
    """

    value: str = ""
    second: str = ""
    spread: str = ""
    sign: str = ""
    word: str = ""
    warns: bool = False
    text: str = ""


@dataclass(frozen=True, slots=True)
class VariantRow:
    """One row over all variants. `part` and `key` say what it is; a row without cells is a heading."""

    part: str
    key: str
    label: str
    cells: tuple[VariantCell, ...] = ()
    differs: bool = True

    @property
    def is_heading(self) -> bool:
        return not self.cells


@dataclass(frozen=True, slots=True)
class Slots:
    """How wide the parts of one variant's cells are; 0 leaves a part out. `name` is the least for its name."""

    value: int
    second: int
    spread: int
    tail: int
    name: int

    @property
    def filled(self) -> int:
        return self.value + sum(1 + part for part in (self.second, self.spread, self.tail) if part)

    @property
    def width(self) -> int:
        return max(self.filled, self.name)


class Needed(NamedTuple):
    """How wide the widest of each part of one variant's cells is."""

    value: int
    second: int
    spread: int
    sign: int
    word: int


FULL, NO_SPREAD, SIGN_AND_SPREAD, SIGN = (True, True), (False, True), (True, False), (False, False)
"""Fullest way to draw a column first: (with spreads, with words)."""


class VariantTable(RowList, inherit_bindings=False):
    """Rows of variants with a highlighted row and a highlighted column."""

    COMPONENT_CLASSES = {"rows--column", "rows--cell"}
    DEFAULT_CSS = """
    VariantTable > .rows--column { background: $surface; }
    VariantTable > .rows--cell { background: $accent; color: $background; text-style: bold; }
    """
    BINDINGS = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown,space", "page(1)", show=False),
        Binding("home", "edge(-1)", show=False),
        Binding("end", "edge(1)", show=False),
    ]

    class ColumnHighlighted(Message):
        """Another column is highlighted."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("", (Column(""),), empty="nothing to compare", id=id)
        self.names: tuple[str, ...] = ()
        self.table: tuple[VariantRow, ...] = ()
        self.column = 0
        self.in_sight: tuple[int, ...] = ()
        self._slots: dict[int, Slots] = {}
        self._needed: list[Needed] = []
        self._with_words = False
        self._laid_out_for = 0

    # ------------------------------------------------------------------ what it shows

    def show_variants(self, names: Sequence[str], table: Sequence[VariantRow], title: str) -> None:
        """Show other variants; highlights stay at their places as far as they can."""
        self.names = tuple(map(harmless, names))
        self.table = tuple(table)
        self._needed = [_needed([row.cells[place] for row in self.table if row.cells]) for place in range(len(names))]
        self.column = max(0, min(self.column, len(names) - 1))
        self._lay_out_columns(title)

    @property
    def row(self) -> VariantRow | None:
        """The highlighted row."""
        return None if self.index is None or not self.table else self.table[self.index]

    def to_column(self, column: int) -> None:
        """Highlight another column; it is brought into view."""
        column = max(0, min(column, len(self.names) - 1))
        if column != self.column:
            self.column = column
            self._lay_out_columns(self.title)
            self.post_message(self.ColumnHighlighted())

    def hidden_columns(self) -> int:
        return len(self.names) - len(self.in_sight)

    # ------------------------------------------------------------------ choosing columns and how full they are

    def _lay_out_columns(self, title: str) -> None:
        # Before it has a size of its own it is as wide as the screen, which is what it will be.
        self._laid_out_for = self.size.width or self.screen.size.width
        room = max(1, self._laid_out_for - 3)
        label = self._label_width()
        self.in_sight, (spreads, words) = self._fitting(room, label)
        self._slots = {place: self._slots_of(place, spreads, words) for place in self.in_sight}
        self._with_words = words
        edge = EDGE if self.hidden_columns() else 0
        taken = edge + sum(2 + slots.width for slots in self._slots.values())
        spare = room - label - taken
        edges = min(max(0, spare), len(self.in_sight)) if self.hidden_columns() else 0
        spare = edges + self._longer_names(spare - edges)
        gap = 2 + max(0, min(MOST_GAP - 2, spare // max(1, len(self.in_sight))))
        columns = [Column("", least=LABEL_LEAST, most=label + min(0, spare))]
        columns += [Column("", gap=gap) for _ in self.in_sight]
        self.columns = tuple(columns)
        self.show([self._row_of(row) for row in self.table], title=title)

    def _longer_names(self, spare: int) -> int:
        """Give the names of the columns what room there is, all of them alike; what is left of it."""
        while spare > 0:
            short = [
                place
                for place in self.in_sight
                if self._slots[place].width < min(NAME_MOST, cell_len(self.names[place]))
            ]
            if not short:
                break
            for place in short[:spare]:
                self._slots[place] = replace(self._slots[place], name=self._slots[place].width + 1)
            spare -= len(short[:spare])
        return spare

    @property
    def natural_width(self) -> int:
        """How wide the table is with everything in it."""
        everything = range(len(self.names))
        slots = [self._slots_of(place, *FULL) for place in everything]
        names = [min(NAME_MOST, cell_len(name)) for name in self.names]
        columns = (4 + max(each.filled, name) for each, name in zip(slots, names, strict=True))
        return 3 + self._label_width() + sum(columns)

    def _label_width(self) -> int:
        longest = max((cell_len(row.label) for row in self.table if not row.is_heading), default=0)
        return max(LABEL_LEAST, min(LABEL_MOST, longest))

    def _fitting(self, room: int, label: int) -> tuple[tuple[int, ...], tuple[bool, bool]]:
        """The columns that fit, the first always among them, and the fullest way in which they do."""
        everything = tuple(range(len(self.names)))
        for shown in [everything, *self._windows()]:
            for form in (FULL, NO_SPREAD, SIGN_AND_SPREAD, SIGN):
                least = label if form == FULL else min(label, LABEL_LEAST + 6)
                taken = sum(2 + self._slots_of(place, *form).width for place in shown)
                taken += EDGE if len(shown) < len(everything) else 0
                if least + taken <= room:
                    return shown, form
        return (self.column,), SIGN

    def _windows(self) -> list[tuple[int, ...]]:
        """Fewer columns: the first, and a run of others that holds the highlighted one; largest first."""
        count = len(self.names)
        windows: list[tuple[int, ...]] = []
        for size in range(count - 2, 0, -1):
            start = max(1, min(self.column, count - size))
            windows.append((0, *range(start, start + size)))
        return windows

    def _slots_of(self, place: int, spreads: bool, words: bool) -> Slots:
        needed = self._needed[place]
        return Slots(
            needed.value,
            needed.second,
            needed.spread if spreads else 0,
            needed.word if words else needed.sign,
            min(NAME_ROOM, cell_len(self.names[place])),
        )

    def _row_of(self, row: VariantRow) -> Row:
        if row.is_heading:
            return heading(row.label + self._legend(row))
        spans = [_cell_spans(row.cells[place], self._slots[place], self._with_words) for place in self.in_sight]
        return Row((row.label, *spans))

    def _legend(self, head: VariantRow) -> str:
        """What the signs under a heading mean: those that are shown, and only where their words are not."""
        if self._with_words:
            return ""
        start = self.table.index(head) + 1
        shown: set[str] = set()
        for row in self.table[start:]:
            if row.is_heading:
                break
            if row.part == "reading":
                shown |= {row.cells[place].sign for place in self.in_sight}
        told = [f"{sign} {word}" for sign, word in SIGNS.items() if sign in shown]
        return f": {'  '.join(told)}" if told else ""

    # ------------------------------------------------------------------ drawing

    @property
    def more(self) -> str:
        hidden = len(self.rows) - self.scrolled_to - self.page
        return f" ↓ {hidden}" if hidden > 0 else ""

    def _bar(self, width: int) -> Strip:
        """Names over their columns; ‹ and › where columns are hidden; the row count at the label."""
        style = "bar-focused" if self.has_focus else "bar"
        lead = f"{MARK} " if self.has_focus else "  "
        label = self._given.get(0, LABEL_LEAST)
        title = harmless(self.title)
        spans: list[Span] = [(lead + cut(title, max(0, label - cell_len(self.more))) + self.more, "")]
        before = 0
        for number, place in enumerate(self.in_sight):
            gap = self.columns[number + 1].gap
            hidden = place - before - (1 if number else 0)
            sign = f"{BEFORE}{hidden}" if hidden > 0 else ""
            here = MARK if place == self.column else " "
            spans.append((cut(sign, gap - 1) + here, ""))
            spans.append((cut(self.names[place], self._given.get(number + 1, 0)), ""))
            before = place
        after = len(self.names) - 1 - before
        if after > 0:
            taken = sum(cell_len(text) for text, _ in spans)
            spans.append((cut("", max(0, width - taken - EDGE)) + f"{AFTER}{after} ", ""))
        return self._strip(spans, style, width)

    def _row(self, place: int, width: int) -> Strip:
        strip = super()._row(place, width)
        if self.rows[place].heading or self.column not in self.in_sight:
            return strip
        start, end = self.column_cells(self.column)
        here = place == self.index and self.has_focus
        style = self._style("cell" if here else "column")
        if place == self.index and not here:
            return strip
        return marked(strip, start, end, style)

    def column_cells(self, column: int) -> tuple[int, int]:
        """First cell of a visible column, and the one after its last."""
        at = 2 + self._given.get(0, 0)
        for number, place in enumerate(self.in_sight):
            at += self.columns[number + 1].gap
            width = self._given.get(number + 1, 0)
            if place == column:
                return at, at + width
            at += width
        return at, at

    # ------------------------------------------------------------------ mouse and size

    def on_resize(self, event: events.Resize) -> None:
        if event.size.width != self._laid_out_for:
            self._lay_out_columns(self.title)

    def on_click(self, event: events.Click) -> None:
        """The column first; RowList's own handler then sees to the row, unless the click only changed the column."""
        for place in self.in_sight:
            start, end = self.column_cells(place)
            if start - 1 <= event.x < end and place != self.column:
                self.to_column(place)
                if self.scrolled_to + event.y - 1 == self.index:
                    event.prevent_default()


def _needed(cells: Sequence[VariantCell]) -> Needed:
    return Needed(*(max((cell_len(getattr(cell, part)) for cell in cells), default=0) for part in Needed._fields))


def _cell_spans(cell: VariantCell, slots: Slots, words: bool) -> tuple[Span, ...]:
    """One variant's part of a row, in exactly the width of its slots."""
    if cell.text:
        return ((cut(harmless(cell.text), slots.width), ""),)
    tail = cell.word if words else cell.sign
    style = "warn" if cell.warns else "faint"
    spans: list[Span] = [(cell.value.rjust(slots.value), "strong")]
    if slots.second:
        spans.append((" " + cell.second.rjust(slots.second), ""))
    if slots.spread:
        spans.append((" " + cell.spread.ljust(slots.spread), "faint"))
    if slots.tail:
        spans.append((" " + tail.ljust(slots.tail), style))
    spans.append((" " * (slots.width - slots.filled), ""))
    return tuple(spans)
