"""Living stages in a bake: when they are ripe, how to have them ripe in time, builds, and a night in the fridge.

Ripe at pH 3.95 (4.1 to 3.8) or risen by 115 % (80 to 165): common practice, no source. What a stage becomes is checked
in tests/references; here it is what is planned with it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from types import SimpleNamespace

import pytest
from told_numbers import check_told

from adapter.dough.bake.clock import INTO_OVEN, TimedStep
from adapter.dough.bake.cold_night import clock_asks_for_it, cold_night
from adapter.dough.bake.culture import raising_factor, souring_factor, stage_of
from adapter.dough.bake.note import Note
from adapter.dough.bake.proofing import (
    baked_from_c,
    moves_of,
    night_note,
    night_offered,
    proof_of,
    rise_notes,
    rise_over,
    stage_starts,
)
from adapter.dough.bake.ripe_by import builds, builds_from, ripe_by, with_starter
from adapter.dough.bake.span import Span
from adapter.dough.bake.stages import StageRow, _crossing, ripe_hours, ripe_of, stage_rows
from adapter.dough.models.course import Course
from adapter.dough.models.ripening import ripen
from adapter.dough.models.warmth import Place, steady
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.tables.work_steps import MIX
from adapter.formula.model import Formula, Line, Proof, Spell, StagePlan
from adapter.formula.problems import InputProblem

Read = Callable[..., Measured]

DOUGH = (
    Line("wholemeal rye flour", 300.0),
    Line("white wheat flour", 200.0),
    Line("water", 250.0),
    Line("salt", 11.0),
    Line("fresh yeast", 4.0),
)
SOUR = (
    Line("rye sourdough", 20.0, "sourdough"),
    Line("wholemeal rye flour", 180.0, "sourdough"),
    Line("water", 160.0, "sourdough"),
)
POOLISH = (
    Line("white wheat flour", 150.0, "poolish"),
    Line("water", 150.0, "poolish"),
    Line("fresh yeast", 0.4, "poolish"),
)


def sour(hours: float = 14.0, degrees: float = 27.0, lines: tuple[Line, ...] = SOUR) -> Formula:
    return Formula("sour", (*lines, *DOUGH), plans=(StagePlan("sourdough", "sourdough", hours, degrees),))


def poolish(hours: float = 14.0, degrees: float = 21.0) -> Formula:
    return Formula("poolish loaf", (*POOLISH, *DOUGH), plans=(StagePlan("poolish", None, hours, degrees),))


def row_of(measured: Measured) -> StageRow:
    (row,) = stage_rows(measured)
    return row


# --- ripe -----------------------------------------------------------------------------------------


def test_a_sourdough_is_ripe_by_its_acidity(read: Read) -> None:
    """Left standing for just so long, it has the pH at which it counts as ripe: the less sour, the more starter."""
    measured = read(sour())
    row, (stage,) = row_of(measured), measured.stages
    assert row.ripe_h is not None
    best = 4.0 + 0.25 * stage.start.bacteria / 4.0 / 0.25
    for hours, ph in ((row.ripe_h.low, 4.4), (row.ripe_h.value, best), (row.ripe_h.high, 3.8)):
        assert stage.beyond(hours).end.ph == pytest.approx(ph, abs=0.01)
    assert (row.stage, row.kind, row.hours, row.temperature_c) == ("sourdough", "sourdough", 14.0, 27.0)
    assert row.grams == pytest.approx(360.0)
    assert row.ph == stage.end.ph and row.tta == stage.course.tta(stage.end)


def test_a_build_with_much_starter_is_ripe_at_its_peak(read: Read) -> None:
    """Doubled it may be used, at +115 % it is at its best, though not yet as sour as one of little starter; where
    nothing makes it rise, it is ripe by its pH all the same.
    """
    lines = (Line("wheat sourdough", 100.0, "sour"), Line("white wheat flour", 100.0, "sour"))
    formula = Formula("build", (*lines, Line("water", 100.0, "sour")), plans=(StagePlan("sour", "sourdough", 5, 25),))
    (stage,) = read(formula).stages
    ripe = ripe_of(stage)
    assert ripe is not None
    for hours, rise in ((ripe.low, 1.0), (ripe.value, 1.15)):
        moment = stage.beyond(hours).end
        assert stage.bubbles.rise(moment.gas_ml, moment.temperature_c) == pytest.approx(rise, abs=0.01)
        assert 4.0 < moment.ph < 4.25
    flat = replace(stage.bubbles, retention=0.05)
    by_ph = ripe_hours(stage.ripens, stage.beyond(48.0), flat)
    assert by_ph is not None and by_ph.low == by_ph.value > ripe.value
    assert stage.beyond(by_ph.value).end.ph == pytest.approx(4.0, abs=0.01)


def test_a_poolish_is_ripe_by_its_height(read: Read) -> None:
    measured = read(poolish())
    row, (stage,) = row_of(measured), measured.stages
    assert row.ripe_h is not None
    for hours, rise in ((row.ripe_h.low, 0.80), (row.ripe_h.value, 1.15), (row.ripe_h.high, 1.65)):
        end = stage.beyond(hours).end
        assert stage.bubbles.rise(end.gas_ml, end.temperature_c) == pytest.approx(rise, abs=0.01)
    end = stage.end
    assert row.rise_percent == pytest.approx(100 * stage.bubbles.rise(end.gas_ml, end.temperature_c))


def test_a_preferment_of_which_no_hours_are_told_is_one_by_its_name(read: Read) -> None:
    lines = (Line("bread flour", 150.0, "overnight sponge"), Line("water", 150.0, "overnight sponge"), *DOUGH)
    assert read(Formula("Loaf", lines)).amount("prefermented") == pytest.approx(150.0)


def test_young_ripe_and_past(read: Read) -> None:
    ripe = row_of(read(sour(14.0))).ripe_h
    assert ripe is not None and 3 < ripe.low < ripe.value < ripe.high < 40
    for hours, state in ((ripe.low - 0.3, "young"), (ripe.low + 0.3, "ripe"), (ripe.value, "ripe"),
                         (ripe.high - 0.3, "ripe"), (ripe.high + 0.3, "past")):  # fmt: skip
        row = row_of(read(sour(hours)))
        assert row.state == state, hours
        assert row.past_h == pytest.approx(ripe.high, abs=0.05)
    cold = row_of(read(sour(5.0, 4.0)))
    assert (cold.ripe_h, cold.past_h, cold.state) == (None, None, "young")


def test_the_curve_of_a_stage_runs_beyond_what_matters(read: Read) -> None:
    measured = read(sour(8.0))
    row = row_of(measured)
    assert row.ripe_h is not None
    assert len(row.curve) == 61
    hours = [at for at, _, _ in row.curve]
    assert hours[0] == 0.0 and hours[-1] == pytest.approx(1.15 * max(8.0, row.ripe_h.high), rel=1e-6)
    assert all(second > first for first, second in pairwise(hours))
    phs = [ph for _, ph, _ in row.curve]
    assert phs[0] > 5.5 and phs == sorted(phs, reverse=True)
    assert row.curve[-1][2] >= row.curve[10][2] > 0
    late = row_of(read(sour(60.0)))
    assert late.curve[-1][0] == pytest.approx(1.15 * 60.0, rel=1e-6)


def test_what_is_weighed_in_for_a_stage(read: Read) -> None:
    row = row_of(read(sour()))
    (step,) = row.steps
    assert [(each.ingredient, each.grams) for each in step.amounts] == [(line.ingredient, line.grams) for line in SOUR]
    assert step.at_h == 0.0 and step.do == "mix, and let it stand"


def test_a_second_build_is_fed_with_the_first(read: Read) -> None:
    second = (Line("wholemeal rye flour", 200.0, "sourdough 2"), Line("water", 180.0, "sourdough 2"))
    plans = (StagePlan("sourdough", "sourdough", 8.0, 26.0), StagePlan("sourdough 2", "sourdough", 5.0, 29.0))
    rows = stage_rows(read(Formula("two builds", (*SOUR, *second, *DOUGH), plans=plans)))
    first, last = rows
    assert last.steps[0].do == "feed the sourdough"
    assert (last.steps[0].amounts[0].ingredient, last.steps[0].amounts[0].grams) == ("sourdough", pytest.approx(360.0))
    assert last.grams == pytest.approx(360.0 + 380.0)
    assert first.grams == pytest.approx(360.0)


def test_the_dough_itself_is_a_stage_where_its_hours_are_planned(read: Read) -> None:
    spells = (Spell(1.0, 24.0), Spell(10.0, 5.0), Spell(2.0, 24.0))
    measured = read(Formula("cold", DOUGH, plans=(StagePlan("dough", "dough", spells=spells),)))
    row = row_of(measured)
    assert (row.kind, row.hours, row.grams) == ("dough", 13.0, pytest.approx(765.0))
    assert row.temperature_c == pytest.approx((24.0 * 3.0 + 5.0 * 10.0) / 13.0)
    assert [(step.at_h, step.do) for step in row.steps] == [
        (0.0, "1 h at 24 °C"), (1.0, "10 h at 5 °C"), (11.0, "2 h at 24 °C"),
    ]  # fmt: skip
    value, spread = measured.value("rise_time"), measured.spread("rise_time")
    if math.isfinite(value):
        assert row.ripe_h is not None
        assert (row.ripe_h.low, row.ripe_h.value, row.ripe_h.high) == pytest.approx(
            (max(value - spread, 0.0), value, value + spread)
        )
    assert row.curve[-1][0] == pytest.approx(min(1.15 * max(13.0, row.past_h or 0.0), 1.2 * 13.0))
    assert moves_of(measured.rise) == (
        (0.0, "into the warmth, 24 °C for 1.0 h"),
        (1.0, "into the cold, 5 °C for 10.0 h"),
        (11.0, "into the warmth, 24 °C for 2.0 h"),
    )
    assert stage_rows(read(Formula("plain", DOUGH))) == ()


# --- ripe by a time -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hours", "degrees", "share"), [(None, 26.0, 10.0), (12.0, None, 8.0), (10.0, 27.0, None), (16.0, 23.0, None)]
)
def test_what_is_left_open_is_set_so_that_the_sourdough_is_ripe(
    kitchen: Kitchen, hours: float | None, degrees: float | None, share: float | None
) -> None:
    found = ripe_by(kitchen, sour(), "sourdough", hours, degrees, share)
    row = row_of(measure(kitchen, found.formula))
    assert row.ripe_h is not None
    assert row.ripe_h.value == pytest.approx(found.hours, abs=0.06)
    assert row.hours == pytest.approx(found.hours, abs=0.006)
    for given, got in ((hours, found.hours), (degrees, found.temperature_c), (share, found.starter_percent)):
        assert given is None or given == got
    assert found.starter_g == pytest.approx(found.starter_percent / 100 * 360.0, rel=1e-6)
    culture = next(line for line in found.formula.lines if line.ingredient == "rye sourdough")
    assert culture.grams == pytest.approx(found.starter_g)
    assert row.grams == pytest.approx(360.0, rel=1e-6)
    assert found.ripe_h.value == pytest.approx(row.ripe_h.value, abs=0.05)


def test_a_poolish_by_a_time_is_sought_by_its_yeast(kitchen: Kitchen) -> None:
    found = ripe_by(kitchen, poolish(), "poolish", 7.0, 20.0, None)
    row = row_of(measure(kitchen, found.formula))
    assert row.ripe_h is not None and row.ripe_h.value == pytest.approx(7.0, abs=0.1)
    yeast = next(line for line in found.formula.lines if line.stage == "poolish" and "yeast" in line.ingredient)
    assert yeast.grams == pytest.approx(found.starter_percent / 100 * 150.0)


def test_more_time_takes_less_starter_and_less_warmth(kitchen: Kitchen) -> None:
    shares = [ripe_by(kitchen, sour(), "sourdough", hours, 26.0, None).starter_percent for hours in (8.0, 12.0, 16.0)]
    warmth = [ripe_by(kitchen, sour(), "sourdough", hours, None, 10.0).temperature_c for hours in (11.0, 14.0, 18.0)]
    assert shares == sorted(shares, reverse=True) and warmth == sorted(warmth, reverse=True)


def test_what_cannot_be_ripe_in_time_is_one_clear_line(kitchen: Kitchen) -> None:
    for given in ((None, None, 10.0), (10.0, 26.0, 10.0)):
        with pytest.raises(InputProblem, match="one of hours, temperature and starter is sought"):
            ripe_by(kitchen, sour(), "sourdough", *given)
    with pytest.raises(InputProblem):
        ripe_by(kitchen, sour(), "sourdough", 1.0, 26.0, None)
    with pytest.raises(InputProblem, match="not so much flour and water in this stage"):
        dry = Formula("dry", (Line("rye sourdough", 20.0, "sourdough"), *DOUGH))
        ripe_by(kitchen, dry, "sourdough", None, 26.0, 10.0)
    with pytest.raises(InputProblem, match="is not ripe within four days at 2 °C"):
        ripe_by(kitchen, sour(), "sourdough", None, 2.0, 10.0)


@pytest.mark.parametrize("percent", [5.0, 20.0, 40.0])
def test_another_share_of_starter_leaves_weight_and_water_as_they_are(kitchen: Kitchen, percent: float) -> None:
    made = with_starter(kitchen, sour(), "sourdough", percent)
    stage = {line.ingredient: line.grams for line in made.lines if line.stage == "sourdough"}
    culture = kitchen.catalogue.get("rye sourdough").preferment
    assert culture is not None
    share = 100 / (100 + culture.hydration)
    assert stage["rye sourdough"] == pytest.approx(percent / 100 * 360.0)
    assert sum(stage.values()) == pytest.approx(360.0)
    assert stage["wholemeal rye flour"] + share * stage["rye sourdough"] == pytest.approx(180.0 + share * 20.0)
    assert [line for line in made.lines if line.stage == "dough"] == list(DOUGH)


@pytest.mark.parametrize("percent", [0.0, -1.0, 100.0])
def test_no_share_of_starter(kitchen: Kitchen, percent: float) -> None:
    with pytest.raises(InputProblem, match="% starter"):
        with_starter(kitchen, sour(), "sourdough", percent)


def test_a_stage_without_culture_or_yeast(kitchen: Kitchen) -> None:
    soaker = Formula("soaked", (Line("linseed", 60.0, "soaker"), Line("water", 60.0, "soaker"), *DOUGH))
    with pytest.raises(InputProblem, match="has neither culture nor yeast"):
        with_starter(kitchen, soaker, "soaker", 10.0)


def test_a_preferments_yeast_is_counted_as_fresh_and_stands_in_one_line(kitchen: Kitchen) -> None:
    worth = kitchen.catalogue.get("instant yeast").property("yeast")
    two = (Line("white wheat flour", 200.0, "poolish"), Line("water", 200.0, "poolish"),
           Line("instant yeast", 0.3, "poolish"), Line("fresh yeast", 0.3, "poolish"))  # fmt: skip
    made = with_starter(kitchen, Formula("two yeasts", (*two, *DOUGH)), "poolish", 0.5)
    assert [line.grams for line in made.lines[2:4]] == [pytest.approx(0.5 / 100 * 200.0 / worth), 0.0]


# --- builds ---------------------------------------------------------------------------------------


def test_builds_make_what_is_needed_of_what_is_there(kitchen: Kitchen) -> None:
    quick = builds(kitchen, "rye sourdough", 20.0, 600.0, None, 27.0)
    assert len(quick) == 2, "thirtyfold at once is more than twentyfold"
    for build, before in zip(quick, (20.0, quick[0].gives_g), strict=True):
        assert build.amounts[0].grams == pytest.approx(before)
        assert build.gives_g / before == pytest.approx(math.sqrt(30.0))
        assert sum(each.grams for each in build.amounts) == pytest.approx(build.gives_g)
        assert build.amounts[1].grams / (build.gives_g - before) == pytest.approx(flour_share(kitchen))
        assert build.ph == pytest.approx(4.0 + 1.0 / math.sqrt(30.0), abs=0.01) and build.hours == build.ripe_h.value
        assert build.temperature_c == 27.0
        lines = tuple(Line(amount.ingredient, amount.grams, "sourdough") for amount in build.amounts)
        row = row_of(measure(kitchen, sour(build.hours, 27.0, lines)))
        assert (row.ph, row.tta, row.rise_percent) == pytest.approx((build.ph, build.tta, build.rise_percent), rel=1e-3)
    assert quick[-1].gives_g == pytest.approx(600.0)
    assert len(builds(kitchen, "rye sourdough", 20.0, 300.0, None, 27.0)) == 1


def flour_share(kitchen: Kitchen) -> float:
    preferment = kitchen.catalogue.get("rye sourdough").preferment
    assert preferment is not None
    return 100 / (100 + preferment.hydration)


def test_the_last_build_takes_the_time_there_is(kitchen: Kitchen) -> None:
    quick = sum(build.hours for build in builds(kitchen, "rye sourdough", 60.0, 600.0, None, 27.0))
    slow = builds(kitchen, "rye sourdough", 60.0, 600.0, quick + 1.0, 27.0)
    assert sum(build.hours for build in slow) == pytest.approx(quick + 1.0, abs=0.1)
    assert slow[-1].amounts[0].grams < 60.0
    assert slow[-1].gives_g == pytest.approx(600.0)
    first, last = builds(kitchen, "rye sourdough", 20.0, 600.0, None, 27.0)
    same, slower = builds(kitchen, "rye sourdough", 20.0, 600.0, first.hours + last.hours + 2.0, 27.0)
    assert same == first and slower.hours == pytest.approx(last.hours + 2.0, abs=0.1)
    assert slower.gives_g == pytest.approx(600.0) and slower.amounts[0].grams < last.amounts[0].grams


def test_builds_that_cannot_be(kitchen: Kitchen) -> None:
    for there, needed in ((0.0, 100.0), (100.0, 100.0), (200.0, 100.0)):
        with pytest.raises(InputProblem, match=r"needs no build|0 g of culture is none"):
            builds(kitchen, "rye sourdough", there, needed, None, 27.0)
    with pytest.raises(InputProblem, match="is no culture"):
        builds(kitchen, "honey", 10.0, 100.0, None, 27.0)
    with pytest.raises(InputProblem, match=r"20 g become 600 g in no less than \d+\.\d h at 27 °C"):
        builds(kitchen, "rye sourdough", 20.0, 600.0, 1.0, 27.0)
    with pytest.raises(InputProblem, match="at most 4 builds"):
        builds(kitchen, "rye sourdough", 1.0, 200_000.0, None, 27.0)


def test_builds_of_a_formula_stand_as_a_stage(read: Read) -> None:
    lines = (Line("rye sourdough", 400.0), *DOUGH)
    measured = read(Formula("built", lines))
    (row,) = builds_from(measured, 30.0, None, 27.0)
    made = builds(measured.kitchen, "rye sourdough", 30.0, 400.0, None, 27.0)
    whole = sum(build.hours for build in made)
    assert (row.hours, row.grams, row.feeds) == (pytest.approx(whole), pytest.approx(400.0), "dough")
    assert row.ripe_h is not None
    assert row.ripe_h.value == pytest.approx(whole)
    assert row.ripe_h.low == pytest.approx(whole - made[-1].hours + made[-1].ripe_h.low)
    assert row.ripe_h.high == pytest.approx(whole - made[-1].hours + made[-1].ripe_h.high)
    assert row.ph == made[-1].ph and row.state == "ripe"
    at = 0.0
    for number, (step, build) in enumerate(zip(row.steps, made, strict=True), 1):
        assert step.at_h == pytest.approx(at)
        check_told(step.do.replace(f"build {number}:", ""), build.hours, 27.0, build.gives_g)
        at += build.hours
    assert builds_from(measured, 400.0, None, 27.0) == ()
    with pytest.raises(InputProblem, match="needs no culture"):
        builds_from(read(Formula("plain", DOUGH)), 30.0, None, 27.0)


# --- a night in the fridge ------------------------------------------------------------------------

QUICK = {"white wheat flour": 500, "water": 320, "salt": 10, "fresh yeast": 4}


def test_a_cold_night_raises_the_dough_just_so_far(read: Read) -> None:
    measured = read(QUICK, proof=Proof(25.0, 80.0))
    rise = rise_over(measured, 25.0, 24.0, 80.0)
    night = cold_night(rise, 12.0, 5.0, 834.0)
    assert night is not None
    assert night.hours == pytest.approx(12.0)
    warm, cold, last = night.spells
    assert (warm.temperature_c, cold.temperature_c, last.temperature_c) == (25.0, 5.0, 25.0)
    assert last.hours == 1.0 and cold.hours >= 6.0 and warm.hours >= 0.25
    assert night.rise_percent == pytest.approx(80.0, abs=6.0)
    if night.yeast_percent is None:
        assert (warm.hours * 12.0) == pytest.approx(round(warm.hours * 12.0)), "five minutes are near enough"
    check_told(
        night_note(replace(night, yeast_percent=None), 6.0, 6.0).text,
        round(warm.hours, 1), 25.0, round(cold.hours, 1), 5.0, 1.0, night.rise_percent,
    )  # fmt: skip
    assert "with 5 g yeast instead of 6 g" in night_note(replace(night, yeast_percent=0.5), 6.0, 5.0).text


def test_a_night_with_other_yeast_where_the_doughs_own_does_not_fit(read: Read) -> None:
    fast = read({**QUICK, "fresh yeast": 20}, proof=Proof(27.0, 60.0))
    rise = rise_over(fast, 27.0, 27.0, 60.0)
    night = cold_night(rise, 14.0, 5.0, 834.0)
    assert night is not None and night.yeast_percent is not None
    assert 0.0 < night.yeast_percent < 4.0
    assert night.spells[0].hours == 0.5
    assert night.rise_percent == pytest.approx(60.0, abs=1.0)


def test_nights_that_are_none(read: Read) -> None:
    measured = read(QUICK, proof=Proof(25.0, 80.0))
    rise = rise_over(measured, 25.0, 24.0, 80.0)
    for hours in (6.9, 37.0):
        assert cold_night(rise, hours, 5.0, 834.0) is None
    flat = read({"white wheat flour": 500, "water": 320, "salt": 10})
    assert cold_night(rise_over(flat, 25.0, 24.0, 80.0), 12.0, 5.0, 834.0) is None
    dead = read({**QUICK, "salt": 120}, proof=Proof(25.0, 80.0))
    assert cold_night(rise_over(dead, 25.0, 24.0, 80.0), 12.0, 5.0, 834.0) is None, "yeast does not work in it"
    never = rise_over(measured, 2.0, 2.0, 80.0)
    assert never.is_alive and not math.isfinite(never.hours())
    assert cold_night(never, 12.0, 5.0, 834.0) is None, "nor in a place as cold as the fridge"


def test_a_night_takes_no_more_yeast_than_a_baker_would(read: Read) -> None:
    """A twentieth of the flour as fresh yeast is what the sweetest doughs get: common practice, no source."""
    measured = read({**QUICK, "fresh yeast": 1.0}, proof=Proof(25.0, 80.0))
    taken = []
    for percent in range(60, 460, 10):
        night = cold_night(rise_over(measured, 25.0, 24.0, float(percent)), 8.0, 4.0, 834.0)
        taken.append(night.yeast_percent if night else None)
    offered = [percent for percent in taken if percent is not None]
    assert None in taken and taken.index(None) == len(offered), "beyond it there is no night"
    assert 4.6 < max(offered) <= 5.0


def test_how_long_a_night_may_be(read: Read) -> None:
    """Six hours of cold at least, with a quarter of an hour before and an hour after; a day and a half at most."""
    slow = read({**QUICK, "fresh yeast": 0.5}, proof=Proof(25.0, 40.0))
    rise = rise_over(slow, 25.0, 24.0, 40.0)
    assert [cold_night(rise, hours, 5.0, 834.0) is not None for hours in (7.25, 7.3, 36.0, 36.1)] == [
        False, True, True, False,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("mixed", "oven", "timed", "asks"),
    [
        ((18, 0), (22, 59), False, False),
        ((20, 0), (23, 0), False, True),
        ((20, 0), (4, 59), False, True),
        ((5, 0), (9, 0), False, False),
        ((4, 59), (9, 0), False, True),
        ((18, 0), (22, 0), True, True),
        ((15, 59), (19, 0), True, False),
        ((16, 0), (19, 0), True, True),
    ],
)
def test_when_the_clock_asks_for_a_night(
    mixed: tuple[int, int], oven: tuple[int, int], timed: bool, asks: bool
) -> None:
    """Work between 23 and 5 o'clock; or, with a time set, eight hours or more until mixing."""
    now = datetime(2026, 11, 24, 8, 0)
    day = 25 if mixed < (8, 0) else 24
    end = day + (1 if oven < mixed else 0)
    plan = [
        TimedStep(datetime(2026, 11, day, *mixed), MIX),
        TimedStep(datetime(2026, 11, end, *oven), INTO_OVEN),
        TimedStep(datetime(2026, 11, end, 23, 30), "out of the oven"),
    ]
    assert clock_asks_for_it(plan, now, timed) is asks
    assert clock_asks_for_it(plan[:1], now, timed) is False
    assert clock_asks_for_it(plan[1:], now, timed) is False


