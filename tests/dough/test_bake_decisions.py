"""What the bake plan decides and advises: its limits to the last degree, what it takes where nobody said, its notes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from adapter.dough.allergens import allergens, cautions_of
from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.mixing import Temperatures
from adapter.dough.bake.note import Note
from adapter.dough.bake.plan import BakePlan, bake_plan
from adapter.dough.models.tin import fill_warning
from adapter.dough.readings.kitchen import Calibration
from adapter.dough.readings.levels import NO_CLEAR_CHANGE, Level, level
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.tables.bands import Band
from adapter.formula.model import Bake, Formula, Line, Proof, Tin
from adapter.formula.problems import InputProblem
from adapter.swaps.scaling import scaled

Read = Callable[..., Measured]

NOW = datetime(2026, 11, 24, 9, 7, 31)
TIN = Tin(0.22, 0.10, 0.22, 0.10, 0.10, lidded=True)
RYE = {"wholemeal rye flour": 650, "kefir": 120, "water": 460, "honey": 30, "salt": 13, "fresh yeast": 8}


@pytest.fixture(scope="module")
def rye(read: Read) -> Measured:
    return read(RYE, tin=TIN)


def planned(measured: Measured, now: datetime = NOW, **inputs: object) -> BakePlan:
    return bake_plan(measured, BakeInputs(**inputs), now)  # type: ignore[arg-type]


# --- limits ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "low", "high"),
    [("proof_c", 4.0, 47.0), ("rise_percent", 1.0, 400.0), ("core_c", 80.0, 99.5), ("oven_c", 105.0, 350.0)],
)
def test_the_ends_of_what_can_be_are_possible(read: Read, key: str, low: float, high: float) -> None:
    free = read({**RYE, "wholemeal rye flour": 700})
    for value in (low, high if key != "oven_c" else 260.0):
        plan = planned(free, **{key: value, "wanted_dough_c": 25.0})
        told = {
            "proof_c": plan.place_c,
            "rise_percent": plan.rise_percent,
            "core_c": plan.core_c,
            "oven_c": plan.oven_c,
        }
        assert told[key] == value
    for value in (low - 0.1, high + 0.1 if key != "oven_c" else 900.0):
        with pytest.raises(InputProblem):
            planned(free, **{key: value, "wanted_dough_c": 25.0})


def test_what_cannot_be_says_what_could(rye: Measured) -> None:
    said = {"proof_c": (3.0, "4 to 47 °C"), "rise_percent": (0.5, "1 to 400 %"), "core_c": (60.0, "80 to 99.5 °C")}
    for key, (value, right) in said.items():
        with pytest.raises(InputProblem) as caught:
            planned(rye, **{key: value})
        assert caught.value.right == right
    with pytest.raises(InputProblem) as caught:
        planned(rye, oven_c=90.0)
    assert caught.value.where == "formula 'test loaf'"


# --- what is taken where nobody said ---------------------------------------------------------------


def test_a_formula_that_says_nothing_goes_by_its_class(rye: Measured) -> None:
    plan, row = planned(rye), rye.loaf_class
    assert (plan.oven_c, plan.core_c) == (row.default_oven_c, row.core_c)
    assert (plan.place_c, plan.rise_percent) == (row.default_proof_c, row.default_rise_percent)
    assert plan.mixing.wanted_c == plan.place_c
    assert (plan.loss_percent, plan.wait_h, plan.keeps_d) == (row.loss_percent, row.wait_h, row.keeps_d)


def test_the_formula_goes_before_the_class_and_the_day_before_the_formula(read: Read) -> None:
    own = read(RYE, tin=TIN, proof=Proof(23.0, 35.0), bake=Bake(170.0, 96.0))
    plan = planned(own)
    assert (plan.oven_c, plan.core_c, plan.place_c) == (170.0, 96.0, 23.0)
    assert plan.rise_percent == pytest.approx(35.0)
    day = planned(own, oven_c=200.0, core_c=95.0, proof_c=29.0, rise_percent=20.0, wanted_dough_c=26.0)
    assert (day.oven_c, day.core_c, day.place_c, day.rise_percent) == (200.0, 95.0, 29.0, 20.0)
    assert day.mixing.wanted_c == 26.0


def test_amounts_of_the_plan_are_those_of_the_lines(read: Read) -> None:
    formula = Formula(
        "rolls",
        (Line("white wheat flour", 500), Line("water", 320), Line("fresh yeast", 6), Line("instant yeast", 2)),
        pieces=8,
    )
    plan = planned(read(formula))
    assert (plan.dough_g, plan.pieces, plan.yeast_g) == (828.0, 8, 8.0)
    assert plan.piece_g == pytest.approx(103.5)
    assert (plan.tin_volume_l, plan.tin_fill, plan.tin_suits_g) == (None, None, None)


# --- spans ----------------------------------------------------------------------------------------


def test_the_span_of_the_proof(rye: Measured) -> None:
    """As far as the rise time's own spread, in proportion; never so low that it is below three tenths."""
    plan = planned(rye)
    width = rye.spread("rise_time") / rye.value("rise_time")
    hours = plan.proof_h.value
    assert plan.proof_h.high == pytest.approx(hours * (1 + width))
    assert plan.proof_h.low == pytest.approx(hours * (1 - width))
    sure = measure(replace(rye.kitchen, calibration=Calibration(gas_spread=0.0, bakes=9)), rye.formula)
    narrowed = planned(sure).proof_h
    assert (narrowed.high / narrowed.value - 1) ** 2 == pytest.approx(max(width**2 - 0.25**2, 0.08**2), rel=1e-6)
    model = replace(rye.kitchen.tolerances["rise_time"], model_spread=0.0, model_spread_relative=0.0)
    kitchen = replace(sure.kitchen, tolerances={**rye.kitchen.tolerances, "rise_time": model})
    surest = planned(measure(kitchen, rye.formula)).proof_h
    assert surest.high == pytest.approx(1.08 * surest.value), "no log makes a proof surer than 8 %"
    wild = measure(replace(rye.kitchen, calibration=Calibration(gas_spread=0.9, bakes=9)), rye.formula)
    assert planned(wild).proof_h.low == pytest.approx(0.3 * hours)


