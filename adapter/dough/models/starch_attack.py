"""Starch attack: how far the grain's own amylase can break the starch of a loaf down while it bakes.

Amylase works on starch once that has gelatinised (rye 55 to 70 °C, wheat later) until the heat destroys it
(75 to 85 °C) [M]; it is fastest near pH 5.5 (5.5 to 5.7 [P]) and acid restrains it. The index S is 100 for
pure rye of falling number 150 at pH 5.5 with a crumb that goes from 30 to 97 °C at 2 °C per minute:

    S = 100 · I/I_ref,   I = ∫ E·a·g·f·k dt
    E  = sum over flours of share · LN(FN) / LN(150)      LN = 6000/(FN − 50), FN at least 62 [P; floor M]
    f  = 1/(1 + 10^(1.5·(4.4 − pH)) + 10^(pH − 7.2))                                                    [A]
    k  = exp[40 kJ/mol/R · (1/333.15 − 1/T)]                                                            [A]
    g  = r·logistic((T − 60)/2.2) + (1 − r)·logistic((T − 66)/2.2), r the share of rye                  [A]
    da/dt = −kd·a,  kd = (ln 2/3 min)·exp[250 kJ/mol/R·(1/348.15 − 1/T)]·10^(0.6·max(0, 5.5 − pH))      [A]

For ranking variants only. No value is safe, and low is not simply good: rye poor in enzymes bakes dry.
"""

import math
from functools import lru_cache

REFERENCE_FALLING_NUMBER_S = 150.0
REFERENCE_PH = 5.5
REFERENCE_HEATING_C_PER_MIN = 2.0
REFERENCE_CORE_C = 97.0
REFERENCE_START_C = 30.0
LEAST_FALLING_NUMBER_S = 62.0
LIQUEFACTION_S, LIQUEFACTION_FROM_S = 6000.0, 50.0

RYE_GELATINISES_C = 60.0
WHEAT_GELATINISES_C = 66.0
GELATINISATION_WIDTH_C = 2.2
WORK_J_PER_MOL = 40_000.0
WORK_AT_K = 333.15
DESTRUCTION_J_PER_MOL = 250_000.0
DESTRUCTION_AT_K = 348.15
HALF_LIFE_MIN = 3.0
MOLAR_GAS_J_PER_MOL_K = 8.314462618
ZERO_C_IN_K = 273.15

_GRID_C = 0.5


def liquefaction_number(falling_number_s: float) -> float:
    """Liquefaction number of a flour: 6000/(FN − 50), FN in seconds.

    It adds up over the shares of a blend, as the falling number does not: the trade's blending formula, as
    grain inspection prints it [P]. FN is taken as at least 62, about the least that the apparatus reads [M],
    so that nothing is divided by zero.

    >>> liquefaction_number(150.0), liquefaction_number(10.0)
    (60.0, 500.0)
    """
    return LIQUEFACTION_S / (max(falling_number_s, LEAST_FALLING_NUMBER_S) - LIQUEFACTION_FROM_S)


def falling_number_of(liquefaction: float) -> float:
    """Falling number, in seconds, of a flour or a blend with this liquefaction number: the inverse.

    >>> falling_number_of(60.0)
    150.0
    """
    return LIQUEFACTION_S / liquefaction + LIQUEFACTION_FROM_S


def starch_attack_index(
    rye_share: float,
    liquefaction: float,
    ph: float,
    heating_c_per_min: float = REFERENCE_HEATING_C_PER_MIN,
    core_c: float = REFERENCE_CORE_C,
    start: float = REFERENCE_START_C,
) -> float:
    """Starch attack S of a crumb that is heated at a constant rate; 100 is the reference of this module.

    rye_share 0 to 1 of the flour; liquefaction = sum over flours of share · liquefaction_number; rate in °C
    per minute, start and core in °C. Equations of this module [A]; for ranking only. It rises with pH from
    3.6 to 5.4 and falls with falling number. It falls with heating rate for doughs of half rye or more from
    0.5 °C per minute up; in a sour wheat dough that warms slowly, acid destroys the amylase before the starch
    opens, and slower is less. Raises ValueError where the crumb does not warm.

    >>> round(starch_attack_index(1.0, liquefaction_number(150.0), 5.5), 6)
    100.0
    """
    if not heating_c_per_min > 0.0:
        raise ValueError(f"the crumb must warm: heating of {heating_c_per_min} °C per minute")
    if not core_c > start:
        raise ValueError(f"the core temperature, {core_c} °C, must be above the start, {start} °C")
    work = _work_while_warming(rye_share, _acid_destruction(ph) / heating_c_per_min, core_c, start)
    return liquefaction * _acid_restraint(ph) * work / heating_c_per_min * _PER_REFERENCE


