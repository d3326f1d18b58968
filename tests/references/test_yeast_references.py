"""Yeast pace against measured solubility, the trade's rise times, and its own inverse.

P published (seen in print), M from memory, CP common practice, F fitted.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.dough.models.bubbles import dissolved_ml
from adapter.dough.models.culture_pace import acid_pace, dough_pace, gas_warmth
from adapter.dough.models.yeast import (
    INVERT_PER_SUCROSE,
    acetic_factor,
    effective_yeast,
    osmotic_factor,
    osmotic_water_activity,
    yeast_for_effect,
)
from adapter.formula.model import Proof

percents = st.floats(0.0, 12.0)


# --- the trade's figures ----------------------------------------------------------------------------------


def test_the_reference_dough_is_the_unit() -> None:
    """A regression check of a definition, no evidence: lean, 2 g salt in 60 g water, 28.5 °C is pace 1."""
    assert dough_pace(2.0 / 0.6, 0.0, 1.0, False) == pytest.approx(1.0, abs=1e-12)
    assert dough_pace(2.0 / 0.6, 0.0, 1.0, True) == pytest.approx(1.0, abs=1e-12)
    assert gas_warmth(28.5) == pytest.approx(1.0, abs=1e-12)


def test_dense_rye_rises_in_about_two_hours(read) -> None:
    """Dense rye with sour milk, 1 % fresh yeast, 25 °C, +30 %: 1.7 to 2.6 h [CP, 2 to 2½ h]."""
    rye = {"wholemeal rye flour": 1000, "buttermilk": 300, "water": 530, "honey": 20, "salt": 18, "fresh yeast": 10}
    assert 1.7 <= read(rye, proof=Proof(25, 30)).value("rise_time") <= 2.6


def test_sweet_dough_is_slow_and_osmotolerant_yeast_suffers_less() -> None:
    """A fifth of sugar on flour: about half the pace; osmotolerant yeast keeps more of it (textbook, from memory)."""
    aw = osmotic_water_activity({"sucrose": 20.0}, 0.0, 0.0, 73.0, 87.0)
    common, bearing = (dough_pace(2.0 / 0.6, 20.0, aw, osmotolerant) for osmotolerant in (False, True))
    assert 0.35 <= common <= 0.65
    assert common < bearing < 1.0


@pytest.mark.parametrize(("t_c", "measured"), [(20.0, 0.900), (25.0, 0.825), (28.0, 0.765), (30.0, 0.729)])
def test_gas_that_water_dissolves(t_c: float, measured: float) -> None:
    """Ostwald coefficients of CO2, IUPAC-NIST Solubility Database [P], within 7 %.

    25 °C: Findlay and Shen 1912; the others: Kunerth 1922. The fit [M] lies 3 % high at 20 °C, 6 % low at 30 °C.
    """
    assert dissolved_ml(t_c) == pytest.approx(measured, rel=0.07)


# --- cardinal models --------------------------------------------------------------------------------------


def test_acidity_model_at_its_cardinal_points() -> None:
    """Analytic (Rosso): 1 at pH 5.0, 0 at 1.8 and 8.2, the same on both sides of the middle."""
    best = acid_pace(5.0, 0.0)
    assert acid_pace(5.3, 0.0) == pytest.approx(1.0, abs=1e-12) and best > 1.0
    assert [acid_pace(ph, 0.0) for ph in (0.0, 1.8, 8.2, 9.0)] == [0.0] * 4
    for off, left in ((1.0, 1.0 - 1.0 / 10.24), (2.0, 1.0 - 4.0 / 10.24)):  # by hand: 1 − off²/3.2², on both sides
        for ph in (5.0 - off, 5.0 + off):
            assert acid_pace(ph, 0.0) == pytest.approx(left * best, rel=1e-12)


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


# --- there and back ---------------------------------------------------------------------------------------


@given(percent=percents)
def test_effective_yeast_there_and_back(percent: float) -> None:
    assert yeast_for_effect(effective_yeast(percent)) == pytest.approx(percent, rel=1e-12)


# --- properties -------------------------------------------------------------------------------------------


def test_crowded_yeast_by_hand() -> None:
    """Transcription check [F]: 2.5 % counts in full, 5 % as 2.5·2^0.70 = 4.061."""
    assert effective_yeast(2.5) == 2.5
    assert effective_yeast(5.0) == pytest.approx(4.061, abs=5e-4)


@given(percent=percents, more=st.floats(0.001, 5.0))
def test_more_yeast_is_worth_more_but_not_more_than_itself(percent: float, more: float) -> None:
    assert effective_yeast(percent + more) > effective_yeast(percent)
    assert effective_yeast(percent) <= percent


# --- refusals ---------------------------------------------------------------------------------------------


def test_yeast_gets_hexose_by_weight_of_the_molecules(read) -> None:
    """C12H22O11 + H2O = 2 C6H12O6 with IUPAC's standard atomic weights (C 12.011, H 1.008, O 15.999) [P]."""
    hexose, water = 6 * 12.011 + 12 * 1.008 + 6 * 15.999, 2 * 1.008 + 15.999
    plain = read({"white wheat flour": 1000, "water": 600})
    sweet = read({"white wheat flour": 1000, "water": 600, "white sugar": 100})
    sucrose_percent = (sweet.amount("sucrose") - plain.amount("sucrose")) / 10
    more = sweet.value("fermentable_sugar") - plain.value("fermentable_sugar")
    assert more == pytest.approx(sucrose_percent * 2 * hexose / (2 * hexose - water), rel=5e-4)