def test_the_rise_curve_runs_a_fifth_beyond_the_rise(rye: Measured) -> None:
    plan = planned(rye)
    assert len(plan.rise_curve) == 49 == len(plan.core_curve)
    hours = [at for at, _ in plan.rise_curve]
    assert hours[-1] == pytest.approx(1.2 * plan.proof_h.value)
    assert hours[1] - hours[0] == pytest.approx(hours[-1] / 48)
    at_rise = [percent for at, percent in plan.rise_curve if at <= plan.proof_h.value]
    assert at_rise[-1] == pytest.approx(plan.rise_percent, abs=1.5)
    assert plan.rise_curve[-1][1] > 1.1 * plan.rise_percent


# --- notes ----------------------------------------------------------------------------------------


def test_a_plan_without_a_fault_says_nothing(rye: Measured) -> None:
    good = measure(rye.kitchen, scaled(rye.formula, planned(rye).tin_suits_g or 0.0)[0])
    assert planned(good).notes == ()


@pytest.mark.parametrize(("grams", "open_tin"), [(1300.0, False), (1950.0, False), (1300.0, True), (2500.0, True)])
def test_a_tin_badly_filled_is_told_with_what_suits_it(rye: Measured, grams: float, open_tin: bool) -> None:
    tin = replace(TIN, lidded=not open_tin)
    dough = measure(rye.kitchen, scaled(replace(rye.formula, tin=tin), grams)[0])
    plan = planned(dough)
    assert plan.tin_fill is not None and plan.tin_suits_g is not None
    warning = fill_warning(plan.tin_fill, tin.lidded)
    assert warning is not None
    assert plan.notes == (Note("tin", f"{warning} {plan.tin_suits_g:.0f} g of dough a tin would suit."),)


@pytest.mark.parametrize(
    ("fill", "lidded", "said"),
    [
        (0.799, True, "only 80 % full: take a smaller tin"),
        (0.80, True, None),
        (0.97, True, None),
        (0.971, True, "the lid jams above 97 %"),
        (0.79, False, "only 79 % full"),
        (0.98, False, None),
        (1.25, False, None),
        (1.26, False, "126 % full: the loaf runs over the rim"),
    ],
)
def test_how_full_a_tin_may_be(fill: float, lidded: bool, said: str | None) -> None:
    """80 to 97 % under a lid, up to 125 % in an open tin: common practice, no source."""
    told = fill_warning(fill, lidded)
    assert told is None if said is None else told is not None and said in told


def test_liquid_that_cannot_be_warm_enough_is_told_with_what_helps(read: Read) -> None:
    plan = planned(read({"wholemeal rye flour": 600, "kefir": 500, "water": 40, "salt": 12, "fresh yeast": 8}))
    (note,) = plan.notes
    assert note == Note("liquid", f"{plan.mixing.liquid.note} {plan.mixing.hint}")
    assert "Or warm the kefir" in note.text
    reachable = planned(read({"white wheat flour": 600, "water": 390, "salt": 12, "fresh yeast": 8}))
    assert reachable.notes == ()


def test_a_dough_that_never_rises_is_told(read: Read) -> None:
    plan = planned(read({"white wheat flour": 600, "water": 390, "salt": 12}))
    assert plan.notes[-1].kind == "never rises" and "does not rise within two days" in plan.notes[-1].text
    assert plan.plan == () and math.isinf(plan.proof_h.high)


