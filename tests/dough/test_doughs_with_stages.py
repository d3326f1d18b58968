"""Stages with hours: what becomes of them, of the dough that takes them up, and how they are planned."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import pytest

from adapter.dough.bake.cold_night import cold_night
from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.plan import bake_plan
from adapter.dough.bake.ripe_by import build_steps, builds, ripe_by
from adapter.dough.bake.stages import stage_rows
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import measure
from adapter.formula.model import Formula, Line, Proof, Spell, StagePlan
from adapter.formula.problems import InputProblem

NOW = datetime(2026, 11, 24, 9, 0)


def sour_rye(starter_g: float = 100.0, hours: float | None = 16.0, t_c: float | None = 26.0) -> Formula:
    lines = (
        Line("rye sourdough", starter_g, "sourdough"),
        Line("wholemeal rye flour", 450.0, "sourdough"),
        Line("water", 450.0, "sourdough"),
        Line("wholemeal rye flour", 500.0),
        Line("water", 350.0),
        Line("salt", 18.0),
    )
    plans = (StagePlan("sourdough", None, hours, t_c),) if hours is not None else ()
    return Formula("sour rye", lines, proof=Proof(28.0, 35.0), plans=plans)


def two_builds() -> Formula:
    lines = (
        Line("rye sourdough", 30.0, "sourdough, first"),
        Line("wholemeal rye flour", 60.0, "sourdough, first"),
        Line("water", 60.0, "sourdough, first"),
        Line("wholemeal rye flour", 250.0, "sourdough, second"),
        Line("water", 250.0, "sourdough, second"),
        Line("medium rye flour", 300.0),
        Line("bread flour", 350.0),
        Line("water", 360.0),
        Line("salt", 19.0),
    )
    night = (Spell(1.0, 26.0), Spell(12.0, 5.0), Spell(1.5, 26.0))
    plans = (
        StagePlan("dough", None, None, None, night),
        StagePlan("sourdough, first", None, 8.0, 26.0),
        StagePlan("sourdough, second", None, 12.0, 24.0),
    )
    return Formula("two builds", lines, proof=Proof(26.0, 40.0), plans=plans)


def test_without_hours_a_stage_named_sourdough_is_ripe_as_ever(kitchen: Kitchen) -> None:
    """The flour of the stage counts as ripe sourdough, whatever little culture stands beside it."""
    plain = measure(kitchen, sour_rye(hours=None))
    kinded = measure(kitchen, sour_rye(hours=None).with_plan(StagePlan("sourdough", "sourdough")))
    assert plain.stages == kinded.stages == ()
    assert plain.mixed == pytest.approx(kinded.mixed)
    ready = measure(kitchen, Formula("x", (Line("rye sourdough", 1000.0), *sour_rye().lines[3:])))
    assert plain.mixed[plain.layout.index["lactic"]] == pytest.approx(
        ready.mixed[ready.layout.index["lactic"]], rel=1e-9
    )


def test_more_hours_make_a_sourer_dough(kitchen: Kitchen) -> None:
    ttas = [measure(kitchen, sour_rye(hours=hours)).value("tta") for hours in (4.0, 8.0, 12.0, 16.0, 24.0)]
    assert ttas == sorted(ttas) and ttas[-1] > ttas[0] + 4.0


def test_the_same_sourdough_at_36_is_slower_than_at_28(kitchen: Kitchen) -> None:
    warm, hot = (stage_rows(measure(kitchen, sour_rye(t_c=t_c)))[0] for t_c in (28.0, 36.0))
    assert warm.ripe_h is not None and hot.ripe_h is not None
    assert hot.ripe_h.value > warm.ripe_h.value + 2.0


def test_a_stage_of_nothing_alive_is_no_living_stage(kitchen: Kitchen) -> None:
    lines = (Line("rolled oats", 100.0, "soaker"), Line("water", 150.0, "soaker"), Line("bread flour", 500.0))
    soaked = Formula("x", (*lines, Line("water", 250.0)), plans=(StagePlan("soaker", "soaker", 12.0, 20.0),))
    assert measure(kitchen, soaked).stages == ()
    plain = measure(kitchen, Formula("x", (*lines, Line("water", 250.0))))
    assert measure(kitchen, soaked).totals == plain.totals


def test_two_builds_are_fed_one_from_the_other(kitchen: Kitchen) -> None:
    rows = stage_rows(measure(kitchen, two_builds()))
    assert [row.stage for row in rows] == ["sourdough, first", "sourdough, second", "dough"]
    first, second, dough = rows
    assert second.steps[0].amounts[0].ingredient == "sourdough, first"
    assert second.steps[0].amounts[0].grams == pytest.approx(first.grams) == pytest.approx(150.0)
    assert second.grams == pytest.approx(650.0)
    assert 3.6 <= second.ph <= 4.2 < dough.ph + 0.3
    assert [step.at_h for step in dough.steps] == [0.0, 1.0, 13.0]


def test_the_plan_of_two_builds_and_a_cold_night_is_one_to_follow(kitchen: Kitchen) -> None:
    plan = bake_plan(measure(kitchen, two_builds()), BakeInputs(ready=NOW + timedelta(hours=50)), NOW)
    steps = [step.step for step in plan.plan]
    times = [step.at for step in plan.plan]
    assert times == sorted(times) and times[0] >= NOW
    at = {step.step: step.at for step in plan.plan}
    assert at["set the sourdough, second"] - at["set the sourdough, first"] == timedelta(hours=8)
    assert at["mix"] - at["set the sourdough, second"] == timedelta(hours=12)
    cold = next(step for step in steps if "into the cold" in step)
    assert at["mix"] < at[cold] < at["shape and put to proof"] < at["into the oven"]
    assert at["into the oven"] - at["mix"] > timedelta(hours=14)
    assert "build the sourdough" not in steps


@pytest.mark.parametrize(
    "asked",
    [
        {"hours": 12.0, "temperature_c": 24.0},
        {"hours": 12.0, "starter_percent": 8.0},
        {"temperature_c": 24.0, "starter_percent": 8.0},
    ],
)
def test_ripe_by_a_time_is_ripe_then(kitchen: Kitchen, asked: dict[str, float]) -> None:
    """Whichever is left open: the stage that comes of it is ripe at that time, and holds what was given."""
    found = ripe_by(kitchen, sour_rye(), "sourdough", **asked)
    (row,) = stage_rows(measure(kitchen, found.formula))
    assert row.ripe_h is not None
    assert row.ripe_h.value == pytest.approx(found.hours, abs=0.1)
    assert found.hours == pytest.approx(asked.get("hours", found.hours))
    assert row.grams == pytest.approx(1000.0)
    assert row.steps[0].amounts[0].grams == pytest.approx(10.0 * found.starter_percent)


def test_what_cannot_be_ripe_in_time_is_one_line(kitchen: Kitchen) -> None:
    with pytest.raises(InputProblem, match="takes"):
        ripe_by(kitchen, sour_rye(), "sourdough", hours=0.5, temperature_c=20.0)
    with pytest.raises(InputProblem, match="one of hours"):
        ripe_by(kitchen, sour_rye(), "sourdough", hours=2.0)


def test_builds_from_what_is_in_the_fridge(kitchen: Kitchen) -> None:
    """30 g become 240 g by tomorrow: amounts that add up, ripe within the hours."""
    found = builds(kitchen, "rye sourdough", 30.0, 240.0, 20.0, 24.0)
    assert sum(build.hours for build in found) <= 20.0 + 1e-6
    assert found[-1].gives_g == pytest.approx(240.0)
    for build in found:
        assert sum(part.grams for part in build.amounts) == pytest.approx(build.gives_g)
        assert build.amounts[0].grams <= 30.0 + 1e-9 or build is not found[0]
    assert build_steps(found)[0].at_h == 0.0
    with pytest.raises(InputProblem, match="no less than"):
        builds(kitchen, "rye sourdough", 30.0, 240.0, 4.0, 24.0)


def test_a_cold_night_raises_just_so_far(kitchen: Kitchen) -> None:
    lean = {"white wheat flour": 1000.0, "water": 620.0, "salt": 20.0, "fresh yeast": 6.0}
    formula = Formula("x", tuple(Line(*pair) for pair in lean.items()), proof=Proof(25.0, 100.0))
    measured = measure(kitchen, formula)
    night = cold_night(measured.rise, 12.0, 5.0, 1646.0)
    assert night is not None
    assert night.hours == pytest.approx(12.0)
    assert night.rise_percent == pytest.approx(100.0, abs=6.0)
    assert cold_night(measured.rise, 5.0, 5.0, 1646.0) is None


def test_a_stage_that_was_measured_makes_the_culture_ones_own(kitchen: Kitchen) -> None:
    from dataclasses import replace

    from adapter.dough.bake.culture import souring_factor, stage_of
    from adapter.dough.readings.kitchen import Calibration

    formula = sour_rye()
    lively = measure(replace(kitchen, calibration=Calibration(souring=1.4)), formula).stages[0].end.ph
    stage = stage_of(measure(kitchen, formula), "sourdough")
    factor = souring_factor(stage, 16.0, None, lively, None)
    assert factor == pytest.approx(1.4, rel=0.02)


def test_hours_of_a_dough_are_those_of_its_proof(kitchen: Kitchen) -> None:
    lean = (Line("white wheat flour", 1000.0), Line("water", 600.0), Line("salt", 20.0), Line("fresh yeast", 10.0))
    short, long = (
        measure(kitchen, Formula("x", lean, proof=Proof(24.0, 60.0), plans=(StagePlan("dough", None, hours, 24.0),)))
        for hours in (1.0, 4.0)
    )
    assert long.value("ph") < short.value("ph") - 0.1
    assert long.value("rise_time") == pytest.approx(short.value("rise_time"), rel=1e-3)
    assert math.isfinite(long.value("rise_time"))
