"""A table of ingredients as CSV: commas, semicolons or tabs, decimal points or commas."""

from __future__ import annotations

import csv
import io

from adapter.formula.model import DEFAULT_STAGE
from adapter.formula.plain_text import clean
from adapter.recipes.lines import LineReader
from adapter.recipes.method import read_method
from adapter.recipes.read_line import ReadLine
from adapter.recipes.read_recipe import ReadRecipe
from adapter.recipes.settling import settled
from adapter.recipes.table_rows import Columns, columns_of, guessed_columns, read_row, writes_decimal_comma

DELIMITERS = (";", "\t", ",")
MOST_ROWS = 2000


def looks_like_csv(text: str) -> bool:
    """Whether a text is a table with heads that say so."""
    lines = [line for line in text.splitlines()[:40] if line.strip()]
    if len(lines) < 2 or "|" in lines[0]:
        return False
    delimiter = _delimiter(lines)
    if delimiter is None:
        return False
    table = _table("\n".join(lines), delimiter)
    return any(columns_of(row) is not None for row in table[:5])


def read_csv(text: str, reader: LineReader, name: str) -> ReadRecipe | None:
    """The recipe of a table; None when it is none."""
    delimiter = _delimiter([line for line in text.splitlines()[:40] if line.strip()]) or ","
    table = _table(text, delimiter)[:MOST_ROWS]
    words = reader.words_of(text)
    decimal_comma = writes_decimal_comma(table)
    columns: Columns | None = None
    stage, lines, notes = DEFAULT_STAGE, list[ReadLine](), list[str]()
    title = ""
    for number, row in enumerate(table, start=1):
        raw = delimiter.join(row)
        if columns is None:
            columns = columns_of(row, decimal_comma)
            if columns is None:
                if not any(columns_of(later) for later in table[number : number + 8]):
                    columns = guessed_columns(table, decimal_comma)
                if columns is None:
                    filled = [cell.strip() for cell in row if cell.strip()]
                    notes += [clean(" ".join(filled), 2000)] if filled else []
                    title = title or (filled[0] if len(filled) == 1 else "")
                    continue
            else:
                continue
        if columns.places.get("kind") is not None and columns.cell(row, "kind").casefold() in ("reading", "readings"):
            continue
        found, stage = read_row(row, clean(raw, 2000), columns, stage, reader, words, number)
        lines += found
        if not found and any(cell.strip() for cell in row):
            notes.append(clean(raw.strip(delimiter + " "), 2000))
    if not lines:
        return None
    told = read_method(notes, words)
    recipe = ReadRecipe(
        title or name, tuple(lines), told.pieces, told.proof_c, told.proof_h, tuple(told.oven_c), told.core_c,
        told.bake_min, told.tin, tuple(notes), tuple(told.doubts), words.language,
    )  # fmt: skip
    return settled(recipe, reader)


def _delimiter(lines: list[str]) -> str | None:
    counts = {sign: sum(1 for line in lines if sign in line) for sign in DELIMITERS}
    return next((sign for sign in DELIMITERS if counts[sign] >= max(2, 0.6 * len(lines))), None)


def _table(text: str, delimiter: str) -> list[list[str]]:
    try:
        return list(csv.reader(io.StringIO(text), delimiter=delimiter))
    except csv.Error:
        return [line.split(delimiter) for line in text.splitlines()]