def test_a_cold_day_with_a_warm_proof(read: Read) -> None:
    """What is in the room is at the room's warmth, what is stored cold is cold, water from the tap as it comes."""
    measured = read({"white wheat flour": 500, "milk": 100, "water": 250, "salt": 9, "fresh yeast": 8})
    plan = planned(measured, temperatures=Temperatures(room_c=15.0, fridge_c=4.0, tap_c=8.0), wanted_dough_c=24.0)
    at = {line.name: line.temperature_c for line in plan.mixing.lines}
    assert (at["white wheat flour"], at["milk"], at["fresh yeast"], at["salt"]) == (15.0, 4.0, 4.0, 15.0)


# --- the clock ------------------------------------------------------------------------------------


def test_the_clock_adds_up(rye: Measured) -> None:
    """Mixing and shaping by the table of work, the oven lit three quarters of an hour before: common practice."""
    plan = planned(rye, start=datetime(2026, 11, 25, 6, 0))
    at = {step.step: step.at for step in plan.plan}
    hours = {step.name: step.hours for step in rye.kitchen.steps}
    told_to = timedelta(minutes=5)
    assert plan.plan[0].at == datetime(2026, 11, 25, 6, 0)
    assert abs(at["shape and put to proof"] - at["mix"] - timedelta(hours=hours["mix"])) <= told_to
    proofed = timedelta(hours=hours["shape and put to proof"] + plan.proof_h.value)
    assert abs(at["into the oven"] - at["shape and put to proof"] - proofed) <= told_to
    assert abs(at["into the oven"] - at["heat the oven"] - timedelta(minutes=45)) <= told_to
    assert abs(at["out of the oven"] - at["into the oven"] - timedelta(minutes=plan.bake_min.value)) <= told_to
    assert abs(at["may be sliced"] - at["out of the oven"] - timedelta(hours=plan.wait_h.low)) <= told_to


@pytest.mark.parametrize(("minute", "first"), [(0, 0), (1, 15), (14, 15), (15, 15), (16, 30), (59, 60)])
def test_it_begins_at_the_next_quarter(rye: Measured, minute: int, first: int) -> None:
    now = datetime(2026, 11, 24, 9, minute)
    assert planned(rye, now).plan[0].at == datetime(2026, 11, 24, 9, 0) + timedelta(minutes=first)


def test_sliced_by_a_time(rye: Measured) -> None:
    ready = datetime(2026, 11, 27, 18, 0)
    plan = planned(rye, ready=ready)
    assert plan.plan[-1].at == ready
    with pytest.raises(InputProblem) as caught:
        planned(rye, ready=NOW - timedelta(hours=1))
    assert "2026-11-24 08:07 is past" in str(caught.value)
    assert caught.value.right == "a time after 2026-11-24 09:07"


# --- cautions -------------------------------------------------------------------------------------


def test_allergens_and_cautions_are_those_of_what_is_weighed_in(read: Read) -> None:
    """Regulation (EU) 1169/2011 Annex II, sorted; a line of no weight brings nothing."""
    dough = read({"white wheat flour": 500, "water": 300, "linseed": 60, "walnuts": 0, "honey": 0, "milk": 20})
    assert allergens(dough) == ("gluten: wheat", "milk")
    said = " ".join(cautions_of(dough))
    assert "linseed" in said and "infants" not in said and "tree nuts" not in said
    assert "linseed" not in " ".join(cautions_of(read({"white wheat flour": 500, "water": 300, "linseed": 40})))
    both = read({"white wheat flour": 500, "water": 300, "linseed": 30, "ground linseed": 30})
    assert "linseed" in " ".join(cautions_of(both)), "12 % together, 6 % each"
    assert list(planned(dough).cautions) == cautions_of(dough)


# --- words ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("steps", "clear", "word"),
    [
        (0.19, False, ""),
        (0.2, False, NO_CLEAR_CHANGE),
        (-0.2, False, NO_CLEAR_CHANGE),
        (0.2, True, ""),
        (1.01, True, "more"),
        (3.0, True, "more"),
        (-3.0, True, "less"),
        (3.01, True, "much more"),
        (math.nan, True, ""),
        (math.inf, True, "much more"),
        (-math.inf, False, "much less"),
    ],
)
def test_words_change_at_their_limits(steps: float, clear: bool, word: str) -> None:
    """0.2, 1 and 3 of the changes that a baker notices; what has become endless is told though no spread is known."""
    change = steps if math.isfinite(steps) else math.copysign(math.inf, steps)
    assert Level("sugar", "%", 5.0, 6.0, change, 0.1, steps, clear, None, 0, "").word == word


def test_the_ends_of_a_band_are_inside_it(rye: Measured) -> None:
    value = rye.value("salt")
    band = rye.band("salt")
    assert band is not None
    for low, high, side in (
        (value, value + 1, 0),
        (value - 1, value, 0),
        (value + 0.01, 9, 1 - 2),
        (0, value - 0.01, 1),
    ):
        bands = replace(rye.kitchen.bands, bands={("rye", "salt"): Band("rye", "salt", low, high, "A", "trial")})
        here = measure(replace(rye.kitchen, bands=bands), rye.formula)
        assert level(here, here, "salt").side == side
