"""The numbers in an explanation of a reading, held against the ingredient tables and the reading itself."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from told_numbers import check_told, numbers

from adapter.dough.models.acidity import mean_charge
from adapter.dough.models.water_activity import solvent_water, sorption_factor
from adapter.dough.readings.kitchen import Calibration, Kitchen
from adapter.dough.readings.measured import MADE_SPREAD, Measured, measure
from adapter.dough.readings.totals import CELLS_SPREAD
from adapter.dough.why.explain_reading import Explanation, explain, lines_of, sentence
from adapter.formula.ingredient import figure_words
from adapter.formula.model import Bake, Formula, Line, Proof
from adapter.formula.problems import InputProblem

Read = Callable[..., Measured]

LINES = {
    "rye sourdough": 300.0,
    "wholemeal rye flour": 400.0,
    "white wheat flour": 150.0,
    "kefir": 120.0,
    "water": 260.0,
    "honey": 30.0,
    "salt": 12.0,
    "fresh yeast": 4.0,
}
DOUGH = sum(LINES.values())
SOUR_FLOUR = 150.0
FLOUR = SOUR_FLOUR + 400.0 + 150.0
RYE = (SOUR_FLOUR + 400.0) / FLOUR


@pytest.fixture(scope="module")
def dough(read: Read) -> Measured:
    lines = tuple(Line(name, grams, "sourdough" if "sour" in name else "dough") for name, grams in LINES.items())
    return read(Formula("sour", lines, proof=Proof(26.0, 35.0), bake=Bake(180.0, 96.0)))


def parameter(found: Explanation, name: str) -> str:
    return next(item.value for item in found.parameters if item.name.startswith(name))


def free_water_g(kitchen: Kitchen, name: str) -> float:
    """g of water in a gram, the flour's own moisture left out; in a sourdough what was added to its flour."""
    item = kitchen.catalogue.get(name)
    if item.preferment:
        return item.preferment.hydration / (100 + item.preferment.hydration)
    return 0.0 if item.property("flour") else item.figure("water") / 100


# --- linear ones ----------------------------------------------------------------------------------


def test_hydration(dough: Measured, kitchen: Kitchen) -> None:
    found = explain(dough, "hydration")
    water = {name: grams * free_water_g(kitchen, name) for name, grams in LINES.items()}
    total = sum(water.values())
    check_told(found.steps[0], 100, total, FLOUR, 100 * total / FLOUR)
    assert found.symbols.startswith("hydration = 100 × water")
    told = {item.ingredient: item.amount for item in found.inputs if item.amount > 1e-6}
    assert told == {name: pytest.approx(grams, rel=1e-9) for name, grams in water.items() if grams}
    amounts = [abs(item.amount) for item in found.inputs]
    assert amounts == sorted(amounts, reverse=True)
    assert {item.unit for item in found.inputs} == {"g"}


def test_masses(dough: Measured) -> None:
    found = explain(dough, "dough_mass")
    check_told(found.steps[0], DOUGH)
    assert {item.ingredient: item.amount for item in found.inputs} == pytest.approx(LINES)
    check_told(explain(dough, "flour_mass").steps[0], FLOUR)


def test_more_bran_than_flour_can_use_is_told(read: Read) -> None:
    much = read({"white wheat flour": 100, "wheat bran": 60, "water": 100})
    found = explain(much, "wholegrain_share")
    told = numbers(found.steps[0])
    assert told[-1] > 100 and told[-1] == pytest.approx(100 * told[1] / told[2], abs=0.1)
    assert found.steps[1].startswith("shown as 100:")
    assert found.reading.value == 100
    assert len(explain(read({"white wheat flour": 100, "wheat bran": 5, "water": 60}), "wholegrain_share").steps) == 1
    exact = read({"wholemeal rye flour": 100, "water": 60})
    assert len(explain(exact, "wholegrain_share").steps) == 1