@pytest.mark.parametrize(("spare_h", "hours"), [(12.5, 12.0), (9.5, 10.0), (8.2, 8.0), (4.1, None)])
def test_a_night_is_as_long_as_there_is_time(spare_h: float, hours: float | None, read: Read) -> None:
    """With a time set: what is left of the clock and the hours of the warm proof, six minutes to spare."""
    measured = read(QUICK, proof=Proof(25.0, 80.0))
    rise = rise_over(measured, 25.0, 24.0, 80.0)
    warm_h = rise.hours()
    now = datetime(2026, 11, 24, 8, 0)
    begin = now + timedelta(hours=spare_h - (warm_h if hours else 0.0))
    plan = [TimedStep(begin, MIX), TimedStep(begin + timedelta(hours=warm_h), INTO_OVEN)]
    night = night_offered(measured, rise, plan, 5.0, timed=True, now=now, always=True)
    there_h = max((begin - now).total_seconds() / 3600.0 - 0.1, 0.0) + warm_h
    assert night is not None
    lengths = [each for each in (8.0, 10.0, 12.0) if each <= there_h]
    assert bool(lengths) is (hours is not None) and night.hours == pytest.approx(max(lengths, default=there_h))


@pytest.mark.parametrize(("hours", "degrees", "said"), [(9.0, 30.0, "it is up before"), (1.0, 18.0, "give it")])
def test_hours_that_do_not_suit_the_dough_are_said(hours: float, degrees: float, said: str, read: Read) -> None:
    """Far beyond the wanted rise it is up before; far below it needs longer. With the hours told it rises as wanted."""

    def notes_after(stated_h: float) -> list[Note]:
        plans = (StagePlan("dough", "dough", spells=(Spell(stated_h, degrees),)),)
        measured = read(Formula("stated", DOUGH, plans=plans, proof=Proof(degrees, 60.0)))
        rise = replace(rise_over(measured, degrees, degrees, 60.0), spells=measured.rise.spells)
        return rise_notes(measured, rise, proof_of(measured, rise), 0.0)

    (note,) = notes_after(hours)
    risen = float(note.text.split("risen by ")[1].split(" %")[0])
    remedy_h = float(note.text.rsplit(" h ", 1)[0].rsplit(" ", 1)[1])
    assert said in note.text and (risen > 60.0) == (said == "it is up before")
    check_told(note.text, hours, risen, 60.0, remedy_h, degrees)
    assert notes_after(hours - remedy_h if risen > 60.0 else hours + remedy_h) == []


