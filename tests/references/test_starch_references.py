"""Starch attack against an independent integration, the design's table and the trade's blending formula.

P published (seen in print), M from memory, A assumed: the index itself is [A], so its checks are on the sums.
"""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]

from adapter.dough.models.starch_attack import liquefaction_number, starch_attack_index

GAS_CONSTANT = 8.314462618
RYE_150 = 60.0


def integral(
    rye: float, liquefaction: float, ph: float, temperature: Callable[[float], float], minutes: float, step: float
) -> float:
    """I of science by a fine stiff integration: both the amylase left and its work as unknowns of time."""
    restraint = 1 / (1 + 10 ** (1.5 * (4.4 - ph)) + 10 ** (ph - 7.2))
    acid = 10 ** (0.6 * max(0.0, 5.5 - ph))

    def rates(minute: float, state: list[float]) -> list[float]:
        t_c = temperature(minute)
        kelvin = t_c + 273.15
        gelatinised = rye / (1 + math.exp(-(t_c - 60) / 2.2)) + (1 - rye) / (1 + math.exp(-(t_c - 66) / 2.2))
        pace = math.exp(40e3 / GAS_CONSTANT * (1 / 333.15 - 1 / kelvin))
        loss = math.log(2) / 3 * math.exp(250e3 / GAS_CONSTANT * (1 / 348.15 - 1 / kelvin)) * acid
        return [-loss * state[0], liquefaction / 60 * state[0] * gelatinised * restraint * pace]

    solution = solve_ivp(rates, (0, minutes), [1.0, 0.0], method="LSODA", rtol=1e-9, atol=1e-12, max_step=step)
    return float(solution.y[1, -1])


def constant_rate(rye: float, liquefaction: float, ph: float, rate: float, core_c: float, start_c: float) -> float:
    minutes = (core_c - start_c) / rate
    return integral(rye, liquefaction, ph, lambda minute: start_c + rate * minute, minutes, minutes / 150)


REFERENCE = constant_rate(1.0, RYE_150, 5.5, 2.0, 97.0, 30.0)


# --- independent integration ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rye", "liquefaction", "ph", "rate", "core_c", "start_c"),
    [
        (1.0, 60.0, 5.5, 0.5, 97.0, 30.0),
        (0.0, 60.0, 4.0, 0.1, 97.0, 20.0),
        (0.5, 30.0, 3.6, 4.0, 94.0, 25.0),
        (0.0, 24.0, 6.5, 8.0, 99.0, 35.0),
        (0.3, 41.0, 5.0, 1.0, 93.3, 27.7),
        (1.0, 60.0, 5.0, 2.0, 70.0, 30.0),
        (1.0, 60.0, 5.5, 0.02, 97.0, 30.0),
        (0.8, 500.0, 4.4, 20.0, 97.0, 5.0),
    ],
)
def test_constant_heating_as_a_stiff_integration(
    rye: float, liquefaction: float, ph: float, rate: float, core_c: float, start_c: float
) -> None:
    """scipy solve_ivp (LSODA): the index within 0.01 %, over a piecewise curve within 0.1 %."""
    expected = 100 * constant_rate(rye, liquefaction, ph, rate, core_c, start_c) / REFERENCE
    index = starch_attack_index(rye, liquefaction, ph, rate, core_c, start_c)
    assert index == pytest.approx(expected, rel=1e-4)


# --- the design's table -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("ph", "printed"), [(6.2, 95), (5.5, 100), (5.0, 72), (4.5, 36), (4.0, 9)])
def test_table_of_ph(ph: float, printed: int) -> None:
    """Pure rye, falling number 150, as printed in the design [A]."""
    assert round(starch_attack_index(1.0, RYE_150, ph)) == printed


@pytest.mark.parametrize(("falling_number", "printed"), [(62, 833), (100, 200), (200, 67), (300, 40)])
def test_table_of_falling_number(falling_number: float, printed: int) -> None:
    """Pure rye at pH 5.5, as printed in the design [A]."""
    assert round(starch_attack_index(1.0, liquefaction_number(falling_number), 5.5)) == printed


@pytest.mark.parametrize(("rye", "printed"), [(0.0, 36), (0.5, 64), (1.0, 100)])
def test_table_of_rye_share(rye: float, printed: int) -> None:
    """Rye of falling number 150 with wheat of 250, pH 5.5, as printed in the design [A].

    The design prints no falling number for the wheat; 250 is the round one that gives its figures.
    """
    blend = rye * liquefaction_number(150) + (1 - rye) * liquefaction_number(250)
    assert round(starch_attack_index(rye, blend, 5.5)) == printed


