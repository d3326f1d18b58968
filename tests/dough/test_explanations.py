"""Every number that `why` prints of a reading, worked out again from the tables and from formulas written here.

The parameters are compared with values written out below, each with where it is from; none is taken from the program.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import READINGS
from adapter.dough.why.explain_reading import Explanation, explain, lines_of
from adapter.formula.model import Formula, Line, Proof
from adapter.formula.problems import InputProblem

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


def numbers(text: str) -> list[float]:
    return [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", text.replace("−", "-"))]


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
        assert found.symbols.startswith(f"{key} = 100 x ")


def test_each_line_brings_what_is_in_it(still: Measured) -> None:
    for key in ("fat", "fibre", "salt"):
        brought = {item.ingredient: item for item in explain(still, key).inputs}
        expected = {name: grams * still.catalogue.get(name).figure(key) / 100.0 for name, grams in LINES.items()}
        assert {name: item.amount for name, item in brought.items()} == pytest.approx(
            {name: amount for name, amount in expected.items() if amount}
        )
        assert {name: item.grams for name, item in brought.items()} == {name: LINES[name] for name in brought}
        amounts = [item.amount for item in explain(still, key).inputs]
        assert amounts == sorted(amounts, reverse=True)


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


def test_the_cap_of_the_wholegrain_share_is_told(read: Read) -> None:
    branny = read({"wholemeal rye flour": 500.0, "wheat bran": 80.0, "water": 400.0})
    found = explain(branny, "wholegrain_share")
    assert numbers(found.steps[0])[3] > 100.0
    assert found.steps[1].startswith("shown as 100:") and found.reading.value == 100.0
    assert len(explain(read({"white wheat flour": 500.0, "water": 300.0}), "wholegrain_share").steps) == 1


def test_masses_are_sums_of_grams(still: Measured) -> None:
    assert numbers(explain(still, "dough_mass").steps[0]) == [pytest.approx(sum(LINES.values()), abs=0.051)]
    assert numbers(explain(still, "flour_mass").steps[0]) == [pytest.approx(flour_of(still), abs=0.051)]
    assert explain(still, "flour_mass").symbols == "flour_mass = milled grain, that in sourdough too"


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


def test_water_held_is_that_of_the_table(still: Measured, kitchen: Kitchen) -> None:
    (held,) = explain(still, "effective_hydration").parameters
    figure = kitchen.catalogue.get("white wheat flour").properties["held_water"]
    assert (float(held.value), held.tag, held.source) == (figure.value, figure.tag, figure.source)
    assert explain(still, "hydration").parameters == ()


# --- acidity ----------------------------------------------------------------------------------------------------


def test_tta_is_what_is_taken_up_over_the_dough(still: Measured) -> None:
    found = explain(still, "tta")
    scale, taken, mass, ml = numbers(found.steps[0])
    assert (scale, mass) == (100, round(sum(LINES.values())))
    assert taken == pytest.approx(sum(item.amount for item in found.inputs), abs=0.051)
    assert ml == pytest.approx(100.0 * taken / mass, abs=0.01)
    assert found.reading.value == pytest.approx(ml, abs=0.0051)
    assert {item.unit for item in found.inputs} == {"mmol"}
    assert "n(8.5)" in found.symbols and "pH 8.5" in found.reading.basis


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


def test_the_acids_that_are_made_are_told_where_any_are(still: Measured, living: Measured) -> None:
    said = "by yeast and bacteria, and counted"
    assert not any(said in step for step in explain(still, "ph").steps)
    made = next(step for step in explain(living, "ph").steps if said in step)
    assert "lactic" in made and min(numbers(made)) > 0


def test_pkas_are_those_of_handbooks(read: Read) -> None:
    sour = read({**LINES, "lemon juice": 20.0, "cider vinegar": 10.0})
    for key in ("ph", "tta"):
        shown = {item.name: numbers(item.value) for item in explain(sour, key).parameters}
        for acid, pkas in PKA.items():
            assert shown[f"pKa of {acid} acid"] == pytest.approx(list(pkas), abs=0.05), acid
    plain = explain(read({"water": 100.0, "white wheat flour": 100.0}), "ph").parameters
    assert not any("citric" in item.name for item in plain), "only acids that are in the dough"


# --- starch, water activity -------------------------------------------------------------------------------------


def test_liquefaction_adds_up_and_the_falling_number_does_not(still: Measured) -> None:
    """6000/(FN − 50) adds up over a blend: grain inspection's blending formula."""
    catalogue = still.catalogue
    flour = flour_of(still)
    total = 0.0
    for name, grams in LINES.items():
        falling = catalogue.get(name).properties.get("falling_number")
        if falling is not None:
            share = grams * catalogue.get(name).property("flour") / flour
            total += share * 6000.0 / (falling.value - 50.0)
    found = explain(still, "starch_attack")
    assert numbers(found.steps[0]) == [
        pytest.approx(total, abs=0.51),
        pytest.approx(6000.0 / total + 50.0, abs=0.51),
    ]
    assert sum(item.amount for item in found.inputs) == pytest.approx(total * flour, rel=1e-9)
    assert numbers(found.steps[1]) == [
        pytest.approx(still.values["ph"], abs=0.0051),
        pytest.approx(100.0 * flour_of(still, "rye") / flour, abs=0.51),
    ]
    warming, low, high, core = numbers(found.steps[2])
    assert warming == pytest.approx(still.heating_c_per_min, abs=0.0051)
    assert (low, high, core) == (55, 85, still.loaf_class.core_c)
    assert explain(still, "starch_attack").parameters[0].value == "pure rye, falling number 150, pH 5.5, 2 °C/min"
    assert [item.value for item in found.parameters[1:]] == ["5.5", "rye 60, wheat 66", "3"]


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