# --- this kitchen's culture -----------------------------------------------------------------------


@pytest.mark.parametrize("factor", [0.6, 1.0, 1.7])
def test_a_measured_stage_tells_the_pace_of_the_culture(read: Read, factor: float) -> None:
    """A stage followed with a culture so much quicker, its pH and TTA taken as measured."""
    measured = read(sour())
    stage = stage_of(measured, "sourdough")
    quick = ripen(replace(stage.course.medium, bacteria_pace=factor), stage.start, stage.warmth, 7.0)
    ph, tta = quick.end.ph, quick.tta(quick.end)
    for given in ((ph, None), (None, tta), (ph, tta)):
        assert souring_factor(stage, 7.0, None, *given) == pytest.approx(factor, rel=0.02)
    assert souring_factor(stage, 7.0, None, None, None) is None
    warm = ripen(replace(stage.course.medium, bacteria_pace=factor), stage.start, steady(30.0), 6.0)
    assert souring_factor(stage, 6.0, 30.0, warm.end.ph, None) == pytest.approx(factor, rel=0.02)


def test_the_peak_of_a_stage_tells_the_pace_of_its_yeast(read: Read) -> None:
    stage = stage_of(read(sour()), "sourdough")
    hours = [raising_factor(stage, peak, None) for peak in (5.0, 7.0, 10.0)]
    assert hours == sorted(hours, reverse=True) and 0.1 < hours[-1] < hours[0] <= 10.0
    medium = replace(stage.course.medium, wild_pace=stage.course.medium.wild_pace * hours[1])
    end = ripen(medium, stage.start, stage.warmth, 7.0).end
    assert stage.bubbles.rise(end.gas_ml, end.temperature_c) == pytest.approx(1.15, abs=0.02)


