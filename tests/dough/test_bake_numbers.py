"""Every number that `why` prints of the bake plan, worked out again from what it prints beside it, or from the tables.

The values of the parameters are written out here, with where they are from; none is taken from the program.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from adapter.dough.bake.mixing import Temperatures
from adapter.dough.bake.plan import BakeInputs, BakePlan, bake_plan
from adapter.dough.models.oven import Loaf, bake_minutes
from adapter.dough.readings.kitchen import Calibration
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.why.explain_bake import BakeWhy, explain_bake, lines_of_bake
from adapter.formula.model import Formula, Line, Proof, Tin

NOW = datetime(2026, 11, 24, 9, 0)
SOUR = Formula(
    "sour",
    (
        Line("rye sourdough", 300.0, "sourdough"),
        Line("wholemeal rye flour", 500.0),
        Line("kefir", 120.0),
        Line("water", 280.0),
        Line("salt", 12.0),
        Line("fresh yeast", 4.0),
    ),
    tin=Tin(0.22, 0.10, 0.20, 0.09, 0.10, lidded=True),
    proof=Proof(27, 40),
)
DOUGH_G = 1216.0

Planned = tuple[Measured, BakePlan]


@pytest.fixture(scope="module")
def sour(read: Callable[..., Measured]) -> Planned:
    measured = read(SOUR)
    return measured, bake_plan(measured, BakeInputs(), NOW)


def numbers(text: str) -> list[float]:
    return [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", text.replace("−", "-"))]


def parameters(why: BakeWhy) -> dict[str, str]:
    return {item.name: item.value for item in why.parameters}


def effects(why: BakeWhy) -> dict[str, float]:
    return {cause: numbers(effect)[0] for effect, cause in why.spread}


# --- the bowl ---------------------------------------------------------------------------------------------------


def test_the_liquid_balances_the_heat(sour: Planned) -> None:
    """Conservation of energy, from the numbers that are printed."""
    why = explain_bake(*sour, "liquid")
    wanted = 27.0
    liquid_kj, others_kj = 0.0, 0.0
    for amount, line in why.inputs:
        kj_per_k, at_c = numbers(amount)
        name, grams, specific = line.split(", ")[:3]
        assert kj_per_k == pytest.approx(numbers(grams)[0] * numbers(specific)[0] / 1000.0, abs=0.0061), name
        if "the liquid that is sought" in line:
            liquid_kj += kj_per_k
        else:
            others_kj += kj_per_k * (wanted - at_c)
    whole, mixing, wetting = (*numbers(why.steps[0])[:1], *numbers(why.steps[1]))
    assert whole == pytest.approx(sum(numbers(amount)[0] for amount, _ in why.inputs), abs=0.03)
    assert mixing == pytest.approx(3.0 * DOUGH_G / 1000.0, abs=0.051), "3 kJ/kg by hand: assumed"
    assert wetting == pytest.approx(10.0 * 500.0 / 1000.0, abs=0.051), "10 kJ/kg of dry flour: textbooks, 5 to 15"
    balance = wanted + (others_kj - mixing - wetting) / liquid_kj
    asked, low, high = numbers(why.steps[2])
    assert asked == pytest.approx(balance, abs=0.3)
    assert (low, high) == (0, 45)
    assert f"liquid {asked:.1f} °C" in why.value and "dough 27.0 °C (wanted 27.0 °C)" in why.value
    amounts = [numbers(amount)[0] for amount, _ in why.inputs]
    assert amounts == sorted(amounts, reverse=True)


def test_the_rule_of_factors_is_told_as_it_is_reckoned(sour: Planned) -> None:
    step = next(step for step in explain_bake(*sour, "liquid").steps if step.startswith("rule of factors"))
    count, wanted, first, second, third, friction, answer = numbers(step.replace("− (", "(").replace("− ", ""))
    assert (count, friction) == (4, 3)
    assert count * wanted - first - second - third - friction == pytest.approx(answer, abs=0.51)


def test_what_may_be_off_in_the_bowl(sour: Planned) -> None:
    why = explain_bake(*sour, "liquid")
    whole = numbers(why.steps[0])[0]
    told = effects(why)
    assert told["heat of wetting ± 5 kJ/kg"] == pytest.approx(5.0 * 0.5 / whole, rel=0.01)
    assert told["heat of mixing wrong by 50 %"] == pytest.approx(0.5 * numbers(why.steps[1])[0] / whole, rel=0.02)
    assert told["a cold or warm bowl"] == 1.0
    assert told["kefir 2 °C warmer than thought"] == pytest.approx(2.0 * 0.120 * 3.94 / whole, rel=0.01)
    assert not any(cause.startswith("water ") for cause in told), "the liquid is what is sought"


def test_the_numbers_of_the_bowl(sour: Planned) -> None:
    """Geankoplis, table A.4-1 (flour); latent heat of ice from memory; the rest assumed or common practice."""
    shown = parameters(explain_bake(*sour, "liquid"))
    assert shown["flour from the bag, kJ/(kg °C)"] == "1.85"
    assert shown["heat of wetting, kJ per kg flour"] == "10"
    assert shown["heat of mixing, kJ per kg dough"] == "3"
    assert shown["melting of ice, kJ/kg"] == "333.6"
    assert shown["friction in the rule of factors, °C"] == "3"
    sources = {item.name: item.source for item in explain_bake(*sour, "liquid").parameters}
    assert numbers(sources["heat of mixing, kJ per kg dough"]) == [3, 12]


def test_ice_in_a_hot_room(read: Callable[..., Measured]) -> None:
    """The dough comes to the wanted warmth with half the liquid as ice at most; latent heat 333.6 kJ/kg."""
    lines = (Line("white wheat flour", 500.0), Line("water", 300.0), Line("salt", 9.0), Line("fresh yeast", 8.0))
    measured = read(Formula("plain", lines))
    hot = Temperatures(room_c=36.0, tap_c=25.0, by_machine=True)
    plan = bake_plan(measured, BakeInputs(temperatures=hot, wanted_dough_c=20.0), NOW)
    why = explain_bake(measured, plan, "liquid")
    step = next(step for step in why.steps if step.startswith("ice"))
    latent, most, ice = numbers(step)
    assert (latent, most) == (333.6, 50)
    assert 0 < ice <= 150 and f"ice {ice:.0f} g" in why.value
    balance = numbers(next(step for step in why.steps if step.startswith("the balance")))[0]
    if ice < 150:
        assert ice == pytest.approx(300.0 * 4.18 * (25.0 - balance) / (333.6 + 4.18 * 25.0), rel=0.01)
    assert parameters(why)["friction in the rule of factors, °C"] == "13"
    assert parameters(why)["heat of mixing, kJ per kg dough"] == "12"


def test_without_water_there_is_nothing_to_set(read: Callable[..., Measured]) -> None:
    measured = read({"white wheat flour": 500.0, "kefir": 350.0, "salt": 9.0, "fresh yeast": 8.0})
    plan = bake_plan(measured, BakeInputs(), NOW)
    why = explain_bake(measured, plan, "liquid")
    assert any(step == f"no liquid to set: the dough comes to {plan.mixing.dough_c:.1f} °C" for step in why.steps)
    assert "liquid none to set" in why.value


def test_the_weight_of_dough_and_piece(read: Callable[..., Measured]) -> None:
    measured = read(replace(SOUR, pieces=4, tin=None))
    why = explain_bake(measured, bake_plan(measured, BakeInputs(), NOW), "dough_g")
    assert numbers(why.value) == [DOUGH_G, 4, DOUGH_G / 4]
    grams = [numbers(amount)[0] for amount, _ in why.inputs]
    assert sum(grams) == DOUGH_G and grams == sorted(grams, reverse=True)


def test_the_tin(sour: Planned) -> None:
    """Prismoidal rule for a tapered tin; spring 1 to 1.05 and density 1.17 g/mL (rye 1.15–1.20, common practice)."""
    why = explain_bake(*sour, "tin")
    middle = 0.21 * 0.095
    litres = 1000.0 * 0.10 / 6.0 * (0.22 * 0.10 + 4.0 * middle + 0.20 * 0.09)
    assert numbers(why.steps[0]) == [pytest.approx(litres, abs=5.1e-4)]
    grams, density, unrisen = numbers(why.steps[1])
    assert (grams, density) == (DOUGH_G, 1.170) and unrisen == round(DOUGH_G / 1.17)
    rise, spring, volume, fill = numbers(why.steps[2])
    assert (rise, volume) == (1.40, round(1000.0 * litres))
    assert fill == pytest.approx(100.0 * DOUGH_G / 1.17 * 1.4 * 1.025 / (1000.0 * litres), abs=0.06)
    assert spring == pytest.approx(1.025, abs=0.0051)
    shown_fill, suits = numbers(why.value)
    assert shown_fill == round(fill)
    loaf_class = sour[0].loaf_class
    assert loaf_class.fill is not None
    assert suits / DOUGH_G == pytest.approx(100.0 * loaf_class.fill.middle / fill, rel=0.003)
    told = effects(why)
    assert told["spring at the end of its range"] == pytest.approx(fill * (1.05 / 1.025 - 1.0), rel=0.01)
    assert told["density 2 % off"] == pytest.approx(0.02 * fill, rel=0.01)
    assert told["rise stopped 5 % late"] == pytest.approx(0.05 * fill / 1.4, rel=0.01)
    shown = parameters(why)
    assert shown["density before the rise, g/mL"] == "1.170"
    assert shown["spring in the oven"] == "1 to 1.05"
    assert shown["well filled"] == "80 to 97 % under a lid, to 125 % open"
    assert dict(why.inputs) == {
        "piece": "1216 g", "rise": "40 %", "class": "dense lidded rye",
    }  # fmt: skip


# --- yeast and proof --------------------------------------------------------------------------------------------


def test_yeast_is_worth_less_where_it_is_crowded(read: Callable[..., Measured]) -> None:
    """Proportional to 2.5 % of the flour, then with the power 0.7: fitted to published gas rates."""
    for grams in (5.0, 20.0, 40.0):
        measured = read({"white wheat flour": 500.0, "water": 310.0, "salt": 9.0, "fresh yeast": grams})
        why = explain_bake(measured, bake_plan(measured, BakeInputs(), NOW), "yeast")
        percent = 100.0 * grams / 500.0
        worth = percent if percent <= 2.5 else 2.5 * (percent / 2.5) ** 0.7
        assert numbers(why.value) == [grams, pytest.approx(percent, abs=0.0051)]
        assert numbers(why.steps[0])[0] == pytest.approx(worth, abs=0.0051)
        assert why.steps[0].endswith("E = Y up to 2.5 %, then 2.5·(Y/2.5)^0.7")
        assert why.inputs == ((f"{grams:g} g", "fresh yeast, 1 as fresh"),)


def test_dry_yeast_counts_as_more_fresh(read: Callable[..., Measured]) -> None:
    measured = read({"white wheat flour": 500.0, "water": 310.0, "instant yeast": 3.0})
    figure = measured.catalogue.get("instant yeast").properties["yeast"]
    why = explain_bake(measured, bake_plan(measured, BakeInputs(), NOW), "yeast")
    (shown,) = why.parameters
    assert numbers(shown.value) == [pytest.approx(1.0 / figure.value, abs=0.0051)]
    assert (shown.tag, shown.source) == (figure.tag, figure.source)


def test_the_gas_of_the_proof_adds_up(sour: Planned) -> None:
    why = explain_bake(*sour, "proof")
    plan = sour[1]
    dough_c, place_c, mean_c = numbers(why.steps[0])
    assert min(dough_c, place_c) <= mean_c <= max(dough_c, place_c)
    percent, needed = numbers(why.steps[1])[:2]
    assert percent == 40
    by_yeast, by_bacteria = numbers(why.steps[4])
    assert by_yeast + by_bacteria == pytest.approx(needed, rel=0.02)
    shown, low, high = numbers(why.value)
    assert (low, shown, high) == pytest.approx((plan.proof_h.low, plan.proof_h.value, plan.proof_h.high), abs=0.051)
    brought = {text: numbers(amount)[0] for amount, text in why.inputs}
    assert brought["from 4 g fresh yeast (dough)"] == 4.0
    assert parameters(why)["dough goes over to the place's warmth, h"] == "1.5"


# --- the oven ---------------------------------------------------------------------------------------------------


def test_the_oven(sour: Planned) -> None:
    """A brick of the tin's mean length and width; k 0.7 W/(m K), h 12.5 W/(m² K) and the 20 % are assumed."""
    measured, plan = sour
    why = explain_bake(measured, plan, "bake")
    length, width, height, grams = numbers(why.steps[0])
    assert (length, width, grams) == (21.0, 9.5, DOUGH_G)
    volume_l = DOUGH_G / 1.17 * 1.4 * 1.025 / 1000.0
    assert height == pytest.approx(1000.0 * volume_l / (21.0 * 9.5), abs=0.051)
    diffusivity = numbers(why.steps[1])[0]
    assert diffusivity == pytest.approx(0.7 * volume_l / 1000.0 / (DOUGH_G * 3.0) * 1e7, abs=0.0051)
    start, core, oven = numbers(why.steps[2])
    assert (start, core, oven) == (27.0, measured.loaf_class.core_c, measured.loaf_class.default_oven_c)
    brick = Loaf(DOUGH_G, 0.21, 0.095, volume_l / 1000.0 / (0.21 * 0.095), 3.0)
    minutes = bake_minutes(brick, oven, core, start).value
    value, low, high = numbers(why.value)
    assert value == pytest.approx(minutes, abs=0.51)
    assert (low, high) == pytest.approx((0.8 * minutes, 1.2 * minutes), abs=0.51)
    told = effects(why)
    thin = replace(brick, conductivity=0.85 * 0.7)
    assert told == {
        "conductivity 15 % less": pytest.approx(bake_minutes(thin, oven, core, start).value - minutes, rel=0.01),
        "heat from the oven 20 % less": pytest.approx(
            bake_minutes(brick, oven, core, start, 0.8 * 12.5).value - minutes, rel=0.01
        ),
        "oven 10 °C cooler than it says": pytest.approx(
            bake_minutes(brick, oven - 10.0, core, start).value - minutes, rel=0.01
        ),
        "core 1 °C more": pytest.approx(bake_minutes(brick, oven, core + 1.0, start).value - minutes, rel=0.01),
    }
    shown = parameters(why)
    assert shown["conductivity k, W/(m °C)"] == "0.7"
    assert shown["oven to loaf h, W/(m² °C)"] == "12.5"
    assert shown["specific heat of the dough, kJ/(kg °C)"] == "3.00"
    assert shown["spread"] == "± 20 %"
    assert "delay 3.15, growth 0.96, power 1.65" in shown
    assert "^1.65" in why.symbols[1] and "(100 − T core)" in why.symbols[0]
    assert why.steps[-1] == "no bake is logged: the model as it is"
    assert dict(why.inputs) == {
        "oven": f"{oven:.0f} °C", "core": f"{core:.1f} °C", "dough as it goes in": "27.0 °C",
    }  # fmt: skip


