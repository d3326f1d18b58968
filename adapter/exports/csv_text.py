"""Rows as the text of a table for spreadsheets. Text that a spreadsheet would run as a formula is defused."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from adapter.files.formula_tables import plain_number
from adapter.formula.plain_text import clean

Cell = str | int | float | None

_RUNS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What a spreadsheet takes for the beginning of a formula; the wide forms count in some languages."""


def csv_text(rows: Iterable[Sequence[Cell]]) -> str:
    """Rows as RFC 4180 has them: comma, CRLF, quotes where they are needed."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


def _cell(cell: Cell) -> Cell:
    if cell is None or isinstance(cell, bool):
        return "" if cell is None else str(cell).lower()
    if isinstance(cell, int | float):
        return plain_number(cell)
    text = clean(cell, 5000)
    return "'" + text if text.startswith(_RUNS) else text
