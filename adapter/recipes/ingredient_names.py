"""Which ingredient of the catalogue a recipe's own words mean, how surely, and what else they might."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from unicodedata import normalize

from adapter.formula.catalogue import Catalogue
from adapter.formula.near_names import alike
from adapter.recipes.words import Words

SURE_SCORE = 90.5
"""From this likeness of two spellings on they are taken for the same word. Tuned on lines as newspapers print them."""
SAME_WORD = 79.0
"""How alike each word must be to its counterpart: "sirup" is syrup, "candied" is not canned."""
NEAR_SCORE = 72.0
CANDIDATES = 4
MOST_KNOWN = 2000
"""Names that are kept with what was found for them: with each key that is typed there is another."""


@dataclass(frozen=True, slots=True)
class Found:
    """The ingredient meant (None: nothing is), whether that is sure, and the nearest, best first."""

    ingredient: str | None
    sure: bool
    candidates: tuple[str, ...] = ()
    forms: tuple[str, ...] = ()


class NameFinder:
    """Names of one catalogue, as recipes spell them."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self._names: dict[str, str] = {}
        for item in catalogue:
            for alias in item.aliases:
                self._names.setdefault(key_of(alias), item.name)
        for item in catalogue:
            self._names[key_of(item.name)] = item.name
        self._near_lengths: dict[int, list[str]] = {}
        self._by_length: defaultdict[int, list[str]] = defaultdict(list)
        for key in self._names:
            self._by_length[len(key)].append(key)
        self._known: dict[tuple[str, str], Found] = {}

    def find(self, name: str, words: Words) -> Found:
        key = (name, words.language)
        found = self._known.get(key)
        if found is None:
            if len(self._known) >= MOST_KNOWN:
                self._known.clear()
            found = self._known[key] = self._find(name, words)
        return found

    def exact(self, name: str) -> str | None:
        """The ingredient that is called just this."""
        return self._names.get(key_of(name))

    def knows(self, name: str) -> bool:
        return key_of(name) in self._names

    def _find(self, name: str, words: Words) -> Found:
        wanted = key_of(name)
        if not wanted:
            return Found(None, False)
        exact = self._names.get(wanted)
        if exact is not None:
            return Found(exact, True)
        for shorter in _without_neutral(name, words):
            hit = self._names.get(key_of(shorter))
            if hit is not None:
                return Found(hit, True)
        near = self._near(wanted)
        if near and near[0][1] >= SURE_SCORE and _same_words(wanted, near[0][0]):
            best = self._names[near[0][0]]
            return Found(best, True, _distinct([best, *(self._names[key] for key, _ in near)]))
        return Found(None, False, _distinct([*self._tails(wanted), *(self._names[key] for key, _ in near)]))

    def _near(self, wanted: str) -> list[tuple[str, float]]:
        return alike(wanted, self._alike_in_length(len(wanted)), CANDIDATES * 2, NEAR_SCORE)

    def _alike_in_length(self, length: int) -> list[str]:
        """Names that are not so much longer or shorter that they could not be near."""
        if length not in self._near_lengths:
            least, most = int(length * NEAR_SCORE / 125), int(length * 110 / NEAR_SCORE) + 1
            keys = [key for number in range(least, most + 1) for key in self._by_length.get(number, ())]
            self._near_lengths[length] = keys
        return self._near_lengths[length]

    def _tails(self, wanted: str) -> Iterable[str]:
        """Ingredients that the last words, then the first words, are names of: "muscat raisins" may be raisins."""
        tokens = wanted.split()
        for start in range(1, len(tokens)):
            hit = self._names.get(" ".join(tokens[start:]))
            if hit is not None:
                yield hit
        for end in range(len(tokens) - 1, 0, -1):
            hit = self._names.get(" ".join(tokens[:end]))
            if hit is not None:
                yield hit


@lru_cache(maxsize=4000)
def key_of(name: str) -> str:
    """A name as it is compared: no case, accents, hyphens or plural endings."""
    text = normalize("NFKD", name.casefold().replace("ß", "ss").replace("œ", "oe").replace("æ", "ae").replace("ø", "o"))
    text = "".join(character for character in text if not "\u0300" <= character <= "\u036f")
    text = re.sub(r"['’]s?\b", "", text).replace("%", " percent ")
    text = re.sub(r"[^\w]+", " ", text)
    return " ".join(map(_singular, text.split()))


def _singular(word: str) -> str:
    if len(word) > 3 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("oes", "ches", "shes", "xes")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


def _without_neutral(name: str, words: Words) -> Iterable[str]:
    """The name without words that change neither what it is nor its weight, one by one and all at once."""
    neutral = words.pattern("neutral", "coarse")
    hits = list(neutral.finditer(name))
    for hit in hits:
        yield name[: hit.start()] + " " + name[hit.end() :]
    if len(hits) > 1:
        yield neutral.sub(" ", name)


def _same_words(one: str, other: str) -> bool:
    """Whether two spellings differ within words only: a word more or less is another thing."""
    from rapidfuzz import fuzz

    ours, theirs = one.replace(" ", ""), other.replace(" ", "")
    if ours == theirs:
        return True
    pairs = list(zip(one.split(), other.split(), strict=False))
    return len(one.split()) == len(other.split()) and all(
        a == b or (a[:1] == b[:1] and len(a) > 3 and fuzz.ratio(a, b) >= SAME_WORD) for a, b in pairs
    )


def _distinct(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))[:CANDIDATES]