def test_limits_of_oven_and_core_hold_for_what_may_be_off(sour: Planned) -> None:
    measured = sour[0]
    plan = bake_plan(measured, BakeInputs(oven_c=110.0, core_c=99.2), NOW)
    told = effects(explain_bake(measured, plan, "bake"))
    loaf = plan.loaf

    def minutes(oven_c: float, core_c: float) -> float:
        return bake_minutes(loaf, oven_c, core_c, 27.0).value

    assert told["oven 10 °C cooler than it says"] == pytest.approx(minutes(105, 99.2) - minutes(110, 99.2), rel=0.01)
    assert told["core 1 °C more"] == pytest.approx(minutes(110, 99.5) - minutes(110, 99.2), rel=0.01)


def test_logged_bakes_are_the_kitchens_own(sour: Planned) -> None:
    kitchen = replace(sour[0].kitchen, calibration=Calibration(oven_factor=1.25, oven_spread=0.1, oven_bakes=4))
    measured = measure(kitchen, SOUR)
    why = explain_bake(measured, bake_plan(measured, BakeInputs(), NOW), "bake")
    usual = numbers(explain_bake(*sour, "bake").value)[0]
    value, low, high = numbers(why.value)
    assert value != pytest.approx(usual, rel=0.05)
    assert (low, high) == pytest.approx((0.9 * value, 1.1 * value), abs=1.01)
    assert why.steps[-1] == "x 1.25 by 4 bakes of this kitchen's log"
    spread = next(item for item in why.parameters if item.name == "spread")
    assert (spread.value, spread.tag, spread.source) == ("± 10 %", "own", "this kitchen's log")


