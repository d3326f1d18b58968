"""The kitchen's own factors: towards what was observed, and no odd bake swings them."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from adapter.dough.bake.calibration import HUBER_SIGMAS, ONE_BAKE_SPREAD, Calibrated, calibrated

FACTORS = st.lists(st.floats(0.2, 5.0), min_size=1, max_size=8)
MODEL = 0.25


def by_scipy(factors: list[float], model_spread: float) -> float:
    """Minimum of Huber's loss over the bakes plus a normal prior at 1, on logarithms: Huber 1964, solved by scipy."""

    def loss(mean: float) -> float:
        total = 0.5 * (mean / (model_spread / 2.0)) ** 2
        for factor in factors:
            far = abs(math.log(factor) - mean) / (ONE_BAKE_SPREAD / 2.0)
            total += 0.5 * far**2 if far <= HUBER_SIGMAS else HUBER_SIGMAS * (far - 0.5 * HUBER_SIGMAS)
        return total

    return math.exp(minimize_scalar(loss, bounds=(-3.0, 3.0), method="bounded", options={"xatol": 1e-10}).x)


@given(FACTORS, st.sampled_from([0.2, 0.25, 0.4]))
def test_it_is_hubers_estimator_with_the_model_as_prior(factors: list[float], model_spread: float) -> None:
    assert calibrated(factors, model_spread).factor == pytest.approx(by_scipy(factors, model_spread), rel=1e-5)


def test_without_a_bake_the_model_stays() -> None:
    assert calibrated([], MODEL) == Calibrated(1.0, MODEL, 0)


@pytest.mark.parametrize("factor", [0.85, 1.15, 1.2])
def test_one_bake_moves_it_towards_what_was_seen_and_not_all_the_way(factor: float) -> None:
    found = calibrated([factor], MODEL)
    low, high = sorted((1.0, factor))
    assert low < found.factor < high
    assert abs(found.factor - 1.0) > 0.4 * abs(factor - 1.0)
    assert found.spread < MODEL


def test_bakes_that_agree_come_closer_and_make_it_surer() -> None:
    found = [calibrated([1.2] * count, MODEL) for count in range(1, 12)]
    assert all(first.factor < second.factor < 1.2 for first, second in pairwise(found))
    assert all(first.spread > second.spread for first, second in pairwise(found))
    assert found[-1].factor == pytest.approx(1.2, rel=0.02)


@pytest.mark.parametrize("odd", [0.2, 0.5, 2.0, 5.0, 50.0])
def test_one_odd_bake_among_five_hardly_moves_it(odd: float) -> None:
    """Among five that agree, one that is off by any amount moves the mean by less than 4 %."""
    usual = calibrated([1.1] * 5, MODEL).factor
    assert calibrated([*[1.1] * 5, odd], MODEL).factor == pytest.approx(usual, rel=0.04)


@pytest.mark.parametrize("odd", [0.2, 3.0, 20.0, 1000.0])
def test_an_odd_first_bake_does_not_swing_it_beyond_what_the_model_allows(odd: float) -> None:
    """The plain mean would go to the bake itself; here it stays about within the spread that the model had anyway."""
    found = calibrated([odd], MODEL)
    assert abs(math.log(found.factor)) < MODEL
    assert found.spread > MODEL  # and it is said to be less sure than before


def test_several_that_agree_far_away_get_there() -> None:
    assert calibrated([2.0] * 6, MODEL).factor > 1.8


def test_bakes_that_disagree_leave_a_wide_spread() -> None:
    assert calibrated([0.6, 1.6, 0.7, 1.4], MODEL).spread > calibrated([1.0, 1.02, 0.98, 1.0], MODEL).spread


@given(FACTORS, st.integers(0, 7), st.floats(1.01, 2.0))
def test_a_slower_bake_never_says_a_faster_kitchen(factors: list[float], place: int, more: float) -> None:
    raised = list(factors)
    raised[place % len(factors)] *= more
    assert calibrated(raised, MODEL).factor >= calibrated(factors, MODEL).factor - 1e-9


@given(FACTORS)
def test_the_order_of_the_bakes_does_not_count(factors: list[float]) -> None:
    assert calibrated(factors, MODEL) == calibrated(factors[::-1], MODEL)


@pytest.mark.parametrize("factor", [0.0, -1.0, math.nan, math.inf])
def test_what_a_bake_cannot_say(factor: float) -> None:
    with pytest.raises(ValueError, match="above zero"):
        calibrated([1.0, factor], MODEL)