# --- the rise ---------------------------------------------------------------------------------------------------


def test_the_gas_of_the_proof_adds_up(living: Measured) -> None:
    found = explain(living, "rise_time")
    percent, needed = numbers(found.steps[0])[:2]
    assert percent == 40
    yeast = numbers(found.steps[1])[0]
    assert yeast == pytest.approx(living.values["yeast"], abs=0.0051)
    by_yeast, by_bacteria = numbers(found.steps[3])
    assert by_yeast + by_bacteria == pytest.approx(needed, rel=0.02)
    rate = numbers(found.steps[4])[0]
    assert (by_yeast + by_bacteria) / found.reading.value == pytest.approx(rate, abs=1.0)
    assert {item.ingredient for item in found.inputs} == {"rye sourdough", "fresh yeast"}
    assert next(item.amount for item in found.inputs if item.ingredient == "fresh yeast") == pytest.approx(6.0)


def test_the_parameters_of_the_rise(living: Measured) -> None:
    """Cardinal values fitted to published gas rates; pH range of growth Praphailong and Fleet 1997."""
    shown = {item.name: item.value for item in explain(living, "rise_time").parameters}
    assert shown["pH of gas making"] == "1.8 / 5.0 / 8.2"
    assert shown["least water activity"] == "0.88"
    lowest, best, highest = numbers(shown["temperatures of gas making, °C"])
    assert lowest < 10 and 30 <= best <= 40 and 42 <= highest <= 50
    rye = living.values["rye_share"] / 100.0
    assert numbers(shown["density of the dough, g/mL"]) == [pytest.approx(1.12 + 0.05 * rye, abs=0.0051)]


def test_pace_is_told_against_the_book(read: Read, living: Measured) -> None:
    quick = read({**LINES, **SOURDOUGH, "fresh yeast": 12.0}, living, proof=Proof(27, 40))
    found = explain(quick, "pace")
    here, book = numbers(found.steps[4])[0], numbers(found.steps[-1])[0]
    assert here / book == pytest.approx(found.reading.value, rel=0.02)
    assert found.reading.value > 1.2


# --- all of them ------------------------------------------------------------------------------------------------