def _work_while_warming(rye_share: float, acid_per_rate: float, core_c: float, start_c: float) -> float:
    """∫ a·g·k dT from start to core: a = exp(−acid_per_rate · ∫ kd dT)."""
    rye, wheat = _work_by_grain(acid_per_rate, core_c, start_c)
    return rye_share * rye + (1.0 - rye_share) * wheat


@lru_cache(maxsize=256)
def _work_by_grain(acid_per_rate: float, core_c: float, start_c: float) -> tuple[float, float]:
    """That integral for a dough of rye alone, and of wheat alone."""
    exp = math.exp
    rye_work = wheat_work = 0.0
    for rye, wheat, destruction in _warming_grid(core_c, start_c):
        alive = exp(-acid_per_rate * destruction)
        rye_work += rye * alive
        wheat_work += wheat * alive
    return rye_work, wheat_work


@lru_cache(maxsize=64)
def _warming_grid(core_c: float, start_c: float) -> tuple[tuple[float, float, float], ...]:
    """Simpson's rule over temperature: weighted work on rye and on wheat starch, and ∫ kd dT up to there.

    All are for pH 5.5 or more at 1 °C per minute; acidity and rate only scale them.
    """
    halves = max(2, math.ceil((core_c - start_c) / (2.0 * _GRID_C)))
    width = (core_c - start_c) / (2 * halves)
    grid = []
    destruction = 0.0
    for index in range(2 * halves + 1):
        t_c = start_c + index * width
        if index:
            before = _destruction_per_min(t_c - width)
            between = _destruction_per_min(t_c - 0.5 * width)
            destruction += width / 6.0 * (before + 4.0 * between + _destruction_per_min(t_c))
        inner = 4.0 if index % 2 else 2.0
        weight = width / 3.0 * (1.0 if index in (0, 2 * halves) else inner)
        rye, wheat = _work_per_min(t_c)
        grid.append((weight * rye, weight * wheat, destruction))
    return tuple(grid)


def _work_per_min(t_c: float) -> tuple[float, float]:
    """k·g: pace of work on the gelatinised part of rye starch and of wheat starch."""
    inverse_k = 1.0 / WORK_AT_K - 1.0 / (t_c + ZERO_C_IN_K)
    pace = math.exp(WORK_J_PER_MOL / MOLAR_GAS_J_PER_MOL_K * inverse_k)
    rye = pace / (1.0 + math.exp((RYE_GELATINISES_C - t_c) / GELATINISATION_WIDTH_C))
    wheat = pace / (1.0 + math.exp((WHEAT_GELATINISES_C - t_c) / GELATINISATION_WIDTH_C))
    return rye, wheat


def _destruction_per_min(t_c: float) -> float:
    """kd of amylase at pH 5.5 or more, per minute."""
    inverse_k = 1.0 / DESTRUCTION_AT_K - 1.0 / (t_c + ZERO_C_IN_K)
    return math.log(2.0) / HALF_LIFE_MIN * math.exp(DESTRUCTION_J_PER_MOL / MOLAR_GAS_J_PER_MOL_K * inverse_k)


def _acid_destruction(ph: float) -> float:
    """Factor by which acid speeds the destruction of amylase."""
    factor: float = 10.0 ** (0.6 * max(0.0, 5.5 - ph))
    return factor


def _acid_restraint(ph: float) -> float:
    """f: share of its pace that amylase keeps at a pH."""
    restraint: float = 1.0 / (1.0 + 10.0 ** (1.5 * (4.4 - ph)) + 10.0 ** (ph - 7.2))
    return restraint


def _reference_index() -> float:
    """I_ref with the bare liquefaction number in place of E."""
    per_rate = _acid_destruction(REFERENCE_PH) / REFERENCE_HEATING_C_PER_MIN
    work = _work_while_warming(1.0, per_rate, REFERENCE_CORE_C, REFERENCE_START_C)
    restraint = _acid_restraint(REFERENCE_PH)
    return liquefaction_number(REFERENCE_FALLING_NUMBER_S) * restraint * work / REFERENCE_HEATING_C_PER_MIN


_PER_REFERENCE = 100.0 / _reference_index()
