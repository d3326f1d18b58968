"""Readings worked out by hand: sums from the ingredient tables, and formulas and constants written out here.

Constants say where they are from; none is taken from the program.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest
from told_numbers import numbers

from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import label
from adapter.dough.why.explain_reading import explain
from adapter.formula.model import Proof

Read = Callable[..., Measured]

LINES = {
    "wholemeal rye flour": 420.0,
    "white wheat flour": 180.0,
    "wheat bran": 60.0,
    "kefir": 300.0,
    "water": 240.0,
    "honey": 60.0,
    "black treacle": 40.0,
    "salt": 13.0,
    "butter": 20.0,
}
SOURDOUGH = {"rye sourdough": 200.0, "fresh yeast": 6.0}

SUGARS = ("glucose", "fructose", "sucrose", "maltose", "lactose", "galactose")
SWEETNESS = {"glucose": 0.7, "fructose": 1.2, "sucrose": 1.0, "maltose": 0.4, "lactose": 0.2, "galactose": 0.6}
"""Against sucrose: textbook values from memory; they only have to be near."""
NORRISH_K = {"sucrose": 6.47, "glucose": 2.25, "fructose": 2.15, "maltose": 4.54, "lactose": 10.2}
"""Norrish 1966 and later refits, from memory."""
PKA = {"lactic": (3.86,), "acetic": (4.76,), "citric": (3.13, 4.76, 6.40)}
"""At 25 °C and no ionic strength: handbook values, from memory."""


@pytest.fixture(scope="module")
def still(read: Read) -> Measured:
    """A dough without yeast: nothing happens in it after mixing."""
    return read(dict(LINES))


@pytest.fixture(scope="module")
def living(read: Read) -> Measured:
    return read({**LINES, **SOURDOUGH}, proof=Proof(27, 40))


def grams_of(dough: Measured, *figures: str) -> float:
    """Grams of something in all lines that are no sourdough, straight from the catalogue."""
    catalogue = dough.catalogue
    return sum(
        line.grams * catalogue.get(line.ingredient).figure(key) / 100.0
        for line in dough.formula.lines
        for key in figures
    )


def flour_of(dough: Measured, *properties: str) -> float:
    catalogue = dough.catalogue
    return sum(
        line.grams * math.prod(catalogue.get(line.ingredient).property(key) for key in ("flour", *properties))
        for line in dough.formula.lines
    )


# --- sums over the flour ----------------------------------------------------------------------------------------


def sums(dough: Measured) -> dict[str, float]:
    """The amount above the line of each reading that is in % of the flour, in grams."""
    catalogue = dough.catalogue
    moist = sum(
        line.grams
        * catalogue.get(line.ingredient).property("flour")
        * catalogue.get(line.ingredient).figure("water")
        / 100.0
        for line in dough.formula.lines
    )
    water = grams_of(dough, "water") - moist
    white = catalogue.get("white wheat flour").property("held_water")
    held = sum(
        line.grams
        * (
            catalogue.get(line.ingredient).property("held_water")
            - white * catalogue.get(line.ingredient).property("flour")
        )
        for line in dough.formula.lines
    )
    return {
        "hydration": water,
        "effective_hydration": water - held,
        "sugar": grams_of(dough, *SUGARS),
        "salt": grams_of(dough, "salt"),
        "fat": grams_of(dough, "fat"),
        "fibre": grams_of(dough, "fibre"),
        "rye_share": flour_of(dough, "rye"),
        "wholegrain_share": flour_of(dough, "wholegrain"),
    }


def test_the_sums_of_the_linear_readings(still: Measured) -> None:
    flour = flour_of(still)
    for key, top in sums(still).items():
        found = explain(still, key)
        scale, above, below, percent = numbers(found.steps[0])[:4]
        assert scale == 100
        assert above == pytest.approx(top, abs=0.051), key
        assert below == pytest.approx(flour, abs=0.051), key
        assert percent == pytest.approx(100.0 * top / flour, abs=0.0051), key
        assert found.reading.value == pytest.approx(min(100.0 * top / flour, 100.0), rel=1e-9), key
        assert sum(item.amount for item in found.inputs) == pytest.approx(top, rel=1e-9), key
        assert {item.unit for item in found.inputs} == {"g"}
        assert found.symbols.startswith(f"{label(key)} = 100 × ")


def test_sweetness_and_hexose_by_sugar(still: Measured) -> None:
    """Hexose by stoichiometry: a molecule of water joins the two halves of a disaccharide (342.3 to 360.3 g)."""
    sweetness = {item.name: float(item.value) for item in explain(still, "sweetness").parameters}
    hexose = {item.name: float(item.value) for item in explain(still, "fermentable_sugar").parameters}
    assert set(sweetness) == set(hexose) >= set(SUGARS)
    for sugar, value in SWEETNESS.items():
        assert sweetness[sugar] == pytest.approx(value, abs=0.15), sugar
    assert hexose["glucose"] == hexose["fructose"] == 1.0
    assert hexose["lactose"] == 0.0, "bakers' yeast does not touch it"
    for double in ("sucrose", "maltose"):
        assert hexose[double] == pytest.approx(360.31 / 342.30, abs=0.002)
    for key, each in (("sweetness", sweetness), ("fermentable_sugar", hexose)):
        top = sum(each[sugar] * grams_of(still, sugar) for sugar in each if sugar in SUGARS)
        assert explain(still, key).reading.value == pytest.approx(100.0 * top / flour_of(still), rel=0.03)


def test_flour_inside_sourdough_and_yeast(living: Measured) -> None:
    hydration = living.catalogue.get("rye sourdough").preferment.hydration  # type: ignore[union-attr]
    inside = 200.0 * 100.0 / (100.0 + hydration)
    flour = flour_of(living) + inside
    assert numbers(explain(living, "prefermented_flour").steps[0]) == [
        100.0,
        pytest.approx(inside, abs=0.051),
        pytest.approx(flour, abs=0.051),
        pytest.approx(100.0 * inside / flour, abs=0.0051),
    ]
    assert explain(living, "yeast").reading.value == pytest.approx(100.0 * 6.0 / flour, rel=1e-9)


# --- acidity ----------------------------------------------------------------------------------------------------


def test_ph_is_where_the_charges_balance(still: Measured) -> None:
    """10 g of dough in 100 mL of water, and the dough's own water; 25 °C, Kw 1e-14."""
    found = explain(still, "ph")
    litres = sum(LINES.values()) / 10.0 * 0.1 + grams_of(still, "water") / 1000.0
    assert numbers(found.steps[1])[:3] == [pytest.approx(litres, abs=0.0051), 10, 100]
    ph = found.reading.value
    assert numbers(found.steps[2]) == [pytest.approx(ph, abs=0.0051)]
    given_up = sum(item.amount for item in found.inputs)
    assert given_up == pytest.approx(1000.0 * litres * (10.0**-ph - 10.0 ** (ph - 14.0)), abs=1e-6)
    fixed = still.amount("fixed_charge")
    assert numbers(found.steps[0]) == [pytest.approx(fixed, abs=0.051)]
    assert {item.unit for item in found.inputs} == {"mmol acid given up"}


