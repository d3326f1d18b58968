"""Acidity against textbook solutions, a reference library, standard buffers and the figures of the trade.

P published (seen in print), M from memory, CP common practice.
"""

import math
import random
from collections.abc import Sequence
from typing import Any

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.dough.models.acidity import (
    LN10,
    Species,
    charge,
    charge_slope,
    mean_charge,
    solve_ph,
    tta_ml_per_10g,
)

ACETIC = Species("acetic", (4.76,))
LACTIC = Species("lactic", (3.86,))
CITRIC = Species("citric", (3.13, 4.76, 6.40))
MALIC = Species("malic", (3.40, 5.11))
GLUCONIC = Species("gluconic", (3.70,))
PHOSPHORIC = Species("phosphoric", (2.15, 7.20, 12.35))
CARBONIC = Species("carbonic", (6.35, 10.33))
SIX_ACIDS = (LACTIC, ACETIC, CITRIC, MALIC, PHOSPHORIC, CARBONIC)

amounts_of_six = st.lists(st.floats(0.0, 200.0), min_size=6, max_size=6)
some_ph = st.floats(2.0, 11.0)


def flour_buffer(ash_percent: float) -> tuple[list[float], list[Species]]:
    """Buffer groups of flour, mmol per kg: a + b · ash [A]."""
    rows = ((3.6, 8, 32), (4.5, 10, 44), (5.6, 2, 11), (6.8, 2, 15), (8.0, 3, 12))
    return [a + b * ash_percent for _, a, b in rows], [Species(f"flour {pka}", (pka,)) for pka, _, _ in rows]


# --- analytic solutions ---------------------------------------------------------------------------


def test_strong_acid_and_base_are_their_logarithms() -> None:
    """Analytic: 0.01 M HCl pH 2, 0.01 M NaOH pH 12, pure water pH 7."""
    assert solve_ph([], [], -10.0, 1.0) == pytest.approx(2.0, abs=1e-9)
    assert solve_ph([], [], 10.0, 1.0) == pytest.approx(12.0, abs=1e-9)
    assert solve_ph([], [], 0.0, 1.0) == pytest.approx(7.0, abs=1e-12)


def test_very_dilute_strong_acid_counts_the_protons_of_water() -> None:
    """Analytic: 1e-8 M HCl, [H] = (1e-8 + sqrt(1e-16 + 4e-14))/2, pH 6.98."""
    protons = (1e-8 + math.sqrt(1e-16 + 4e-14)) / 2
    assert solve_ph([], [], -1e-5, 1.0) == pytest.approx(-math.log10(protons), abs=1e-10)


@pytest.mark.parametrize(
    ("acid", "molar", "printed"),
    [(ACETIC, 0.1, 2.88), (LACTIC, 0.01, 2.96), (ACETIC, 0.001, 3.91)],
)
def test_weak_acid_alone(acid: Species, molar: float, printed: float) -> None:
    """Analytic: the cubic of a weak acid with water, solved by numpy; printed values ±0.01."""
    ka = 10 ** -acid.pkas[0]
    roots = numpy.roots([1.0, ka, -(ka * molar + 1e-14), -ka * 1e-14])
    protons = max(float(root.real) for root in roots)
    ph = solve_ph([1000 * molar], [acid], 0.0, 1.0)
    assert ph == pytest.approx(-math.log10(protons), abs=1e-9)
    assert ph == pytest.approx(printed, abs=0.01)


def test_acetate_buffer_of_equal_parts_stands_at_the_pka() -> None:
    """Analytic (Henderson and Hasselbalch): 0.1 M acetic acid with 0.1 M sodium acetate, pH 4.76 ±0.01."""
    assert solve_ph([200.0], [ACETIC], 100.0, 1.0) == pytest.approx(4.76, abs=0.01)


def test_bicarbonate_in_a_closed_vessel() -> None:
    """Analytic: 0.1 M NaHCO3 stands near (6.35 + 10.33)/2 = 8.34 ±0.01."""
    assert solve_ph([100.0], [CARBONIC], 100.0, 1.0) == pytest.approx(8.34, abs=0.01)


