"""Acidity of a dough: one charge balance of weak acids, buffer groups and fixed ions.

The state of a mixture is the amount of each acid or buffer group in millimoles, and its fixed charge: the
strong-ion charge (SID) in millimoles, positive where sodium, potassium and their like outnumber chloride and
its like. Both add up when ingredients are mixed. Electroneutrality at a pH:

    SID = sum of amount · n(pH) + L · (10^(pH − 14) − 10^(−pH)) · 1000        [mmol]

with n the mean number of negative charges on one molecule and L the litres of water. Concentrations stand
for activities and Kw is 10^−14 (25 °C), so salt shifts a measured pH by what this does not see (at 0.1 mol/L
about 0.1 for a single acid, 0.3 for phosphate and citrate). With ingredient figures from tables, absolute pH
is good to ±0.4 and TTA to ±2; differences between variants are better known.

Amounts run parallel to species and are never negative.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

LN10 = math.log(10.0)
KW = 1e-14
TTA_END_POINT_PH = 8.5

_LOWEST_PH = -2.0
_HIGHEST_PH = 16.0
_NEWTON_STEP = 1e-7
_ROUNDS = 200

_ByProtons: TypeAlias = tuple[
    list[tuple[float, float]],
    list[tuple[float, float, float]],
    list[tuple[float, float, float, float]],
    list[tuple[float, tuple[float, ...]]],
]


@dataclass(frozen=True)
class Species:
    """An acid or buffer group that loses its protons at the given pKa's, lowest first.

    Raises ValueError where no pKa is given, one is not finite, or they fall.

    >>> Species("lactic", (3.86,)).pkas
    (3.86,)
    """

    name: str
    pkas: tuple[float, ...]
    # Worked out once, since the solver asks for them thousands of times.
    _betas: tuple[float, ...] = field(init=False, repr=False, compare=False)
    _charge_at_end_point: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not self.pkas or not all(math.isfinite(pka) for pka in self.pkas):
            raise ValueError(f"{self.name}: pKa's must be one or more finite numbers, not {self.pkas}")
        if any(later < earlier for earlier, later in zip(self.pkas, self.pkas[1:], strict=False)):
            raise ValueError(f"{self.name}: pKa's must be given lowest first, not {self.pkas}")
        object.__setattr__(self, "_betas", _cumulative_constants(self.pkas))
        object.__setattr__(self, "_charge_at_end_point", mean_charge(self.pkas, TTA_END_POINT_PH))


def mean_charge(pkas: Sequence[float], ph: float) -> float:
    """Mean number of negative charges that a molecule carries at a pH, 0 to the number of pKa's.

    n = sum of i·t_i / sum of t_i,  t_i = 10^(i·pH − pKa_1 − … − pKa_i). Mass action; exact for any pH.

    >>> round(mean_charge((4.76,), 4.76), 6)
    0.5
    """
    return mean_and_variance(_cumulative_constants(pkas), 10.0**ph)[0]


def charge(amounts_mmol: Sequence[float], species: Sequence[Species], ph: float, litres: float) -> float:
    """Negative charge of a mixture at a pH less the charge of its protons, mmol; equals SID at equilibrium.

    sum of amount · n(pH) + L · (10^(pH − 14) − 10^(−pH)) · 1000. At a fixed pH it is linear in the amounts.

    >>> acetic = Species("acetic", (4.76,))
    >>> round(charge([100.0], [acetic], 4.76, 1.0), 3)
    49.983
    """
    thinness: float = 10.0**ph
    total = litres * 1000.0 * (KW * thinness - 1.0 / thinness)
    for amount, kind in zip(amounts_mmol, species, strict=True):
        if amount:
            total += amount * mean_and_variance(kind._betas, thinness)[0]
    return total


def charge_slope(amounts_mmol: Sequence[float], species: Sequence[Species], ph: float, litres: float) -> float:
    """Buffer capacity of a mixture, d charge / d pH, mmol per pH unit (van Slyke). Always above zero.

    >>> acetic = Species("acetic", (4.76,))
    >>> round(charge_slope([100.0], [acetic], 4.76, 1.0), 2)
    57.6
    """
    thinness: float = 10.0**ph
    total = litres * 1000.0 * (KW * thinness + 1.0 / thinness)
    for amount, kind in zip(amounts_mmol, species, strict=True):
        if amount:
            total += amount * mean_and_variance(kind._betas, thinness)[1]
    return LN10 * total


def solve_ph(
    amounts_mmol: Sequence[float],
    species: Sequence[Species],
    fixed_charge_mmol: float,
    litres: float,
    guess: float = 5.0,
) -> float:
    """pH at which charge() equals the fixed charge (SID, mmol): Newton's method kept inside a bracket.

    The root is met within 1e-12 of a pH unit as far as rounding allows. Raises ValueError where there is no
    water, a number is not finite, or the pH would lie outside −2 to 16.

    >>> acetic = Species("acetic", (4.76,))
    >>> round(solve_ph([100.0], [acetic], 0.0, 1.0), 2)
    2.88
    """
    if not (0.0 < litres < math.inf and math.isfinite(fixed_charge_mmol)):
        raise ValueError(f"pH needs water and a finite fixed charge, not {litres} litres and {fixed_charge_mmol} mmol")
    single, double, triple, many = _by_protons(amounts_mmol, species)
    water_mmol = litres * 1000.0
    low, high = _LOWEST_PH, _HIGHEST_PH
    ph = min(max(guess, 0.0), 14.0)
    for _ in range(_ROUNDS):
        thinness: float = 10.0**ph
        hydroxide = water_mmol * KW * thinness
        protons = water_mmol / thinness
        excess = hydroxide - protons - fixed_charge_mmol
        variance = hydroxide + protons
        for amount, beta in single:
            first = beta * thinness
            held = amount * first / (1.0 + first)
            excess += held
            variance += held / (1.0 + first)
        for amount, beta, beta_2 in double:
            first = beta * thinness
            second = beta_2 * thinness * thinness
            states = 1.0 + first + second
            mean = (first + second + second) / states
            excess += amount * mean
            variance += amount * ((first + 4.0 * second) / states - mean * mean)
        for amount, beta, beta_2, beta_3 in triple:
            square = thinness * thinness
            first, second, third = beta * thinness, beta_2 * square, beta_3 * (square * thinness)
            states = 1.0 + first + second + third
            mean = (first + 2.0 * second + 3.0 * third) / states
            excess += amount * mean
            variance += amount * ((first + 4.0 * second + 9.0 * third) / states - mean * mean)
        for amount, betas in many:
            mean, spread = mean_and_variance(betas, thinness)
            excess += amount * mean
            variance += amount * spread
        if excess > 0.0:
            high = ph
        else:
            low = ph
        step = excess / (LN10 * variance)
        ph -= step
        # Newton's error after a step is below a few times the step squared, so below 1e-13 here.
        if -_NEWTON_STEP < step < _NEWTON_STEP:
            return ph
        if not low < ph < high:
            if math.isnan(ph):
                raise ValueError("pH needs finite amounts of every acid")
            ph = 0.5 * (low + high)
            if high - low < 1e-13:
                break
    if low == _LOWEST_PH or high == _HIGHEST_PH:
        raise ValueError(f"the pH of this mixture lies outside {_LOWEST_PH:g} to {_HIGHEST_PH:g}")
    return ph


def tta_ml_per_10g(
    amounts_mmol: Sequence[float], species: Sequence[Species], fixed_charge_mmol: float, mass_g: float
) -> float:
    """Titratable acidity: mL of 0.1 M NaOH that 10 g of a mixture take up to pH 8.5 (degree of acidity).

    TTA = [sum of amount · n(8.5) − SID] · 100 / mass. Closed form and linear in grams; what water itself
    takes up at pH 8.5 (0.003 mL in 100 mL) is left out. Raises ValueError for a mass of zero or less.
    End point 8.5: the trade's degree of acidity of flour, sourdough and crumb [CP].

    >>> acetic = Species("acetic", (4.76,))
    >>> round(tta_ml_per_10g([1000.0], [acetic], 0.0, 1000.0), 1)
    100.0
    """
    if not mass_g > 0.0:
        raise ValueError(f"titratable acidity needs a mass above zero, not {mass_g} g")
    uptake_mmol = -fixed_charge_mmol
    for amount, kind in zip(amounts_mmol, species, strict=True):
        uptake_mmol += amount * kind._charge_at_end_point
    return 100.0 * uptake_mmol / mass_g


def _by_protons(amounts_mmol: Sequence[float], species: Sequence[Species]) -> _ByProtons:
    """The amounts that are there, beside their constants, apart by the number of protons."""
    single: list[tuple[float, float]] = []
    double: list[tuple[float, float, float]] = []
    triple: list[tuple[float, float, float, float]] = []
    many: list[tuple[float, tuple[float, ...]]] = []
    for amount, kind in zip(amounts_mmol, species, strict=True):
        if not amount:
            continue
        betas = kind._betas
        if len(betas) == 1:
            single.append((amount, betas[0]))
        elif len(betas) == 2:
            double.append((amount, betas[0], betas[1]))
        elif len(betas) == 3:
            triple.append((amount, betas[0], betas[1], betas[2]))
        else:
            many.append((amount, betas))
    return single, double, triple, many


def _cumulative_constants(pkas: Iterable[float]) -> tuple[float, ...]:
    """10^−(pKa_1 + … + pKa_i) for i = 1, 2, …"""
    betas = []
    total = 0.0
    for pka in pkas:
        total += pka
        betas.append(10.0**-total)
    return tuple(betas)


def mean_and_variance(betas: Sequence[float], thinness: float) -> tuple[float, float]:
    """Mean and variance of the negative charge of a molecule, at 10^pH (how thin the protons are)."""
    states, charges, squares = 1.0, 0.0, 0.0
    power = 1.0
    for lost, beta in enumerate(betas, 1):
        power *= thinness
        weight = beta * power
        states += weight
        charges += lost * weight
        squares += lost * lost * weight
    mean = charges / states
    return mean, squares / states - mean * mean
