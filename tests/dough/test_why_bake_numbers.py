"""The numbers in an explanation of the bake plan, held against the formula, the plan and the balance of heat."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from told_numbers import check_told, numbers

from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.mixing import Temperatures
from adapter.dough.bake.plan import BakePlan, bake_plan
from adapter.dough.models.oven import bake_minutes
from adapter.dough.readings.kitchen import Calibration
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.why.bake_explanation import BakeWhy
from adapter.dough.why.explain_bake import explain_bake
from adapter.formula.model import Bake, Formula, Line, Proof, Tin

Read = Callable[..., Measured]

NOW = datetime(2026, 11, 24, 9, 0)
SOUR = Formula(
    "sour",
    (
        Line("rye sourdough", 300.0, "sourdough"),
        Line("wholemeal rye flour", 400.0),
        Line("white wheat flour", 150.0),
        Line("kefir", 120.0),
        Line("water", 260.0),
        Line("honey", 30.0),
        Line("salt", 12.0),
        Line("fresh yeast", 4.0),
    ),
    tin=Tin(0.22, 0.10, 0.22, 0.10, 0.10, lidded=True),
    bake=Bake(170.0, 97.0),
)
RYE_FLOUR = 150.0 + 400.0
FLOUR = RYE_FLOUR + 150.0
DOUGH = 1276.0


@pytest.fixture(scope="module")
def dough(read: Read) -> Measured:
    return read(SOUR)


@pytest.fixture(scope="module")
def plan(dough: Measured) -> BakePlan:
    return bake_plan(dough, BakeInputs(), NOW)


def planned(measured: Measured, **inputs: object) -> BakePlan:
    return bake_plan(measured, BakeInputs(**inputs), NOW)  # type: ignore[arg-type]


def parameter(why: BakeWhy, name: str) -> str:
    return next(item.value for item in why.parameters if item.name.startswith(name))


def spreads(why: BakeWhy) -> dict[str, float]:
    return {cause: float(effect.split()[0]) for effect, cause in why.spread}


# --- the bowl -------------------------------------------------------------------------------------


def test_the_liquid(dough: Measured, plan: BakePlan) -> None:
    """Wetting 10 kJ per kg of flour that is new to water, mixing by hand 3 kJ per kg of dough: assumed."""
    why = explain_bake(dough, plan, "liquid")
    mixing = plan.mixing
    capacity = sum(line.grams * line.specific_heat for line in mixing.lines) / 1000
    wetting = 10.0 * 550 / 1000
    water = next(line for line in mixing.lines if line.is_liquid)
    warmth = sum(
        line.grams / 1000 * line.specific_heat * (28.0 - line.temperature_c)
        for line in mixing.lines
        if line is not water
    )
    balance = 28.0 + (warmth - 0.003 * DOUGH - wetting) / (0.26 * water.specific_heat)
    check_told(why.value, balance, 0.0, 28.0, 28.0)
    check_told(why.steps[0], capacity)
    check_told(why.steps[1], 0.003 * DOUGH, wetting)
    check_told(why.steps[2], balance, 0.0, 45.0)
    # Four factors: flour, room and sourdough besides the liquid, 3 °C for mixing by hand (common practice).
    check_told(why.steps[3], 4, 28.0, 20.0, 20.0, 20.0, 3.0, 4 * 28.0 - 60.0 - 3.0)
    assert why.steps[4] == mixing.why_rule_differs
    assert len(why.steps) == 5
    assert float(parameter(why, "heat of mixing")) == 3
    assert float(parameter(why, "heat of wetting")) == 10
    assert float(parameter(why, "friction")) == 3
    assert float(parameter(why, "melting of ice")) == 333.6
    assert float(parameter(why, "flour from the bag")) == 1.85


def test_the_liquid_by_machine_with_ice(read: Read) -> None:
    """On a hot day the balance goes below zero; the ice is what melting and warming to the dough take up."""
    measured = read({"white wheat flour": 1000, "water": 640, "salt": 20, "fresh yeast": 20})
    at = planned(measured, temperatures=Temperatures(room_c=44.0, tap_c=20.0, by_machine=True), wanted_dough_c=23.0)
    why = explain_bake(measured, at, "ice")
    assert why == explain_bake(measured, at, "liquid") == explain_bake(measured, at, "dough_c")
    liquid = at.mixing.liquid
    assert liquid.balance_c is not None and liquid.balance_c < 0 < liquid.ice_g
    water_c = next(line.specific_heat for line in at.mixing.lines if line.is_liquid)
    ice = 640 * water_c * (20.0 - liquid.balance_c) / (333.6 + water_c * 20.0)
    check_told(why.value, 20.0, ice, 23.0, 23.0)
    assert numbers(why.steps[3])[-1] == pytest.approx(ice, abs=0.5)
    check_told(why.steps[1], 0.012 * 1680, 10.0)
    assert float(parameter(why, "heat of mixing")) == 12
    assert numbers(why.steps[4])[-2:] == [float(parameter(why, "friction")), round(at.mixing.rule_c)]
    assert numbers(why.steps[4])[:2] == [3, 23.0], "three factors without a sourdough"


def test_no_liquid_to_set(read: Read) -> None:
    measured = read({"wholemeal rye flour": 600, "kefir": 500, "salt": 12, "fresh yeast": 8})
    at = planned(measured)
    why = explain_bake(measured, at, "liquid")
    assert why.value.startswith("liquid none to set, ice 0 g, dough ")
    check_told(why.value, 0.0, at.mixing.dough_c, 28.0)
    check_told(next(step for step in why.steps if "no liquid to set" in step), at.mixing.dough_c)
    assert not any("ice =" in step for step in why.steps)
    assert "the liquid that is sought" not in "".join(name for _, name in why.inputs)


def test_what_the_lines_of_the_bowl_hold(dough: Measured, plan: BakePlan) -> None:
    why = explain_bake(dough, plan, "liquid")
    kept = {"kefir": 6.0, "fresh yeast": 6.0}
    held = {line.name: line.grams * line.specific_heat / 1000 for line in plan.mixing.lines}
    assert [text.partition(",")[0] for _, text in why.inputs] == sorted(held, key=lambda name: -held[name])
    grams = {line.ingredient: line.grams for line in SOUR.lines}
    for first, text in why.inputs:
        name = text.partition(",")[0]
        check_told(first, held[name], kept.get(name, 20.0))
        assert numbers(text)[0] == grams[name]
        assert numbers(text)[1] == pytest.approx(1000 * held[name] / grams[name], abs=0.006)
        assert ("the liquid that is sought" in text) == (name == "water")


def test_how_sure_the_bowl_is(dough: Measured, plan: BakePlan) -> None:
    """A cause is worth its heat over what all lines hold: wetting ± 5 kJ/kg, mixing by half, a line 2 °C off."""
    found = spreads(explain_bake(dough, plan, "liquid"))
    capacity = sum(line.grams * line.specific_heat for line in plan.mixing.lines) / 1000
    causes = {"heat of wetting ± 5 kJ/kg": 5 * 0.55 / capacity, "a cold or warm bowl": 1.0}
    causes["heat of mixing wrong by 50 %"] = 0.5 * 0.003 * DOUGH / capacity
    for line in plan.mixing.lines:
        if line.name != "water":
            causes[f"{line.name} 2 °C warmer than thought"] = 2 * line.grams * line.specific_heat / 1000 / capacity
    largest = sorted(causes, key=lambda cause: -causes[cause])[:8]
    assert found == {cause: pytest.approx(causes[cause], rel=0.005) for cause in largest}


def test_the_weight_of_the_dough(dough: Measured, read: Read) -> None:
    rolls = read(replace(SOUR, pieces=4, tin=None))
    why = explain_bake(rolls, planned(rolls), "dough_g")
    check_told(why.value, DOUGH, 4, DOUGH / 4)
    told = [(numbers(grams)[0], name) for grams, name in why.inputs]
    assert told == sorted(((line.grams, f"{line.ingredient} ({line.stage})") for line in SOUR.lines), reverse=True)
    emptied = read(replace(SOUR, lines=(*SOUR.lines, Line("butter", 0.0))))
    assert len(explain_bake(emptied, planned(emptied), "dough_g").inputs) == len(SOUR.lines)


def test_the_tin(dough: Measured, plan: BakePlan) -> None:
    """22 x 10 x 10 cm hold 2.2 L; rye 1.17 and wheat 1.12 g/mL by their shares; the rise is the class's."""
    why = explain_bake(dough, plan, "tin")
    density = 1.12 + (1.17 - 1.12) * RYE_FLOUR / FLOUR
    rise = 1 + plan.rise_percent / 100
    spring = dough.loaf_class.spring
    middle = (spring.low + spring.high) / 2
    fill = 100 * DOUGH / density / 2200 * rise * middle
    check_told(why.steps[0], 2.2)
    check_told(why.steps[1], DOUGH, density, DOUGH / density)
    check_told(why.steps[2], rise, middle, 2200, fill)
    wanted = dough.loaf_class.fill
    assert wanted is not None
    check_told(why.value, fill, (wanted.low + wanted.high) / 2 * 2200 * density / rise / middle)
    assert dict(why.inputs) == {"piece": "1276 g", "rise": f"{plan.rise_percent:.0f} %", "class": dough.loaf_class.name}
    check_told(parameter(why, "density"), density)
    check_told(parameter(why, "spring"), spring.low, spring.high)
    assert spreads(why) == {
        "spring at the end of its range": pytest.approx(fill * (spring.high / middle - 1), rel=0.005),
        "density 2 % off": pytest.approx(0.02 * fill, rel=0.005),
        "rise stopped 5 % late": pytest.approx(0.05 * fill / rise, rel=0.005),
    }


