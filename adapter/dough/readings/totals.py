"""The additive amounts of a formula: what each gram of a line brings, summed over the lines.

Totals are a plain list of floats in the order of `Layout.keys`: grams (mass, flour, water, each sugar …), and
millimoles (each acid and buffer group, the fixed charge). Everything in them adds up when things are mixed, so
one vector per gram of an ingredient serves the readings, the spreads and the balancing programme alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache

from adapter.dough.models.acidity import Species, charge, charge_slope
from adapter.dough.models.starch_attack import liquefaction_number
from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Acidity, Figure, Ingredient
from adapter.formula.model import Line

BASE_KEYS = (
    "mass", "flour", "dry_flour", "water", "held", "glucose", "fructose", "sucrose", "maltose", "lactose",
    "galactose", "dextrins", "polyols", "protein", "fat", "starch", "fibre", "ash", "salt", "alcohol",
    "organic_acids", "other", "rye", "wholegrain", "prefermented", "yeast", "cells", "liquefaction",
    "fixed_charge",
)  # fmt: skip
"""Grams each, but: cells (10^10 yeast cells), liquefaction (g flour x liquefaction number), fixed_charge (mmol)."""

WHITE_FLOUR = "white wheat flour"
RIPENING_STAGE = "sourdough"
SLURRY_LITRES_PER_G = 0.010
FERMENTATION_SPREAD = 0.5
CELLS_SPREAD = 0.6

Vector = tuple[float, ...]
Key = tuple[str, float | None, bool, bool]
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
    pkas: dict[str, tuple[float, ...]] = {}
    for ingredient in catalogue:
        for name, values, _ in ingredient.acidity.groups if ingredient.acidity else ():
            pkas.setdefault(name, values)
    for name in catalogue.substances.fermentation_acids:
        pkas.setdefault(name, catalogue.substances.acids[name].pkas)
    species = tuple(Species(name, values) for name, values in sorted(pkas.items()))
    keys = BASE_KEYS + tuple(kind.name for kind in species)
    return Layout(keys, {key: i for i, key in enumerate(keys)}, species)


@cache
def ripens(stage: str) -> bool:
    """Whether a stage is a sourdough in the making: by its name, as bakers write it ("sourdough, 14 h")."""
    return stage.casefold().startswith(RIPENING_STAGE)


def pooled(lines: Iterable[Line]) -> list[tuple[Line, float]]:
    """Lines that bring the same to the gram taken together, each with the grams of all of them."""
    found: dict[tuple[str, float | None, bool], tuple[Line, float]] = {}
    for line in lines:
        key = (line.ingredient, line.hydration, ripens(line.stage))
        so_far = found.get(key)
        found[key] = (line, line.grams) if so_far is None else (so_far[0], so_far[1] + line.grams)
    return list(found.values())


class Composer:
    """Turns lines into vectors per gram and sums them. Vectors are worked out once per ingredient and kept."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self.layout = layout_for(catalogue)
        self._vectors: dict[Key, Vector] = {}
        self._directions: dict[Key, tuple[Direction, ...]] = {}
        white = catalogue.ingredients.get(WHITE_FLOUR)
        self._white_held = white.property("held_water") if white else 0.61

    def is_fermented(self, lines: Iterable[Line]) -> bool:
        """Whether yeast was added, so that the acids of its fermentation count."""
        return any(line.grams > 0 and "yeast" in self.catalogue.get(line.ingredient).properties for line in lines)

    def totals(self, lines: Iterable[Line], fermented: bool) -> list[float]:
        """Sum over the lines of grams x vector."""
        total = [0.0] * len(self.layout.keys)
        for line, grams in pooled(lines):
            vector = self.vector(line, fermented)
            total = [t + grams * v for t, v in zip(total, vector, strict=True)]
        return total

    def vector(self, line: Line, fermented: bool) -> Vector:
        """What one gram of a line brings (its sourdough's flour and water included)."""
        key = (line.ingredient, line.hydration, fermented, ripens(line.stage))
        found = self._vectors.get(key)
        if found is None:
            ingredient, hydration = self._as_used(line)
            found = self._vectors[key] = self._make_vector(ingredient, hydration, fermented)
        return found

    def directions(self, line: Line, fermented: bool) -> tuple[Direction, ...]:
        """What one half-width of each of a line's figures changes in its vector."""
        key = (line.ingredient, line.hydration, fermented, ripens(line.stage))
        found = self._directions.get(key)
        if found is None:
            ingredient, hydration = self._as_used(line)
            found = self._directions[key] = tuple(self._make_directions(ingredient, hydration, fermented))
        return found

    def _as_used(self, line: Line) -> tuple[Ingredient, float | None]:
        """The ingredient of a line as it goes into the dough: the flour of a sourdough stage is ripe by then."""
        ingredient = self.catalogue.get(line.ingredient)
        if ripens(line.stage) and ingredient.preferment is None and ingredient.property("flour") > 0:
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

    def _make_vector(self, ingredient: Ingredient, hydration: float | None, fermented: bool) -> Vector:
        values = dict.fromkeys(self.layout.keys, 0.0)
        if ingredient.preferment:
            self._add_preferment(values, ingredient, hydration)
        else:
            self._add_plain(values, ingredient)
        if fermented:
            substances = self.catalogue.substances
            for acid, mmol_per_kg in substances.fermentation_acids.items():
                values[acid] += values["flour"] * mmol_per_kg / 1000.0
            values["fixed_charge"] += values["flour"] * substances.fermentation_charge / 1000.0
        return tuple(values[key] for key in self.layout.keys)

    def _add_plain(self, values: dict[str, float], ingredient: Ingredient) -> None:
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
        if flour and "falling_number" in ingredient.properties:
            values["liquefaction"] = flour * liquefaction_number(ingredient.property("falling_number"))
        self._add_acids(values, ingredient, 1.0)

    def _add_preferment(self, values: dict[str, float], ingredient: Ingredient, hydration: float | None) -> None:
        preferment = ingredient.preferment
        assert preferment is not None
        flour_share = self._flour_share(ingredient, hydration)
        flour = dict(zip(self.layout.keys, self.vector(Line(preferment.flour, 0.0), False), strict=True))
        for key in BASE_KEYS:
            if key != "fixed_charge":
                values[key] = flour[key] * flour_share
        values["mass"] = 1.0
        values["water"] += 1.0 - flour_share
        values["prefermented"] = values["flour"]
        factor = flour_share / self._flour_share(ingredient, None)
        values["cells"] = factor * preferment.cells_per_g / 1e10
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
        if acidity is None:
            return 0.0
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

    def _make_directions(self, ingredient: Ingredient, hydration: float | None, fermented: bool) -> Iterable[Direction]:
        name = ingredient.name
        index = self.layout.index
        factor = 1.0
        if ingredient.preferment:
            share = self._flour_share(ingredient, hydration)
            factor = share / self._flour_share(ingredient, None)
            for key, parts in self.directions(Line(ingredient.preferment.flour, 0.0), False):
                if key[1] not in ("ph", "acids"):
                    yield key, tuple((place, share * delta) for place, delta in parts)
            yield (
                (name, "yeast cells"),
                ((index["cells"], factor * CELLS_SPREAD * ingredient.preferment.cells_per_g / 1e10),),
            )
        else:
            yield from self._figure_directions(ingredient)
        yield from self._acid_directions(ingredient, factor)
        flour = self._make_vector(ingredient, hydration, False)[index["flour"]]
        if fermented and flour:
            substances = self.catalogue.substances
            per_g = FERMENTATION_SPREAD * flour / 1000.0
            acids = [(index[acid], per_g * mmol) for acid, mmol in substances.fermentation_acids.items()]
            acids.append((index["fixed_charge"], per_g * substances.fermentation_charge))
            yield ("acids of fermentation", "amount"), tuple(acids)

    def _figure_directions(self, ingredient: Ingredient) -> Iterable[Direction]:
        name, index = ingredient.name, self.layout.index
        flour = ingredient.property("flour")
        for key, figure in ingredient.figures.items():
            if figure.spread:
                parts = [(index[key], figure.spread / 100.0)]
                if key == "water" and flour:
                    parts.append((index["dry_flour"], -flour * figure.spread / 100.0))
                yield (name, key), tuple(parts)
        for key, place, scale in (
            ("held_water", "held", 1.0),
            ("rye", "rye", flour),
            ("wholegrain", "wholegrain", flour),
            ("yeast", "yeast", 1.0),
        ):
            own = ingredient.properties.get(key)
            if own and own.spread:
                yield (name, key), ((index[place], own.spread * scale),)
        falling = ingredient.properties.get("falling_number")
        if falling and falling.spread and flour:
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


def _groups(acidity: Acidity) -> tuple[list[float], list[Species]]:
    return (
        [amount for _, _, amount in acidity.groups],
        [Species(name, pkas) for name, pkas, _ in acidity.groups],
    )


def _liquefaction_spread(falling: Figure) -> float:
    """Half the change of the liquefaction number over the falling number's range."""
    low = liquefaction_number(falling.value - falling.spread)
    high = liquefaction_number(falling.value + falling.spread)
    return (low - high) / 2.0
