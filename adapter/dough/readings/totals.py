"""The additive amounts of a formula: what each gram of a line brings, summed over the lines.

Totals are a plain list of floats in the order of `Layout.keys`: grams (mass, flour, water, each sugar …), and
millimoles (each acid and buffer group, the fixed charge). Everything in them adds up when things are mixed, so
one vector per gram of an ingredient serves the readings, the spreads and the balancing programme alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from adapter.dough.models.acidity import Species, charge, charge_slope
from adapter.dough.models.starch_attack import liquefaction_number
from adapter.dough.readings.stage_uses import (
    BY_NAME,
    FOLLOWED,
    PLAIN,
    PREFERMENTED,
    RIPE,
    Key,
    Pooled,
    Uses,
    differing,
    key_of,
    pooled,
)
from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Acidity, Figure, Ingredient
from adapter.formula.model import Line

BASE_KEYS = (
    "mass", "flour", "dry_flour", "water", "held", "glucose", "fructose", "sucrose", "maltose", "lactose",
    "galactose", "dextrins", "polyols", "protein", "fat", "starch", "fibre", "ash", "salt", "alcohol",
    "organic_acids", "other", "rye", "wholegrain", "prefermented", "yeast", "cells", "bacteria", "liquefaction",
    "label_salt", "gluten", "flour_ash", "free_sugar", "fed_sugar", "osmotolerant", "grown_yeast",
    "warm_bacteria", "fixed_charge",
)  # fmt: skip
"""Grams each, but: cells and bacteria (10^10 of a sourdough's yeast, of its bacteria), liquefaction (g flour x
liquefaction number), fixed_charge (mmol). salt is kitchen salt, label_salt sodium x 2.5; free_sugar is sugar beside
the flour's own that is not shut in whole fruit, fed_sugar what yeast gets of it, osmotolerant the yeast that bears it;
grown_yeast is what yeast has grown by in the stages; warm_bacteria are those bacteria that thrive at 35 to 40 °C.
"""

WHITE_FLOUR = "white wheat flour"
SLURRY_LITRES_PER_G = 0.010
CELLS_SPREAD, BACTERIA_SPREAD = 0.7, 0.6
"""How far yeast and bacteria of a ripe sourdough may lie from the table's, relative half-width [A]: cultures differ
widely, 10^7 to 10^8 yeast cells per g.
"""
BY_ROUNDING = 1e-13
"""What is left of a total to this part, after all that brought it has gone, is none of it."""
SUGARS = ("glucose", "fructose", "sucrose", "maltose", "lactose", "galactose")
OSMOTOLERANT_KIND = "osmotolerant yeast"

Vector = tuple[float, ...]
Direction = tuple[tuple[str, str], tuple[tuple[int, float], ...]]
"""(ingredient, figure) and what one half-width of that figure changes: (index into the totals, per gram)."""


@dataclass(frozen=True, slots=True)
class Layout:
    """Names and places of the totals: the base keys, then one place for each acid and buffer group."""

    keys: tuple[str, ...]
    index: dict[str, int]
    species: tuple[Species, ...]

    @property
    def first_species(self) -> int:
        return len(BASE_KEYS)


def layout_for(catalogue: Catalogue) -> Layout:
    substances = catalogue.substances
    pkas = {name: acid.pkas for name, acid in substances.acids.items()} | dict(substances.buffers)
    species = tuple(species_of(name, values) for name, values in sorted(pkas.items()))
    keys = BASE_KEYS + tuple(kind.name for kind in species)
    return Layout(keys, {key: i for i, key in enumerate(keys)}, species)


@cache
def species_of(name: str, pkas: tuple[float, ...]) -> Species:
    """An acid or buffer group, its constants worked out once."""
    return Species(name, pkas)


class Composer:
    """Turns lines into vectors per gram and sums them. Vectors are worked out once per ingredient and kept."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self.layout = layout_for(catalogue)
        self._vectors: dict[Key, Vector] = {}
        self._directions: dict[Key, tuple[Direction, ...]] = {}
        self._parts: dict[Key, tuple[tuple[int, float], ...]] = {}
        self._last_sums: list[tuple[Key, float, list[float]]] = []
        white = catalogue.ingredients.get(WHITE_FLOUR)
        self._white = white.properties.get("held_water") if white else None
        self._white_held = self._white.value if self._white else 0.61

    def totals(self, lines: Iterable[Line], uses: Uses = BY_NAME) -> list[float]:
        """Sum over the lines of grams x vector."""
        return self.totals_of(pooled(lines, uses), uses)

    def totals_of(self, wanted: Pooled, uses: Uses = BY_NAME) -> list[float]:
        """The same for lines already taken together.

        Formulas of a list of swaps begin alike: the last sum is carried on from the first line that differs.
        """
        sums = self._last_sums
        same = 0
        for (key, (_, grams)), (last_key, last_grams, _) in zip(wanted.items(), sums, strict=False):
            if key != last_key or grams != last_grams:
                break
            same += 1
        sums = sums[:same]
        total = list(sums[-1][2]) if sums else [0.0] * len(self.layout.keys)
        for key, (line, grams) in list(wanted.items())[same:]:
            for place, per_gram in self._sparse(key, line, uses):
                total[place] += grams * per_gram
            sums.append((key, grams, list(total)))
        self._last_sums = sums  # a new list each time: another thread may be carrying on the one before
        return total

    def totals_near(self, totals: Sequence[float], lines: Pooled, wanted: Pooled, uses: Uses = BY_NAME) -> list[float]:
        """The same as a change of other lines' totals: quick, and to all but the last digits the same."""
        found = list(totals)
        gone = set()
        for key, line, more in differing(lines, wanted):
            for place, per_gram in self._sparse(key, line, uses):
                found[place] += more * per_gram
                if more < 0.0:
                    gone.add(place)
        for place in gone:
            if abs(found[place]) < BY_ROUNDING * abs(totals[place]):
                found[place] = 0.0
        return found

    def _sparse(self, key: Key, line: Line, uses: Uses) -> tuple[tuple[int, float], ...]:
        """The parts of a line's vector that are not zero, with their places: a third of them."""
        found = self._parts.get(key)
        if found is None:
            vector = self.vector(line, uses)
            found = self._parts[key] = tuple((place, value) for place, value in enumerate(vector) if value)
        return found

    def vector(self, line: Line, uses: Uses = BY_NAME) -> Vector:
        """What one gram of a line brings (its sourdough's flour and water included)."""
        key = key_of(line, uses)
        found = self._vectors.get(key)
        if found is None:
            ingredient, hydration = self._as_used(line, key[3])
            found = self._vectors[key] = self._make_vector(ingredient, hydration, line.reaches, key[3])
        return found

    def directions(self, line: Line, uses: Uses = BY_NAME) -> tuple[Direction, ...]:
        """What one half-width of each of a line's figures changes in its vector."""
        key = key_of(line, uses)
        found = self._directions.get(key)
        if found is None:
            ingredient, hydration = self._as_used(line, key[3])
            found = self._directions[key] = tuple(self._make_directions(ingredient, hydration, line.reaches))
        return found

    def _as_used(self, line: Line, use: str) -> tuple[Ingredient, float | None]:
        """The ingredient of a line as it goes into the dough: the flour of a ripe sourdough stage is ripe by then."""
        ingredient = self.catalogue.get(line.ingredient)
        if use == RIPE and ingredient.preferment is None and ingredient.property("flour") > 0:
            ripe = self._sourdough_like(ingredient)
            if ripe is not None and ripe.preferment is not None:
                return replace(ripe, preferment=replace(ripe.preferment, flour=ingredient.name)), 0.0
        return ingredient, line.hydration

    def _sourdough_like(self, flour: Ingredient) -> Ingredient | None:
        """The sourdough of the catalogue whose flour shares most kinds with this one; the first of equals."""
        sourdoughs = [item for item in self.catalogue if item.preferment is not None]

        def shared(item: Ingredient) -> int:
            assert item.preferment is not None
            return len(self.catalogue.get(item.preferment.flour).kinds & flour.kinds)

        return max(sourdoughs, key=shared, default=None)

    def _make_vector(
        self, ingredient: Ingredient, hydration: float | None, reaches: float | None, use: str = PLAIN
    ) -> Vector:
        values = dict.fromkeys(self.layout.keys, 0.0)
        if ingredient.preferment:
            self._add_preferment(values, ingredient, hydration)
        else:
            self._add_plain(values, ingredient, reaches)
        if use in (FOLLOWED, PREFERMENTED):
            values["prefermented"] = values["flour"]
        return tuple(values[key] for key in self.layout.keys)

    def _add_plain(self, values: dict[str, float], ingredient: Ingredient, reaches: float | None) -> None:
        for key, figure in ingredient.figures.items():
            values[key] = figure.value / 100.0
        flour = ingredient.property("flour")
        values["mass"] = 1.0
        values["flour"] = flour
        values["dry_flour"] = flour * (1.0 - values["water"])
        values["held"] = ingredient.property("held_water") - flour * self._white_held
        values["rye"] = flour * ingredient.property("rye")
        values["wholegrain"] = flour * ingredient.property("wholegrain")
        values["yeast"] = ingredient.property("yeast")
        values["label_salt"] = values["salt"]
        values["salt"] *= _share(ingredient, "kitchen_salt")
        values["gluten"] = values["protein"] * ingredient.property("gluten")
        values["flour_ash"] = flour * values["ash"]
        if flour:
            values["liquefaction"] = flour * _liquefaction_of(ingredient)
        reaching = reach_of(ingredient, reaches)
        free = reaching * (1.0 - flour)
        hexose = self.catalogue.substances.sugars
        values["free_sugar"] = free * sum(values[sugar] for sugar in SUGARS)
        values["fed_sugar"] = free * sum(values[sugar] * hexose[sugar].hexose for sugar in SUGARS)
        values["osmotolerant"] = values["yeast"] if OSMOTOLERANT_KIND in ingredient.kinds else 0.0
        self._add_acids(values, ingredient, reaching)

    def _add_preferment(self, values: dict[str, float], ingredient: Ingredient, hydration: float | None) -> None:
        preferment = ingredient.preferment
        assert preferment is not None
        flour_share = self._flour_share(ingredient, hydration)
        flour = dict(zip(self.layout.keys, self.vector(Line(preferment.flour, 0.0)), strict=True))
        for key in BASE_KEYS:
            if key != "fixed_charge":
                values[key] = flour[key] * flour_share
        values["mass"] = 1.0
        values["water"] += 1.0 - flour_share
        values["prefermented"] = values["flour"]
        factor = flour_share / self._flour_share(ingredient, None)
        values["cells"] = factor * preferment.cells_per_g / 1e10
        values["bacteria"] = factor * preferment.bacteria_per_g / 1e10
        values["warm_bacteria"] = preferment.warm_bacteria * values["bacteria"]
        self._add_acids(values, ingredient, factor)

    def _flour_share(self, ingredient: Ingredient, hydration: float | None) -> float:
        assert ingredient.preferment is not None
        return 100.0 / (100.0 + (ingredient.preferment.hydration if hydration is None else hydration))

    def _add_acids(self, values: dict[str, float], ingredient: Ingredient, factor: float) -> None:
        acidity = ingredient.acidity
        if acidity is None:
            return
        for name, _, mmol_per_kg in acidity.groups:
            values[name] += factor * mmol_per_kg / 1000.0
        values["fixed_charge"] += factor * self.fixed_charge_per_kg(ingredient) / 1000.0

    def fixed_charge_per_kg(self, ingredient: Ingredient) -> float:
        """Strong-ion charge (mmol/kg) that gives the ingredient the pH it has alone."""
        acidity = ingredient.acidity
        assert acidity is not None
        if acidity.fixed_charge is not None:
            return acidity.fixed_charge
        assert acidity.ph is not None
        amounts, species = _groups(acidity)
        return charge(amounts, species, acidity.ph.value, self._litres_per_kg(ingredient))

    def _litres_per_kg(self, ingredient: Ingredient) -> float:
        if ingredient.preferment:
            own = 1.0 - self._flour_share(ingredient, None)
        else:
            own = ingredient.figure("water") / 100.0
        slurry = ingredient.acidity is not None and ingredient.acidity.slurry
        return own + (1000.0 * SLURRY_LITRES_PER_G if slurry else 0.0)

    def _make_directions(
        self, ingredient: Ingredient, hydration: float | None, reaches: float | None
    ) -> Iterable[Direction]:
        name = ingredient.name
        index = self.layout.index
        factor = 1.0
        if ingredient.preferment:
            share = self._flour_share(ingredient, hydration)
            factor = share / self._flour_share(ingredient, None)
            for key, parts in self.directions(Line(ingredient.preferment.flour, 0.0)):
                if key[1] not in ("ph", "acids"):
                    yield key, tuple((place, share * delta) for place, delta in parts)
            yield (
                (name, "yeast cells"),
                ((index["cells"], factor * CELLS_SPREAD * ingredient.preferment.cells_per_g / 1e10),),
            )
            if ingredient.preferment.bacteria_per_g:
                bacteria = factor * BACTERIA_SPREAD * ingredient.preferment.bacteria_per_g / 1e10
                warm = ingredient.preferment.warm_bacteria * bacteria
                yield (name, "bacteria"), ((index["bacteria"], bacteria), (index["warm_bacteria"], warm))
        else:
            yield from self._figure_directions(ingredient)
        yield from self._acid_directions(ingredient, factor * reach_of(ingredient, reaches))

    def _figure_directions(self, ingredient: Ingredient) -> Iterable[Direction]:
        name, index = ingredient.name, self.layout.index
        flour = ingredient.property("flour")
        for key, figure in ingredient.figures.items():
            if figure.spread:
                per_g = figure.spread / 100.0
                parts = [(index[key], per_g)]
                if key == "water" and flour:
                    parts.append((index["dry_flour"], -flour * per_g))
                elif key == "salt":
                    parts = [(index["salt"], per_g * _share(ingredient, "kitchen_salt")), (index["label_salt"], per_g)]
                elif key == "protein" and ingredient.property("gluten"):
                    parts.append((index["gluten"], per_g * ingredient.property("gluten")))
                elif key == "ash" and flour:
                    parts.append((index["flour_ash"], flour * per_g))
                yield (name, key), tuple(parts)
        # White flour is what every flour is compared with: it never holds more than itself, all others then do.
        if flour and self._white and name != WHITE_FLOUR:
            yield (WHITE_FLOUR, "held_water"), ((index["held"], -flour * self._white.spread),)
        for key, place, scale in (
            ("held_water", "held", 0.0 if name == WHITE_FLOUR else 1.0),
            ("rye", "rye", flour),
            ("wholegrain", "wholegrain", flour),
            ("yeast", "yeast", 1.0),
        ):
            own = ingredient.properties.get(key)
            if own and own.spread and scale:
                yield (name, key), ((index[place], own.spread * scale),)
        own = ingredient.properties.get("gluten")
        if own and own.spread:
            yield (name, "gluten"), ((index["gluten"], own.spread * ingredient.figure("protein") / 100.0),)
        own, falling = ingredient.properties.get("liquefaction"), ingredient.properties.get("falling_number")
        if own and own.spread and flour:
            yield (name, "liquefaction"), ((index["liquefaction"], flour * own.spread),)
        if falling and falling.spread and flour and not own:
            yield (name, "falling_number"), ((index["liquefaction"], flour * _liquefaction_spread(falling)),)

    def _acid_directions(self, ingredient: Ingredient, factor: float) -> Iterable[Direction]:
        acidity = ingredient.acidity
        if acidity is None:
            return
        name, index = ingredient.name, self.layout.index
        per_g = factor / 1000.0
        charge_per_kg = self.fixed_charge_per_kg(ingredient)
        if acidity.ph and acidity.ph.spread:
            amounts, species = _groups(acidity)
            slope = charge_slope(amounts, species, acidity.ph.value, self._litres_per_kg(ingredient))
            yield (name, "ph"), ((index["fixed_charge"], slope * acidity.ph.spread * per_g),)
        if acidity.spread_of_totals:
            scale = acidity.spread_of_totals * per_g
            merged: dict[int, float] = {}
            for group, _, mmol in acidity.groups:
                merged[index[group]] = merged.get(index[group], 0.0) + scale * mmol
            merged[index["fixed_charge"]] = scale * charge_per_kg
            yield (name, "acids"), tuple(merged.items())