def test_sweetness_names_each_sugar_with_its_number(dough: Measured, kitchen: Kitchen) -> None:
    sugars = kitchen.catalogue.substances.sugars
    sweet, fermentable = explain(dough, "sweetness"), explain(dough, "fermentable_sugar")
    assert {p.name: p.value for p in sweet.parameters} == {n: f"{s.sweetness:g}" for n, s in sugars.items()}
    assert {p.name: p.value for p in fermentable.parameters} == {n: f"{s.hexose:g}" for n, s in sugars.items()}


def test_effective_hydration_says_what_white_flour_holds(dough: Measured, kitchen: Kitchen) -> None:
    white = kitchen.catalogue.get("white wheat flour").properties["held_water"]
    (told,) = explain(dough, "effective_hydration").parameters
    assert (told.value, told.tag, told.source) == (f"{white.value:g}", white.tag, white.source)


# --- acidity --------------------------------------------------------------------------------------


def test_tta(dough: Measured, kitchen: Kitchen) -> None:
    """mL of 0.1 M NaOH for 10 g is mmol for 100 g: 100 x mmol / g of dough."""
    found = explain(dough, "tta")
    times, mmol, grams, result = numbers(re.sub(r"= (.*) mL", r"= \1", found.steps[0]))
    assert (times, grams) == (100, DOUGH)
    made = sum(amount for _, amount in acid_made(dough))
    assert mmol == pytest.approx(sum(item.amount for item in found.inputs) + made, abs=0.06)
    check_told(f"{result}", found.reading.value)
    assert result == pytest.approx(100 * mmol / DOUGH, abs=0.01)
    assert "n(8.5)" in found.symbols and found.symbols.startswith("TTA = 100 · ")


def test_acids_named_are_those_in_the_dough(dough: Measured, read: Read, kitchen: Kitchen) -> None:
    acids = kitchen.catalogue.substances.acids
    named = {item.name: item.value for item in explain(dough, "ph").parameters}
    assert {"pKa of lactic acid", "pKa of acetic acid", "pKa of gluconic acid"} <= set(named)
    assert "pKa of citric acid" not in named
    assert named["pKa of lactic acid"] == ", ".join(f"{pka:g}" for pka in acids["lactic"].pkas)
    assert explain(dough, "tta").parameters == explain(dough, "ph").parameters
    assert "pKa of citric acid" in {item.name for item in explain(read({**LINES, "lemon juice": 9}), "ph").parameters}


def acid_made(dough: Measured) -> list[tuple[str, float]]:
    """mmol of charge that the acids made in stages and proof take up to pH 8.5: all but the fixed ions' part."""
    keys, pkas = dough.layout.keys, dough.catalogue.substances.acids
    found = []
    for place, amount in dough.acids_made:
        name = keys[place]
        found.append((name, -amount if name == "fixed_charge" else amount * mean_charge(pkas[name].pkas, 8.5)))
    return found


def test_ph(dough: Measured, kitchen: Kitchen, read: Read) -> None:
    found = explain(dough, "ph")
    check_told(found.steps[0], dough.amount("fixed_charge"))
    check_told(found.steps[1], DOUGH / 100 + dough.amount("water") / 1000, 10, 100)
    check_told(found.steps[2], found.reading.value)
    made = {dough.layout.keys[place]: amount for place, amount in dough.acids_made}
    check_told(found.steps[3], made["lactic"], made["acetic"], made["succinic"])
    assert made["lactic"] > made["acetic"] > 0 < made["succinic"]
    # Acid given up and taken up are the same amount, but for what the proof made and the water of the slurry.
    at_ph = sum(
        -amount if dough.layout.keys[place] == "fixed_charge"
        else amount * mean_charge(dough.catalogue.substances.acids[dough.layout.keys[place]].pkas, found.reading.value)
        for place, amount in dough.acids_made
    )  # fmt: skip
    assert sum(item.amount for item in found.inputs) + at_ph == pytest.approx(0.0, abs=0.5)
    quiet = read({"white wheat flour": 500, "water": 320})
    if not quiet.acids_made:
        assert not any("yeast" in step for step in explain(quiet, "ph").steps)


