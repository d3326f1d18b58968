"""A whole text into a recipe: title, sections, ingredient lines, method and notes. Nothing of it is dropped."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from adapter.formula.model import DEFAULT_STAGE
from adapter.formula.plain_text import clean
from adapter.recipes.lines import LineReader, tidied
from adapter.recipes.measures import COUNT, Reader
from adapter.recipes.method import read_method, read_pieces
from adapter.recipes.prose import prose_parts
from adapter.recipes.read_line import ReadLine
from adapter.recipes.read_recipe import ReadRecipe
from adapter.recipes.sections import bare, is_heading, is_total, opens_ingredients, section, stage_named
from adapter.recipes.settling import settled
from adapter.recipes.wording import worded
from adapter.recipes.words import Words

MOST_LINES = 4000
_GAP = re.compile(r"\t+| {3,}")
_NUMBERED_STEP = re.compile(r"^(?:(?:step|schritt|étape|steg|trin)\s*)?\d{1,2}\s*[.):]\s+(?=[^\W\d])", re.IGNORECASE)
_HEADING_MARK = re.compile(r"^\s*(?:#{1,6}\s|\*\*[^*]+\*\*:?\s*$|__[^_]+__:?\s*$|={2,})")
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
    steps: list[str] = field(default_factory=list)
    headings: dict[str, str] = field(default_factory=dict)
    pieces: int | None = None
    after_blank: bool = False

    def open_stage(self, stage: str, heading: str) -> None:
        """A second heading of the same kind is a stage of its own: "sourdough 2"."""
        wanted, number = stage, 1
        while self.headings.get(wanted, heading) != heading:
            number += 1
            wanted = f"{stage} {number}"
        self.headings[wanted] = heading
        self.stage = wanted


def read_text(text: str, reader: LineReader, name: str = "") -> ReadRecipe:
    """The recipe that a text tells. `name` is taken where the text has no title."""
    words = reader.words_of(text)
    rows = _unfolded(text)
    reading = Reading(words)
    for number, (row, last) in enumerate(rows, start=1):
        _take(row, number, last, reading, reader, rows)
    if sum(1 for line in reading.lines if line.amount_low is not None or line.percent is not None) < 2:
        _from_prose(reading, reader)
    return _finished(reading, reader, name)


def _unfolded(text: str) -> list[tuple[str, str]]:
    """The lines of the text with the line before each, columns side by side put under each other."""
    raw = [line.rstrip() for line in text.splitlines()[:MOST_LINES]]
    parts = [[part.strip() for part in _GAP.split(line.strip()) if part.strip()] for line in raw]
    pairs = [part for part in parts if len(part) == 2]
    if len(pairs) >= 3 and _side_by_side(pairs):
        left = [part[0] if part else "" for part in parts if len(part) < 3]
        right = [part[1] for part in parts if len(part) == 2]
        indented = [line.strip() for line, part in zip(raw, parts, strict=True) if len(part) == 1 and line.startswith(" " * 12)]
        rows = [row for row in left if row not in indented] + ["", *right, *indented]
    else:
        rows = [" ".join(part) for part in parts]
    rows = _joined(rows)
    return list(zip(rows, ["", *rows], strict=False))


def _side_by_side(pairs: list[list[str]]) -> bool:
    """Whether two columns tell different things, and not the name and the amount of the same."""
    amount = re.compile(r"^[\d.,/\s¼½¾⅓⅔]*\s?[^\W\d_]{0,12}\.?\s*(?:\(?[\d.,]+\s?%\)?)?$")
    tables = sum(1 for left, right in pairs if (amount.match(right) and re.match(r"[\d¼½¾⅓⅔]", right)) or (amount.match(left) and len(left) < 12))
    return tables * 2 < len(pairs)


def _joined(rows: list[str]) -> list[str]:
    """An amount alone on its line belongs to the name on the next."""
    joined: list[str] = []
    lonely = re.compile(r"^[\d.,/\s¼½¾⅓⅔⅛-]+\s?(?:g|kg|ml|l|dl|cl|oz|lb|cups?|tbsp|tsp|EL|TL|msk|tsk|spsk)?\.?$", re.IGNORECASE)
    for row in rows:
        if joined and lonely.match(joined[-1]) and joined[-1].strip() and re.match(r"[^\W\d_]", row):
            joined[-1] = f"{joined[-1]} {row}"
        else:
            joined.append(row)
    return joined


def _take(row: str, number: int, last: str, reading: Reading, reader: LineReader, rows: list[tuple[str, str]]) -> None:
    words = reading.words
    if not row.strip() or (_RULE.match(row) and len(row.strip()) > 1):
        reading.after_blank = True
        return
    tidy = tidied(row)
    if not tidy:
        return
    marked = bool(_HEADING_MARK.match(row))
    following = rows[number][0] if number < len(rows) else ""
    if not _opened(row, tidy, marked, following, reading):
        _sort(row, tidy, number, following, reading, reader, words)
    reading.after_blank = False


def _opened(row: str, tidy: str, marked: bool, following: str, reading: Reading) -> bool:
    """Whether the line opens a part of the recipe."""
    words = reading.words
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
    if reading.mode == "method" and not _amount_first(following, words):
        return False
    first = not reading.name and not reading.lines and reading.mode == "head"
    found = None if first and not row.rstrip().endswith(":") else section(row, words, marked or _list_begins(row, following, reading))
    if found is None or _NUMBERED_STEP.match(row) and reading.mode == "method":
        return False
    if is_total(row, words):
        return False
    if not _amount_first(following, words) and not marked and not tidy.endswith(":"):
        return False
    reading.open_stage(found, tidy)
    reading.mode = "ingredients"
    return True


def _list_begins(row: str, following: str, reading: Reading) -> bool:
    """A short line between a blank one and an amount is a heading."""
    if not (reading.after_blank and reading.lines) or len(row.split()) > 5:
        return False
    return _amount_first(following, reading.words) and not _amount_first(row, reading.words)


def _amount_first(row: str, words: Words) -> bool:
    tidy = tidied(row)
    found = Reader(tidy, words).measure(0) if tidy else None
    return found is not None and (found[0].unit is not COUNT or len(tidy.split()) < 7)


def _sort(row: str, tidy: str, number: int, following: str, reading: Reading, reader: LineReader, words: Words) -> None:
    """A line that opens nothing: title, ingredient, yield, step or note."""
    text = clean(row, 2000)
    inline = _inline_section(row, reading, reader)
    if inline:
        reading.lines += [replace(line, number=number) for line in inline]
        return
    if is_total(tidy, words) and (reading.lines or reading.mode == "ingredients"):
        reading.lines.append(_total(text, reading, number))
        return
    step = _is_step(tidy, row, words)
    yields = _is_yield(tidy, words)
    if yields and (reading.mode != "method" or len(tidy.split()) < 8):
        reading.pieces = reading.pieces or read_pieces(tidy, words)
        reading.notes.append(text)
        reading.steps.append(text)
        return
    if reading.mode == "head" and not reading.name and not reading.lines and not step and not _is_ingredient(tidy, reader, words):
        if _is_title(tidy, following, reading, reader):
            reading.name = bare(clean(row, 200))
            return
    several = _several(tidy, reader, words) if reading.mode in ("head", "ingredients") and not step else []
    if several:
        reading.mode = "ingredients"
        for part in several:
            reading.lines += reader.read(part, reading.stage, words, number)
        return
    if reading.mode in ("head", "ingredients") and not step and _may_be_ingredient(tidy, reading, reader):
        reading.lines += reader.read(text, reading.stage, words, number)
        reading.mode = "ingredients"
        return
    if reading.mode == "method" and not step and _plain_ingredient(tidy, reader, words):
        reading.lines += reader.read(text, reading.stage, words, number)
        return
    if reading.mode == "ingredients" and step and reading.lines:
        reading.mode = "method"
    reading.notes.append(text)
    reading.steps.append(text)


def _is_title(tidy: str, following: str, reading: Reading, reader: LineReader) -> bool:
    if len(tidy.split()) > 14:
        return False
    name = worded(tidy, reading.words).name
    if reader.names.knows(name) and following.strip():
        return False
    return not reading.words.pattern("to_taste", "no_weight").search(tidy)


def _is_step(tidy: str, row: str, words: Words) -> bool:
    measured = Reader(tidy, words).measure(0)
    if _NUMBERED_STEP.match(row.strip()):
        rest = _NUMBERED_STEP.sub("", row.strip())
        after = Reader(tidied(rest), words).measure(0)
        return after is None or after[0].unit is COUNT
    if measured is not None and measured[0].unit is not COUNT:
        return False
    count = len(tidy.split())
    verb = words.pattern("step_verbs").match(tidy)
    if verb is not None and verb.end() < len(tidy) and tidy[verb.end()] in " :,":
        sentence = tidy.endswith((".", "!", "…")) or count > 6
        if count >= 3 and (sentence or not _TAILED.search(tidy)):
            return True
    if tidy.endswith((".", "!")) and count >= 7:
        return measured is None or words.pattern("step_verbs").search(tidy) is not None
    return count > 28 and measured is None


_TAILED = re.compile(r"\d\s?(?:g|kg|ml|l|%)?\s*$|\d\s?%")


def _is_yield(tidy: str, words: Words) -> bool:
    """ "Makes 2 loaves", "Serves 10", "2 loaves" on a line of its own."""
    if len(tidy.split()) > 14:
        return False
    lead = words.pattern("yield_words", "servings").match(tidy)
    if lead is not None:
        rest = tidy[lead.end() :]
        number = re.match(r"[\s:]*(?:about|approx\.?|ca\.?|etwa|environ|one|two|three|\w+)?[\s:]*\d|[\s:]*(?:one|two|three|four|six|eight|ten|twelve|a)\b", rest, re.IGNORECASE)
        if number is not None or ":" in rest[:2]:
            measured = Reader(rest.strip(" :"), words).measure(0)
            return read_pieces(tidy, words) is not None or bool(words.pattern("servings").search(tidy)) or (measured is None or measured[0].unit is COUNT)
    numbered = Reader(tidy, words).measure(0)
    if numbered is None or numbered[0].unit is not COUNT or numbered[0].each is not None:
        return False
    rest = tidy[numbered[1] :].strip(" .")
    return bool(words.pattern("pieces", "servings").search(rest)) and len(rest.split()) <= 4 and read_pieces(tidy, words) is not None


def _is_ingredient(tidy: str, reader: LineReader, words: Words) -> bool:
    """Whether a line plainly names an amount of something."""
    found = Reader(tidy, words).measure(0)
    if found is not None:
        said = worded(tidy[found[1] :], words)
        if found[0].unit is not COUNT:
            return bool(said.name)
        return bool(said.name) and (len(said.name.split()) <= 4 or reader.names.knows(said.name))
    line = reader.read(tidy, DEFAULT_STAGE, words)[0]
    return (line.amount_low is not None or line.percent is not None) and bool(line.name)


def _plain_ingredient(tidy: str, reader: LineReader, words: Words) -> bool:
    """In the method only what is as short as an ingredient line and known counts."""
    if len(tidy.split()) > 9 or tidy.endswith("."):
        return False
    lines = reader.read(tidy, DEFAULT_STAGE, words)
    return all(line.amount_low is not None and line.ingredient is not None and line.unit for line in lines)


def _may_be_ingredient(tidy: str, reading: Reading, reader: LineReader) -> bool:
    words = reading.words
    if tidy.startswith(("(", "*", "[", "http")) or words.pattern("note_headings").match(tidy) and ":" in tidy:
        return False
    if _is_ingredient(tidy, reader, words):
        return True
    if reading.mode == "head":
        name = worded(tidy, words).name
        return reader.names.find(name, words).ingredient is not None and len(tidy.split()) <= 8
    if reading.mode == "ingredients" and (len(tidy.split()) <= 16):
        return not tidy.endswith((".", "!", "?")) or len(tidy.split()) <= 5
    return False


def _inline_section(row: str, reading: Reading, reader: LineReader) -> list[ReadLine]:
    """ "Soaker: 100 g rye, 50 g linseed, 150 g water" opens a stage and lists it."""
    head, colon, rest = row.partition(":")
    if not colon or not rest.strip() or len(head.split()) > 5:
        return []
    stage = stage_named(head, reading.words)
    if stage is None:
        return []
    parts = _several(tidied(rest), reader, reading.words, least=2)
    if not parts:
        return []
    reading.open_stage(stage, tidied(head))
    reading.mode = "ingredients"
    return [line for part in parts for line in reader.read(part, reading.stage, reading.words)]


def _several(tidy: str, reader: LineReader, words: Words, least: int = 3) -> list[str]:
    """A line that lists its ingredients: "flour 500, water 350, salt 10, yeast 5 g"."""
    parts = [part.strip(" .") for part in re.split(r"[;,](?!\d)\s*|\s[+&/]\s", tidy) if part.strip(" .")]
    if len(parts) < least:
        return []
    amounts = 0
    for part in parts:
        lines = reader.read(part, DEFAULT_STAGE, words)
        amounts += all((line.amount_low is not None or line.percent is not None) and line.name for line in lines)
    return parts if amounts >= max(least, len(parts) * 0.7) else []


def _total(text: str, reading: Reading, number: int) -> ReadLine:
    found = re.search(r"\d", text)
    name = clean(text[: found.start()] if found else text, 60).strip(" :=-")
    return ReadLine(text, name, stage=reading.stage, reference=True, note="a total: no weight of its own", number=number)


def _from_prose(reading: Reading, reader: LineReader) -> None:
    """Sentences that name amounts among other words: "Take 500 g of flour, 350 g of water …"."""
    parts = prose_parts(reading.notes, reader, reading.words)
    if len(parts) >= 2:
        for part in parts:
            reading.lines += reader.read(part, reading.stage, reading.words)


def _finished(reading: Reading, reader: LineReader, name: str) -> ReadRecipe:
    told = read_method(reading.steps, reading.words)
    for text in (reading.name, *reading.steps):
        reading.pieces = reading.pieces or (read_pieces(text, reading.words) if _is_yield(tidied(text), reading.words) else None)
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
        notes=tuple(reading.notes),
        doubts=tuple(told.doubts),
        language=reading.words.language,
    )
    return settled(recipe, reader)