# --- yeast and proof ------------------------------------------------------------------------------


def test_the_yeast(read: Read) -> None:
    """Dry yeasts are worth more than fresh: of the table, each by its own row. Above 2.5 % it counts for less."""
    measured = read({"white wheat flour": 500, "water": 320, "fresh yeast": 10, "instant yeast": 4, "salt": 9})
    why = explain_bake(measured, planned(measured), "yeast")
    worth = measured.kitchen.catalogue.get("instant yeast").property("yeast")
    percent = 100 * (10 + 4 * worth) / 500
    check_told(why.value, 14, percent)
    effective = 2.5 * (percent / 2.5) ** 0.7
    assert percent > 2.5
    assert numbers(why.steps[0])[0] == pytest.approx(effective, abs=0.006)
    assert [numbers(text) for pair in why.inputs for text in pair] == [[10.0], [1.0], [4.0], [worth]]
    assert [item.value for item in why.parameters] == ["1.00 g", f"{1 / worth:.2f} g"]


def test_the_proof(read: Read) -> None:
    """A dough of its own temperature goes over to the place's with a time constant of 1.5 h (assumed here)."""
    measured = read(replace(SOUR, proof=Proof(24.0, 40.0)))
    at = planned(measured, wanted_dough_c=27.5)
    why = explain_bake(measured, at, "proof")
    steps = " / ".join(why.steps)
    hours = at.proof_h.value
    mean = 24.0 + (27.5 - 24.0) * 1.5 / hours * (1 - math.exp(-hours / 1.5))
    check_told(why.steps[0], 27.5, 24.0, mean)
    assert 24.2 < mean < 27.0
    rise, needed, per = numbers(why.steps[1])
    assert (rise, per) == (40, 100)
    # What has been made by then is what the rise takes: by yeast and by bacteria together.
    yeast_gas, bacteria_gas = numbers(next(step for step in why.steps if step.startswith("gas made by then")))
    assert yeast_gas > bacteria_gas > 0
    assert yeast_gas + bacteria_gas == pytest.approx(needed, abs=3.0)
    fresh = numbers(next(step for step in why.steps if step.startswith("yeast ")))[0]
    assert fresh == pytest.approx(100 * 4 / FLOUR, abs=0.006)
    assert "pH then" in steps
    check_told(why.value, hours, at.proof_h.low, at.proof_h.high)
    assert parameter(why, "dough goes over") == "1.5"
    assert [name for _, name in why.inputs] == [
        "from 4 g fresh yeast (dough)",
        "from 300 g rye sourdough (sourdough)",
    ]
    assert numbers(why.inputs[0][0])[0] == 4.0