# --- the rise -------------------------------------------------------------------------------------


def test_rise_time(dough: Measured) -> None:
    found = explain(dough, "rise_time")
    rise, hours = dough.rise, found.reading.value
    check_told(found.steps[0], 35, rise.gas_needed(), 100)
    steps = {step.split(":")[0]: step for step in found.steps}
    yeast_gas, bacteria_gas = numbers(steps["gas made by then"])
    assert yeast_gas + bacteria_gas == pytest.approx(rise.gas_needed(), abs=3.0)
    percent, own = numbers(next(step for step in found.steps if step.startswith("yeast ")))
    assert percent == pytest.approx(100 * 4 / FLOUR, abs=0.006)
    assert own == pytest.approx(100 * 300 * worth_of_sourdough(dough) / FLOUR, abs=0.006)
    rate = numbers(next(step for step in found.steps if "in the mean" in step))[0]
    assert rate == pytest.approx(rise.rate(hours), abs=0.51)
    assert rate == pytest.approx((yeast_gas + bacteria_gas) / hours, rel=0.1)
    assert {item.ingredient: item.amount for item in found.inputs} == {
        "fresh yeast": 4.0,
        "rye sourdough": pytest.approx(300 * worth_of_sourdough(dough)),
    }
    assert float(parameter(found, "gas rate")) == 86
    check_told(parameter(found, "density"), 1.12 + 0.05 * RYE)
    check_told(parameter(found, "retention"), rise.bubbles.retention)
    check_told(parameter(found, "air folded"), rise.bubbles.air)
    assert "bakes of this" not in next(item.source for item in found.parameters if item.name.startswith("gas"))


def worth_of_sourdough(dough: Measured) -> float:
    """What a gram of it is worth, in g of fresh yeast: 10^10 cells to the gram, each working as two pressed ones."""
    preferment = dough.kitchen.catalogue.get("rye sourdough").preferment
    assert preferment is not None
    return 2.0 * preferment.cells_per_g / 1e10


def test_an_own_gas_rate_is_told_as_own(dough: Measured) -> None:
    own = measure(replace(dough.kitchen, calibration=Calibration(gas_ml=95.0, bakes=3)), dough.formula)
    gas = next(item for item in explain(own, "rise_time").parameters if item.name.startswith("gas"))
    assert (gas.value, gas.tag) == ("95", "own")
    assert gas.source.startswith("3 bakes")


def test_pace(dough: Measured) -> None:
    lines = [replace(line, grams=8.0) if line.ingredient == "fresh yeast" else line for line in dough.formula.lines]
    faster = measure(dough.kitchen, dough.formula.with_lines(lines), dough)
    found = explain(faster, "pace")
    here = numbers(next(step for step in found.steps if "in the mean" in step))[0]
    book = numbers(found.steps[-1])[0]
    assert found.steps[-1].startswith("book: ")
    assert here / book == pytest.approx(found.reading.value, rel=0.02)
    assert book == pytest.approx(dough.rate, abs=0.6)
    assert found.reading.value > 1.3


# --- starch and water activity --------------------------------------------------------------------


def test_starch_attack(dough: Measured, read: Read) -> None:
    """Liquefaction number 6000 / (falling number - 50), ICC 107/1; a mixture of flours has the mean of theirs."""
    found = explain(dough, "starch_attack")
    catalogue = dough.kitchen.catalogue
    weights = {"wholemeal rye flour": SOUR_FLOUR + 400.0, "white wheat flour": 150.0}
    number = (
        sum(grams * 6000 / (catalogue.get(name).property("falling_number") - 50) for name, grams in weights.items())
        / FLOUR
    )
    check_told(found.steps[0], number, 6000 / number + 50)
    check_told(found.steps[1], dough.value("ph"), 100 * RYE)
    check_told(found.steps[2], dough.heating_c_per_min, 55, 85, 96)
    assert sum(item.amount for item in found.inputs) == pytest.approx(number * FLOUR)
    assert {item.ingredient for item in found.inputs} == {*weights, "rye sourdough"}


