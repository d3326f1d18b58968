"""Laying cells out in columns: what does not fit loses a column, or a name its end, but never a digit."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import NamedTuple

from rich.cells import cell_len, set_cell_size

from adapter.formula.plain_text import clean

Span = tuple[str, str]
"""Text and the name of its style ("" for the row's own)."""


class Items(NamedTuple):
    """Parts of a sentence that hold numbers: what does not fit is left out whole, so that no number is cut."""

    parts: tuple[str, ...]
    after: tuple[Span, ...] = ()
    before: tuple[Span, ...] = ()
    style: str = ""


def listed(sentence: str, style: str = "") -> Items:
    """A sentence with a list in it, which loses whole members where the room ends."""
    first, *more = re.split(r"(?<=[,;]) ", sentence)
    return Items((first, *(f" {part}" for part in more)), style=style)


Cell = str | tuple[Span, ...] | Items | Callable[[int], tuple[Span, ...]]
"""A plain text, styled spans, parts with numbers, or something that is drawn to a width."""

GAP = 2
_SPOONS = re.compile(r" [\d.¼½¾⅓⅔⅛⅜⅝⅞]+ (?:cups?|tbsp|tsp|pieces?)(?: \+ [\d¼½¾⅓⅔⅛⅜⅝⅞]+ (?:tbsp|tsp))?")
"""An amount of several words: without its last it would be another."""
_NUMBER_BEHIND = re.compile(r"(?<=\S) [+−]?\d[\d.]*(?: (?:%|g|mL|h|×))?$")
LEAST_NAME = 8
"""With fewer letters a name cannot be told: then its number goes, too [A]."""


class Column(NamedTuple):
    """A column. `least` makes it give way down to that width (a name, a sentence, a track); None keeps it whole.

    `most` is how wide it may grow; `drop` says in which order columns go when the width is too small (highest
    first; 0 never goes). `right` aligns to the right, as numbers are. `room` is kept even where the cells are
    shorter, so that columns stand still while their numbers change; `gap` stands before the column.
    """

    title: str
    right: bool = False
    least: int | None = None
    most: int | None = None
    drop: int = 0
    gap: int = GAP
    room: int = 0


def harmless(text: str) -> str:
    """Text for the screen: no control or bidi characters, whatever it came from."""
    return text if text.isprintable() else clean(text)


def cell_width(cell: Cell) -> int:
    if isinstance(cell, str):
        return cell_len(cell)
    if isinstance(cell, Items):
        return cell_width((*cell.before, *((part, "") for part in cell.parts), *cell.after))
    if callable(cell):
        return 0
    return sum(cell_len(text) for text, _ in cell)


def cut(text: str, width: int) -> str:
    """A text in exactly `width` cells: padded, or its end replaced by an ellipsis."""
    length = cell_len(text)
    if length <= width:
        return text + " " * (width - length)
    if width <= 0:
        return ""
    return set_cell_size(set_cell_size(text, width - 1).rstrip() + "…", width)


def widths(columns: Sequence[Column], rows: Sequence[Sequence[Cell]], width: int) -> dict[int, int]:
    """The width of each column that is shown, by its place; what does not fit is left out."""
    natural = [
        max([cell_len(column.title), column.room, *(cell_width(row[place]) for row in rows if place < len(row))])
        for place, column in enumerate(columns)
    ]
    shown = list(range(len(columns)))
    while True:
        wanted = {place: _wanted(columns[place], natural[place]) for place in shown}
        least = {place: min(wanted[place], _least(columns[place], natural[place])) for place in shown}
        gaps = sum(columns[place].gap for place in shown[1:])
        droppable = [place for place in shown if columns[place].drop]
        if sum(least.values()) + gaps <= width or not droppable:
            break
        shown.remove(max(droppable, key=lambda place: columns[place].drop))
    return _shared(columns, shown, wanted, least, width - gaps)


def _least(column: Column, natural: int) -> int:
    return natural if column.least is None else max(column.least, 1)


def _wanted(column: Column, natural: int) -> int:
    if column.least is None:
        return natural
    return max(column.least, min(natural, column.most) if column.most is not None else natural)


def _shared(
    columns: Sequence[Column], shown: Sequence[int], wanted: dict[int, int], least: dict[int, int], room: int
) -> dict[int, int]:
    """Each column its least; then up to what it wants, from the left; what is left over to those that may grow."""
    given = dict(least)
    spare = room - sum(given.values())
    for place in shown:
        more = min(spare, wanted[place] - given[place])
        if more > 0:
            given[place] += more
            spare -= more
    for place in shown:
        most = columns[place].most
        if spare <= 0:
            break
        if columns[place].least is not None:
            more = spare if most is None else max(0, min(spare, most - given[place]))
            given[place] += more
            spare -= more
    return given


def lay_out(columns: Sequence[Column], row: Sequence[Cell], given: dict[int, int]) -> list[Span]:
    """One row as styled spans, in the widths given."""
    spans: list[Span] = []
    for number, (place, width) in enumerate(given.items()):
        column = columns[place]
        if number:
            spans.append((" " * column.gap, ""))
        spans.extend(_cell_spans(row[place] if place < len(row) else "", column, width))
    return spans


def _cell_spans(cell: Cell, column: Column, width: int) -> list[Span]:
    if callable(cell):
        return list(cell(width))
    if isinstance(cell, Items):
        return _item_spans(cell, width)
    spans = [(cell, "")] if isinstance(cell, str) else list(cell)
    spans = [(harmless(text), style) for text, style in spans]
    length = sum(cell_len(text) for text, _ in spans)
    if length <= width:
        blank = (" " * (width - length), "")
        return [blank, *spans] if column.right else [*spans, blank]
    if column.least is None:
        return [(cut("…", width), spans[0][1])]
    return _cut_spans(spans, width)


def _item_spans(items: Items, width: int) -> list[Span]:
    before = [(harmless(text), style) for text, style in items.before]
    after = [(harmless(text), style) for text, style in items.after]
    room = width - sum(cell_len(text) for text, _ in (*before, *after))
    text = _whole_parts([harmless(part) for part in items.parts], room)
    spans = [*before, (text, items.style), *after]
    return [*spans, (" " * max(0, width - sum(cell_len(each) for each, _ in spans)), "")]


def _whole_parts(parts: Sequence[str], room: int) -> str:
    """As many parts as fit whole; of the first one its name cut and its number whole, or at least its beginning."""
    text = ""
    for number, part in enumerate(parts):
        rest = 0 if number == len(parts) - 1 else 1
        if cell_len(text + part) + rest > room:
            if text:
                return text + "…"
            number_behind = _NUMBER_BEHIND.search(part)
            left = room - rest - (cell_len(number_behind[0]) if number_behind is not None else room)
            if number_behind is not None and left >= LEAST_NAME:
                return cut(part[: number_behind.start()], left) + number_behind[0] + "…" * rest
            whole = [found for found in _SPOONS.finditer(part) if cell_len(part[: found.end()]) > room - rest]
            words = cut(part[: whole[0].start()] if whole else part, room).rstrip("… ").split(" ")
            while len(words) > 1 and any(sign.isnumeric() for sign in words[-1]):
                words.pop()
            return cut(" ".join(words).rstrip(" −+") + "…", room).rstrip()
        text += part
    return text


def _cut_spans(spans: Sequence[Span], width: int) -> list[Span]:
    spans_here: list[Span] = []
    room = width
    for text, style in spans:
        length = cell_len(text)
        if length >= room:
            spans_here.append((cut(text + " ", room), style))
            return spans_here
        spans_here.append((text, style))
        room -= length
    return spans_here