def test_where_a_dough_goes(read: Read) -> None:
    """Into the cold only where it is colder than before; the first place, and one as warm, is the warmth."""
    rise = read(QUICK).rise
    spells = (Place(1.0, 8.0), Place(2.0, 25.0), Place(3.0, 25.0), Place(4.0, 5.0))
    assert moves_of(replace(rise, spells=spells)) == (
        (0.0, "into the warmth, 8 °C for 1.0 h"), (1.0, "into the warmth, 25 °C for 2.0 h"),
        (3.0, "into the warmth, 25 °C for 3.0 h"), (6.0, "into the cold, 5 °C for 4.0 h"),
    )  # fmt: skip


def test_a_stage_that_is_none(read: Read) -> None:
    with pytest.raises(InputProblem, match="'biga' is no stage with hours") as caught:
        stage_of(read(sour()), "biga")
    assert caught.value.right == "one of sourdough"
    with pytest.raises(InputProblem) as caught:
        stage_of(read(Formula("plain", DOUGH)), "biga")
    assert caught.value.right == 'hours in [stage."biga"]'


def test_ripe_needs_its_time(read: Read) -> None:
    (stage,) = read(sour(14.0, 4.0)).stages
    assert ripe_of(stage) is None


def test_when_each_stage_is_set_before_the_dough_is_mixed(read: Read) -> None:
    """A build stands before the stage that it feeds; builds from the starter there is, before their stage."""
    second = (Line("wholemeal rye flour", 200.0, "sourdough 2"), Line("water", 180.0, "sourdough 2"))
    plans = (
        StagePlan("sourdough", "sourdough", 8.0, 26.0),
        StagePlan("sourdough 2", "sourdough", 5.0, 29.0),
        StagePlan("poolish", None, 14.0, 20.0),
    )
    measured = read(Formula("three", (*SOUR, *second, *POOLISH, *DOUGH), plans=plans))
    rows = stage_rows(measured)
    assert {what: at for at, what in stage_starts(measured, rows)} == {
        "set the sourdough": 13.0, "set the sourdough 2": 5.0, "set the poolish": 14.0,
    }  # fmt: skip
    built = read(Formula("built", (Line("rye sourdough", 400.0), *DOUGH)))
    (row,) = builds_from(built, 10.0, None, 27.0)
    assert len(row.steps) == 2
    starts = stage_starts(built, (row,))
    assert [at for at, _ in starts] == [pytest.approx(row.hours), pytest.approx(row.hours - row.steps[1].at_h)]
    assert starts[0][1].startswith("feed the sourdough, build 1: ")