def test_starch_in_a_hotter_oven(sour: Planned) -> None:
    measured = sour[0]
    hot = bake_plan(measured, BakeInputs(oven_c=230.0, core_c=98.0), NOW)
    why = explain_bake(measured, hot, "starch")
    warming, core = numbers(why.steps[-1])
    assert (warming, core) == (pytest.approx(hot.heating_c_per_min, abs=0.0051), 98)
    assert numbers(why.value)[0] == round(hot.starch_attack) < round(sour[1].starch_attack)
    assert why.steps[:2] == explain_bake(*sour, "starch").steps[:2]


# --- after ------------------------------------------------------------------------------------------------------


def test_the_class_of_loaf(sour: Planned) -> None:
    measured, plan = sour
    row = plan.loaf_class
    flour = measured.amount("flour")
    sweet = sum(measured.amount(key) for key in ("glucose", "fructose", "sucrose", "maltose", "lactose", "galactose"))
    for key, span, unit in (("loss", row.loss_percent, "%"), ("wait", row.wait_h, "h"), ("keeps", row.keeps_d, "days")):
        why = explain_bake(measured, plan, key)
        assert why.value == f"{span.low:g} to {span.high:g} {unit}"
        assert [item.value for item in why.parameters] == [why.value]
        assert (why.parameters[0].tag, why.parameters[0].source) == (row.tag, row.source)
        assert why.steps == (f"class: {row.name}", row.why)
        shown = dict(why.inputs)
        assert shown["rye"] == "100 % of the flour"
        assert numbers(shown["sugar and fat"]) == [round(100.0 * (sweet + measured.amount("fat")) / flour)]
        assert shown["stands in"] == "a tin under a lid"
        assert shown["piece"] == "1216 g"
        assert numbers(shown["in the oven"]) == [pytest.approx(plan.bake_min.value / 60.0, abs=0.051)]


