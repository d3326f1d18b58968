"""The catalogue: every ingredient of the tables, found by its name, an alias or roughly its spelling."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial
from pathlib import Path
from unicodedata import normalize

from adapter.formula.ingredient import (
    COMPOSITION,
    PROPERTIES,
    RIPE_BACTERIA_PER_G,
    Acidity,
    Contents,
    Figure,
    Ingredient,
    Preferment,
)
from adapter.formula.near_names import alike
from adapter.formula.on_demand import OnDemand
from adapter.formula.problems import InputProblem
from adapter.formula.row import Row, keys_of
from adapter.formula.substances import BUFFER, Group, Substances, buffer_name, load_substances, pka_of
from adapter.formula.tables import Table, shipped_tables

STORED = ("room", "fridge", "freezer")
LONGEST_NAME = 100
LIKE_PERCENT = 68.0
"""Two spellings less alike than this (of 100) are different words [A]."""
TELLING_LETTERS = 4
"""So many letters of an alias are as good as a name's own, where the thing is an everyday one [A]."""
COMPOSITION_SUM = (97.0, 103.0)


def spelling(text: str) -> str:
    """A name as it is compared: lower case, single spaces, accents composed."""
    return " ".join((text if text.isascii() else normalize("NFC", text)).casefold().split())


ON_DEMAND = ("figures", "properties", "acidity")
TABLE = Table("ingredients/*.toml", "ingredient", "ingredients", on_demand=ON_DEMAND, same=spelling)


@dataclass(frozen=True, slots=True)
class _Spelt:
    """An ingredient's name and aliases as they are compared: one text for each question, since every key asks."""

    name: str
    aliases: tuple[str, ...]
    every: str
    """Names and kinds, one to a line."""
    alias_lines: str
    """The aliases, each behind a line break."""
    words: str
    """The words of all names, each between two spaces."""
    everyday: bool

    @classmethod
    def of(cls, item: Ingredient) -> _Spelt:
        name, aliases = spelling(item.name), tuple(spelling(alias) for alias in item.aliases)
        return cls(
            name,
            aliases,
            "\n".join((name, *aliases, *item.kinds)),
            "".join(f"\n{alias}" for alias in aliases),
            f" {' '.join((name, *aliases))} ",
            item.everyday,
        )

    def rank(self, text: str, wanted: list[str]) -> tuple[int | bool, ...] | None:
        """How near these names come to the words typed, the lower the nearer; None where they do not."""
        name, aliases = self.name, self.aliases
        if not all(word in self.every for word in wanted):
            return None
        if name == text:
            return 0, 0
        if text in aliases:
            return 1, 0
        if f"{text} flour" in (name, *aliases):
            return 1, 1
        if name.startswith(text + " "):
            return 2, len(name)
        begun = self._begun(text, wanted)
        if begun is not None:
            return 3, begun, not self.everyday, not name.startswith(text), len(name)
        return 4, 0, not self.everyday, len(name)

    def _begun(self, text: str, wanted: list[str]) -> int | None:
        """How well words begin these names: each that was typed may be the first letters of its word."""
        said, name = f"\n{text}" in self.alias_lines, f" {self.name}"
        begins_name = all(f" {word}" in name for word in wanted)
        if begins_name or (said and self.everyday and len(text) >= TELLING_LETTERS):
            return 0
        if said or all(f" {word} " in self.words for word in wanted):
            return 1
        return 2 if all(f" {word}" in self.words for word in wanted) else None