def test_the_peak_of_a_poolish_tells_the_pace_of_bakers_yeast(read: Read) -> None:
    """Followed with yeast so much quicker, it stands as high as a ripe poolish at the hour of its peak."""
    stage = stage_of(read(poolish()), "poolish")
    for peak_h in (9.0, 12.0):
        factor = raising_factor(stage, peak_h, None)
        medium = replace(stage.course.medium, gas_ml=factor * 86.0)
        end = ripen(medium, stage.start, stage.warmth, peak_h).end
        assert stage.bubbles.rise(end.gas_ml, end.temperature_c) == pytest.approx(1.15, abs=0.02)
    assert raising_factor(stage, 9.0, None) > raising_factor(stage, 12.0, None)


def course_of(*moments: tuple[float, float]) -> Course:
    """(hours, pH) of a course, of which nothing else is asked."""
    return SimpleNamespace(moments=[SimpleNamespace(hours=hours, ph=ph) for hours, ph in moments])  # type: ignore[return-value]


def test_when_something_first_reaches_a_value() -> None:
    """Straight between the steps, at its first moment where it is there already, never where it is not reached."""
    course = course_of((0.0, 6.0), (2.0, 5.0), (4.0, 5.0), (5.0, 4.5), (8.0, 4.8))

    def fallen_to(ph: float) -> float:
        return _crossing(course, lambda moment: moment.ph, -1.0, -ph)

    assert [fallen_to(ph) for ph in (6.5, 6.0, 5.5, 5.0, 4.75, 4.5)] == pytest.approx([0.0, 0.0, 1.0, 2.0, 4.5, 5.0])
    assert fallen_to(4.49) == math.inf
    assert _crossing(course_of((0.0, 6.0), (2.0, 6.0)), lambda moment: moment.ph, 1.0, 6.0) == 0.0


