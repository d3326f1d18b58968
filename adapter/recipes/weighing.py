"""Grams of a measure of an ingredient: by weight, by volume and density, or by the weight of one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from adapter.formula.amounts import unit_size, unit_words
from adapter.formula.ingredient import Figure, Ingredient
from adapter.formula.row import Row
from adapter.formula.tables import only_tables, read_table, shipped_tables
from adapter.recipes.measures import Measure
from adapter.recipes.words import Unit, Words

TABLES = (
    "one",
    "filled",
    "loosening",
    "spooned",
    "by_flour",
    "gas_mark",
    "thermostat",
    "tin",
    "tin_height",
    "overnight",
)
UNSURE_SHARE = 0.15
"""A weight whose spread is a larger share of it is asked about, as is a disagreement between two printed amounts."""


@dataclass(frozen=True, slots=True)
class OneOf:
    """What one unit of an ingredient weighs."""

    unit: str
    ingredients: frozenset[str]
    sizes: frozenset[str]
    words: frozenset[str]
    language: str
    means: str | None
    grams: Figure

    def fits(self, unit: Unit, ingredient: str, sizes: tuple[str, ...], countries: frozenset[str]) -> bool:
        if self.means is not None and UNCLEAR not in sizes:
            return False
        if self.unit != unit.name or ingredient not in self.ingredients:
            return False
        if self.words and unit.name and unit.word not in self.words:
            return False
        if self.language and self.language not in countries:
            return False
        return not self.sizes or any(size in self.sizes for size in sizes)


@dataclass(frozen=True, slots=True)
class Filled:
    """g/ml of an ingredient by its form; `asks` names the forms of which a cup weighs now more, now less."""

    forms: Mapping[str, float]
    asks: frozenset[str]


@dataclass(frozen=True, slots=True)
class Measures:
    """The rows of measures.toml."""

    ones: tuple[OneOf, ...]
    filled: Mapping[tuple[str, str], Filled]
    """How ingredients fill a measure, by ingredient and language ("" for all)."""
    gas_marks: tuple[tuple[float, float], ...]
    thermostat_c: float
    tins: Mapping[float, Mapping[str, float]]
    tin_heights: Mapping[str, float]
    loosening: frozenset[str]
    spooned: Mapping[str, str]
    by_flour: Mapping[str, tuple[str, str]]
    """What stands for an ingredient (the value's second) where most of the flour is not of a kind (its first)."""
    night: Mapping[str, float]
    """What "overnight" is taken to be: hours, and °C of the room and of the fridge."""

    def filled_by(self, ingredient: str, language: str = "") -> Filled:
        """How an ingredient fills a measure where that language is spoken."""
        return self.filled.get((ingredient, language)) or self.filled.get((ingredient, "")) or NOT_LISTED


NOT_LISTED = Filled({}, frozenset())


@dataclass(frozen=True, slots=True)
class Weighed:
    grams: float | None
    doubts: tuple[str, ...] = ()
    means: str | None = None


def weigh(
    measure: Measure, ingredient: Ingredient | None, forms: tuple[str, ...], words: Words, system: str | None
) -> Weighed:
    """Grams of a measure, and what makes them doubtful."""
    middle = measure.middle
    if middle is None:
        return Weighed(None, ("no amount is given",))
    doubts = [f"the amount {fault}" for fault in measure.faults]
    if measure.vague:
        doubts.append("how full the measure is cannot be told")
    one = _one(measure.unit, ingredient, forms, words, system)
    if measure.each is not None:
        each = _one(measure.each.unit, ingredient, forms, words, system)
        grams = None if each.grams is None or measure.each.middle is None else each.grams * measure.each.middle * middle
        meant = [doubt for doubt in one.doubts if "is meant" in doubt]
        return Weighed(grams, (*doubts, *meant, *each.doubts), one.means)
    grams = None if one.grams is None else one.grams * middle
    doubts += one.doubts
    for more in measure.plus:
        added = weigh(more, ingredient, forms, words, system)
        grams = None if grams is None or added.grams is None else grams + added.grams
        doubts += added.doubts
    return Weighed(grams, tuple(dict.fromkeys(doubts)), one.means)


def _one(
    unit: Unit, ingredient: Ingredient | None, forms: tuple[str, ...], words: Words, system: str | None
) -> Weighed:
    """Grams of one of the unit."""
    if unit.size is not None:
        size, kind = unit_size(size_name(unit, system or ("metric" if unit.metric else words.system)))
        if kind == "g":
            return Weighed(size * unit.times)
    if ingredient is None:
        return Weighed(None)
    if unit.asks and unit.name not in ("pinch", "dash", "cup"):
        return Weighed(None, (f"how much {_named(unit)} is cannot be told",))
    if unit.size is not None and unit.name != "stick":
        return _by_volume(size * unit.times, unit, ingredient, forms, words)
    if unit.name == "piece" and unit.word in WHOLE:
        unit = Unit("")
    row = _row(unit, ingredient.name, forms, _countries(words.language, system))
    if row is not None:
        grams = row.grams
        doubts = [f"one weighs {grams.value:g} g, give or take {grams.spread:g}"] * (
            grams.spread > UNSURE_SHARE * grams.value
        )
        if row.means is not None:
            doubts.append(f"{row.means} is meant, by the packet; it is not said")
        return Weighed(grams.value, tuple(doubts), row.means)
    each = ingredient.properties.get("each_g")
    if not unit.name and each is not None and each.value:
        unsure = each.spread > UNSURE_SHARE * each.value or any(size for size in forms if size in words.lists["sizes"])
        return Weighed(each.value, (f"one weighs about {each.value:g} g",) if unsure else ())
    return Weighed(None, (f"what {_named(unit)} weighs is not known",))


def _by_volume(millilitres: float, unit: Unit, ingredient: Ingredient, forms: tuple[str, ...], words: Words) -> Weighed:
    doubts = []
    if unit.asks:
        doubts.append(f"how much {_named(unit)} is cannot be told exactly")
    filled = measures().filled_by(ingredient.name, DECILITRES if unit.name == "dl" else words.language)
    figure = ingredient.properties.get("density_g_ml")
    form = next((form for form in forms if form in filled.forms), "" if "" in filled.forms else None)
    density = filled.forms[form] if form is not None else figure.value if figure else 0.0
    if not density:
        return Weighed(None, (*doubts, "its density is not known"))
    if form in filled.asks:
        doubts.append("how much of it fills a measure varies")
    elif form is None and figure is not None and figure.spread > UNSURE_SHARE * density:
        doubts.append(f"by spoon or cup it may weigh {100 * figure.spread / density:.0f} % more or less")
    elif form is None and filled.forms:
        doubts.append("in what form it fills the measure is not said")
    if ingredient.preferment is not None:
        doubts.append("how much gas it holds is not known")
    if "salt" in ingredient.kinds and any(word in words.lists["coarse"] for word in forms):
        doubts.append("coarse salt lies loosely: a spoon of it may weigh half as much")
    loose = [word for word in forms if not form and word in measures().loosening and word not in ingredient.name]
    if loose and (
        not ingredient.kinds & {"liquid", "fat", "syrup", "flour", "spice"} or "vegetable" in ingredient.kinds
    ):
        doubts.append(f"how much of it fills a measure when {loose[0]} is not known")
    return Weighed(millilitres * density, tuple(doubts))


UNCLEAR = "(unclear)"
"""Stands among the forms of a line whose name may mean several kinds of a thing."""

WHOLE = ("stk", "st", "stück", "stücke", "pc", "pcs", "styck", "stycken", "pièce", "pièces")
"""Words of a piece that mean one whole thing: "1 Stk. Ei"."""

DECILITRES = "swedish"
"""Whose flour it is that is measured by the decilitre, whatever language the line is in."""

BRITISH = "british"
"""The measures of a British text: its pints and spoons; a cup in one is most likely copied, and the US one."""


def _countries(language: str, system: str | None) -> frozenset[str]:
    """Whose packets and eggs are meant."""
    if language != "english":
        return frozenset((language, "metric"))
    return frozenset((language, "metric" if system == BRITISH else "us"))


def _row(unit: Unit, ingredient: str, forms: tuple[str, ...], countries: frozenset[str]) -> OneOf | None:
    fitting = [row for row in measures().ones if row.fits(unit, ingredient, forms, countries)]
    return max(fitting, key=lambda row: (bool(row.sizes), bool(row.language), bool(row.words)), default=None)


def _named(unit: Unit) -> str:
    return f"a {unit.name or unit.word}" if unit.word or unit.name else "one"


def size_name(unit: Unit, system: str) -> str:
    """The unit of units.txt that is meant where US, metric and imperial measures differ."""
    size = unit.size or ""
    if not unit.systems or system == "us" or (system == BRITISH and unit.name == "cup"):
        return size
    system = "imperial" if system == BRITISH else system
    known = unit_words().values()
    return next((name for name in (f"{system}_{size}", f"imperial_{size}") if name in known), size)


@cache
def measures() -> Measures:
    """The shipped table of measures. Raises InputProblem naming file, entry and key for a fault in it."""
    path = shipped_tables() / "recipe_words" / "measures.toml"
    data, file = read_table(path), str(path)
    only_tables(data, file, *TABLES)
    filled = dict(pair for row in Row(data, file).named_parts("filled") for pair in _read_filled(row))
    gas = Row(data, file).named_parts("gas_mark")[0]
    marks = list(zip(_floats(gas, "mark"), _floats(gas, "celsius"), strict=True))
    tins = {
        row.number("pounds"): {key: row.number(key) for key in ("length_cm", "width_cm", "height_cm")}
        for row in Row(data, file).named_parts("tin")
    }
    heights = {row.text("kind"): row.number("height_cm") for row in Row(data, file).named_parts("tin_height", "kind")}
    step = Row(data, file).named_parts("thermostat")[0].number("celsius_per_step")
    loosening = frozenset(Row(data, file).named_parts("loosening")[0].texts("words"))
    spooned = {
        row.text("ingredient"): row.text("means") for row in Row(data, file).named_parts("spooned", "ingredient")
    }
    by_flour = {
        row.text("ingredient"): (row.text("kind"), row.text("means"))
        for row in Row(data, file).named_parts("by_flour", "ingredient")
    }
    night = Row(data, file).named_parts("overnight", "source")[0]
    nights = {key: night.number(key) for key in ("hours", "room_c", "fridge_c")}
    ones = tuple(map(_read_one, Row(data, file).named_parts("one")))
    return Measures(ones, filled, tuple(marks), step, tins, heights, loosening, spooned, by_flour, nights)


def _read_filled(row: Row) -> Iterator[tuple[tuple[str, str], Filled]]:
    row.known_keys(frozenset(("ingredients", "language", "forms", "asks", "source")))
    row.text("source")
    filled = Filled(row.numbers("forms"), frozenset(row.texts("asks")))
    unknown = filled.asks - set(filled.forms)
    if unknown:
        raise row.fault("asks", f"{min(unknown)!r} is not among the forms")
    for name in row.texts("ingredients"):
        yield (name, row.text("language") if row.has("language") else ""), filled


def _floats(row: Row, key: str) -> list[float]:
    value = row.data.get(key)
    if not isinstance(value, list) or not all(isinstance(item, int | float) for item in value):
        raise row.fault(key, "is not a list of numbers")
    return [float(item) for item in value]


def _read_one(row: Row) -> OneOf:
    row.known_keys(frozenset(("unit", "ingredients", "size", "word", "language", "means", "grams")))
    unit = row.data.get("unit")
    if not isinstance(unit, str):
        raise row.fault("unit", "is not a text")
    return OneOf(
        unit,
        frozenset(row.texts("ingredients")),
        frozenset(row.texts("size")),
        frozenset(row.texts("word")),
        row.text("language") if row.has("language") else "",
        row.text("means") if row.has("means") else None,
        row.figure("grams"),
    )