def test_amphiprotic_formula_of_bicarbonate() -> None:
    """Analytic: [H]² = (K1·K2·c + K1·Kw)/(K1 + c), the textbook formula of an amphiprotic salt."""
    k1, k2, molar = 10**-6.35, 10**-10.33, 0.1
    protons = math.sqrt((k1 * k2 * molar + k1 * 1e-14) / (k1 + molar))
    assert solve_ph([100.0], [CARBONIC], 100.0, 1.0) == pytest.approx(-math.log10(protons), abs=1e-4)


def test_buffer_capacity_of_one_acid() -> None:
    """Analytic (van Slyke): ln 10 · (c·Ka·h/(Ka + h)² + h + Kw/h); at the pKa the acid gives 0.576 c."""
    h, ka = 10**-5.2, 10**-4.76
    expected = LN10 * (100 * ka * h / (ka + h) ** 2 + 1000 * h + 1000 * 1e-14 / h)
    assert charge_slope([100.0], [ACETIC], 5.2, 1.0) == pytest.approx(expected, rel=1e-12)


# --- reference library ----------------------------------------------------------------------------


def ph_by_library(
    amounts_mmol: Sequence[float],
    species: Sequence[Species],
    fixed_charge_mmol: float,
    monkeypatch: pytest.MonkeyPatch,
) -> float:
    """pH in one litre by pHcalc, which still asks numpy for the old name of cumprod."""
    if not hasattr(numpy, "cumproduct"):
        monkeypatch.setattr(numpy, "cumproduct", numpy.cumprod, raising=False)
    from pHcalc.pHcalc import Acid, Inert, System  # type: ignore[import-untyped]

    parts: list[Any] = [
        Acid(pKa=list(kind.pkas), charge=0, conc=amount / 1000)
        for amount, kind in zip(amounts_mmol, species, strict=True)
    ]
    parts.append(Inert(charge=1, conc=fixed_charge_mmol / 1000))
    system = System(*parts)
    system.pHsolve(guess_est=True, tol=1e-10)
    return float(system.pH)


