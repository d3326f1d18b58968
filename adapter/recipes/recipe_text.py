"""A whole text into a recipe: title, sections, ingredient lines, method and notes. Nothing of it is dropped."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from adapter.formula.amounts import plain_fractions
from adapter.formula.model import DEFAULT_STAGE
from adapter.formula.plain_text import clean
from adapter.recipes.line_kinds import (
    NUMBERED_STEP,
    amount_first,
    is_ingredient,
    is_of_the_page,
    is_step,
    is_yield,
    plain_ingredient,
    several,
    tells_only_time,
    tells_oven,
)
from adapter.recipes.lines import LineReader, tidied
from adapter.recipes.method import BATCH, read_method, read_pieces
from adapter.recipes.prose import prose_parts
from adapter.recipes.read_line import ReadLine
from adapter.recipes.read_recipe import ReadRecipe
from adapter.recipes.sections import (
    bare,
    counted_stage,
    heading_meant,
    is_heading,
    is_total,
    opens_ingredients,
    section,
    stage_named,
)
from adapter.recipes.settling import settled
from adapter.recipes.table_rows import (
    TABLE_RULE,
    Columns,
    cells_of,
    columns_of,
    guessed_columns,
    is_table_row,
    read_row,
    writes_decimal_comma,
)
from adapter.recipes.text_rows import unfolded
from adapter.recipes.tins import read_tin
from adapter.recipes.wording import worded
from adapter.recipes.words import Words

_HEADING_MARK = re.compile(r"^\s*(?:#{1,6}\s|\*\*[^*]+\*\*:?\s*$|__[^_]+__:?\s*$|={2,})")
_ASIDE = re.compile(r"\s*\([^()]*\)")
_JOINED_NUMBERS = re.compile(r"^[^\W\d_][^\d+&]*\s\d+\s?[+&]\s?[^\W\d_]")
""" "Rye 350 + white 250" on one line."""
_RULE = re.compile(r"^[\s\-=_*~•.|+:]+$")


@dataclass
class Reading:
    """What has been read of the text so far."""

    words: Words
    name: str = ""
    stage: str = DEFAULT_STAGE
    mode: str = "head"
    lines: list[ReadLine] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    asides: list[str] = field(default_factory=list)
    """What a page says around its recipe: kept behind the notes."""
    steps: list[str] = field(default_factory=list)
    headings: dict[str, str] = field(default_factory=dict)
    led: dict[str, str] = field(default_factory=dict)
    pieces: int | None = None
    after_blank: bool = False
    list_begins: int = 0
    """The number of the row that says "Ingredients"; 0 where none does."""
    columns: Columns | None = None
    heads: tuple[int, Columns] | None = None
    """How many columns the last table with heads had, and which: a table without heads may go on with it."""
    in_other_table: bool = False
    written: Mapping[str, str] = field(default_factory=dict)

    def as_written(self, row: str) -> str:
        """A row as the text has it, before its columns were put in order."""
        return clean(self.written.get(row, row), 2000)

    def open_stage(self, stage: str, heading: str) -> None:
        """A second heading of the same kind is a stage of its own: "sourdough 2"."""
        wanted, number = stage, 1
        while self.headings.get(wanted, heading) != heading:
            number += 1
            wanted = f"{stage} {number}"
        self.headings[wanted] = heading
        self.led[wanted] = heading
        self.stage = wanted


def read_text(text: str, reader: LineReader, name: str = "") -> ReadRecipe:
    """The recipe that a text tells. `name` is taken where the text has no title."""
    words = reader.words_of(text)
    reader = reader.for_text(text, words)
    rows, written = unfolded(text)
    begins = (number for number, (row, _) in enumerate(rows, start=1) if opens_ingredients(row, words) is not None)
    reading = Reading(words, written=written, list_begins=next(begins, 0))
    for number, (row, last) in enumerate(rows, start=1):
        _take(row, number, last, reading, reader, rows)
    if not reading.lines:
        _from_few(text, reading, reader)
    if sum(1 for line in reading.lines if line.amount_low is not None or line.percent is not None) < 2:
        _from_prose(reading, reader)
    return _finished(reading, reader, name)


def _take(row: str, number: int, last: str, reading: Reading, reader: LineReader, rows: list[tuple[str, str]]) -> None:
    words = reading.words
    if not row.strip() or ("|" not in row and _RULE.match(row) and len(row.strip()) > 1):
        reading.after_blank = True
        reading.columns, reading.in_other_table = None, False
        return
    if is_table_row(row, rows, number) or (reading.columns is not None and "|" in row):
        _take_row(row, number, reading, reader, rows)
        return
    reading.columns, reading.in_other_table = None, False
    tidy = tidied(row)
    if not tidy:
        return
    marked = bool(_HEADING_MARK.match(row))
    following = rows[number][0] if number < len(rows) else ""
    if not _opened(row, tidy, marked, number, rows, reading, reader):
        _sort(row, tidy, number, following, reading, reader, words)
    reading.after_blank = False


def _take_row(row: str, number: int, reading: Reading, reader: LineReader, rows: list[tuple[str, str]]) -> None:
    if TABLE_RULE.match(row.strip()):
        return
    cells = cells_of(row)
    if not any(cells):
        return
    if reading.columns is None and not reading.in_other_table:
        following = [cells_of(later) for later, _ in rows[number : number + 30] if "|" in later]
        decimal_comma = writes_decimal_comma(following)
        reading.columns = columns_of(cells, decimal_comma)
        if reading.columns is not None:
            reading.heads = (len(cells), reading.columns)
            return
        headed = bool(rows[number:]) and TABLE_RULE.match(rows[number][0].strip())
        if not headed and reading.heads is not None and reading.heads[0] == len(cells):
            reading.columns = reading.heads[1]
        elif not headed:
            reading.columns = guessed_columns([cells, *following], decimal_comma)
    if reading.columns is None:
        reading.in_other_table = True
        reading.notes.append(reading.as_written(row))
        return
    lines, reading.stage = read_row(
        cells, reading.as_written(row), reading.columns, reading.stage, reader, reading.words, number
    )
    reading.lines += lines
    if lines:
        reading.mode = "ingredients"
    elif cells[0]:
        reading.led.setdefault(reading.stage, cells[0])
    elif not any(reading.stage == cell or cell for cell in cells):
        reading.notes.append(reading.as_written(row))


def _opened(
    row: str, tidy: str, marked: bool, number: int, rows: list[tuple[str, str]], reading: Reading, reader: LineReader
) -> bool:
    """Whether the line opens a part of the recipe."""
    words = reading.words
    following = rows[number][0] if number < len(rows) else ""
    if not following.strip() and reading.after_blank and reading.lines:
        following = _next(rows, number)
    listed = _listed(following, reading, reader)
    stage = opens_ingredients(row, words)
    if stage is not None:
        reading.mode = "ingredients"
        reading.notes.append(clean(row))
        if stage:
            reading.open_stage(stage, tidy)
        return True
    for key, mode in (("method_headings", "method"), ("note_headings", "notes")):
        if is_heading(row, words, key) and (reading.lines or reading.name):
            reading.mode = mode
            reading.notes.append(clean(row))
            return True
    if reading.mode == "method" and not listed:
        return False
    first = not reading.name and not reading.lines and reading.mode == "head"
    found = (
        None
        if first and not row.rstrip().endswith(":")
        else section(row, words, marked or _list_begins(row, following, reading))
    )
    if found is None or (NUMBERED_STEP.match(row) and reading.mode == "method"):
        return False
    if is_total(row, words) or (
        counted_stage(tidy) is not None and heading_meant(tidy, reading.headings, reading.words) is not None
    ):
        return False
    if found in reading.headings and not marked and not tidy.endswith(":"):
        # The name of a stage that was made above stands for what it gave.
        return False
    alone = reading.after_blank and stage_named(row, words) is not None and len(tidy.split()) <= 3
    if not listed and not marked and not alone and not tidy.endswith(":"):
        return False
    if marked and not _listed(_next(rows, number), reading, reader):
        reading.mode = "method" if reading.lines else reading.mode
        reading.notes.append(clean(row))
        return True
    reading.open_stage(found, tidy)
    reading.mode = "ingredients"
    if re.search(r"[(\[\d]", tidy):
        reading.notes.append(clean(row))
    return True


def _next(rows: list[tuple[str, str]], number: int) -> str:
    return next((row for row, _ in rows[number : number + 4] if row.strip()), "")


def _listed(row: str, reading: Reading, reader: LineReader) -> bool:
    """Whether a line is one of a list: an amount, a row of a table, all of another stage."""
    tidy = tidied(row)
    if not tidy or row.startswith("|"):
        return bool(tidy)
    if amount_first(row, reading.words) or heading_meant(tidy, reading.headings, reading.words) is not None:
        return True
    return len(tidy.split()) < 9 and is_ingredient(tidy, reader, reading.words)


def _list_begins(row: str, following: str, reading: Reading) -> bool:
    """A short line between a blank one and an amount is a heading."""
    if not (reading.after_blank and reading.lines) or len(row.split()) > 5:
        return False
    return amount_first(following, reading.words) and not amount_first(row, reading.words)


def _sort(row: str, tidy: str, number: int, following: str, reading: Reading, reader: LineReader, words: Words) -> None:
    """A line that opens nothing: title, ingredient, yield, step or note."""
    text = reading.as_written(row)
    inline = _inline_section(row, reading, reader)
    if inline:
        reading.lines += [replace(line, text=text, number=number) for line in inline]
        return
    if is_total(tidy, words) and (reading.lines or reading.mode == "ingredients"):
        reading.lines.append(_total(text, reading, number))
        return
    meant = heading_meant(tidy, reading.headings, reading.words) if reading.mode == "ingredients" else None
    if meant is not None and meant != reading.stage:
        named = tidy if words.pattern("references").match(tidy) else worded(tidy, words).name
        reading.lines.append(
            ReadLine(text, named, stage=reading.stage, reference=True, note="made above", number=number)
        )
        return
    least = 2 if _JOINED_NUMBERS.search(tidy) else 3
    parts = several(tidy, reader, words, least) if reading.mode in ("head", "ingredients") else []
    if parts:
        reading.mode = "ingredients"
        read = [line for part in parts for line in reader.read(part, reading.stage, words, number)]
        reading.lines += [replace(line, text=text) for line in read]
        return
    of_the_oven = tells_oven(tidy, words)
    if of_the_oven or tells_only_time(tidy, words):
        if reading.mode == "ingredients" and not of_the_oven:
            reading.led[reading.stage] = f"{reading.led.get(reading.stage, '')} {tidy}"
        reading.notes.append(text)
        reading.steps.append(text)
        return
    if reading.mode != "method" and is_of_the_page(tidy, row, words):
        reading.asides.append(text)
        return
    step = is_step(tidy, row, words)
    yields = is_yield(tidy, words)
    if yields and (reading.mode != "method" or len(tidy.split()) < 8):
        reading.pieces = reading.pieces or read_pieces(tidy, words)
        reading.notes.append(text)
        reading.steps.append(text)
        return
    untitled = reading.mode == "head" and not reading.name and not reading.lines and not step
    if untitled and _is_title(tidy, following, reading, reader):
        _title(row, reading)
        return
    before_list = reading.mode == "head" and number < reading.list_begins and not amount_first(row, words)
    if (
        not before_list
        and reading.mode in ("head", "ingredients")
        and not step
        and _may_be_ingredient(tidy, reading, reader)
    ):
        reading.lines += [
            replace(line, text=text) for line in reader.read(clean(row, 2000), reading.stage, words, number)
        ]
        reading.mode = "ingredients"
        return
    if reading.mode == "method" and not step and plain_ingredient(tidy, reader, words):
        reading.lines += [
            replace(line, text=text) for line in reader.read(clean(row, 2000), reading.stage, words, number)
        ]
        return
    if reading.mode == "ingredients" and step and reading.lines:
        if words.pattern("overnight").search(tidy) and not words.stage_words.search(
            tidy
        ):  # of the stage listed above it
            reading.led[reading.stage] = f"{reading.led.get(reading.stage, '')} {tidy}"
        if not amount_first(following, words):  # a step among the lines does not end their list
            reading.mode = "method"
    reading.notes.append(text)
    reading.steps.append(text)


def _title(row: str, reading: Reading) -> None:
    """ "Seed crispbread makes 12": a yield behind the name is no part of it."""
    name = bare(clean(row, 200))
    for lead in reading.words.pattern("yield_words").finditer(name):
        behind = name[lead.start() :]
        pieces = read_pieces(behind.strip(" )"), reading.words) if lead.start() > 2 else None
        if pieces is not None and re.match(r"\W*\d", name[lead.end() :]):
            reading.notes.append(behind.strip(" ()"))
            reading.pieces, name = pieces, name[: lead.start()].rstrip(" (,;-–")
            break
    reading.name = name


def _is_title(tidy: str, following: str, reading: Reading, reader: LineReader) -> bool:
    if len(tidy.split()) > 14:
        return False
    if following.strip() and is_yield(tidied(following), reading.words):
        return True
    if is_ingredient(_ASIDE.sub("", tidy), reader, reading.words):
        line = reader.read(tidy, DEFAULT_STAGE, reading.words)[0]
        return not following.strip() and not line.unit and line.ingredient is None
    name = worded(tidy, reading.words).name
    if reader.names.knows(name) and following.strip() and not reading.words.pattern("pieces").search(tidy):
        return False
    return not reading.words.pattern("to_taste", "no_weight").search(_ASIDE.sub("", tidy))


def _may_be_ingredient(tidy: str, reading: Reading, reader: LineReader) -> bool:
    words = reading.words
    if tidy.startswith(("(", "*", "[", "http", *"¹²³⁴⁵⁶⁷⁸⁹†‡")) or (
        words.pattern("note_headings").match(tidy) and ":" in tidy
    ):
        return False
    if is_ingredient(tidy, reader, words):
        sentence = tidy.endswith(".") and len(tidy.split()) > 8
        return not sentence or reader.read(tidy, DEFAULT_STAGE, words)[0].ingredient is not None
    if reading.mode == "head":
        name = worded(tidy, words).name
        return reader.names.find(name, words).ingredient is not None and len(tidy.split()) <= 8
    if reading.mode == "ingredients" and (len(tidy.split()) <= 16):
        if not tidy.endswith((".", "!", "?")):
            return True
        line = reader.read(tidy, DEFAULT_STAGE, words)[0]
        return len(tidy.split()) <= 5 and (line.ingredient is not None or line.amount_low is not None)
    return False


def _inline_section(row: str, reading: Reading, reader: LineReader) -> list[ReadLine]:
    """ "Soaker: 100 g rye, 50 g linseed, 150 g water" opens a stage and lists it."""
    head, colon, rest = row.partition(":")
    if not colon or not rest.strip() or len(head.split()) > 5:
        return []
    stage = stage_named(head, reading.words)
    if stage is None:
        return []
    parts = several(tidied(rest), reader, reading.words, least=2)
    if not parts:
        return []
    reading.open_stage(stage, tidied(head))
    reading.mode = "ingredients"
    return [line for part in parts for line in reader.read(part, reading.stage, reading.words)]


def _total(text: str, reading: Reading, number: int) -> ReadLine:
    found = re.search(r"\d", text)
    name = clean(text[: found.start()] if found else text, 60).strip(" :=-")
    return ReadLine(
        text, name, stage=reading.stage, reference=True, note="a total: no weight of its own", number=number
    )


def _from_few(text: str, reading: Reading, reader: LineReader) -> None:
    """A text of a line or two that are neither sentences nor anything else is taken for ingredients."""
    rows = [clean(row, 2000) for row in text.splitlines() if row.strip()]
    if len(rows) > 2 or any(row.endswith((".", "!", "?")) or is_step(tidied(row), row, reading.words) for row in rows):
        return
    if any(is_yield(tidied(row), reading.words) for row in rows):
        return
    reading.name, reading.notes = "", []
    for number, row in enumerate(rows, start=1):
        reading.lines += reader.read(row, reading.stage, reading.words, number)


def _from_prose(reading: Reading, reader: LineReader) -> None:
    """Sentences that name amounts among other words: "Take 500 g of flour, 350 g of water …"."""
    parts = prose_parts(reading.notes, reader, reading.words)
    if len(parts) >= 2:
        for part in parts:
            reading.lines += reader.read(part, reading.stage, reading.words)


def _finished(reading: Reading, reader: LineReader, name: str) -> ReadRecipe:
    told = read_method(reading.steps, reading.words)
    for text in (reading.name, *reading.steps):
        told_of = len(text) < 60 or BATCH.search(text) or is_yield(tidied(text), reading.words)
        if reading.pieces is None and told_of:
            reading.pieces = read_pieces(text, reading.words)
    if not told.tin:
        told.tin, told.doubts = read_tin(plain_fractions(reading.name), reading.words)
    recipe = ReadRecipe(
        name=reading.name or name or "Recipe",
        lines=tuple(reading.lines),
        pieces=reading.pieces or told.pieces,
        proof_c=told.proof_c,
        proof_h=told.proof_h,
        oven_c=tuple(told.oven_c),
        core_c=told.core_c,
        bake_min=told.bake_min,
        tin=told.tin,
        notes=(*reading.notes, *reading.asides),
        doubts=tuple(told.doubts),
        language=reading.words.language,
        stages=reading.led,
    )
    return settled(recipe, reader)
