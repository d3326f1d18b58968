"""Amounts among the sentences of a recipe that has no list: "Take 500 g of flour and 350 g of warm water …"."""

from __future__ import annotations

import re
from collections.abc import Iterable

from adapter.recipes.besides import known_start
from adapter.recipes.ingredient_names import NameFinder
from adapter.recipes.lines import LineReader, tidied
from adapter.recipes.measures import COUNT, Reader
from adapter.recipes.wording import worded
from adapter.recipes.words import Words

_ENDS = re.compile(r"[.;:!?](?:\s|$)|,\s|\s-\s|\s(?:into|over|then|puis|dann|sedan|derefter)\s")


def prose_parts(texts: Iterable[str], reader: LineReader, words: Words) -> list[str]:
    """The pieces of the texts that each name an amount of an ingredient, in order."""
    parts = []
    for text in texts:
        parts += _of_text(tidied(text), reader, words)
    return parts


def _of_text(text: str, reader: LineReader, words: Words) -> list[str]:
    parts = []
    at = 0
    starts = [found.start() for found in re.finditer(r"(?<![\w.,/-])(?=\w)", text)]
    reading = Reader(text, words)
    for start in starts:
        if start < at:
            continue
        found = reading.measure(start)
        if found is None or found[1] <= start:
            continue
        measure, end = found
        part, stop = _named(text, start, end, reading, reader.names, words)
        name = worded(part[end - start :], words).name
        if name and not reader.names.find(name, words).ingredient:
            told = known_start(name, words, reader.names)
            part, name = (f"{text[start:end]} {told}", told) if told else (part, name)
        if words.pattern("tin_words", "loaf_tin_words").search(name):
            continue
        known = reader.names.find(name, words).ingredient is not None
        if not name or (not known and (measure.unit is COUNT or measure.unit.asks)):
            continue
        if measure.unit is COUNT and (measure.low is None or measure.low > 24):
            continue
        parts.append(part)
        at = stop
    return parts


def _named(text: str, start: int, end: int, reading: Reader, names: NameFinder, words: Words) -> tuple[str, int]:
    """The amount with the words behind it, as far as the next amount, comma, "and" or end of the sentence."""
    stop = len(text)
    cut = _ENDS.search(text, end)
    if cut is not None:
        stop = min(stop, cut.start())
    for joined in words.pattern("both", "plus").finditer(text, end):
        if joined.start() < stop:
            stop = joined.start()
        break
    for word in re.finditer(r"(?<![\w.,/])\w", text[end:stop]):
        read = reading.measure(end + word.start())
        kind = read is not None and read[0].unit is COUNT and names.knows(text[end : read[1]].strip())
        if read is not None and not kind and (word[0].isdigit() or read[0].unit is not COUNT):
            stop = end + word.start()
            break
    return text[start:stop].strip(), stop