def test_water_activity(dough: Measured, kitchen: Kitchen) -> None:
    found = explain(dough, "water_activity")
    water, dry = dough.amount("water"), dough.amount("dry_flour")
    check_told(found.steps[0], water, solvent_water(water, dry))
    check_told(found.steps[1], sorption_factor(water, dry))
    honey = kitchen.catalogue.get("honey")
    names = ("glucose", "fructose", "sucrose", "maltose", "lactose", "galactose", "dextrins", "polyols")
    sugars = sum(honey.figure(name) for name in names)
    told = {item.ingredient: item.amount for item in found.inputs}
    assert told["honey"] == pytest.approx(0.30 * (sugars + honey.figure("salt") + honey.figure("alcohol")))
    assert parameter(found, "Norrish K").startswith("sucrose 6.47, glucose 2.25,")
    assert parameter(found, "water that dissolves") == "0.25 g per g dry flour"


# --- how sure -------------------------------------------------------------------------------------


def test_contributors_come_largest_first_with_their_own_figures(dough: Measured) -> None:
    catalogue = dough.kitchen.catalogue
    for key in ("ph", "tta", "sugar", "rise_time", "starch_attack"):
        found = explain(dough, key)
        sizes = [abs(item.effect) for item in found.contributors]
        assert sizes == sorted(sizes, reverse=True)
        effects = dough.contributions(key)
        assert {(item.ingredient, item.figure): item.effect for item in found.contributors} == effects
    told = {(item.ingredient, item.figure): item for item in explain(dough, "ph").contributors}
    acidity = catalogue.get("rye sourdough").acidity
    assert acidity is not None and acidity.ph is not None
    ph = told["rye sourdough", "ph"]
    assert ph.spread == f"{acidity.ph.value:g} ± {acidity.ph.spread:g}"
    assert (ph.tag, ph.source) == (acidity.ph.tag, acidity.ph.source)
    acids = told["rye sourdough", "acids"]
    assert acids.spread == f"±{100 * acidity.spread_of_totals:.0f} %"
    assert (acids.tag, acids.source) == (acidity.tag, acidity.source)
    made = next(item for item in explain(dough, "ph").contributors if item.ingredient.startswith("acids "))
    assert (made.tag, made.source) == ("A", "assumed here")
    assert made.spread == f"±{100 * MADE_SPREAD:.0f} %"
    cells = next(item for item in explain(dough, "rise_time").contributors if item.figure == "yeast cells")
    assert (cells.ingredient, cells.spread) == ("rye sourdough", f"±{100 * CELLS_SPREAD:.0f} %")
    falling = next(item for item in explain(dough, "starch_attack").contributors if item.figure == "falling_number")
    own = catalogue.get("wholemeal rye flour").properties["falling_number"]
    assert (falling.spread, falling.tag) == (f"{own.value:g} ± {own.spread:g}", own.tag)
    water = next(item for item in explain(dough, "hydration").contributors if item.figure == "water")
    assert water.source == catalogue.get(water.ingredient).figures["water"].source


def test_the_models_own_share(dough: Measured) -> None:
    """By tolerances.toml: an absolute part and one relative to the value, in squares."""
    for key in ("ph", "tta", "rise_time", "starch_attack", "water_activity", "hydration"):
        row, value = dough.kitchen.tolerances[key], dough.value(key)
        share = math.hypot(row.model_spread, row.model_spread_relative * value)
        assert explain(dough, key).model_spread == pytest.approx(share, rel=1e-12), key


