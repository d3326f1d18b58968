"""Lines and readings as a table for spreadsheets. Text that a spreadsheet would run as a formula is defused."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from adapter.dough.readings.measured import Measured
from adapter.files.formula_tables import plain_number
from adapter.formula.plain_text import clean
from adapter.words.reports import lines_data, readings_data

Cell = str | int | float | None

COLUMNS = (
    "what", "stage", "name", "grams", "percent_of_flour", "value", "spread", "unit", "band_low", "band_high", "note",
)  # fmt: skip
_RUNS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What a spreadsheet takes for the beginning of a formula; the wide forms count in some languages."""


def formula_csv(measured: Measured) -> str:
    """One row for each line and each reading, in the order of the formula; numbers unrounded, with a point."""
    rows: list[list[Cell]] = [list(COLUMNS)]
    for line, data in zip(measured.formula.lines, lines_data(measured), strict=True):
        rows.append(
            [
                "line",
                line.stage,
                line.ingredient,
                data["grams"],
                data["percent"],
                None,
                None,
                None,
                None,
                None,
                line.note,
            ]
        )
    for key, reading in readings_data(measured).items():
        low, high = reading["band"] or (None, None)
        found: list[Cell] = [reading["value"], reading["spread"], reading["unit"], low, high, reading["basis"]]
        rows.append(["reading", None, key, None, None, *found])
    return csv_text(rows)


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
