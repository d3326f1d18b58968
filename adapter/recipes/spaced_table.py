"""A table whose columns stand apart by tabs or spaces, under heads such as "%" and "g", drawn with pipes."""

from __future__ import annotations

import re
from collections.abc import Sequence

from adapter.recipes.table_rows import columns_of

_NUMBER = re.compile(r"^[~≈]?[\d½¼¾⅓⅔][\d.,/ ½¼¾⅓⅔]*\s?[^\W\d_]{0,5}\s?%?$")
_RULE = re.compile(r"^[-=_ ]{3,}$")
LONGEST_STAGE = 4
LONGEST_HEAD = 40
REACH = 6


def drawn(rows: Sequence[list[str]]) -> list[list[str]]:
    """The rows, each of its cells; those of a table under heads as one cell that is drawn with pipes."""
    made: list[list[str]] = []
    width = 0
    for place, cells in enumerate(rows):
        head = _head(cells)
        if head and _numbers(rows, place, len(head), stages=1):
            width = len(head)
            made.append([_piped(head)])
        elif width and len(cells) == width and all(map(_NUMBER.match, cells[1:])):
            made.append([_piped(cells)])
        elif width and (not cells or _RULE.match(cells[0])) and _numbers(rows, place, width):
            made.append(["|" + "---|" * width])
        elif width and len(cells) == 1 and len(cells[0].split()) <= LONGEST_STAGE and _numbers(rows, place, width):
            made.append([_piped([cells[0], *[""] * (width - 1)])])
        else:
            made.append(cells)
    return made


def _head(cells: list[str]) -> list[str]:
    """The heads of all columns where a row is no more than heads; the one of the names may be left out."""
    if not cells or max(map(len, cells)) > LONGEST_HEAD:
        return []
    for head in (cells, ["ingredient", *cells]):
        columns = columns_of(head) if len(head) > 1 else None
        if columns is not None and len(columns.places) == len(head):
            return head
    return []


def _numbers(rows: Sequence[list[str]], place: int, width: int, stages: int = 0) -> bool:
    """Whether the next row that says something has a name and a number in each other column; up to so many that
    name a stage may stand before it.
    """
    later = [row for row in rows[place + 1 : place + 1 + REACH] if row and not _RULE.match(" ".join(row))]
    following = next((row for row in later[: 1 + stages] if len(row) > 1), [])
    return width > 1 and len(following) == width and all(map(_NUMBER.match, following[1:]))


def _piped(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"
