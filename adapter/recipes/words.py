"""The words of recipes in five languages, read from substitutions/recipe_words: units, numbers, sizes, headings …"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property, lru_cache
from pathlib import Path

from adapter.formula.amounts import ONE_LETTER, unit_words
from adapter.formula.problems import InputProblem
from adapter.formula.row import Row
from adapter.formula.tables import only_tables, read_table, shipped_tables

LANGUAGES = ("english", "german", "french", "swedish", "danish")
LISTS = frozenset((
    "telling", "british", "between", "plus", "together", "minus", "either", "preferred", "both", "of", "about",
    "level", "vague", "articles", "sizes", "sizes_behind", "preparations", "cooked", "drained", "adverbs",
    "adjectives", "whole_names", "parts", "from", "unclear", "halves", "neutral", "coarse", "no_weight", "on_top",
    "wash", "more", "to_taste", "note_words", "ingredient_headings", "method_headings", "note_headings",
    "yield_words", "servings", "pieces", "divide", "section_lead", "totals", "references", "reference_tails",
    "step_verbs", "proof_words", "oven_words", "preheat_words", "bake_words", "first_words", "core_words",
    "fan_words", "tin_words", "loaf_tin_words", "not_tin_words", "lid_words", "round_words", "square_words",
    "gas_mark", "time_hours", "time_minutes", "time_days", "hydration_words", "overnight", "fridge_words",
    "day_headings", "page_words",
))  # fmt: skip
UNIT_KEYS = frozenset(("name", "size", "times", "systems", "asks", "container", "before", *LANGUAGES))
SYSTEMS = ("us", "metric", "imperial")


@dataclass(frozen=True, slots=True)
class Unit:
    """What a word of a unit means: `name` as it is told, `size` the unit of units.txt it is a multiple of."""

    name: str
    size: str | None = None
    times: float = 1.0
    systems: bool = False
    asks: bool = False
    container: bool = False
    metric: bool = False
    word: str = ""
    before: tuple[str, ...] = ()

    @property
    def weighs(self) -> bool:
        return self.name in ("g", "kg", "mg")


@lru_cache(maxsize=4000)
def plain(text: str) -> str:
    """Words as they are compared: small letters, no points, plain apostrophes, single spaces."""
    return " ".join(text.casefold().replace("’", "'").replace(".", " ").split())


def phrases(words: Iterable[str]) -> re.Pattern[str]:
    """Any of the words or groups of words, the longest first, whole; spaces and points between are as they come."""
    found = sorted({plain(word) for word in words if plain(word)}, key=lambda word: (-len(word), word))
    if not found:
        return re.compile(r"(?!)")
    parts = "|".join(r"[. ]{1,3}".join(map(re.escape, word.split(" "))) for word in found)
    return re.compile(rf"(?<![^\W_])(?:{parts})(?![^\W_])", re.IGNORECASE)


def last_match(pattern: re.Pattern[str], text: str) -> re.Match[str] | None:
    return next(iter(reversed(list(pattern.finditer(text)))), None)


@dataclass(frozen=True, eq=False)
class Words:
    """The words of one language, with the units of all of them."""

    language: str
    decimal_comma: bool
    lists: Mapping[str, tuple[str, ...]]
    numbers: Mapping[str, float]
    stages: Mapping[str, str]
    units: Mapping[str, Unit]
    _patterns: dict[tuple[str, ...], re.Pattern[str]] = field(default_factory=dict, compare=False, repr=False)

    @property
    def system(self) -> str:
        return "us" if self.language == "english" else "metric"

    def pattern(self, *keys: str) -> re.Pattern[str]:
        """Any word of the named lists."""
        found = self._patterns.get(keys)
        if found is None:
            found = self._patterns[keys] = phrases(word for key in keys for word in self.lists[key])
        return found

    @cached_property
    def lead(self) -> re.Pattern[str]:
        """ "Juice of", "finely grated zest and juice of", before an amount or a name."""
        doing = self._any("preparations", "adverbs")
        both = self._any("both", "either")
        part = self._any("parts")
        source = "|".join(re.escape(word) for word in sorted(self.lists["from"], key=len, reverse=True))
        return re.compile(
            rf"(?:(?:the|le|la|den|det)\s+)?(?:(?:{doing}|{both})\s+)*(?P<part>{part})"
            rf"(?:\s+{both}\s+(?:(?:{doing}|{both})\s+)*{part})*\s+(?P<of>(?:{source})(?:(?<=')|\s+))?",
            re.IGNORECASE,
        )

    def _any(self, *keys: str) -> str:
        words = sorted({plain(word) for key in keys for word in self.lists[key]}, key=len, reverse=True)
        return "(?:" + "|".join(map(re.escape, words)) + ")"

    @cached_property
    def stage_words(self) -> re.Pattern[str]:
        return phrases(self.stages)

    @cached_property
    def number_words(self) -> re.Pattern[str]:
        return phrases(self.numbers)

    @cached_property
    def longest_unit(self) -> int:
        return max(len(word.split()) for word in self.units)

    def unit(self, word: str) -> Unit | None:
        """The unit that a word or some words stand for; "T" and "t" are told apart by their case."""
        bare = word.strip(" .")
        if bare in ONE_LETTER and self.language == "english":
            bare = ONE_LETTER[bare]
        return self.units.get(plain(bare))


@dataclass(frozen=True)
class Vocabulary:
    """The words of every language, and which language a text is in."""

    languages: Mapping[str, Words]

    def language_of(self, text: str, usual: Words | None = None) -> Words:
        """The words of the language most of whose tell-tale words the text has; `usual` when it does not say."""
        tokens = re.findall(r"[^\W\d_]+", text.casefold())
        counts = {name: sum(1 for token in tokens if token in self._telling[name]) for name in self.languages}
        best = max(counts.values(), default=0)
        usual = usual or self.languages["english"]
        if best == 0 or counts[usual.language] == best:
            return usual
        return self.languages[max(counts, key=lambda name: counts[name])]

    @cached_property
    def _telling(self) -> dict[str, frozenset[str]]:
        return {name: frozenset(words.lists["telling"]) for name, words in self.languages.items()}


@cache
def vocabulary() -> Vocabulary:
    """The shipped word tables. Raises InputProblem naming file and key for a fault in one."""
    folder = shipped_tables() / "recipe_words"
    path = folder / "units.toml"
    data = read_table(path)
    only_tables(data, str(path), "unit")
    by_language: dict[str, dict[str, Unit]] = {language: {} for language in LANGUAGES}
    sized: dict[str, Unit] = {}
    for row in Row(data, str(path)).named_parts("unit"):
        _read_unit(row, by_language, sized)
    english = by_language["english"]
    for word, size in unit_words().items():
        unit = _from_file(word, size, sized)
        if unit is not None:
            english.setdefault(word, unit)
            if len(word) > 3 and not word.endswith("s"):
                english.setdefault(word + "s", unit)
    languages = {}
    for language in LANGUAGES:
        units = dict(by_language[language])
        for other in ("english", *LANGUAGES):
            for word, unit in by_language[other].items():
                if other == "english" or (unit.size and not unit.asks):
                    units.setdefault(word, unit)
        languages[language] = _read_language(folder / f"{language}.toml", language, units)
    return Vocabulary(languages)


def _read_unit(row: Row, by_language: Mapping[str, dict[str, Unit]], sized: dict[str, Unit]) -> None:
    row.known_keys(UNIT_KEYS)
    name = row.data.get("name")
    if not isinstance(name, str):
        raise row.fault("name", "is not a text")
    size = row.text("size") if row.has("size") else None
    if size is not None and size not in unit_words().values():
        raise row.fault("size", f"{size!r} is no unit of units.txt")
    unit = Unit(
        name, size, row.number("times", 1.0), row.flag("systems", False), row.flag("asks", False),
        row.flag("container", False),
    )  # fmt: skip
    if size is not None:
        sized.setdefault(size, unit)
    for language in LANGUAGES:
        metric = language != "english"
        for word in row.texts(language):
            by_language[language][plain(word)] = Unit(
                unit.name,
                size,
                unit.times,
                unit.systems,
                unit.asks,
                unit.container,
                metric,
                plain(word),
                row.texts("before"),
            )


def _from_file(word: str, size: str, sized: Mapping[str, Unit]) -> Unit | None:
    """A word of units.txt as a unit of recipes; None for lengths and for what recipes count otherwise."""
    system, _, base = size.partition("_")
    if system in ("imperial", "metric") and base in sized:
        return Unit(sized[base].name, size, word=word)
    known = sized.get(size)
    if known is None:
        return None
    if word.startswith("us "):
        return Unit(known.name, size, word=word)
    return Unit(known.name, size, known.times, known.systems, known.asks, known.container, word=word)


def _read_language(path: Path, language: str, units: Mapping[str, Unit]) -> Words:
    data = read_table(path)
    file = str(path)
    row = Row(data, file, language)
    row.known_keys(LISTS | {"decimal_comma", "numbers", "stages"})
    missing = LISTS - set(data) - {"british"}
    if missing:
        raise InputProblem(f"{min(missing)} is missing", file=file)
    stages = row.part("stages")
    named = {plain(word): stage for stage in stages.data for word in stages.texts(stage)} if stages else {}
    return Words(
        language,
        row.flag("decimal_comma", False),
        {key: row.texts(key) for key in LISTS},
        {plain(word): number for word, number in row.numbers("numbers").items()},
        named,
        units,
    )