def test_the_doubts_of_the_proof_follow_its_hours(read: Read) -> None:
    """What a figure changes in the rise time, in proportion to the hours of the day; the model makes up the rest."""
    measured = read(replace(SOUR, proof=Proof(24.0, 40.0)))
    at = planned(measured, wanted_dough_c=27.5)
    scale = at.proof_h.value / measured.value("rise_time")
    assert scale < 0.95
    found = spreads(explain_bake(measured, at, "proof"))
    behind = measured.contributions("rise_time")
    cells = next(size for cause, size in found.items() if "yeast cells" in cause)
    assert cells == pytest.approx(scale * abs(behind["rye sourdough", "yeast cells"]), rel=0.005)
    rest = (at.proof_h.high - at.proof_h.value) ** 2 - sum((scale * effect) ** 2 for effect in behind.values())
    assert found["the model itself"] == pytest.approx(math.sqrt(rest), rel=0.005)


def test_a_dough_that_does_not_rise_is_told_so(read: Read) -> None:
    measured = read({"wholemeal rye flour": 500, "water": 400, "salt": 10})
    at = planned(measured)
    proof, clock = explain_bake(measured, at, "proof"), explain_bake(measured, at, "clock")
    assert proof.value == "it does not rise"
    assert clock.value == "no plan: the dough does not rise"
    assert clock.inputs == clock.spread == ()
    assert "the model itself" not in spreads(proof)


