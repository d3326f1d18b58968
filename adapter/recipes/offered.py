"""What a line leaves open: "molasses or honey", "medium or dark rye flour", "vinegar (sherry or rice vinegar)"."""

from __future__ import annotations

import re

from adapter.recipes.ingredient_names import NameFinder
from adapter.recipes.measures import first_measure
from adapter.recipes.wording import Worded, worded
from adapter.recipes.words import Words


def offered(name: str, said: Worded, words: Words, names: NameFinder) -> list[str]:
    """The ingredients that a name offers or joins, and those of a note that begins with "or"."""
    joins = words.pattern("either", "both")
    parts = [part.strip(" ,") for part in re.split(r",\s+", name) for part in joins.split(part)]
    parts = [part for part in parts if part]
    if len(parts) > 1:
        head = parts[-1].split()[-1]
        parts = [whole if names.knows(whole := f"{part} {head}") else part for part in parts[:-1]] + parts[-1:]
    if len(parts) == 1:
        parts = _offered_kinds(name, said.whole, words, names)
    for note in said.notes:
        either = words.pattern("either").match(note)
        if either is None:
            parts += _listed_kinds(name, note, words, names)
            continue
        more = words.pattern("to_taste", "more").match(note)
        rest = note[(more or either).end() :].strip()
        read = first_measure(rest, words)
        other = worded(rest[read[1] :] if read else rest, words).name
        if more and not names.knows(other):
            continue
        if other and not words.pattern("to_taste", "more", "note_words").match(other):
            parts.append(other)
    return parts if len(parts) > 1 else []


def _listed_kinds(name: str, note: str, words: Words, names: NameFinder) -> list[str]:
    """ "Vinegar (sherry or rice vinegar)", "flour, preferably cake flour": what the name stands for is in the note."""
    wished = words.pattern("preferred").match(note)
    listed = words.pattern("either").split(note[wished.end() :] if wished else note)
    if not wished and len(listed) == 1:
        return []
    said = [each.strip() for part in listed for each in part.split(",")]
    kinds = [kind for each in said if (kind := names.exact(f"{each} {name}") or names.exact(each))]
    return [kind for kind in kinds if kind != names.exact(name)]


def _offered_kinds(name: str, whole: str, words: Words, names: NameFinder) -> list[str]:
    """ "Medium or dark rye flour" is two flours, though "medium" elsewhere is a size."""
    first, *rest = (part.strip() for part in words.pattern("either").split(whole))
    if len(rest) == 1 and rest[0] == name:
        ends = (name.split()[begin:] for begin in range(1, len(name.split())))
        kinds = (f"{first} {' '.join(end)}" for end in ends)
        return [name, *(kind for kind in kinds if names.knows(kind))][:2]
    return [name]