@dataclass(frozen=True)
class Catalogue:
    """Ingredients by name, with the substances they are made of."""

    ingredients: Mapping[str, Ingredient]
    substances: Substances

    @cached_property
    def _names(self) -> dict[str, str]:
        """Which ingredient a name or an alias means, as they are compared: of two, a name; else the first."""
        names: dict[str, str] = {}
        for ingredient in self:
            for alias in ingredient.aliases:
                names.setdefault(spelling(alias), ingredient.name)
        return names | {spelling(name): name for name in self.ingredients}

    @cached_property
    def _kinds(self) -> dict[str, tuple[str, ...]]:
        kinds: dict[str, list[str]] = {}
        for ingredient in self:
            for kind in ingredient.kinds:
                kinds.setdefault(kind, []).append(ingredient.name)
        return {kind: tuple(members) for kind, members in kinds.items()}

    def __iter__(self) -> Iterator[Ingredient]:
        return iter(self.ingredients.values())

    def __len__(self) -> int:
        return len(self.ingredients)

    def get(self, name: str) -> Ingredient:
        """The ingredient of exactly this name; KeyError when there is none."""
        return self.ingredients[name]

    def of_kind(self, kind: str) -> tuple[str, ...]:
        """Names of all ingredients of a kind, in table order."""
        return self._kinds.get(kind, ())

    def fresh_yeast(self, name: str) -> float:
        """Grams of fresh yeast that a gram of an ingredient is worth."""
        found = self._fresh_yeast.get(name)
        if found is None:
            found = self._fresh_yeast[name] = self.get(name).property("yeast")
        return found

    @cached_property
    def _fresh_yeast(self) -> dict[str, float]:
        """Kept, since a list of swaps asks for it thousands of times."""
        return {}

    def kinds(self) -> frozenset[str]:
        return frozenset(self._kinds)

    def named(self, text: str) -> Ingredient | None:
        """The ingredient of just this name or alias; None when nothing is called that."""
        if text in self.ingredients:
            return self.ingredients[text]
        name = self._names.get(spelling(text))
        return None if name is None else self.ingredients[name]

    def resolve(self, text: str) -> Ingredient:
        """The ingredient that a person means by a name or an alias.

        Raises InputProblem with the nearest three when nothing is called that.
        """
        ingredient = self.named(text)
        if ingredient is None:
            raise InputProblem(f"unknown ingredient {text[:60]!r}", right=partial(self._nearest_told, text))
        return ingredient

    def nearest(self, text: str, count: int) -> list[str]:
        """Names closest in spelling to a text, best first, without repeats."""
        from rapidfuzz import fuzz, process

        typed = spelling(text)
        found = process.extract(typed, list(self._names), scorer=fuzz.WRatio, limit=count * 40)
        # A short name ("te") lies whole within many a word: how alike the two are from end to end counts as much.
        found.sort(key=lambda hit: -hit[1] - fuzz.ratio(typed, hit[0]))
        return list(dict.fromkeys(self._names[hit[0]] for hit in found))[:count]

    def search(self, words: str) -> list[Ingredient]:
        """Ingredients that a person may mean, the likeliest first; none where nothing is called anything like it.

        The one of just this name, then of just this alias, then the flour of a grain called so ("rye" is the flour
        to a baker [CP]), then those whose name begins with the word, then those with words that begin so in
        their name, then in an alias, the everyday ones first; then those that hold every word somewhere in name, alias
        or kind; where there is none, by likeness.
        """
        return self.called(words) or self._alike(spelling(words[:LONGEST_NAME]))

    def called(self, words: str) -> list[Ingredient]:
        """Those of a search whose names hold what was typed; all of them where nothing was."""
        text = spelling(words)
        wanted = text.split()
        if not wanted:
            return list(self)
        if len(text) > LONGEST_NAME:
            return []
        ranked = [(rank, item) for item, spelt in self._spelt if (rank := spelt.rank(text, wanted)) is not None]
        ranked.sort(key=lambda pair: pair[0])
        return [item for _, item in ranked]

    @cached_property
    def _spelt(self) -> list[tuple[Ingredient, _Spelt]]:
        return [(item, _Spelt.of(item)) for item in self]

    def _alike(self, text: str) -> list[Ingredient]:
        found = alike(text, self._names, 8, LIKE_PERCENT)
        return [self.ingredients[name] for name in dict.fromkeys(self._names[written] for written, _ in found)]

    def not_found(self, words: str) -> InputProblem:
        """What is to be said where a search finds nothing."""
        return InputProblem(f"nothing is called {words[:60]!r}", right=partial(self._nearest_told, words))

    def _nearest_told(self, text: str) -> str:
        return f"nearest: {', '.join(self.nearest(text[:LONGEST_NAME], 3))}"


def load_catalogue(own_folders: Iterable[Path] = ()) -> Catalogue:
    """Read the shipped tables and lay a baker's own over them, entry by entry (same name: the baker's wins).

    Of a shipped entry the contents are read when asked for, of a baker's own at once: its faults are to be told now.
    """
    substances = load_substances(shipped_tables())
    buffers = dict(substances.buffers)
    spellings: dict[str, str] = {}

    def read(row: Row) -> tuple[Row, Ingredient]:
        ingredient = read_ingredient(row, substances)
        if spellings.setdefault(spelling(ingredient.name), ingredient.name) != ingredient.name:
            raise row.fault("name", "is spelt otherwise in the shipped tables", spellings[spelling(ingredient.name)])
        if ingredient.contents.known and ingredient.acidity is not None:
            buffers.update((name, pkas) for name, pkas, _ in ingredient.acidity.groups if name.startswith(BUFFER))
        return row, ingredient

    entries = TABLE.load(own_folders, read)
    ingredients = {ingredient.name: ingredient for _, ingredient in entries}
    for row, ingredient in entries:
        if ingredient.preferment:
            _check_flour(row, ingredient.preferment.flour, ingredients)
        for name in ingredient.closest:
            if name not in ingredients:
                raise row.fault("closest", f"{name!r} is not in the catalogue")
    return Catalogue(ingredients, replace(substances, buffers=buffers))


def _check_flour(row: Row, name: str, ingredients: Mapping[str, Ingredient]) -> None:
    flour = ingredients.get(name)
    if flour is None:
        raise row.fault("preferment.flour", f"{name!r} is not in the catalogue")
    if flour.preferment is not None or flour.property("flour") <= 0:
        raise row.fault("preferment.flour", f"{name!r} is no flour")