def reach_of(ingredient: Ingredient, reaches: float | None) -> float:
    """Share of an ingredient's sugar and acid that reaches the dough: the line's own percent, else the table's [A]."""
    return _share(ingredient, "reaches") if reaches is None else reaches / 100.0


def _share(ingredient: Ingredient, key: str) -> float:
    """A property that is a share of 1; all of it where the table has none."""
    found = ingredient.properties.get(key)
    return found.value if found else 1.0


def _liquefaction_of(ingredient: Ingredient) -> float:
    """Liquefaction number of a flour: its own where it is beyond the falling-number instrument, as malt's is."""
    if "liquefaction" in ingredient.properties:
        return ingredient.property("liquefaction")
    if "falling_number" in ingredient.properties:
        return liquefaction_number(ingredient.property("falling_number"))
    return 0.0


def _groups(acidity: Acidity) -> tuple[list[float], list[Species]]:
    return (
        [amount for _, _, amount in acidity.groups],
        [species_of(name, pkas) for name, pkas, _ in acidity.groups],
    )


def _liquefaction_spread(falling: Figure) -> float:
    """Half the change of the liquefaction number over the falling number's range."""
    low = liquefaction_number(falling.value - falling.spread)
    high = liquefaction_number(falling.value + falling.spread)
    return (low - high) / 2.0
