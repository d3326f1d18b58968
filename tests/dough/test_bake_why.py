"""Why, for every number of the bake plan: the steps give the number, and every parameter has its source."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime

import pytest

from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.plan import BakePlan, bake_plan
from adapter.dough.readings.measured import Measured
from adapter.dough.why.explain_bake import BAKE_KEYS, explain_bake, lines_of_bake
from adapter.formula.ingredient import TAGS
from adapter.formula.model import Formula, Line, Spell, StagePlan, Tin
from adapter.formula.problems import InputProblem

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
    tin=Tin(0.22, 0.10, 0.22, 0.10, 0.10, lidded=True),
)


@pytest.fixture(scope="module")
def sour(read: Callable[..., Measured]) -> tuple[Measured, BakePlan]:
    measured = read(SOUR)
    return measured, bake_plan(measured, BakeInputs(), datetime(2026, 11, 24, 9, 0))


@pytest.mark.parametrize("key", BAKE_KEYS)
def test_every_number_has_its_formula_parameters_and_doubts(sour: tuple[Measured, BakePlan], key: str) -> None:
    why = explain_bake(*sour, key)
    assert why.title and why.value and why.symbols and why.sure.endswith(".")
    assert why.inputs
    for parameter in why.parameters:
        assert parameter.tag in TAGS and parameter.source
    text = "\n".join(lines_of_bake(why))
    assert "nan" not in text and "None" not in text and "inf" not in re.sub("infants", "", text)


def test_the_lines_of_the_liquid_hold_together_what_all_hold(sour: tuple[Measured, BakePlan]) -> None:
    why = explain_bake(*sour, "liquid")
    each = [float(first.split()[0]) for first, _ in why.inputs]
    assert len(each) == len(SOUR.lines)
    assert sum(each) == pytest.approx(float(re.findall(r"hold ([\d.]+) kJ", why.steps[0])[0]), abs=0.03)


def test_the_steps_of_the_proof_give_the_hours(sour: tuple[Measured, BakePlan]) -> None:
    why = explain_bake(*sour, "proof")
    needed = float(re.findall(r"takes: (\d+) mL", why.steps[1])[0])
    made = [float(each) for each in re.findall(r"(\d+) mL by", why.steps[4])]
    assert sum(made) == pytest.approx(needed, rel=0.02) and len(made) == 2
    assert f"{sour[1].proof_h.value:.2f} h" in why.value


def test_the_steps_of_the_tin_give_its_fill(sour: tuple[Measured, BakePlan]) -> None:
    why = explain_bake(*sour, "tin")
    rise, spring, volume, fill = (float(each) for each in re.findall(r"[\d.]+", why.steps[2]))
    raw_ml = float(re.findall(r"= (\d+) mL", why.steps[1])[0])
    assert 100 * raw_ml * rise * spring / volume == pytest.approx(fill, abs=0.8)


def test_what_contributes_most_comes_first(sour: tuple[Measured, BakePlan]) -> None:
    for key in ("liquid", "tin", "proof", "bake", "starch", "clock"):
        sizes = [float(effect.split()[0]) for effect, _ in explain_bake(*sour, key).spread]
        assert sizes == sorted(sizes, reverse=True) and sizes


def test_the_spread_of_the_proof_is_made_of_what_is_told(sour: tuple[Measured, BakePlan]) -> None:
    """Parts add in squares to the range that is shown; what is left out of the list is small."""
    plan = sour[1]
    parts = [float(effect.split()[0]) for effect, _ in explain_bake(*sour, "proof").spread]
    assert sum(part**2 for part in parts) ** 0.5 == pytest.approx(plan.proof_h.high - plan.proof_h.value, rel=0.02)


def test_own_factors_are_told_as_own(sour: tuple[Measured, BakePlan]) -> None:
    from dataclasses import replace

    from adapter.dough.readings.kitchen import Calibration
    from adapter.dough.readings.measured import measure

    kitchen = replace(sour[0].kitchen, calibration=Calibration(95.0, 0.12, 1.1, 0.13, 3, 2))
    measured = measure(kitchen, SOUR)
    plan = bake_plan(measured, BakeInputs(), datetime(2026, 11, 24, 9, 0))
    assert "x 1.10 by 2 bakes" in explain_bake(measured, plan, "bake").steps[-1]
    assert any(
        item.tag == "own" and "3 bakes" in item.source for item in explain_bake(measured, plan, "proof").parameters
    )


def test_what_is_not_there(sour: tuple[Measured, BakePlan], read: Callable[..., Measured]) -> None:
    with pytest.raises(InputProblem, match="is no number of the bake plan"):
        explain_bake(*sour, "colour")
    measured = read({"white wheat flour": 500, "water": 320})
    plan = bake_plan(measured, BakeInputs(), datetime(2026, 11, 24, 9, 0))
    with pytest.raises(InputProblem, match="has no tin"):
        explain_bake(measured, plan, "tin")
    for key in BAKE_KEYS:
        if key != "tin":
            assert lines_of_bake(explain_bake(measured, plan, key))


def test_why_a_proof_of_several_places_takes_its_time(read: Callable[..., Measured]) -> None:
    plans = (StagePlan("dough", "dough", None, None, (Spell(2.0, 26.0), Spell(10.5, 5.0))),)
    lines = (Line("white wheat flour", 700.0), Line("water", 450.0), Line("salt", 14.0), Line("fresh yeast", 5.0))
    measured = read(Formula("night", lines, plans=plans))
    told = explain_bake(measured, bake_plan(measured, BakeInputs(), datetime(2026, 11, 24, 9, 0)), "proof")
    assert any("in 26.0 °C for 2 h, then 5.0 °C for 10.5 h: " in step for step in told.steps)


def test_the_starch_is_told_with_todays_oven_alone(sour: tuple[Measured, BakePlan]) -> None:
    """The reading's own last step says how its oven warms the crumb: here the plan's stands in its place."""
    steps = explain_bake(*sour, "starch").steps
    assert sum("°C a minute" in step or "°C per minute" in step for step in steps) == 1
    assert f"crumb warms by {sour[1].heating_c_per_min:.2f} °C a minute in today's oven" in steps[-1]
