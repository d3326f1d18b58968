"""What a spread is made of: each figure by itself, the scale, and what is left of the model in a difference."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.linear import dot
from adapter.dough.readings.measured import Measured, difference
from adapter.dough.readings.totals import Composer
from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Figure, Ingredient
from adapter.formula.model import Line

Read = Callable[..., Measured]


# --- one figure at a time -------------------------------------------------------------------------

MOVED_LINES = (
    Line("wholemeal rye flour", 1.0), Line("white wheat flour", 1.0), Line("barley malt flour", 1.0),
    Line("kefir", 1.0), Line("wheat bran", 1.0), Line("raisins", 1.0, reaches=60.0), Line("baking soda", 1.0),
    Line("soy sauce", 1.0), Line("fresh yeast", 1.0), Line("rye sourdough", 1.0),
    Line("rye sourdough", 1.0, hydration=60.0),
)  # fmt: skip
NOT_FOLLOWED = ("free_sugar", "fed_sugar", "fixed_charge")
"""What other figures would move a little too: the food and the stress of yeast, the ions found from pH and water."""


def moved(item: Ingredient, figure: str, by: float) -> Ingredient:
    """The ingredient with one figure so many half-widths higher; ripe cultures differ by 70 and 60 %."""
    acidity, preferment = item.acidity, item.preferment
    if figure == "ph" and acidity and acidity.ph:
        ph = replace(acidity.ph, value=acidity.ph.value + by * acidity.ph.spread)
        return replace(item, acidity=replace(acidity, ph=ph))
    if figure == "acids" and acidity:
        times = 1.0 + by * acidity.spread_of_totals
        groups = tuple((name, pkas, times * mmol) for name, pkas, mmol in acidity.groups)
        ions = None if acidity.fixed_charge is None else times * acidity.fixed_charge
        return replace(item, acidity=replace(acidity, groups=groups, fixed_charge=ions))
    if figure == "yeast cells" and preferment:
        return replace(item, preferment=replace(preferment, cells_per_g=preferment.cells_per_g * (1.0 + 0.7 * by)))
    if figure == "bacteria" and preferment:
        return replace(
            item, preferment=replace(preferment, bacteria_per_g=preferment.bacteria_per_g * (1.0 + 0.6 * by))
        )
    table = item.figures if figure in item.figures else item.properties
    other = {**table, figure: replace(table[figure], value=table[figure].value + by * table[figure].spread)}
    return replace(item, figures=other) if figure in item.figures else replace(item, properties=other)


def test_what_a_half_width_of_each_figure_moves(kitchen: Kitchen) -> None:
    """By changing the figure in the table a little, up and down, and composing anew. A falling number is taken over
    the whole of its range, and counts the other way: a lower one is more enzyme.
    """
    names = {line.ingredient for line in MOVED_LINES}
    names |= {flour.flour for name in names if (flour := kitchen.catalogue.get(name).preferment)}
    rye = kitchen.catalogue.get("wholemeal rye flour")
    mixed = replace(rye, properties={**rye.properties, "rye": Figure(0.9, 0.1, "A", "a mixed flour")})
    small = Catalogue({name: kitchen.catalogue.get(name) for name in sorted(names)}, kitchen.catalogue.substances)
    small = small.with_ingredient(mixed)
    composer = Composer(small)
    seen: set[str] = set()
    for line in MOVED_LINES:
        told = {key: dict(parts) for key, parts in composer.directions(line)}
        assert {name for name, _ in told} <= {line.ingredient, "wholemeal rye flour"}
        for (name, figure), parts in told.items():
            seen.add(figure)
            step = -1.0 if figure == "falling_number" else 1e-3
            up, down = (
                Composer(small.with_ingredient(moved(small.get(name), figure, by))).vector(line) for by in (step, -step)
            )
            for place, (high, low) in enumerate(zip(up, down, strict=True)):
                key, slope = composer.layout.keys[place], (high - low) / (2.0 * abs(step))
                if (figure, key) == ("held_water", "held") and name == "white wheat flour":
                    continue  # what the others are held against
                within = 0.02 if figure == "acids" else 1e-4  # a sourdough's own water is not scaled
                found = parts.get(place, 0.0)
                if key not in NOT_FOLLOWED or (figure in ("ph", "acids") and key == "fixed_charge"):
                    assert math.isclose(found, slope, rel_tol=within, abs_tol=1e-9), (line, figure, key, found, slope)
    assert seen >= {"water", "salt", "protein", "ash", "held_water", "rye", "yeast", "gluten", "liquefaction"}
    assert seen >= {"falling_number", "wholegrain", "ph", "acids", "yeast cells", "bacteria"}


# --- the scale and the model ----------------------------------------------------------------------


def dough(more: Mapping[str, float]) -> dict[str, float]:
    base = {"wholemeal rye flour": 400.0, "white wheat flour": 200.0, "water": 400.0, "salt": 12.0, "fresh yeast": 9.0}
    return {name: base.get(name, 0.0) + more.get(name, 0.0) for name in {**base, **more}}


def difference_without_scale(one: Measured, two: Measured, key: str) -> float:
    """Spread of a difference from the figures alone: the contributions of both, shared ones cancelling."""
    parts = dict(two.contributions(key))
    for figure, part in one.contributions(key).items():
        parts[figure] = parts.get(figure, 0.0) - part
    return math.sqrt(sum(part * part for part in parts.values()))


@pytest.mark.parametrize(
    "more", [{"water": 12.0, "caraway": 4.0}, {"kefir": 2400.0, "honey": 9.0}], ids=["little", "much"]
)
def test_what_the_scale_and_the_model_add_to_a_difference(more: dict[str, float], read: Read, kitchen: Kitchen) -> None:
    """In squares: half a step of the scale (a gram, a tenth below 10 g) on each weight of either side that differs,
    and what is left of the model's error, in full from three tenths of the dough exchanged.
    """
    before = read(dough({}))
    after = read(dough(more), before)
    for key in ("ph", "tta", "hydration", "sugar", "salt"):
        squares, exchanged = difference_without_scale(before, after, key) ** 2, 0.0
        for side, other in ((before, after), (after, before)):
            weights = {line.ingredient: line.grams for line in other.formula.lines}
            for line in side.formula.lines:
                change = abs(line.grams - weights.get(line.ingredient, 0.0))
                slope = dot(side.gradient(key), kitchen.composer.vector(line, side.uses))
                if change:
                    squares += (0.5 * (1.0 if line.grams >= 9.95 else 0.1) * slope) ** 2
                exchanged += 0.5 * change / sum(each.grams for each in side.formula.lines)
        model = kitchen.tolerances[key].model_spread_difference * min(1.0, exchanged / 0.3)
        assert difference(before, after, key).spread == pytest.approx(math.sqrt(squares + model**2), rel=1e-9), key
        assert (exchanged > 0.3) == ("kefir" in more)