def test_what_is_no_reading(dough: Measured) -> None:
    with pytest.raises(InputProblem, match="'gusto' is no reading") as caught:
        explain(dough, "gusto")
    assert "one of hydration, effective hydration" in str(caught.value)
    with pytest.raises(InputProblem, match=r"'sweetnes' is no reading.*nearest: sweetness"):
        explain(dough, "sweetnes")


def test_an_explanation_as_lines(dough: Measured) -> None:
    found = explain(dough, "ph")
    lines = lines_of(found, 3)
    assert lines[0] == f"pH {found.reading.value:.1f} ± {found.reading.spread:.1f}", "as its level shows it"
    assert lines[2] == f"{found.reading.basis}.", "a sentence first"
    assert lines[3:7] == [f"  {step}" for step in found.steps]
    assert lines[8:10] == [f"As a formula: {found.symbols}", f"  where {found.meaning}"]
    assert all(f"{symbol}:" in found.meaning for symbol in ("n(pH)", "SID", "L"))
    at = lines.index("What each line brings:")
    for item, line in zip(found.inputs, lines[at + 1 :], strict=False):
        check_told(line, item.amount, item.grams)
        assert line.endswith(f"{item.unit}  from {item.grams:g} g {item.ingredient}")
    at = lines.index("Parameters:")
    assert lines[at - 1] == ""
    told = [line for line in lines[at + 1 :] if line.startswith("  pKa")]
    assert told == [f"  {p.name}: {p.value}  [{p.tag}: {p.source}]" for p in found.parameters]
    at = next(number for number, line in enumerate(lines) if line.startswith("How sure"))
    for item, line in zip(found.contributors[:3], lines[at + 1 :], strict=False):
        assert float(line.split()[0]) == pytest.approx(abs(item.effect), rel=0.005)
        assert line.endswith(f"{figure_words(item.figure)} {item.spread}  [{item.tag}: {item.source}]")
    assert float(lines[at + 4].split()[0]) == pytest.approx(found.model_spread, rel=0.005)
    assert lines[at + 4].endswith("  the model itself")
    assert lines[at + 5 : -1] == ["", found.claim]
    sure = lines_of(explain(dough, "dough_mass"))
    assert "  nothing: it follows from the weights alone" in sure
    assert "Parameters:" not in sure and not any("the model itself" in line for line in sure)
    assert sure[0].endswith(" g")
    usual = lines_of(found)
    at = next(number for number, line in enumerate(usual) if line.startswith("How sure"))
    assert usual.index(found.claim) - at == 8 + 3, "eight contributors, the model, an empty line"


def test_words_that_stand_alone_are_a_sentence() -> None:
    for text, told in (
        ("hours until it is up", "Hours until it is up."),
        ("pH of the slurry", "pH of the slurry."),
        ("Yeast as fresh", "Yeast as fresh."),
        ("a gram, in all.", "A gram, in all."),
        ("g", "G."),
    ):
        assert sentence(text) == told


def test_more_acid_made_is_sourer(dough: Measured) -> None:
    """A half-width more of what stages and proof make: more TTA by that part of what they make, and a lower pH."""
    key = ("acids made in stages and proof", "amount")
    bases = dough.value("tta") - tta_without_what_is_made(dough)
    assert dough.contributions("tta")[key] == pytest.approx(MADE_SPREAD * bases)
    assert dough.contributions("ph")[key] < 0.0 < dough.contributions("tta")[key]


def tta_without_what_is_made(dough: Measured) -> float:
    """mL of 0.1 M NaOH for 10 g up to pH 8.5, of the acids that came with the lines alone."""
    layout, amounts = dough.layout, list(dough.totals)
    for place, made in dough.acids_made:
        amounts[place] -= made
    charges = [
        amount * mean_charge(kind.pkas, 8.5)
        for amount, kind in zip(amounts[layout.first_species :], layout.species, strict=True)
    ]
    return 100.0 * (sum(charges) - amounts[layout.index["fixed_charge"]]) / dough.amount("mass")