# --- the oven -------------------------------------------------------------------------------------


def test_the_bake(dough: Measured, plan: BakePlan) -> None:
    why = explain_bake(dough, plan, "bake")
    span, loaf = plan.bake_min, plan.loaf
    check_told(why.value, span.value, span.low, span.high)
    raw = DOUGH / (1.12 + 0.05 * RYE_FLOUR / FLOUR)
    spring = (dough.loaf_class.spring.low + dough.loaf_class.spring.high) / 2
    height = raw * (1 + plan.rise_percent / 100) * spring / 220
    assert numbers(why.steps[0])[:4] == [22.0, 10.0, pytest.approx(height, abs=0.06), DOUGH]
    density = DOUGH / 1e3 / loaf.volume_m3
    heat = 2.85 + (3.0 - 2.85) * RYE_FLOUR / FLOUR
    assert numbers(why.steps[1])[0] == pytest.approx(1e7 * 0.7 / (density * heat * 1000), abs=0.006)
    check_told(why.steps[2], plan.place_c, 97.0, 170.0)
    check_told(why.steps[3], plan.heating_c_per_min, 55, 85)
    assert dict(why.inputs) == {"oven": "170 °C", "core": "97.0 °C", "dough as it goes in": "28.0 °C"}
    assert why.steps[4] == "no bake is logged: the model as it is"
    check_told(parameter(why, "conductivity"), 0.7)
    check_told(parameter(why, "oven to loaf"), 12.5)
    check_told(parameter(why, "specific heat"), heat)
    check_told(parameter(why, "spread"), 20)
    spread = next(item for item in why.parameters if item.name == "spread")
    assert (spread.tag, spread.source) == ("A", "± 20 % until bakes are logged")


def test_how_sure_the_bake_is(dough: Measured, plan: BakePlan) -> None:
    """Each cause alone, by baking the same loaf again: k less by 15 %, h by 20 %, oven 10 °C, core 1 °C."""
    loaf, value = plan.loaf, plan.bake_min.value
    poor = replace(loaf, conductivity=0.85 * loaf.conductivity)
    again: Mapping[str, float] = {
        "conductivity 15 % less": bake_minutes(poor, 170.0, 97.0, 28.0).value,
        "heat from the oven 20 % less": bake_minutes(loaf, 170.0, 97.0, 28.0, 0.8 * 12.5).value,
        "oven 10 °C cooler than it says": bake_minutes(loaf, 160.0, 97.0, 28.0).value,
        "core 1 °C more": bake_minutes(loaf, 170.0, 98.0, 28.0).value,
    }
    found = spreads(explain_bake(dough, plan, "bake"))
    assert found == {cause: pytest.approx(abs(minutes - value), rel=0.005) for cause, minutes in again.items()}
    assert all(minutes > value for minutes in again.values())


def test_the_bake_at_the_ends_of_oven_and_core(dough: Measured) -> None:
    """No oven below 105 °C and no core above 99.5 °C is asked of the model."""
    at = planned(dough, oven_c=110.0, core_c=99.0)
    loaf, value = at.loaf, at.bake_min.value
    found = spreads(explain_bake(dough, at, "bake"))
    cooler = bake_minutes(loaf, 105.0, 99.0, 28.0).value - value
    hotter = bake_minutes(loaf, 110.0, 99.5, 28.0).value - value
    assert found["oven 10 °C cooler than it says"] == pytest.approx(cooler, rel=0.005)
    assert found["core 1 °C more"] == pytest.approx(hotter, rel=0.005)