@pytest.mark.parametrize(
    ("hours", "ripe", "state", "past"),
    [
        (3.99, Span(4.0, 6.0, 8.0), "young", 8.0),
        (4.0, Span(4.0, 6.0, 8.0), "ripe", 8.0),
        (8.0, Span(4.0, 6.0, 8.0), "ripe", 8.0),
        (8.01, Span(4.0, 6.0, 8.0), "past", 8.0),
        (99.0, Span(4.0, 6.0, math.inf), "ripe", None),
        (99.0, None, "young", None),
    ],
)
def test_how_a_stage_stands(hours: float, ripe: Span | None, state: str, past: float | None) -> None:
    spells = (Place(2.0, 30.0), Place(6.0, 10.0))
    row = StageRow("sour", "sourdough", hours, spells, 4.0, 10.0, 80.0, ripe, (), (), 100.0)
    assert (row.state, row.past_h, row.temperature_c) == (state, past, pytest.approx(15.0))


@pytest.mark.parametrize(
    ("spells", "into_oven_c"),
    [((), 23.0), ((Place(9.0, 5.0),), 5.0), ((Place(9.0, -5.0),), 0.0), ((Place(2.0, 5.0), Place(9.0, 30.0)), 30.0),
     ((Place(9.0, 80.0),), 60.0)],
)  # fmt: skip
def test_how_warm_a_dough_goes_into_the_oven(spells: tuple[Place, ...], into_oven_c: float, read: Read) -> None:
    """As warm as the place it stood in last, so far as a dough is no ice and not baked; else as its one place."""
    rise = replace(read(QUICK).rise, spells=spells, dough_c=20.0, tau_h=0.1)
    assert baked_from_c(rise, 23.0) == pytest.approx(into_oven_c, abs=1e-6)


def test_a_dough_in_the_cold_is_given_ten_days_and_one_that_overflows_is_told_so(read: Read) -> None:
    def note(proof_c: float, hours: float | None, wanted: float) -> str:
        measured = read(QUICK, proof=Proof(max(proof_c, 4.0), 80.0))
        rise = rise_over(measured, proof_c, proof_c, wanted)
        rise = replace(rise, spells=() if hours is None else (Place(hours, proof_c),))
        (found,) = rise_notes(measured, rise, proof_of(measured, rise), 4.0)
        return found.text

    assert "does not rise within 10 days" in note(0.0, None, 80.0)
    assert "does not rise within two days" in note(47.0, None, 80.0)
    assert "the dough has risen by more than 400 %, not 80 %" in note(32.0, 30.0, 80.0)
    assert "the dough has risen by 0 %, not 80 %: give it longer, or warmer." in note(0.0, 5.0, 80.0)