def test_pkas_are_those_of_handbooks(read: Read) -> None:
    sour = read({**LINES, "lemon juice": 20.0, "cider vinegar": 10.0})
    for key in ("ph", "tta"):
        shown = {item.name: numbers(item.value) for item in explain(sour, key).parameters}
        for acid, pkas in PKA.items():
            assert shown[f"pKa of {acid} acid"] == pytest.approx(list(pkas), abs=0.05), acid
    plain = explain(read({"water": 100.0, "white wheat flour": 100.0}), "ph").parameters
    assert not any("citric" in item.name for item in plain), "only acids that are in the dough"


# --- starch, water activity -------------------------------------------------------------------------------------


def test_water_activity_by_hand(read: Read) -> None:
    """Norrish for each sugar, Pitzer's salt, Ross's product, Oswin's sorption: written out for a lean sweet dough."""
    lines = {"white wheat flour": 500.0, "water": 300.0, "white sugar": 60.0, "salt": 9.0}
    dough = read(lines)
    white = dough.catalogue.get("white wheat flour")
    water, dry = grams_of(dough, "water"), 500.0 * (1.0 - white.figure("water") / 100.0)
    solvent = water - 0.25 * dry
    activity = 1.0
    for sugar, constant in NORRISH_K.items():
        grams = grams_of(dough, sugar)
        moles = grams / (180.156 if sugar in ("glucose", "fructose") else 342.297)
        share = moles / (moles + solvent / 18.015)
        activity *= (1.0 - share) * math.exp(-constant * share**2)
    molality = 1000.0 * grams_of(dough, "salt") / 58.443 / solvent
    root = math.sqrt(molality)
    osmotic = 1.0 - 0.3915 * root / (1.0 + 1.2 * root) + molality * (0.0765 + 0.2664 * math.exp(-2.0 * root))
    activity *= math.exp(-(osmotic + 0.00127 * molality**2) * 2.0 * molality * 0.018015)
    ratio = (water / dry / 0.12) ** 2.5
    sorption = ratio / (1.0 + ratio)
    found = explain(dough, "water_activity")
    assert numbers(found.steps[0]) == [pytest.approx(water, abs=0.51), pytest.approx(solvent, abs=0.51)]
    assert numbers(found.steps[1]) == [pytest.approx(sorption, abs=6e-5)]
    assert found.reading.value == pytest.approx(activity * sorption, abs=0.002)
    shown = dict(zip(re.findall(r"[a-z]+", found.parameters[0].value), numbers(found.parameters[0].value), strict=True))
    assert {sugar: shown[sugar] for sugar in NORRISH_K} == NORRISH_K
    assert numbers(found.parameters[2].value) == [0.25]
    assert "(X/0.12)^2.5" in found.symbols
    dissolved = sum(grams_of(dough, key) for key in (*SUGARS, "polyols", "dextrins", "salt", "alcohol"))
    assert sum(item.amount for item in found.inputs) == pytest.approx(dissolved, rel=0.01)


# --- how sure ---------------------------------------------------------------------------------------------------


def test_one_figure_alone_has_the_effect_that_is_told(read: Read) -> None:
    """Fibre of bran: half-width in g per 100 g, times its grams, over the flour."""
    dough = read({"white wheat flour": 500.0, "wheat bran": 50.0, "water": 300.0})
    bran = dough.catalogue.get("wheat bran")
    flour = 500.0 + 50.0 * bran.property("flour")
    (told,) = (item for item in explain(dough, "fibre").contributors if item.ingredient == "wheat bran")
    assert abs(told.effect) == pytest.approx(100.0 * 50.0 * bran.figures["fibre"].spread / 100.0 / flour, rel=1e-9)