def test_an_own_oven_is_told_as_own(dough: Measured) -> None:
    own = measure(
        replace(dough.kitchen, calibration=Calibration(oven_factor=1.1, oven_spread=0.13, oven_bakes=2)), SOUR
    )
    at = planned(own)
    why = explain_bake(own, at, "bake")
    check_told(why.steps[4].replace("this kitchen's log", ""), 1.1, 2)
    spread = next(item for item in why.parameters if item.name == "spread")
    assert (spread.tag, spread.source) == ("own", "this kitchen's log")
    check_told(spread.value, 13)
    core = bake_minutes(at.loaf, 170.0, 98.0, 28.0, oven_factor=1.1).value - at.bake_min.value
    assert spreads(why)["core 1 °C more"] == pytest.approx(core, rel=0.005)


def test_the_starch_attack_of_the_day(dough: Measured) -> None:
    at = planned(dough, oven_c=230.0, core_c=95.0)
    why = explain_bake(dough, at, "starch")
    check_told(why.value, at.starch_attack)
    assert abs(at.starch_attack - dough.value("starch_attack")) > 2
    check_told(why.steps[-1], at.heating_c_per_min, 95.0)
    assert not any(f"{dough.heating_c_per_min:.2f} °C a minute" in step for step in why.steps)
    model = dough.kitchen.tolerances["starch_attack"]
    relative = model.model_spread_relative * dough.value("starch_attack")
    assert spreads(why)["the model itself"] == pytest.approx(math.hypot(model.model_spread, relative), rel=0.005)


# --- after ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("tin", "stands"), [(SOUR.tin, "a tin under a lid"), (None, "no tin")])
def test_loss_wait_and_keeping_are_the_class_of_loaf(read: Read, tin: Tin | None, stands: str) -> None:
    measured = read(replace(SOUR, tin=tin))
    at = planned(measured)
    row = at.loaf_class
    value = measured.value
    for key, span, unit in (("loss", row.loss_percent, "%"), ("wait", row.wait_h, "h"), ("keeps", row.keeps_d, "days")):
        why = explain_bake(measured, at, key)
        check_told(why.value, span.low, span.high)
        assert why.value.endswith(unit)
        assert why.steps == (f"class: {row.name}", row.why)
        told = dict(why.inputs)
        check_told(told["rye"], value("rye_share"))
        check_told(told["sugar and fat"], value("sugar") + value("fat"))
        check_told(told["piece"], DOUGH)
        check_told(told["in the oven"], at.bake_min.value / 60)
        assert told["stands in"] == stands
        assert why.parameters[0].value == why.value
        assert (why.parameters[0].tag, why.parameters[0].source) == (row.tag, row.source)


def test_an_open_tin(read: Read) -> None:
    open_tin = read(replace(SOUR, tin=Tin(0.25, 0.11, 0.25, 0.11, 0.12)))
    assert dict(explain_bake(open_tin, planned(open_tin), "loss").inputs)["stands in"] == "an open tin"


def test_the_clock(dough: Measured, plan: BakePlan) -> None:
    why = explain_bake(dough, plan, "clock")
    at = {step.step: step.at for step in plan.plan}
    first, last = plan.plan[0].at, plan.plan[-1].at
    assert why.value == f"{first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}"
    for told, name in why.inputs:
        check_told(told, (at[name] - at["mix"]) / timedelta(hours=1))
    assert [name for _, name in why.inputs] == list(at)
    hours = {step.name: step.hours for step in dough.kitchen.steps}
    assert {item.name: item.value for item in why.parameters} == {
        f"{name}, h": f"{hours[name]:g}" for name in hours if name in at
    }
    assert spreads(why) == {
        "the proof": pytest.approx(plan.proof_h.high - plan.proof_h.value, rel=0.005),
        "the oven": pytest.approx((plan.bake_min.high - plan.bake_min.value) / 60, rel=0.005),
        "the wait": pytest.approx(plan.wait_h.high - plan.wait_h.low, rel=0.005),
    }
