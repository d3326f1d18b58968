"""What must hold of every ripening, whatever its figures."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from adapter.dough.models.bubbles import Bubbles
from adapter.dough.models.course import Living
from adapter.dough.models.ripening import ripen
from adapter.dough.models.warmth import Place, cooling_hours, places, steady
from tests.references.ripening_doughs import RYE, TAP, WHITE, medium, rye_sourdough

WHITE_DOUGH = medium([(1000.0, WHITE), (600.0, TAP)], 0.0, salt_g=20.0)
STILL_DOUGH = medium([(1000.0, WHITE), (600.0, TAP)], 0.0, salt_g=20.0, own_bacteria=False)
FEW = settings(max_examples=25, deadline=None)


def acid(course) -> float:
    return course.tta(course.end)


@FEW
@given(st.floats(1.0, 60.0), st.floats(1.05, 1.6), st.floats(8.0, 34.0), st.floats(1.0, 24.0))
def test_more_starter_is_sourer(starter, more, t_c, hours) -> None:
    less, greater = rye_sourdough(starter, t_c, hours), rye_sourdough(min(starter * more, 90.0), t_c, hours)
    assert acid(greater) > acid(less)
    assert greater.end.ph < less.end.ph


@FEW
@given(st.floats(1.0, 60.0), st.floats(6.0, 34.0))
def test_time_makes_sourer(starter, t_c) -> None:
    course = rye_sourdough(starter, t_c, 24.0)
    for before, after in zip(course.moments[1:], course.moments[2:], strict=False):
        assert after.lactic > before.lactic
        assert after.ph < before.ph + 1e-9


@FEW
@given(st.floats(2.0, 40.0), st.floats(6.0, 30.0), st.floats(0.2, 1.5))
def test_warmth_makes_sourer_up_to_the_best(starter, t_c, more) -> None:
    assert acid(rye_sourdough(starter, t_c + more, 12.0)) > acid(rye_sourdough(starter, t_c, 12.0))


def test_too_warm_is_slower() -> None:
    bubbles = Bubbles(200.0 / 1.17, 111.0, 0.03, 0.55)
    at_28, at_36 = rye_sourdough(10, 28.0, 30.0), rye_sourdough(10, 36.0, 30.0)
    assert acid(at_36) < acid(at_28)
    assert at_36.hours_to_rise(bubbles, 0.5) > at_28.hours_to_rise(bubbles, 0.5)


@FEW
@given(st.floats(0.05, 5.0), st.floats(1.02, 2.0), st.floats(4.0, 36.0))
def test_more_yeast_makes_more_gas_sooner(percent, more, t_c) -> None:
    less = ripen(WHITE_DOUGH, Living(bakers_yeast=percent), steady(t_c), 4.0)
    greater = ripen(WHITE_DOUGH, Living(bakers_yeast=percent * more), steady(t_c), 4.0)
    assert greater.end.gas_ml > less.end.gas_ml
    assert greater.end.ph <= less.end.ph


def test_nothing_alive_changes_nothing() -> None:
    course = ripen(STILL_DOUGH, Living(), steady(27.0), 24.0)
    assert course.end.made() == (0.0, 0.0, 0.0, 0.0)
    assert course.end.gas_ml == 0.0
    assert course.end.ph == pytest.approx(course.moments[0].ph, abs=1e-9)


def test_a_pinch_of_yeast_is_next_to_none() -> None:
    """Continuity: from a tenth of a milligram to none at all in a kilo of flour."""
    none = ripen(WHITE_DOUGH, Living(), steady(27.0), 6.0)
    for percent, within in ((1e-5, 1e-3), (1e-4, 3e-3), (1e-3, 3e-2), (1e-2, 0.25)):
        pinch = ripen(WHITE_DOUGH, Living(bakers_yeast=percent), steady(27.0), 6.0)
        assert 0.0 < none.end.ph - pinch.end.ph < within


def test_a_pinch_of_culture_is_next_to_none() -> None:
    none = ripen(WHITE_DOUGH, Living(), steady(27.0), 6.0)
    pinch = ripen(WHITE_DOUGH, Living(1e-6, 1e-6), steady(27.0), 6.0)
    assert pinch.end.ph == pytest.approx(none.end.ph, abs=1e-2)
    assert pinch.end.ph <= none.end.ph


@FEW
@given(st.floats(0.0, 20.0), st.floats(0.0, 4.0), st.floats(5.0, 35.0))
def test_steps_are_fine_enough(culture, yeast, t_c) -> None:
    dough = medium([(600.0, RYE), (400.0, WHITE), (700.0, TAP)], 0.6, salt_g=18.0)
    start = Living(culture / 10.0, culture / 12.0, yeast)
    usual = ripen(dough, start, steady(t_c), 12.0)
    fine = ripen(dough, start, steady(t_c), 12.0, finest_h=1.0 / 48.0)
    assert usual.end.ph == pytest.approx(fine.end.ph, abs=0.005)
    assert usual.end.gas_ml == pytest.approx(fine.end.gas_ml, rel=0.005, abs=0.5)


def test_one_newton_step_keeps_up_with_the_ph() -> None:
    from adapter.dough.models.acidity import solve_ph
    from adapter.dough.models.course import with_made

    course = ripen(WHITE_DOUGH, Living(2.0, 2.0, 3.0), steady(32.0), 8.0)
    for moment in course.moments:
        amounts, charge = with_made(course.medium, moment.made())
        whole = solve_ph(amounts, WHITE_DOUGH.species, charge, WHITE_DOUGH.slurry_litres)
        assert moment.ph == pytest.approx(whole, abs=5e-3)  # a twentieth of the tenth that is shown


@FEW
@given(st.floats(0.05, 3.0), st.floats(20.0, 34.0), st.floats(0.1, 2.0))
def test_the_dough_has_risen_when_it_is_said_to(yeast, t_c, rise) -> None:
    bubbles = Bubbles(161.0 / 1.12, 72.0, 0.06, 0.8)
    course = ripen(WHITE_DOUGH, Living(bakers_yeast=yeast), steady(t_c), 48.0, until=(bubbles, rise))
    hours = course.hours_to_rise(bubbles, rise)
    if math.isfinite(hours):
        assert course.hours_to_rise(bubbles, rise * 0.999) < hours
        exact = ripen(WHITE_DOUGH, Living(bakers_yeast=yeast), steady(t_c), hours, finest_h=1.0 / 120.0)
        assert bubbles.rise(exact.end.gas_ml, t_c) == pytest.approx(rise, rel=0.02)


@given(st.floats(0.0, 3.0), st.floats(0.0, 40.0), st.floats(0.02, 0.1), st.floats(0.35, 0.9))
def test_bubbles_both_ways(rise, t_c, air, retention) -> None:
    bubbles = Bubbles(150.0, 75.0, air, retention)
    assert bubbles.rise(bubbles.gas_needed(rise, t_c), t_c) == pytest.approx(rise, abs=1e-9)


def test_a_dough_in_the_fridge_cools_by_its_weight() -> None:
    assert [cooling_hours(grams) for grams in (500.0, 1000.0, 2000.0)] == [1.0, 2.0, 3.0]
    warmth = places(24.0, [Place(2.0, 24.0), Place(12.0, 5.0), Place(1.0, 24.0)], 2.0)
    assert warmth(0.0) == warmth(1.9) == 24.0
    assert warmth(4.0) == pytest.approx(5.0 + 19.0 * math.exp(-1.0))
    assert 5.0 < warmth(14.0) < 5.1
    assert warmth(16.0) == pytest.approx(24.0 - (24.0 - warmth(14.0)) * math.exp(-1.0))


def test_impossible_hours_are_refused() -> None:
    for hours in (-1.0, 1e6, math.nan):
        with pytest.raises(ValueError, match="h is not possible"):
            ripen(WHITE_DOUGH, Living(), steady(20.0), hours)