def test_contributors_are_figures_of_the_table_and_come_largest_first(living: Measured) -> None:
    for key in ("ph", "tta", "fibre", "effective_hydration", "starch_attack"):
        found = explain(living, key)
        sizes = [abs(item.effect) for item in found.contributors]
        assert sizes == sorted(sizes, reverse=True) and sizes[0] > 0
        for item in found.contributors:
            ingredient = living.catalogue.ingredients.get(item.ingredient)
            if ingredient is None or item.figure in ("acids", "yeast cells"):
                assert re.fullmatch(r"±\d+ %", item.spread), item
                continue
            figure = ingredient.figures.get(item.figure) or ingredient.properties.get(item.figure)
            if item.figure == "ph":
                assert ingredient.acidity is not None
                figure = ingredient.acidity.ph
            assert figure is not None
            assert item.spread == f"{figure.value:g} ± {figure.spread:g}"
            assert (item.tag, item.source) == (figure.tag, figure.source)


def test_one_figure_alone_has_the_effect_that_is_told(read: Read) -> None:
    """Fibre of bran: half-width in g per 100 g, times its grams, over the flour."""
    dough = read({"white wheat flour": 500.0, "wheat bran": 50.0, "water": 300.0})
    bran = dough.catalogue.get("wheat bran")
    flour = 500.0 + 50.0 * bran.property("flour")
    (told,) = (item for item in explain(dough, "fibre").contributors if item.ingredient == "wheat bran")
    assert abs(told.effect) == pytest.approx(100.0 * 50.0 * bran.figures["fibre"].spread / 100.0 / flour, rel=1e-9)


def test_acids_of_an_ingredient_are_as_unsure_as_the_table_says(living: Measured) -> None:
    acids = {item.ingredient: item for item in explain(living, "tta").contributors if item.figure == "acids"}
    for name, item in acids.items():
        acidity = living.catalogue.get(name).acidity
        assert acidity is not None
        assert item.spread == f"±{100 * acidity.spread_of_totals:.0f} %"
        assert (item.tag, item.source) == (acidity.tag, acidity.source)
    assert "kefir" in acids


def lines_in(text: list[str], head: str) -> list[str]:
    """The lines of a part, up to the empty line after it."""
    first = text.index(head) + 1
    return text[first : text.index("", first)]


def test_the_text_says_all_of_it(living: Measured) -> None:
    for reading in READINGS:
        found = explain(living, reading.key)
        text = lines_of(found)
        assert text[0].startswith(f"{reading.key} = {found.reading.value:.4g} ± {found.reading.spread:.3g}")
        assert text[2] == found.symbols
        assert text[3 : 3 + len(found.steps)] == [f"  {step}" for step in found.steps]
        brought = lines_in(text, "What each line brings:")
        assert [numbers(line)[0] for line in brought] == pytest.approx([i.amount for i in found.inputs], abs=0.0051)
        assert ("Parameters:" in text) == bool(found.parameters)
        if found.parameters:
            assert len(lines_in(text, "Parameters:")) == len(found.parameters)
        sure = lines_in(text, "How sure, and what contributes most (effect of one half-width):")
        assert len(sure) == min(len(found.contributors), 8) + bool(found.model_spread)
        shown = [float(line.split()[0]) for line in sure]
        told = [abs(item.effect) for item in found.contributors[:8]] + [found.model_spread] * bool(found.model_spread)
        assert shown == pytest.approx(told, rel=0.006)
        assert text[-2] == found.claim and text[-1].startswith("Tags: P ")


def test_the_models_own_share_is_that_of_the_table(living: Measured, still: Measured) -> None:
    for key, tolerance in living.kitchen.tolerances.items():
        value = living.values[key]
        size = value - 1.0 if key == "pace" else value
        expected = math.hypot(tolerance.model_spread, tolerance.model_spread_relative * size)
        assert explain(living, key).model_spread == pytest.approx(expected, rel=1e-12), key
    assert math.isinf(still.values["rise_time"]) and explain(still, "rise_time").model_spread == 0.0


def test_no_reading(still: Measured) -> None:
    with pytest.raises(InputProblem, match="'ash' is no reading") as problem:
        explain(still, "ash")
    assert "sweetness" in str(problem.value)


def test_an_explanation_is_of_the_dough_it_is_asked_of(dark_loaf: Formula, read: Read) -> None:
    salted = read(dark_loaf.with_lines((*dark_loaf.lines, Line("salt", 5.0))), read(dark_loaf))
    found: Explanation = explain(salted, "salt")
    assert found.reading.value == salted.values["salt"] != salted.book.values["salt"]