def read_ingredient(row: Row, substances: Substances) -> Ingredient:
    """One entry of an ingredient table; every fault names the file, the entry and the key."""
    row.known_keys(keys_of(Ingredient))
    name = row.text("name")
    stored = row.text("stored", "room")
    if stored not in STORED:
        raise row.fault("stored", f"{stored!r} is unknown", "one of " + ", ".join(STORED))
    preferment = _preferment(row.part("preferment"))
    own = row.parsed
    contents = OnDemand(partial(_contents, row, preferment is None, substances, own))
    if own:
        contents()
    return Ingredient(
        name,
        row.texts("aliases"),
        frozenset(row.texts("kinds")),
        row.texts("allergens"),
        stored,
        contents,
        preferment,
        row.flag("everyday", False),
        row.texts("closest"),
    )


def _contents(row: Row, has_figures: bool, substances: Substances, any_buffer: bool) -> Contents:
    figures = _figures(row, "figures", COMPOSITION)
    if has_figures:
        _check_sum(row, figures)
    ash = figures["ash"].value if "ash" in figures else 0.0
    acidity = _acidity(row.part("acidity"), substances, ash, any_buffer)
    return Contents(figures, _figures(row, "properties", PROPERTIES), acidity)


def _figures(row: Row, part_key: str, known: tuple[str, ...]) -> dict[str, Figure]:
    part = row.part(part_key)
    if part is None:
        return {}
    part.known_keys(frozenset(known))
    figures = {key: part.figure(key) for key in part.data}
    for key, figure in figures.items():
        if figure.value < 0 or (part_key == "figures" and figure.value > 100):
            raise part.fault(key, f"is {figure.value:g}", "0 to 100 g per 100 g")
        if key in ("flour", "rye", "gluten", "kitchen_salt", "reaches") and figure.value > 1:
            raise part.fault(key, f"is {figure.value:g}", "a share, 0 to 1")
    return figures


def _check_sum(row: Row, figures: Mapping[str, Figure]) -> None:
    total = sum(figure.value for key, figure in figures.items() if key != "salt")
    low, high = COMPOSITION_SUM
    if not low <= total <= high:
        raise row.fault("figures", f"add up to {total:.1f} g per 100 g", f"{low:g} to {high:g}")


def _preferment(part: Row | None) -> Preferment | None:
    if part is None:
        return None
    part.known_keys(keys_of(Preferment))
    hydration, cells = part.number("hydration"), part.number("cells_per_g")
    if hydration <= 0:
        raise part.fault("hydration", "is not above zero", "water in % of the flour")
    if cells < 0:
        raise part.fault("cells_per_g", f"is {cells:g}", "zero or more")
    bacteria = part.number("bacteria_per_g", RIPE_BACTERIA_PER_G)
    _not_negative(part, "bacteria_per_g", bacteria)
    warm = part.number("warm_bacteria", 0.0)
    if not 0.0 <= warm <= 1.0:
        raise part.fault("warm_bacteria", f"is {warm:g}", "a share, 0 to 1")
    return Preferment(part.text("flour"), hydration, cells, part.tag(), part.text("source"), bacteria, warm)


def _not_negative(part: Row, key: str, value: float) -> None:
    if value < 0:
        raise part.fault(key, f"is {value:g}", "zero or more")


def _acidity(part: Row | None, substances: Substances, ash: float, any_buffer: bool) -> Acidity | None:
    if part is None:
        return None
    part.known_keys(keys_of(Acidity))
    groups: list[Group] = []
    for name, amount in part.numbers("acids").items():
        acid = substances.acids.get(name)
        if acid is None:
            raise part.fault(f"acids.{name}", "is unknown", "one of " + ", ".join(substances.acids))
        _not_negative(part, f"acids.{name}", amount)
        groups.append((name, acid.pkas, amount))
    for pka_text, amount in part.numbers("buffers").items():
        key = f"buffers.{pka_text}"
        pka = pka_of(part, key, pka_text)
        if not any_buffer and buffer_name(pka) not in substances.buffers:
            raise part.fault(key, "is not listed", "a [[buffer]] in acids.toml")
        _not_negative(part, key, amount)
        groups.append((buffer_name(pka), (pka,), amount))
    if part.has("buffer_model"):
        model = part.text("buffer_model")
        if model not in ("flour", "milk"):
            raise part.fault("buffer_model", f"{model!r} is unknown", "flour or milk")
        groups += substances.buffer_groups(model, part.number("buffer_factor", 1.0), ash)
    fixed = part.maybe_number("fixed_charge")
    ph = part.figure("ph") if part.has("ph") else None
    if (ph is None) == (fixed is None):
        raise part.fault("ph", "or fixed_charge must be given, one of them")
    if ph and not 0 < ph.value < 14:
        raise part.fault("ph", f"is {ph.value:g}", "0 to 14")
    measured_in = part.text("measured_in", "neat")
    if measured_in not in ("neat", "slurry"):
        raise part.fault("measured_in", f"{measured_in!r} is unknown", "neat or slurry")
    spread = part.number("spread_of_totals")
    _not_negative(part, "spread_of_totals", spread)
    return Acidity(
        tuple(groups),
        ph,
        measured_in == "slurry",
        spread,
        fixed,
        part.tag(),
        part.text("source"),
    )
