"""Yeast pace against measured solubility, the trade's rise times, and its own inverse.

P published (seen in print), M from memory, CP common practice, F fitted.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.dough.models.yeast import (
    GAS_ML_PER_H_PER_G,
    INVERT_PER_SUCROSE,
    acetic_factor,
    acidity_factor,
    activity,
    effective_yeast,
    gas_from_rise_time,
    gas_needed_ml,
    gas_rate_ml_h,
    osmotic_factor,
    osmotic_water_activity,
    own_yeast_of_sourdough,
    percent_for_same_time,
    percent_for_time,
    rise_hours,
    temperature_factor,
    yeast_for_effect,
)

percents = st.floats(0.0, 12.0)
activities = st.floats(0.02, 2.0)
gas_volumes = st.floats(20.0, 800.0)


def lean_dough_aw(salt_g: float) -> float:
    """100 g white flour of 13 % moisture with 60 g water and some salt."""
    return osmotic_water_activity({}, salt_g, 0.0, 73.0, 87.0)


# --- the trade's figures ----------------------------------------------------------------------------------


def test_reference_dough_makes_86_ml_per_gram() -> None:
    """86 mL CO2 per h and g fresh yeast at 28.5 °C, lean and salted [P/F]: the definition of the reference."""
    pace = activity(28.5, 5.3, lean_dough_aw(2.0), 0.0)
    assert pace == pytest.approx(1.0, abs=1e-12)
    assert gas_rate_ml_h(1.0, pace) == pytest.approx(86.0, abs=1e-9)
    osmotolerant = activity(28.5, 5.3, lean_dough_aw(2.0), 0.0, osmotolerant=True)
    assert osmotolerant == pytest.approx(1.0, abs=1e-12)


def test_thirty_degrees_against_twenty() -> None:
    """Gas at 30 °C over 20 °C: 2.0 to 2.6 [CP]."""
    aw = lean_dough_aw(2.0)
    assert 2.0 <= activity(30.0, 5.3, aw, 0.0) / activity(20.0, 5.3, aw, 0.0) <= 2.6


def test_unsalted_against_salted() -> None:
    """No salt over 2 % salt: 1.10 to 1.35 [CP]."""
    without = activity(28.5, 5.3, lean_dough_aw(0.0), 0.0)
    assert 1.10 <= without / activity(28.5, 5.3, lean_dough_aw(2.0), 0.0) <= 1.35


def test_dense_rye_rises_in_about_two_hours() -> None:
    """Dense rye, 1 % fresh yeast, 25 °C, +30 %: 1.7 to 2.6 h [CP, 2 to 2½ h].

    185 g dough per 100 g flour with 82 g water and 12 g in the flour, density 1.17, retention 0.55 (the middle
    of 0.45 to 0.65 [M]), pH 5.0, some sugar. At retention 0.45 the model says 2.7 h.
    """
    aw = osmotic_water_activity({"glucose": 1.0, "fructose": 1.0}, 1.8, 0.0, 94.0, 88.0)
    needed = gas_needed_ml(185.0, 1.17, 0.30, 0.55, 94.0, 25.0)
    assert 1.7 <= rise_hours(needed, gas_rate_ml_h(1.0, activity(25.0, 5.0, aw, 0.0))) <= 2.6


def test_wheat_dough_doubles_in_about_an_hour() -> None:
    """White dough, 2 % fresh yeast, 27 °C, doubling: about 1 to 1½ h (common practice, no source)."""
    needed = gas_needed_ml(164.0, 1.15, 1.0, 0.9, 73.0, 27.0)
    hours = rise_hours(needed, gas_rate_ml_h(2.0, activity(27.0, 5.4, lean_dough_aw(2.0), 0.0)))
    assert 0.9 <= hours <= 1.8


def test_sweet_dough_is_slow_and_osmotolerant_yeast_suffers_less() -> None:
    """20 % sugar slows ordinary yeast clearly, osmotolerant yeast less (common practice, no source)."""
    sweet = osmotic_water_activity({"sucrose": 20.0}, 1.5, 0.0, 73.0, 87.0)
    ordinary = activity(28.5, 5.3, sweet, 0.0)
    osmotolerant = activity(28.5, 5.3, sweet, 0.0, osmotolerant=True)
    assert ordinary < 0.8
    assert ordinary < osmotolerant < 1.0


# --- gas --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("t_c", "measured"), [(20.0, 0.900), (25.0, 0.825), (28.0, 0.765), (30.0, 0.729)])
def test_gas_that_water_dissolves(t_c: float, measured: float) -> None:
    """Ostwald coefficients of CO2, IUPAC-NIST Solubility Database [P], within 7 %.

    25 °C: Findlay and Shen 1912; the others: Kunerth 1922. The fit [M] lies 3 % high at 20 °C, 6 % low at 30 °C.
    """
    dissolved = gas_needed_ml(0.0, 1.0, 0.0, 1.0, 1.0, t_c)
    assert dissolved == pytest.approx(measured, rel=0.07)


def test_gas_needed_by_hand() -> None:
    """Analytic: 185 g/1.17 g/mL swells by 30 %, 55 % of the gas stays; 85 mL water dissolve 0.799 each."""
    by_hand = 185.0 / 1.17 * 0.30 / 0.55 + 85.0 * 1.713 * math.exp(-0.0305 * 25.0)
    assert gas_needed_ml(185.0, 1.17, 0.30, 0.55, 85.0, 25.0) == pytest.approx(by_hand, rel=1e-12)


# --- cardinal models --------------------------------------------------------------------------------------


def test_temperature_model_at_its_cardinal_points() -> None:
    """Analytic (Rosso): 1 at the optimum with a flat top, 0 at both ends and outside."""
    assert temperature_factor(37.0) == pytest.approx(1.0, abs=1e-15)
    assert (temperature_factor(37.001) - temperature_factor(36.999)) / 0.002 == pytest.approx(0.0, abs=1e-6)
    assert [temperature_factor(t) for t in (-10.0, 4.0, 48.0, 70.0)] == [0.0] * 4
    assert temperature_factor(47.999) < 0.002


def test_acidity_model_at_its_cardinal_points() -> None:
    """Analytic (Rosso): 1 at pH 5.0, 0 at 1.8 and 8.2, the same on both sides of the middle."""
    assert acidity_factor(5.0) == 1.0
    assert [acidity_factor(ph) for ph in (0.0, 1.8, 8.2, 9.0)] == [0.0] * 4
    assert acidity_factor(4.0) == pytest.approx(acidity_factor(6.0), rel=1e-12)


def test_limits_of_water_activity_and_acetic_acid() -> None:
    """Analytic: half-way between limit and pure water half the pace; acetic acid stops yeast at 150 mM."""
    assert osmotic_factor(0.94) == pytest.approx(0.5)
    assert osmotic_factor(0.915, osmotolerant=True) == pytest.approx(0.5)
    assert [osmotic_factor(aw) for aw in (0.5, 0.88, 1.0)] == [0.0, 0.0, 1.0]
    assert [acetic_factor(c) for c in (0.0, 75.0, 150.0, 400.0)] == [1.0, 0.5, 0.0, 0.0]


def test_sucrose_counts_as_invert_sugar() -> None:
    """Stoichiometry: 342.3 g sucrose + 18.0 g water give 360.3 g glucose and fructose, 1.053 g per g."""
    assert pytest.approx((342.297 + 18.015) / 342.297, abs=0.001) == INVERT_PER_SUCROSE
    inverted = osmotic_water_activity({"sucrose": 10.0}, 2.0, 0.0, 73.0, 87.0)
    as_invert = osmotic_water_activity({"glucose": 5.265, "fructose": 5.265}, 2.0, 0.0, 73.0, 87.0)
    assert inverted == pytest.approx(as_invert, rel=1e-12)
    mixed = osmotic_water_activity({"sucrose": 10.0, "glucose": 2.0, "lactose": 1.0}, 2.0, 0.0, 73.0, 87.0)
    assert mixed < inverted


def test_own_yeast_of_a_ripe_sourdough() -> None:
    """Analytic: 50 g of 2·10^7 cells per g are worth 0.1 % at once; over 2 h times (e^0.7 − 1)/0.7."""
    assert own_yeast_of_sourdough(50.0, 2e7, 0.0) == pytest.approx(0.1, rel=1e-12)
    assert own_yeast_of_sourdough(50.0, 2e7, 2.0) == pytest.approx(0.1 * (math.exp(0.7) - 1) / 0.7, rel=1e-12)
    steps = [0.1 * math.exp(0.35 * (i + 0.5) * 0.002) for i in range(1000)]
    assert own_yeast_of_sourdough(50.0, 2e7, 2.0) == pytest.approx(sum(steps) / 1000, rel=1e-6)


# --- there and back ---------------------------------------------------------------------------------------


@given(percent=percents)
def test_effective_yeast_there_and_back(percent: float) -> None:
    assert yeast_for_effect(effective_yeast(percent)) == pytest.approx(percent, rel=1e-12)


@given(
    percent=percents,
    pace=activities,
    gas=gas_volumes,
    own=st.floats(0.0, 1.0),
)
def test_no_change_in_exactly_no_change_out(percent: float, pace: float, gas: float, own: float) -> None:
    assert percent_for_same_time(percent, pace, pace, gas, gas, own, own) == percent


@given(
    percent=st.floats(0.1, 12.0),
    before=activities,
    after=activities,
    gas_before=gas_volumes,
    gas_after=gas_volumes,
    own_before=st.floats(0.0, 1.0),
    own_after=st.floats(0.0, 1.0),
)
def test_yeast_for_the_same_time_there_and_back(
    percent: float,
    before: float,
    after: float,
    gas_before: float,
    gas_after: float,
    own_before: float,
    own_after: float,
) -> None:
    new = percent_for_same_time(percent, before, after, gas_before, gas_after, own_before, own_after)
    old_hours = rise_hours(gas_before, gas_rate_ml_h(percent, before, own_before))
    new_hours = rise_hours(gas_after, gas_rate_ml_h(new, after, own_after))
    if new > 0.0:
        assert new_hours == pytest.approx(old_hours, rel=1e-9)
        back = percent_for_same_time(new, after, before, gas_after, gas_before, own_after, own_before)
        assert back == pytest.approx(percent, rel=1e-8)
    else:
        assert new_hours <= old_hours * (1 + 1e-9)


@given(percent=st.floats(0.01, 12.0), pace=activities, gas=gas_volumes, own=st.floats(0.0, 1.0))
def test_yeast_for_a_time_there_and_back(percent: float, pace: float, gas: float, own: float) -> None:
    hours = rise_hours(gas, gas_rate_ml_h(percent, pace, own))
    assert percent_for_time(hours, gas, pace, own) == pytest.approx(percent, rel=1e-6)
    observed = gas_from_rise_time(hours, gas, percent, pace, own)
    assert observed == pytest.approx(GAS_ML_PER_H_PER_G, rel=1e-9)


def test_a_recalibrated_kitchen_changes_hours_not_ratios() -> None:
    """Analytic: with 43 mL in place of 86 the gas takes twice as long."""
    slow = rise_hours(172.0, gas_rate_ml_h(1.0, 1.0, gas=43.0))
    assert slow - 0.25 == pytest.approx(2 * (rise_hours(172.0, gas_rate_ml_h(1.0, 1.0)) - 0.25))
    assert percent_for_time(slow, 172.0, 1.0, gas=43.0) == pytest.approx(1.0)


# --- properties -------------------------------------------------------------------------------------------


@given(cool=st.floats(4.0, 36.9), step=st.floats(0.05, 10.0), ph=st.floats(3.5, 6.5), aw=st.floats(0.9, 1.0))
def test_warmer_is_faster_below_the_optimum(cool: float, step: float, ph: float, aw: float) -> None:
    warm = min(cool + step, 37.0)
    slow, fast = activity(cool, ph, aw, 0.0), activity(warm, ph, aw, 0.0)
    assert gas_rate_ml_h(1.0, fast) > gas_rate_ml_h(1.0, slow)


@given(warm=st.floats(37.0, 47.5), step=st.floats(0.05, 10.0))
def test_warmer_is_slower_above_the_optimum(warm: float, step: float) -> None:
    assert temperature_factor(warm + step) < temperature_factor(warm)


@given(t_c=st.floats(-20.0, 80.0), ph=st.floats(0.0, 14.0), aw=st.floats(0.0, 1.0), acid=st.floats(0.0, 500.0))
def test_factors_stay_between_nothing_and_all(t_c: float, ph: float, aw: float, acid: float) -> None:
    for factor in (temperature_factor(t_c), acidity_factor(ph), osmotic_factor(aw), acetic_factor(acid)):
        assert 0.0 <= factor <= 1.0 + 1e-12


def test_crowded_yeast_by_hand() -> None:
    """Transcription check [F]: 2.5 % counts in full, 5 % as 2.5·2^0.70 = 4.061."""
    assert effective_yeast(2.5) == 2.5
    assert effective_yeast(5.0) == pytest.approx(4.061, abs=5e-4)


@given(percent=percents, more=st.floats(0.001, 5.0))
def test_more_yeast_is_worth_more_but_not_more_than_itself(percent: float, more: float) -> None:
    assert effective_yeast(percent + more) > effective_yeast(percent)
    assert effective_yeast(percent) <= percent


# --- refusals ---------------------------------------------------------------------------------------------


def test_no_gas_no_rise() -> None:
    assert rise_hours(100.0, 0.0) == math.inf
    assert gas_rate_ml_h(2.0, activity(55.0, 5.0, 0.97, 0.0)) == 0.0


@pytest.mark.parametrize("hours", [0.0, 0.25, math.nan])
def test_no_rise_within_the_lag(hours: float) -> None:
    with pytest.raises(ValueError, match="no dough rises"):
        percent_for_time(hours, 100.0, 1.0)
    with pytest.raises(ValueError, match="no dough rises"):
        gas_from_rise_time(hours, 100.0, 1.0, 1.0)


def test_dead_dough_is_refused() -> None:
    with pytest.raises(ValueError, match="does not work"):
        percent_for_time(2.0, 100.0, 0.0)
    with pytest.raises(ValueError, match="does not work"):
        percent_for_same_time(1.0, 1.0, 0.0, 100.0, 100.0)
    with pytest.raises(ValueError, match="does not work"):
        gas_from_rise_time(2.0, 100.0, 0.0, 1.0)
    with pytest.raises(ValueError, match="needs gas"):
        percent_for_same_time(1.0, 1.0, 1.0, 0.0, 100.0)
    with pytest.raises(ValueError, match="above zero"):
        gas_needed_ml(185.0, 0.0, 0.3, 0.5, 80.0, 25.0)