@pytest.mark.parametrize(("rate", "exact", "printed"), [(0.5, 237.84, 237), (4.0, 62.34, 63)])
def test_table_of_heating_rate(rate: float, exact: float, printed: int) -> None:
    """The design prints 237 and 63 [A]; the equations give 237.8 and 62.3, as the stiff integration does.

    Its two figures are off by 0.4 and 1.1 %, beyond their printed precision, and are not bent to here.
    """
    index = starch_attack_index(1.0, RYE_150, 5.5, rate)
    stiff = 100 * constant_rate(1.0, RYE_150, 5.5, rate, 97.0, 30.0) / REFERENCE
    assert stiff == pytest.approx(exact, abs=0.01)
    assert index == pytest.approx(stiff, rel=1e-5)
    assert index == pytest.approx(printed, rel=0.012)


# --- blending ---------------------------------------------------------------------------------------------


def test_blend_of_two_lots_as_an_extension_service_works_it() -> None:
    """Worked example of US grain advice [P]: FN 400 gives LN 17.1, 220 gives 35.3, half and half FN 279."""
    sound, sprouted = liquefaction_number(400.0), liquefaction_number(220.0)
    assert sound == pytest.approx(17.1, abs=0.05)
    assert sprouted == pytest.approx(35.3, abs=0.05)
    assert 6000.0 / (0.5 * (sound + sprouted)) + 50.0 == pytest.approx(279.0, abs=0.5)


def test_falling_numbers_at_the_bottom_count_as_62() -> None:
    """Analytic: 6000/12 = 500 for every falling number of 62 or less."""
    assert [liquefaction_number(fn) for fn in (0.0, 50.0, 62.0)] == [500.0] * 3


# --- properties -------------------------------------------------------------------------------------------

shares = st.floats(0.0, 1.0)
falling_numbers = st.floats(62.0, 500.0)
bread_ph = st.floats(3.6, 5.4)
rates = st.floats(0.2, 8.0)


@given(rye=shares, fn=falling_numbers, ph=bread_ph, step=st.floats(0.005, 1.0), rate=rates)
def test_rises_with_ph_up_to_five_point_four(rye: float, fn: float, ph: float, step: float, rate: float) -> None:
    higher = min(ph + step, 5.4)
    sour = starch_attack_index(rye, liquefaction_number(fn), ph, rate)
    sweet = starch_attack_index(rye, liquefaction_number(fn), higher, rate)
    assert sweet > sour if higher > ph else sweet == sour


@given(rye=shares, fn=falling_numbers, step=st.floats(0.1, 200.0), ph=bread_ph, rate=rates)
def test_falls_with_falling_number(rye: float, fn: float, step: float, ph: float, rate: float) -> None:
    more_sprouted = starch_attack_index(rye, liquefaction_number(fn), ph, rate)
    assert starch_attack_index(rye, liquefaction_number(fn + step), ph, rate) < more_sprouted


@given(rye=st.floats(0.5, 1.0), ph=st.floats(3.6, 6.5), rate=st.floats(0.5, 8.0), faster=st.floats(0.01, 5.0))
def test_falls_with_heating_rate_in_rye_doughs(rye: float, ph: float, rate: float, faster: float) -> None:
    slow = starch_attack_index(rye, RYE_150, ph, rate)
    assert starch_attack_index(rye, RYE_150, ph, rate + faster) < slow


@given(rye=shares, ph=st.floats(5.3, 6.5), rate=rates, faster=st.floats(0.01, 5.0))
def test_falls_with_heating_rate_in_mild_doughs(rye: float, ph: float, rate: float, faster: float) -> None:
    slow = starch_attack_index(rye, RYE_150, ph, rate)
    assert starch_attack_index(rye, RYE_150, ph, rate + faster) < slow


def test_heating_rate_turns_round_in_a_sour_wheat_dough() -> None:
    """Where the design's "falls with heating rate" fails: the stiff integration of its equations agrees.

    Wheat alone at pH 3.6: slow warming destroys the amylase before wheat starch opens. The index is below 1.
    """
    slow, fast = (starch_attack_index(0.0, RYE_150, 3.6, rate) for rate in (0.5, 1.5))
    assert slow < fast < 1.0
    for rate, index in ((0.5, slow), (1.5, fast)):
        stiff = 100 * constant_rate(0.0, RYE_150, 3.6, rate, 97.0, 30.0) / REFERENCE
        assert index == pytest.approx(stiff, rel=1e-4)


@given(rye=st.floats(0.0, 0.99), more=st.floats(0.01, 1.0), ph=st.floats(3.6, 6.5), rate=rates)
def test_rises_with_rye_whose_starch_gelatinises_early(rye: float, more: float, ph: float, rate: float) -> None:
    mixed = starch_attack_index(rye, RYE_150, ph, rate)
    assert starch_attack_index(min(rye + more, 1.0), RYE_150, ph, rate) > mixed


# --- refusals ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("rate", [0.0, -1.0, math.nan])
def test_a_crumb_must_warm(rate: float) -> None:
    with pytest.raises(ValueError, match="warm"):
        starch_attack_index(1.0, RYE_150, 5.5, rate)


def test_the_core_must_be_above_the_start() -> None:
    with pytest.raises(ValueError, match="above the start"):
        starch_attack_index(1.0, RYE_150, 5.5, 2.0, core_c=30.0, start=30.0)
