"""From dough to slice: the plan of a formula, forward and back, and what cannot be."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from adapter.dough.bake.clock import nights_in
from adapter.dough.bake.day import risen_loaf
from adapter.dough.bake.filling import tin_suits_g
from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.mixing import Temperatures
from adapter.dough.bake.plan import BakePlan, bake_plan
from adapter.dough.bake.proofing import mean_temperature, rise_over
from adapter.dough.bake.span import Span
from adapter.dough.models.warmth import Place, mean_warmth
from adapter.dough.readings.kitchen import GAS_SPREAD, Calibration, Kitchen, load_kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.files.formula_file import read_sample
from adapter.files.places import sample_named, samples
from adapter.formula.model import Bake, Formula, Line, Proof, Tin
from adapter.formula.problems import InputProblem
from adapter.swaps.scaling import scaled
from adapter.swaps.variant import Variant
from tests.references.oven_curve import core_temperature

Read = Callable[..., Measured]
Loaf = Callable[..., Formula]

NOW = datetime(2026, 11, 24, 9, 7, 31)
TIN = Tin(0.22, 0.10, 0.22, 0.10, 0.10, lidded=True)
DARK_RYE = {
    "wholemeal rye flour": 620,
    "wheat bran": 50,
    "buttermilk": 560,
    "water": 100,
    "honey": 50,
    "molasses": 50,
    "linseed": 60,
    "salt": 14,
    "fresh yeast": 9,
}
WITHOUT_WATER = {"wholemeal rye flour": 700, "kefir": 620, "salt": 13, "fresh yeast": 8}


@pytest.fixture(scope="module")
def dark(read: Read) -> Measured:
    return read(DARK_RYE, tin=TIN, proof=Proof(27.0, 30.0), bake=Bake(160.0, 97.0))


def planned(measured: Measured, **inputs: object) -> BakePlan:
    return bake_plan(measured, BakeInputs(**inputs), NOW)  # type: ignore[arg-type]


# ---------------------------------------------------------------- what it says


def test_dark_rye_in_a_lidded_tin(dark: Measured) -> None:
    """About two hours at 160 °C to a core of 97 °C in a 2.2 L tin, at least a day of waiting: common practice."""
    plan = planned(dark)
    assert plan.tin_volume_l == pytest.approx(2.2)
    assert 105 <= plan.bake_min.value <= 150
    assert (plan.bake_min.low, plan.bake_min.high) == pytest.approx(
        (0.8 * plan.bake_min.value, 1.2 * plan.bake_min.value)
    )
    assert plan.wait_h.low >= 24
    assert plan.loaf_class.name == "dense lidded rye"


def test_one_percent_yeast_in_dense_rye(read: Read) -> None:
    """Dense rye, 1 % fresh yeast, 25 °C, +30 %: two to two and a half hours, common practice (1.7–2.6 h allowed)."""
    plan = planned(
        read({"wholemeal rye flour": 1000, "water": 820, "salt": 18, "fresh yeast": 10}, proof=Proof(25.0, 30.0))
    )
    assert plan.mixing.dough_c == 25.0
    assert 1.7 <= plan.proof_h.value <= 2.6


def test_a_rise_of_nine_days_in_the_cold_is_drawn_as_far_as_a_dough_is_followed(read: Read) -> None:
    """A fifth beyond it would be more than ten days."""
    plan = planned(
        read({"wholemeal rye flour": 700, "water": 560, "salt": 13, "fresh yeast": 10}, proof=Proof(5.0, 400.0))
    )
    assert 200.0 < plan.proof_h.value < plan.rise_curve[-1][0] == 240.0


def test_colder_kefir_lengthens_the_proof_where_there_is_no_water_to_warm(read: Read) -> None:
    measured = read(WITHOUT_WATER, tin=TIN)
    cold, mild = (planned(measured, temperatures=Temperatures(fridge_c=at_c)) for at_c in (6.0, 20.0))
    assert cold.mixing.dough_c < mild.mixing.dough_c
    assert cold.proof_h.value > 1.15 * mild.proof_h.value


def test_colder_kefir_changes_the_water_and_not_the_proof_where_there_is_water(read: Read) -> None:
    measured = read({"wholemeal rye flour": 700, "kefir": 200, "water": 400, "salt": 13, "fresh yeast": 8})
    cold, mild = (planned(measured, temperatures=Temperatures(fridge_c=at_c)) for at_c in (6.0, 20.0))
    assert cold.mixing.liquid.reachable
    first, second = cold.mixing.liquid.liquid_temperature_c, mild.mixing.liquid.liquid_temperature_c
    assert first is not None and second is not None and first > second + 5.0
    assert cold.proof_h == mild.proof_h


def test_starch_attack_is_the_reading_where_the_day_is_as_written(dark: Measured) -> None:
    plan = planned(dark)
    assert plan.starch_attack == pytest.approx(dark.value("starch_attack"), rel=1e-12)
    assert plan.heating_c_per_min == pytest.approx(dark.heating_c_per_min, rel=1e-12)


def test_a_hotter_oven_is_never_longer_and_leaves_less_to_the_enzymes(dark: Measured) -> None:
    plans = [planned(dark, oven_c=oven_c) for oven_c in (110.0, 130.0, 160.0, 190.0, 230.0, 260.0)]
    assert all(first.bake_min.value > second.bake_min.value for first, second in pairwise(plans))
    assert all(first.starch_attack > second.starch_attack for first, second in pairwise(plans))


def test_a_hotter_core_and_a_higher_rise_are_never_shorter(dark: Measured) -> None:
    cores = [planned(dark, core_c=core_c).bake_min.value for core_c in (94.0, 96.0, 97.0, 98.0, 99.0)]
    assert all(first < second for first, second in pairwise(cores))
    rises = [planned(dark, rise_percent=percent).proof_h.value for percent in (10.0, 20.0, 30.0, 50.0)]
    assert all(first < second for first, second in pairwise(rises))


@pytest.mark.parametrize("sample", [place.name for place in samples()])
def test_every_sample_has_a_plan(kitchen: Kitchen, sample: str) -> None:
    place = sample_named(sample)
    assert place is not None
    plan = planned(measure(kitchen, read_sample(place, kitchen.catalogue)))
    for span in (plan.proof_h, plan.bake_min):
        assert 0 < span.low < span.value < span.high < math.inf
    assert plan.plan[-1].step == "may be sliced"
    if plan.tin_fill is not None:
        assert 0.80 <= plan.tin_fill <= 1.25


# ---------------------------------------------------------------- curves


def test_the_rise_curve_goes_through_the_wanted_rise(dark: Measured) -> None:
    plan = planned(dark)
    points = plan.rise_curve
    assert points[0] == (0.0, 0.0)
    assert all(first[1] <= second[1] for first, second in pairwise(points))
    before = max(point for point in points if point[0] <= plan.proof_h.value)
    after = min(point for point in points if point[0] >= plan.proof_h.value)
    assert before[1] - 1e-6 <= plan.rise_percent <= after[1] + 1e-6
    assert plan.rise_percent == pytest.approx(before[1], abs=2.0)


def test_the_core_curve_ends_at_the_core(dark: Measured) -> None:
    plan = planned(dark)
    assert plan.core_curve[0] == (0.0, 27.0)
    assert plan.core_curve[-1] == pytest.approx((plan.bake_min.value, 97.0), abs=0.01)
    middle = plan.core_curve[24]
    assert core_temperature(plan.loaf, middle[0], 160.0, 27.0) == pytest.approx(middle[1], abs=1e-9)


@given(st.floats(10.0, 40.0), st.floats(10.0, 40.0), st.floats(0.3, 20.0))
def test_the_mean_of_a_dough_that_goes_over_to_the_room(place_c: float, dough_c: float, hours: float) -> None:
    """Newton's law of cooling, time constant 1.5 h, averaged by scipy's quadrature."""
    area, _ = quad(lambda t: place_c + (dough_c - place_c) * math.exp(-t / 1.5), 0.0, hours)
    assert mean_warmth(dough_c, (Place(math.inf, place_c),), 1.5, hours) == pytest.approx(area / hours, abs=1e-6)


def test_the_proof_is_at_its_own_mean_temperature(read: Read) -> None:
    measured = read(WITHOUT_WATER, tin=TIN)
    plan = planned(measured)
    rise = rise_over(measured, plan.place_c, plan.mixing.dough_c, plan.rise_percent)
    assert plan.proof_c == pytest.approx(mean_temperature(rise, plan.proof_h.value), abs=1e-6)
    assert rise.hours() == pytest.approx(plan.proof_h.value, abs=1e-6)


# ---------------------------------------------------------------- the kitchen's own factors


def calibrated(measured: Measured, **factors: float) -> Measured:
    kitchen = replace(measured.kitchen, calibration=Calibration(**factors))  # type: ignore[arg-type]
    return measure(kitchen, measured.formula)


def test_a_livelier_kitchen_and_a_slower_oven(dark: Measured) -> None:
    usual = planned(dark)
    own = planned(calibrated(dark, gas_ml=103.2, oven_factor=1.1, oven_spread=0.1))
    assert own.proof_h.value < usual.proof_h.value
    assert own.bake_min.value == pytest.approx(1.1 * usual.bake_min.value)
    assert own.bake_min.high == pytest.approx(1.1 * own.bake_min.value)
    assert own.heating_c_per_min == pytest.approx(usual.heating_c_per_min / 1.1)


def test_what_the_log_has_learned_narrows_the_proof(dark: Measured) -> None:
    def width(span: Span) -> float:
        return (span.high - span.value) / span.value

    usual = width(planned(dark).proof_h)
    surer = width(planned(calibrated(dark, gas_spread=0.10)).proof_h)
    assert width(planned(calibrated(dark, gas_spread=GAS_SPREAD)).proof_h) == pytest.approx(usual)
    assert surer == pytest.approx(math.sqrt(usual**2 - GAS_SPREAD**2 + 0.10**2), rel=1e-9)
    assert width(planned(calibrated(dark, gas_spread=0.6)).proof_h) > usual


# ---------------------------------------------------------------- tin and pieces


def test_the_dough_that_suits_the_tin_fills_it_well(dark: Measured) -> None:
    suits = tin_suits_g(dark, 30.0)
    assert suits is not None and 1600 <= suits <= 1900  # straight 2.2 L tin, dense rye: common practice
    assert planned(dark).tin_suits_g == suits
    fitted = measure(dark.kitchen, scaled(dark.formula, suits)[0])
    fill = planned(fitted).tin_fill
    assert fill == pytest.approx(dark.loaf_class.fill.middle, abs=0.003)  # type: ignore[union-attr]


@pytest.mark.parametrize(("grams", "said"), [(1200.0, "only 6"), (1900.0, "the lid jams above 97 %")])
def test_a_tin_too_full_or_too_empty_is_said(dark: Measured, grams: float, said: str) -> None:
    plan = planned(measure(dark.kitchen, scaled(dark.formula, grams)[0]))
    assert any(said in note.text for note in plan.notes)


def test_the_loaf_rises_no_higher_than_its_lid(dark: Measured) -> None:
    assert risen_loaf(dark, 10.0).height_m < risen_loaf(dark, 30.0).height_m <= 0.10
    assert risen_loaf(dark, 200.0).height_m == pytest.approx(0.10)


def test_a_free_standing_loaf_grows_on_all_sides(read: Read) -> None:
    measured = read({"white wheat flour": 600, "water": 390, "salt": 12, "fresh yeast": 10})
    small, large = risen_loaf(measured, 50.0), risen_loaf(measured, 150.0)
    assert large.volume_m3 / small.volume_m3 == pytest.approx(2.5 / 1.5)
    assert large.length_m / small.length_m == pytest.approx(large.height_m / small.height_m)


def test_more_loaves_of_the_same_weight_are_the_same_loaves(dark: Measured) -> None:
    one, three = planned(dark), planned(measure(dark.kitchen, scaled(dark.formula, 3 * dark.amount("mass"), 3)[0]))
    assert three.piece_g == pytest.approx(one.piece_g, abs=1.0)
    assert three.bake_min.value == pytest.approx(one.bake_min.value, rel=0.002)
    assert three.tin_fill == pytest.approx(one.tin_fill, abs=0.001)
    assert three.loaf_class == one.loaf_class


def of_twelve(dark: Measured) -> Measured:
    """A variant of twelve loaves; its book formula has one."""
    formula, step = scaled(dark.formula, 12 * dark.amount("mass"), 12)
    return measure(dark.kitchen, Variant.of(dark.formula).then(formula, step).formula)


def test_many_loaves_do_not_turn_into_rolls(dark: Measured) -> None:
    assert planned(of_twelve(dark)).loaf_class.name == "dense lidded rye"


def test_many_loaves_fill_their_tins_as_one_does(dark: Measured) -> None:
    one, twelve = planned(dark), planned(of_twelve(dark))
    assert twelve.tin_fill == pytest.approx(one.tin_fill, abs=0.001)
    assert twelve.bake_min.value == pytest.approx(one.bake_min.value, rel=0.002)


# ---------------------------------------------------------------- clock


SOURDOUGH = (
    Line("rye sourdough", 300.0, "sourdough"),
    Line("linseed", 60.0, "soaker"),
    Line("water", 60.0, "soaker"),
    Line("wholemeal rye flour", 400.0),
    Line("water", 250.0),
    Line("salt", 10.0),
    Line("fresh yeast", 4.0),
)


@pytest.fixture(scope="module")
def sour(read: Read) -> Measured:
    return read(Formula("sour", SOURDOUGH, tin=TIN))


def test_the_steps_of_a_sourdough_loaf_with_a_soaker(sour: Measured) -> None:
    plan = planned(sour)
    assert [step.step for step in plan.plan] == [
        "build the sourdough",
        "set the soaker",
        "mix",
        "shape and put to proof",
        "heat the oven",
        "into the oven",
        "out of the oven",
        "may be sliced",
    ]
    at = {step.step: step.at for step in plan.plan}
    assert at["mix"] - at["build the sourdough"] == timedelta(hours=14)
    assert at["mix"] - at["set the soaker"] == timedelta(hours=8)


def test_without_a_time_it_begins_at_the_next_quarter(sour: Measured) -> None:
    assert planned(sour).plan[0].at == datetime(2026, 11, 24, 9, 15)


def test_forward_and_back_are_the_same_plan(sour: Measured) -> None:
    start = datetime(2026, 11, 24, 16, 0)
    forward = planned(sour, start=start).plan
    assert forward[0].at == start and nights_in(forward) == 0  # else the loaf may wait longer
    back = planned(sour, ready=forward[-1].at).plan
    assert back[-1].at == forward[-1].at
    for first, second in zip(forward, back, strict=True):
        assert first.step == second.step
        assert abs(first.at - second.at) <= timedelta(minutes=5)  # both are told to five minutes


@given(st.integers(0, 60 * 24 * 14))
def test_steps_come_in_order_and_last_as_long_as_they_are_said_to(sour: Measured, later: int) -> None:
    plan = planned(sour, start=datetime(2026, 11, 24, 9, 7) + timedelta(minutes=later))
    times = [step.at for step in plan.plan]
    assert times == sorted(times)
    at = {step.step: step.at for step in plan.plan}
    baked = (at["out of the oven"] - at["into the oven"]).total_seconds() / 60.0
    assert baked == pytest.approx(plan.bake_min.value, abs=5.0)
    waited = at["may be sliced"] - at["out of the oven"]
    assert abs(waited - timedelta(hours=plan.wait_h.low)) <= timedelta(minutes=5)
    assert all(time.minute % 5 == 0 for time in times[1:])


@pytest.mark.parametrize("night", [datetime(2027, 3, 27, 20, 0), datetime(2027, 10, 30, 20, 0)])
def test_a_night_in_which_the_clock_is_changed_is_a_night_like_any_other(sour: Measured, night: datetime) -> None:
    """Summer time begins on 28 March and ends on 31 October 2027 in Europe; the plan knows no zone and no such hour."""
    usual = planned(sour, start=datetime(2027, 3, 20, 20, 0)).plan
    changed = planned(sour, start=night).plan
    assert all(step.at.tzinfo is None for step in changed)
    assert [step.at - changed[0].at for step in changed] == [step.at - usual[0].at for step in usual]


def test_too_soon_says_the_earliest_and_that_one_works(sour: Measured) -> None:
    with pytest.raises(InputProblem) as caught:
        planned(sour, ready=NOW + timedelta(hours=10))
    assert "which is past" in str(caught.value) and caught.value.right is not None
    earliest = datetime.strptime(caught.value.right.removeprefix("the earliest is "), "%Y-%m-%d %H:%M")
    assert planned(sour, ready=earliest).plan[-1].at == earliest
    with pytest.raises(InputProblem):
        planned(sour, ready=earliest - timedelta(minutes=5))


def hands_at_night(plan: BakePlan) -> list[str]:
    return [step.step for step in plan.plan[:-1] if step.at.hour >= 23 or step.at.hour < 5]


def test_the_loaf_waits_longer_rather_than_that_somebody_works_at_night(dark: Measured) -> None:
    """Over the hours of a day: never more work at night than with the least wait, somewhere less."""
    low, high = planned(dark).wait_h.low, planned(dark).wait_h.high
    assert high > low
    better = 0
    for hour in range(24):
        plan = planned(dark, ready=datetime(2026, 11, 28, 0, 0) + timedelta(hours=hour))
        at = {step.step: step.at for step in plan.plan}
        waited = (at["may be sliced"] - at["out of the oven"]).total_seconds() / 3600.0
        assert low - 0.1 <= waited <= high + 0.1
        shortest = [step.at + timedelta(hours=waited - low) for step in plan.plan[:-1]]
        before = sum(at.hour >= 23 or at.hour < 5 for at in shortest)
        assert len(hands_at_night(plan)) <= before
        assert waited < low + 0.1 or len(hands_at_night(plan)) < before
        better += waited > low + 0.1
    assert better


def test_work_at_night_is_told_with_a_time_that_has_none(dark: Measured) -> None:
    plan = planned(dark, start=datetime(2026, 11, 24, 21, 0))
    assert hands_at_night(plan) and plan.off_night is not None
    assert any(
        f"{hands_at_night(plan)[0]}" in note.text and "it asks for no work between" in note.text for note in plan.notes
    )
    moved = planned(dark, start=datetime(2026, 11, 24, 21, 0) + plan.off_night)
    assert not hands_at_night(moved) and moved.off_night is None
    assert not any("into the night" in note.text for note in moved.notes)


@pytest.mark.parametrize("key", ["start", "ready"])
def test_times_in_the_past(sour: Measured, key: str) -> None:
    with pytest.raises(InputProblem, match="2026-11-24 09:00 is past"):
        planned(sour, **{key: datetime(2026, 11, 24, 9, 0)})


def test_a_start_in_this_minute_is_not_past(sour: Measured) -> None:
    assert planned(sour, start=datetime(2026, 11, 24, 9, 7)).plan[0].at == datetime(2026, 11, 24, 9, 7)


# ---------------------------------------------------------------- what cannot be


@pytest.mark.parametrize(
    ("inputs", "said"),
    [
        ({"core_c": 99.6}, "a core of 99.6 °C is never reached: at most 99.5 °C"),
        ({"core_c": 79.0}, "a core of 79 °C is raw dough (80 to 99.5 °C)"),
        ({"core_c": 26.0, "proof_c": 20.0}, "a core of 26 °C is raw dough"),
        ({"core_c": math.nan}, "core"),
        ({"oven_c": 104.0}, "an oven at 104 °C does not bake bread"),
        ({"oven_c": 900.0}, "an oven at 900 °C"),
        ({"proof_c": 3.0}, "a proof at 3 °C is not possible"),
        ({"proof_c": 60.0}, "a proof at 60 °C is not possible"),
        ({"proof_c": math.nan}, "a proof at nan"),
        ({"rise_percent": 0.0}, "a rise of 0 % is not possible"),
        ({"rise_percent": 5000.0}, "a rise of 5000 % is not possible"),
        ({"wanted_dough_c": 70.0}, "the wanted dough temperature at 70 °C is not possible"),
        ({"temperatures": Temperatures(room_c=80.0)}, "a room at 80 °C is not possible"),
        ({"temperatures": Temperatures(tap_c=-5.0)}, "tap water at -5 °C is not possible"),
    ],
)
def test_what_cannot_be_is_one_clear_line(dark: Measured, inputs: dict[str, object], said: str) -> None:
    with pytest.raises(InputProblem) as caught:
        planned(dark, **inputs)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_tin_smaller_than_its_dough(read: Read) -> None:
    with pytest.raises(InputProblem, match=r"the tin is too small: 1513 g of dough are 1\.3"):
        planned(read(DARK_RYE, tin=Tin(0.10, 0.10, 0.10, 0.10, 0.10, lidded=True)))


def test_nothing_raises_it(read: Read) -> None:
    plan = planned(read({"wholemeal rye flour": 500, "water": 400, "salt": 10}, tin=TIN))
    assert math.isinf(plan.proof_h.value) and plan.plan == () and plan.rise_curve == ()
    assert any("does not rise" in note.text for note in plan.notes)
    assert plan.core_curve  # it can still be baked


def test_own_steps_and_samples_are_tables(dark: Measured, tmp_path: Path) -> None:
    """A baker's own hours for a step move the plan."""
    (tmp_path / "work_steps.toml").write_text(
        '[[step]]\nname = "mix"\nhours = 1.4\ntag = "own"\nsource = "our mixer is slow"\n', encoding="utf-8"
    )
    own = bake_plan(measure(load_kitchen([tmp_path]), dark.formula), BakeInputs(), NOW)
    assert own.plan[-1].at - planned(dark).plan[-1].at == timedelta(hours=1)
