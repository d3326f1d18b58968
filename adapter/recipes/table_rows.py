"""Rows of a table of ingredients, from Markdown or CSV: which column means what, and the lines they tell."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from adapter.formula.model import DEFAULT_STAGE
from adapter.formula.plain_text import clean
from adapter.formula.row import Row
from adapter.formula.tables import only_tables, read_table, shipped_tables
from adapter.recipes.lines import LineReader
from adapter.recipes.read_line import ReadLine
from adapter.recipes.sections import is_total, stage_named
from adapter.recipes.words import Words, plain

_NUMBER = re.compile(r"^[~≈]?\s*[+]?\d[\d.,' ’]*$")
TABLE_RULE = re.compile(r"^\|?\s*:?-{2,}:?\s*(?:\|\s*:?-{2,}:?\s*)*\|?$")
_IN_GRAMS = re.compile(r"(?:[(\[]\s?|\bin\s)(?:g|gr|grams?|gramm|grammes)\s?[)\]]?$", re.IGNORECASE)
_DEFUSED = re.compile(r"^'(?=[=+\-@＝＋－＠])")


@dataclass(frozen=True, slots=True)
class Columns:
    """The place of each meaning in a row; `decimal_comma` is how its numbers are written."""

    places: Mapping[str, int]
    decimal_comma: bool = False

    def cell(self, row: Sequence[str], meaning: str) -> str:
        place = self.places.get(meaning)
        return row[place].strip() if place is not None and place < len(row) else ""


@cache
def column_meanings() -> dict[str, tuple[str, ...]]:
    path = shipped_tables() / "recipe_words" / "columns.toml"
    data = read_table(path)
    only_tables(data, str(path), "column")
    meanings: dict[str, tuple[str, ...]] = {}
    for row in Row(data, str(path)).named_parts("column", "means"):
        row.known_keys(frozenset(("means", "words")))
        for word in row.texts("words"):
            key = plain(word)
            meanings[key] = (*meanings.get(key, ()), row.text("means"))
    return meanings


def columns_of(head: Sequence[str], decimal_comma: bool = False) -> Columns | None:
    """The meaning of each column by its head; None when no column of names is among them."""
    places: dict[str, int] = {}
    for place, cell in enumerate(head):
        said = plain(re.sub(r"\(([^)]*)\)", r" \1", cell.strip(" *_`\ufeff")))
        said = "grams" if _IN_GRAMS.search(cell.strip(" *_`")) else said
        short = plain(re.sub(r"\([^)]*\)", "", cell.strip(" *_`\ufeff")))
        for key in (said, short):
            meaning = next((known for known in column_meanings().get(key, ()) if known not in places), None)
            if meaning is not None:
                places[meaning] = place
                break
    if "kind" in places and "name" not in places:
        places["name"] = places.pop("kind")
    if len(places) == len(head) - 1 and 0 not in places.values():
        places.setdefault("name", 0)  # the title of a formula often stands over its names
    if "name" not in places or not places.keys() & {"grams", "kilograms", "amount", "percent"}:
        return None
    return Columns(places, decimal_comma)


def guessed_columns(table: Sequence[Sequence[str]], decimal_comma: bool = False) -> Columns | None:
    """Columns of a table without heads: names are letters, amounts begin with digits."""
    width = max(map(len, table), default=0)
    scores = [
        sum(1 for row in table if place < len(row) and re.match(r"\s*[^\W\d_]{2}", row[place]))
        for place in range(width)
    ]
    amounts = [
        sum(1 for row in table if place < len(row) and re.match(r"\s*[\d½¼¾]", row[place])) for place in range(width)
    ]
    if width < 2 or not max(amounts):
        return None
    name, amount = scores.index(max(scores)), amounts.index(max(amounts))
    return None if name == amount else Columns({"name": name, "amount": amount}, decimal_comma)


def read_row(
    cells: Sequence[str], text: str, columns: Columns, stage: str, reader: LineReader, words: Words, number: int = 0
) -> tuple[list[ReadLine], str]:
    """The lines that a row tells (none for a row that opens a stage), and the stage that holds from here on."""
    cells = [_DEFUSED.sub("", cell.strip()) for cell in cells]
    name = columns.cell(cells, "name")
    told = {key: columns.cell(cells, key) for key in ("grams", "amount", "unit", "percent", "note", "stage")}
    told["grams"] = told["grams"] or _as_grams(columns.cell(cells, "kilograms"), columns.decimal_comma)
    first = next((cell for cell in cells if cell), "")
    if is_total(first, words):
        return [
            ReadLine(text, first, stage=stage, reference=True, note="a total: no weight of its own", number=number)
        ], stage
    if told["stage"]:
        stage = stage_named(told["stage"], words) or clean(told["stage"], 60)
    filled = [cell for cell in cells if cell]
    if (not name and len(filled) <= 1 and filled) or (name and len(filled) == 1):
        opened = stage_named(filled[0], words)
        return [], opened or clean(filled[0], 60) or DEFAULT_STAGE
    if not name or re.fullmatch(r"[\s:|-]+", "".join(cells)):
        return [], stage
    lines = reader.read(_sentence(name, told, columns), stage, words, number)
    return [_exact(replace(line, text=text), told, columns) for line in lines], stage


def _as_grams(kilograms: str, decimal_comma: bool) -> str:
    """A cell of kilograms as a table with these commas would write it in grams."""
    value = cell_number(kilograms, decimal_comma)
    return "" if value is None else f"{1000.0 * value:.10g}".replace(".", "," if decimal_comma else ".")


def _sentence(name: str, told: Mapping[str, str], columns: Columns) -> str:
    """The row as a line of text that the line reader reads."""
    amount = " ".join(part for part in (told["amount"], told["unit"]) if part)
    grams = told["grams"]
    if grams and _NUMBER.match(grams):
        grams += " g"
    first, second = (grams, amount) if grams else (amount, "")
    parts = [f"{first} {name}".strip()]
    if second and re.search(r"[^\W\d_]", second):
        parts.append(f"({second})")
    if told["percent"] and not re.match(r"^[\d.,\s]+%?$", told["percent"]):
        parts.append(told["percent"])
    elif told["percent"]:
        parts = [f"{parts[0]}", *parts[1:]]
    text = " ".join(parts)
    return f"{text}, {told['note']}" if told["note"] else text


def _exact(line: ReadLine, told: Mapping[str, str], columns: Columns) -> ReadLine:
    """Numbers of a table are taken as the table writes numbers, to the last digit."""
    percent = cell_number(told["percent"].rstrip("% "), columns.decimal_comma) if told["percent"] else None
    line = replace(line, percent=percent if percent is not None else line.percent)
    grams = cell_number(told["grams"], columns.decimal_comma) if told["grams"] else None
    if grams is None and told["unit"].casefold().strip(".") in ("g", "gramm", "grams", "gram", "grammes"):
        grams = cell_number(told["amount"], columns.decimal_comma)
    if grams is None:
        if line.percent is not None and line.grams is None and line.amount_low is None:
            line = replace(line, doubts=tuple(doubt for doubt in line.doubts if doubt != "no amount is given"))
        return line
    doubts = tuple(doubt for doubt in line.doubts if "two ways" not in doubt)
    weighed = None if line.reference or not line.in_dough else grams
    return replace(line, amount_low=grams, amount_high=grams, unit="g", grams=weighed, doubts=doubts)


def cell_number(text: str, decimal_comma: bool) -> float | None:
    """A number as a table writes it; None for anything else."""
    bare = re.sub(r"[\s'’\u202f]|(?:\s?g)$", "", text.strip())
    if not re.fullmatch(r"\d{1,9}(?:[.,]\d{3})*(?:[.,]\d+)?", bare):
        return None
    thousands, point = (".", ",") if decimal_comma else (",", ".")
    return float(bare.replace(thousands, "").replace(point, ".")) if bare.count(point) <= 1 else None


def writes_decimal_comma(table: Sequence[Sequence[str]]) -> bool:
    """Whether the numbers of a table have a decimal comma: some have one before one or two digits, and none a point."""
    cells = [cell.strip().rstrip("% g") for row in table for cell in row]
    commas = sum(
        1 for cell in cells if re.fullmatch(r"\d+,\d{1,2}", cell) or re.fullmatch(r"0,\d+|\d+(?:\.\d{3})+,\d+", cell)
    )
    points = sum(1 for cell in cells if re.fullmatch(r"\d+\.\d{1,2}|\d+\.\d{4,}", cell))
    return commas > points


def is_table_row(row: str, rows: list[tuple[str, str]], number: int) -> bool:
    """A row of a table that is drawn with pipes: it begins with one, or a rule follows it."""
    if "|" not in row:
        return False
    following = rows[number][0] if number < len(rows) else ""
    return row.strip().startswith("|") or bool(TABLE_RULE.match(following.strip()))


def cells_of(row: str) -> list[str]:
    """The cells of a table row in Markdown, their escapes taken out."""
    parts = re.split(
        r"(?<!\\)\|", row.strip().strip("|") if not row.strip().endswith("\\|") else row.strip().lstrip("|")
    )
    return [re.sub(r"\\(?=[^\w\s])", "", re.sub(r"(?<!\\)(\*\*|__)", "", part)).strip() for part in parts]
