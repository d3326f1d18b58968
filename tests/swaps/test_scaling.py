"""Scaling to grams, pieces and the tin, and yeast for a wanted time: whole steps of the variant."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.dough.bake.filling import tin_suits_g
from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.mixing import Temperatures
from adapter.dough.bake.plan import bake_plan
from adapter.dough.bake.proofing import rise_over
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.model import Formula, Line, Step, Tin, scale_step
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import Bench
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule
from adapter.swaps.scaling import scaled, with_rise_in

Read = Callable[..., Measured]
RYE = Formula(
    "rye",
    (
        Line("wholemeal rye flour", 700.0),
        Line("kefir", 260.0),
        Line("water", 333.0, amount="1 1/2 cups"),
        Line("salt", 13.0),
        Line("fresh yeast", 8.5),
    ),
    tin=Tin(0.22, 0.10, 0.22, 0.10, 0.10, lidded=True),
)


@pytest.fixture
def bench(kitchen: object, rules: tuple[Rule, ...], solver: Solver) -> Bench:
    return Bench.open(kitchen, rules, solver, RYE)  # type: ignore[arg-type]


def take(bench: Bench, changed: tuple[Formula, Step]) -> None:
    bench.work = bench.work.with_variant(bench.work.variant.then(*changed))


@given(st.floats(20.0, 100_000.0))
def test_every_weight_is_one_that_the_scale_shows(dough_g: float) -> None:
    formula, _ = scaled(RYE, dough_g)
    factor = dough_g / RYE.dough_grams()
    for before, after in zip(RYE.lines, formula.lines, strict=True):
        step = scale_step(after.grams)
        assert after.grams == pytest.approx(round(after.grams / step) * step, abs=1e-9)
        assert abs(after.grams - before.grams * factor) <= 0.5 * step + 1e-9
    assert abs(formula.dough_grams() - dough_g) <= 0.5 * len(RYE.lines)


def test_the_step_says_what_moved() -> None:
    formula, step = scaled(RYE, 2 * RYE.dough_grams())
    assert step.kind == "amount"
    assert {amount.ingredient: amount.grams for amount in step.moved} == {
        "wholemeal rye flour": 700.0,
        "kefir": 260.0,
        "water": 333.0,
        "salt": 13.0,
        "fresh yeast": 8.5,
    }
    assert formula.lines[2].amount is None  # "1 1/2 cups" no longer holds


def test_the_same_weight_changes_nothing() -> None:
    formula, step = scaled(RYE, RYE.dough_grams())
    assert formula == RYE and step.moved == ()


def test_to_pieces(bench: Bench) -> None:
    take(bench, scaled(bench.formula, 3 * RYE.dough_grams(), 3))
    assert bench.formula.pieces == 3
    assert bench.formula.dough_grams() / 3 == pytest.approx(RYE.dough_grams(), abs=1.0)
    assert bench.undo()
    assert bench.formula == RYE
    assert bench.redo()
    assert bench.formula.pieces == 3


def test_to_the_tin(bench: Bench) -> None:
    suits = tin_suits_g(bench.now, 30.0)
    assert suits is not None
    take(bench, scaled(bench.formula, suits))
    assert bench.now.amount("mass") == pytest.approx(suits, abs=2.5)
    assert bench.formula.adapted is not None and len(bench.formula.adapted.steps) == 1


def test_a_scaled_variant_reads_as_its_book_does(bench: Bench) -> None:
    """Percentages do not move, but for what the scale rounds: at most half a gram of 32 g yeast, 1.6 %."""
    before = {key: bench.now.value(key) for key in ("hydration", "salt", "tta", "ph", "yeast")}
    take(bench, scaled(bench.formula, 5000.0))
    for key, value in before.items():
        assert bench.now.value(key) == pytest.approx(value, rel=0.016)
    assert bench.now.value("dough_mass") == pytest.approx(5000.0, abs=2.5)


def test_a_scaled_variant_can_be_saved_and_read_again(bench: Bench, tmp_path: object, kitchen: object) -> None:
    from adapter.files.formula_file import read_formula
    from adapter.files.formula_saving import write_formula

    take(bench, scaled(bench.formula, 3 * RYE.dough_grams(), 3))
    path = tmp_path / "three.toml"  # type: ignore[operator]
    write_formula(bench.formula, path, catalogue=kitchen.catalogue)  # type: ignore[attr-defined]
    assert read_formula(path, kitchen.catalogue) == bench.formula  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("dough_g", "pieces", "said"),
    [
        (0.0, None, "above zero"),
        (-5.0, None, "above zero"),
        (math.nan, None, "above zero"),
        (1.0, None, "times the formula"),
        (1e9, None, "times the formula"),
        (1000.0, 0, "0 pieces"),
        (1000.0, 1001, "1001 pieces"),
    ],
)
def test_what_cannot_be(dough_g: float, pieces: int | None, said: str) -> None:
    with pytest.raises(InputProblem, match=said):
        scaled(RYE, dough_g, pieces)


# ---------------------------------------------------------------- yeast for a wanted time


@pytest.mark.parametrize("hours", [1.0, 1.5, 3.0, 8.0])
def test_yeast_for_a_time_gives_that_time(bench: Bench, hours: float) -> None:
    """As nearly as the scale allows: half a step of it is at most 4 % of 1.4 g of yeast."""
    take(bench, with_rise_in(bench.now, hours))
    assert bench.now.value("rise_time") == pytest.approx(hours, rel=0.04)


@pytest.mark.parametrize("hours", [1.25, 2.5, 5.0])
def test_yeast_for_a_time_in_todays_kitchen(bench: Bench, hours: float) -> None:
    """A dough of 19 °C in a place of 28 °C: it is that proof which is to take so long, not the formula's own."""
    inputs = BakeInputs(Temperatures(room_c=16.0), 19.0, 28.0, 40.0)
    now = datetime(2026, 11, 24, 9, 0)
    plan = bake_plan(bench.now, inputs, now)
    rise = rise_over(bench.now, plan.place_c, plan.mixing.dough_c, plan.rise_percent)
    take(bench, with_rise_in(bench.now, hours, rise))
    assert bake_plan(bench.now, inputs, now).proof_h.value == pytest.approx(hours, rel=0.04)
    assert bench.undo() and bench.formula == RYE


def test_less_time_takes_more_yeast(read: Read) -> None:
    measured = read(RYE)
    percents = [measure(measured.kitchen, with_rise_in(measured, hours)[0]).value("yeast") for hours in (1.0, 2.0, 4.0)]
    assert percents == sorted(percents, reverse=True)


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (0.25, "no dough rises within"),
        (0.0, "no dough rises within"),
        (-1.0, "no dough rises within"),
        (math.nan, "no dough rises within"),
        (0.3, "% yeast"),
    ],
)
def test_times_in_which_no_dough_rises(read: Read, hours: float, said: str) -> None:
    with pytest.raises(InputProblem, match=said):
        with_rise_in(read(RYE), hours)


def test_without_yeast_there_is_none_to_set(read: Read) -> None:
    with pytest.raises(InputProblem, match="there is no yeast"):
        with_rise_in(read({"wholemeal rye flour": 500, "water": 400}), 2.0)


def test_a_sourdough_that_is_quicker_alone_says_so(read: Read) -> None:
    lines = {"rye sourdough": 900, "wholemeal rye flour": 400, "water": 200, "salt": 15, "fresh yeast": 2}
    with pytest.raises(InputProblem, match="its sourdough alone"):
        with_rise_in(read(lines), 20.0)
