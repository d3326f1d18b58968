"""What a line names besides its own amount: more of the same behind the name, and other ingredients in its notes."""

from __future__ import annotations

from dataclasses import replace

from adapter.recipes.ingredient_names import NameFinder
from adapter.recipes.measures import COUNT, Measure, Reader, first_measure
from adapter.recipes.wording import Worded, worded
from adapter.recipes.words import Words


def with_plus_behind(measure: Measure | None, said: Worded, words: Words) -> Measure | None:
    """ "1 stick butter, plus 2 tablespoons": the same again, weighed with the rest. The note stays."""
    if measure is None or not (measure.unit.size or measure.unit.name == "stick"):
        return measure
    for note in said.notes:
        plus = words.pattern("plus").match(note)
        read = Reader(note, words).measure(plus.end()) if plus else None
        if read is not None and read[0].unit.size and not note[read[1] :].strip(" .,)"):
            measure = replace(measure, plus=(*measure.plus, read[0]))
    return measure


def others_named(said: Worded, words: Words, names: NameFinder) -> list[str]:
    """ "dissolved in 1/4 cup warm water": amounts of other ingredients that the line has no weight for."""
    found = []
    for note in said.notes:
        begins = [0, *(hit.end() for hit in words.pattern("together").finditer(note))]
        for begin in begins:
            rest = note[begin:].lstrip()
            read = first_measure(rest, words)
            if read is None or not (read[0].unit.size or (begin and read[0].unit is COUNT)):
                continue
            other = known_start(worded(rest[read[1] :], words).name, words, names)
            if not other or _stays_out(note, words) or _same(other, said.name, words, names):
                continue
            found.append(f"{rest[: read[1]].strip()} {other}")
            break
    return found


def known_start(name: str, words: Words, names: NameFinder) -> str:
    """The first words of a note that name an ingredient: "Milch aufgelöst" is milk."""
    parts = name.split()
    starts = (" ".join(parts[:end]) for end in range(len(parts), 0, -1))
    return next((start for start in starts if names.find(start, words).ingredient), "")


def _same(one: str, other: str, words: Words, names: NameFinder) -> bool:
    return names.find(one, words).ingredient == names.find(other, words).ingredient


def _stays_out(note: str, words: Words) -> bool:
    return words.pattern("no_weight", "more").search(note) is not None