@pytest.mark.parametrize(
    ("tin", "said"), [(None, "no tin"), (Tin(0.3, 0.11, 0.3, 0.11, 0.1, lidded=False), "an open tin")]
)
def test_where_it_stands(tin: Tin | None, said: str, read: Callable[..., Measured]) -> None:
    measured = read(replace(SOUR, tin=tin))
    why = explain_bake(measured, bake_plan(measured, BakeInputs(), NOW), "keeps")
    assert dict(why.inputs)["stands in"] == said


def test_the_clock(sour: Planned) -> None:
    why = explain_bake(*sour, "clock")
    plan = sour[1]
    at = {name: numbers(hours.replace("+", ""))[0] for hours, name in why.inputs}
    work = {item.name: float(item.value) for item in why.parameters}
    assert at["mix"] == 0.0
    assert at["build the sourdough"] == -work["build the sourdough, h"] == -14.0
    assert at["shape and put to proof"] == work["mix, h"]
    into = work["mix, h"] + work["shape and put to proof, h"] + plan.proof_h.value
    assert at["into the oven"] == pytest.approx(into, abs=0.02)
    assert at["into the oven"] - at["heat the oven"] == pytest.approx(0.75, abs=0.02)
    assert "lit 45 minutes before" in why.steps[0]
    assert at["out of the oven"] - at["into the oven"] == pytest.approx(plan.bake_min.value / 60.0, abs=0.02)
    assert at["may be sliced"] - at["out of the oven"] == pytest.approx(plan.wait_h.low, abs=0.02)
    assert effects(why) == {
        "the wait": pytest.approx(plan.wait_h.high - plan.wait_h.low, rel=0.01),
        "the proof": pytest.approx(plan.proof_h.high - plan.proof_h.value, rel=0.01),
        "the oven": pytest.approx(0.2 * plan.bake_min.value / 60.0, rel=0.01),
    }
    first, last = (datetime.fromisoformat(each) for each in re.findall(r"\d{4}-\d\d-\d\d \d\d:\d\d", why.value))
    assert abs(last - first - timedelta(hours=at["may be sliced"] + 14.0)) < timedelta(minutes=2)


def test_a_dough_that_does_not_rise_has_no_clock(read: Callable[..., Measured]) -> None:
    measured = read({"white wheat flour": 500.0, "water": 320.0})
    plan = bake_plan(measured, BakeInputs(), NOW)
    assert math.isinf(plan.proof_h.value)
    why = explain_bake(measured, plan, "clock")
    assert why.value == "no plan: the dough does not rise" and why.spread == ()
    assert explain_bake(measured, plan, "proof").value == "it does not rise"


def test_at_most_eight_causes_are_listed_and_all_sections_are_printed(sour: Planned) -> None:
    for key in ("proof", "starch"):
        assert len(explain_bake(*sour, key).spread) == 8
    text = lines_of_bake(explain_bake(*sour, "bake"))
    assert text[0].startswith("minutes in the oven = ")
    for head in ("What goes in:", "Numbers it uses:", "How sure, and what contributes most:"):
        assert head in text and text[text.index(head) + 1].startswith("  ")
    assert text[-1].startswith("Tags: P ")