@pytest.mark.parametrize("seed", range(25))
def test_random_mixtures_of_six_acids_as_the_library(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """pHcalc 0.2.0, an independent solver of equilibria: the same pH within 1e-6."""
    chance = random.Random(seed)
    amounts = [chance.uniform(0.0, 120.0) for _ in SIX_ACIDS]
    fixed_charge = chance.uniform(0.0, 1.2) * sum(amounts)
    expected = ph_by_library(amounts, SIX_ACIDS, fixed_charge, monkeypatch)
    assert solve_ph(amounts, SIX_ACIDS, fixed_charge, 1.0) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("acid", "mmol", "fixed_charge"), [(ACETIC, 100.0, 0.0), (LACTIC, 10.0, 0.0), (CARBONIC, 100.0, 100.0)]
)
def test_single_solutions_as_the_library(
    acid: Species, mmol: float, fixed_charge: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """pHcalc 0.2.0: acetic acid, lactic acid and bicarbonate within 1e-6."""
    expected = ph_by_library([mmol], [acid], fixed_charge, monkeypatch)
    assert solve_ph([mmol], [acid], fixed_charge, 1.0) == pytest.approx(expected, abs=1e-6)


# --- measured buffers -----------------------------------------------------------------------------


def mean_square_charge(pkas: Sequence[float], ph: float) -> float:
    """Mean of the square of a molecule's negative charges, by mass action over its states."""
    states = [10.0 ** (lost * ph - sum(pkas[:lost])) for lost in range(len(pkas) + 1)]
    return sum(lost**2 * share for lost, share in enumerate(states)) / sum(states)


def ph_with_activities(acid: Species, mmol_per_litre: float, sodium_mmol_per_litre: float) -> float:
    """pH of a salt of one acid with Davies' activity coefficients at 25 °C, iterated on the ionic strength.

    Each pKa is moved by −0.509·(2i − 1)·[√I/(1 + √I) − 0.3·I]: what the module leaves out, added from outside.
    """
    strength, ph = 0.1, 7.0
    for _ in range(200):
        davies = math.sqrt(strength) / (1 + math.sqrt(strength)) - 0.3 * strength
        pkas = tuple(pka - 0.509 * davies * (2 * i - 1) for i, pka in enumerate(acid.pkas, 1))
        ph = solve_ph([mmol_per_litre], [Species("in salt", pkas)], sodium_mmol_per_litre, 1.0)
        squares = mean_square_charge(pkas, ph)
        strength = 0.5 * strength + 0.25 * (sodium_mmol_per_litre + mmol_per_litre * squares) / 1000
    return ph


@pytest.mark.parametrize(
    ("acid", "mmol", "sodium", "standard"),
    [
        (CITRIC, 50.0, 50.0, 3.776),  # P: potassium dihydrogen citrate 0.05 molal
        (CARBONIC, 50.0, 75.0, 10.012),  # P: bicarbonate and carbonate 0.025 molal each
        (PHOSPHORIC, 50.0, 75.0, 6.865),  # M: both phosphates 0.025 molal
        (PHOSPHORIC, 39.125, 69.555, 7.413),  # M: phosphates 0.008695 and 0.03043 molal
    ],
)
def test_primary_buffer_standards(acid: Species, mmol: float, sodium: float, standard: float) -> None:
    """Primary pH standards of the US National Bureau of Standards at 25 °C, within 0.02.

    Citrate and carbonate: J. Res. NBS 73A (1969) 37, doi 10.6028/jres.073A.004 [P]. Phosphates [M].
    """
    assert ph_with_activities(acid, mmol, sodium) == pytest.approx(standard, abs=0.02)


@pytest.mark.parametrize(
    ("acid_ml", "acetate_ml", "measured"),
    [
        (185, 15, 3.6),
        (176, 24, 3.8),
        (164, 36, 4.0),
        (147, 53, 4.2),
        (126, 74, 4.4),
        (102, 98, 4.6),
        (80, 120, 4.8),
        (59, 141, 5.0),
        (42, 158, 5.2),
        (29, 171, 5.4),
        (19, 181, 5.6),
    ],
)
def test_acetate_buffer_table(acid_ml: float, acetate_ml: float, measured: float) -> None:
    """Acetate buffer, 0.1 N acid and 0.1 N sodium salt, laboratory table after Pearse 1980 [P], 3.6 to 5.6.

    Without activities the model stands 0.08 to 0.15 too high; with them within 0.06.
    """
    litres = (acid_ml + acetate_ml) / 1000
    plain = solve_ph([0.1 * (acid_ml + acetate_ml)], [ACETIC], 0.1 * acetate_ml, litres)
    assert 0.0 < plain - measured < 0.15
    assert ph_with_activities(ACETIC, 100.0, 0.1 * acetate_ml / litres) == pytest.approx(measured, abs=0.06)


# --- titratable acidity ---------------------------------------------------------------------------


def test_titrated_vinegar_of_a_worked_problem() -> None:
    """Worked problem of a chemistry course [P]: 31.43 mL of 0.108 M NaOH to 4.441 g vinegar is 4.59 % acid."""
    percent = 4.59
    acetic_mmol = 10.0 * percent / 60.0 * 1000
    taken_up = 31.43 * 0.108 / 0.1 * 10.0 / 4.441
    assert tta_ml_per_10g([acetic_mmol], [ACETIC], 0.0, 1000.0) == pytest.approx(taken_up, rel=0.002)


def test_vinegar_of_six_percent() -> None:
    """Stoichiometry: 60 g acetic acid per kg (1,000 mmol), little malic acid, pH 2.8 alone: TTA 98 to 103."""
    amounts, species = [1000.0, 8.0], [ACETIC, MALIC]
    fixed_charge = charge(amounts, species, 2.8, 0.94)
    assert 98.0 <= tta_ml_per_10g(amounts, species, fixed_charge, 1000.0) <= 103.0


def test_malt_syrup() -> None:
    """Malt-extract specification [P]: TTA 9.8 to 15.5 at pH 5 to 6. Amounts of acids and groups [A]."""
    groups = [Species("g50", (5.0,)), Species("g65", (6.5,)), Species("g80", (8.0,))]
    amounts, species = [20.0, 35.0, 40.0, 45.0, 45.0], [LACTIC, PHOSPHORIC, *groups]
    fixed_charge = charge(amounts, species, 5.5, 10.0)
    assert 9.8 <= tta_ml_per_10g(amounts, species, fixed_charge, 1000.0) <= 15.5


def test_lemon_juice() -> None:
    """About 48 g citric acid per litre [P]: TTA 60 to 95, pH 2.4 alone."""
    amounts, species = [250.0, 15.0], [CITRIC, MALIC]
    fixed_charge = charge(amounts, species, 2.4, 0.9)
    assert 60.0 <= tta_ml_per_10g(amounts, species, fixed_charge, 1000.0) <= 95.0


@pytest.mark.parametrize(
    ("ash", "ph", "low", "high"),
    [
        (0.55, 6.0, 1.3, 3.0),  # M: white wheat flour
        (1.65, 6.3, 3.0, 6.0),  # M: wholemeal wheat
        (0.90, 6.2, 1.5, 4.0),  # M: light rye; PN-86/A-74032 allows up to 6 [P]
        (1.75, 6.35, 3.0, 6.0),  # M: wholemeal rye; the same standard allows up to 8 [P]
    ],
)
def test_flour_in_the_standard_slurry(ash: float, ph: float, low: float, high: float) -> None:
    """TTA of flours from the buffer groups by ash [A] against published ranges; slurry 10 g + 100 mL."""
    amounts, species = flour_buffer(ash)
    fixed_charge = charge(amounts, species, ph, 10.0)
    assert low <= tta_ml_per_10g(amounts, species, fixed_charge, 1000.0) <= high


def test_titration_with_lye_step_by_step_ends_at_the_closed_form() -> None:
    """Analytic: adding exactly the TTA's NaOH to 10 g in 100 mL brings the slurry to pH 8.5."""
    per_kg, species = flour_buffer(1.75)
    amounts = [0.01 * amount for amount in per_kg]
    fixed_charge = charge(amounts, species, 6.35, 0.1)
    tta = tta_ml_per_10g(amounts, species, fixed_charge, 10.0)
    after_lye = solve_ph(amounts, species, fixed_charge + 0.1 * tta, 0.1)
    assert after_lye == pytest.approx(8.5, abs=0.01)


def test_holding_ph_and_holding_tta_ask_for_different_doses() -> None:
    """Vinegar in place of 850 g buttermilk in 1,000 g wholemeal rye: by TTA well over 1.4 times that by pH.

    The design's own figures are about 47 g and 77 g [A]; here the slurry gives 44 g and 76 g.
    """
    flour, flour_species = flour_buffer(1.75)
    milk_species = [Species(f"milk {pka}", (pka,)) for pka in (4.2, 5.1, 6.5, 7.6)]
    species = [*flour_species, *milk_species, LACTIC, ACETIC]
    buttermilk = [0.0] * 5 + [55.0, 35.0, 20.0, 10.0, 72.0, 2.0]
    vinegar = [0.0] * 10 + [1000.0]
    rye = [*flour, *[0.0] * 6]
    rye_sid = charge(rye, species, 6.35, 10.0)
    buttermilk_sid = charge(buttermilk, species, 4.5, 0.9)
    vinegar_sid = charge(vinegar, species, 2.8, 0.94)

    def mixed(second: list[float], second_sid: float, kg: float) -> tuple[list[float], float]:
        return [a + kg * b for a, b in zip(rye, second, strict=True)], rye_sid + kg * second_sid

    def slurry_ph(amounts: list[float], sid: float) -> float:
        return solve_ph(amounts, species, sid, 18.5)

    def dose(target: float, reading: Any) -> float:
        low, high = 0.0, 0.5
        for _ in range(60):
            middle = 0.5 * (low + high)
            rising = reading(*mixed(vinegar, vinegar_sid, middle)) < target
            low, high = (middle, high) if rising else (low, middle)
        return 1000.0 * low

    amounts, sid = mixed(buttermilk, buttermilk_sid, 0.85)
    by_ph = dose(-slurry_ph(amounts, sid), lambda a, s: -slurry_ph(a, s))
    by_tta = dose(tta_ml_per_10g(amounts, species, sid, 1850.0), lambda a, s: tta_ml_per_10g(a, species, s, 1850.0))
    assert 40.0 < by_ph < 54.0
    assert 70.0 < by_tta < 84.0


# --- properties -----------------------------------------------------------------------------------


@given(amounts=amounts_of_six, ph=some_ph, guess=st.floats(0.0, 14.0), litres=st.floats(0.01, 20.0))
def test_solving_finds_the_ph_that_made_the_charge(
    amounts: list[float], ph: float, guess: float, litres: float
) -> None:
    fixed_charge = charge(amounts, SIX_ACIDS, ph, litres)
    found = solve_ph(amounts, SIX_ACIDS, fixed_charge, litres, guess)
    # Rounding of the charge itself, seen through the buffer capacity.
    rounding = 1e-14 * (sum(amounts) * 3 + abs(fixed_charge)) / charge_slope(amounts, SIX_ACIDS, ph, litres)
    assert found == pytest.approx(ph, abs=1e-12 + rounding)


@given(amounts=amounts_of_six, ph=some_ph)
def test_slope_is_the_derivative_of_charge(amounts: list[float], ph: float) -> None:
    step = 1e-5
    above = charge(amounts, SIX_ACIDS, ph + step, 1.0)
    below = charge(amounts, SIX_ACIDS, ph - step, 1.0)
    slope = charge_slope(amounts, SIX_ACIDS, ph, 1.0)
    assert (above - below) / (2 * step) == pytest.approx(slope, rel=1e-5, abs=1e-5)


@given(ph=st.floats(-1.0, 15.0), step=st.floats(1e-3, 2.0))
def test_mean_charge_rises_with_ph_within_its_protons(ph: float, step: float) -> None:
    for acid in SIX_ACIDS:
        low, high = mean_charge(acid.pkas, ph), mean_charge(acid.pkas, ph + step)
        assert 0.0 <= low <= high <= len(acid.pkas)


@given(first=amounts_of_six, second=amounts_of_six, ph=some_ph)
def test_charges_of_a_mixture_add_up(first: list[float], second: list[float], ph: float) -> None:
    together = [a + b for a, b in zip(first, second, strict=True)]
    apart = charge(first, SIX_ACIDS, ph, 0.4) + charge(second, SIX_ACIDS, ph, 0.6)
    assert charge(together, SIX_ACIDS, ph, 1.0) == pytest.approx(apart, rel=1e-12, abs=1e-9)


@given(amounts=amounts_of_six, more=st.floats(0.1, 100.0))
def test_acid_lowers_ph_and_raises_tta(amounts: list[float], more: float) -> None:
    fixed_charge = 0.5 * sum(amounts)
    soured = [amounts[0] + more, *amounts[1:]]
    assert solve_ph(soured, SIX_ACIDS, fixed_charge, 1.0) < solve_ph(amounts, SIX_ACIDS, fixed_charge, 1.0)
    before = tta_ml_per_10g(amounts, SIX_ACIDS, fixed_charge, 1000.0)
    assert tta_ml_per_10g(soured, SIX_ACIDS, fixed_charge, 1000.0) > before


# --- refusals -------------------------------------------------------------------------------------


@pytest.mark.parametrize("litres", [0.0, -1.0, math.nan, math.inf])
def test_no_ph_without_water(litres: float) -> None:
    with pytest.raises(ValueError, match="needs water"):
        solve_ph([1.0], [ACETIC], 0.0, litres)


@pytest.mark.parametrize("amount", [math.nan, math.inf])
def test_no_ph_from_numbers_that_are_none(amount: float) -> None:
    with pytest.raises(ValueError, match="finite amounts"):
        solve_ph([amount], [ACETIC], 0.0, 1.0)


@pytest.mark.parametrize("fixed_charge", [1e6, -1e6])
def test_no_ph_beyond_any_solution(fixed_charge: float) -> None:
    with pytest.raises(ValueError, match="outside"):
        solve_ph([1.0], [ACETIC], fixed_charge, 1.0)


def test_amounts_must_match_the_species() -> None:
    with pytest.raises(ValueError, match="zip"):
        charge([1.0, 2.0], [ACETIC], 5.0, 1.0)


@pytest.mark.parametrize("pkas", [(), (5.0, 3.0), (math.nan,)])
def test_a_species_needs_rising_pkas(pkas: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="pKa"):
        Species("wrong", pkas)


def test_no_tta_without_mass() -> None:
    with pytest.raises(ValueError, match="mass"):
        tta_ml_per_10g([1.0], [ACETIC], 0.0, 0.0)
