"""How fast a dough rises: gas that yeast makes, gas that a rise needs, hours, and yeast that keeps the hours.

    rate [mL CO2 per h and 100 g flour] = 86 · [E(Y) + S] · G/Gref,      G = gT · gos · gpH · gHAc

Yeast is counted as fresh yeast in percent of the flour. E is what that yeast is worth, S what a sourdough's
own yeast is worth. G/Gref, the activity, is 1 in the reference dough, for which the 86 holds: 100 g white
wheat flour of 13 % moisture, 60 g water, 2 g salt, no sugar, pH 5.3, no acetic acid, 28.5 °C [A: lean, salted
and 28.5 °C belong to the 86, the rest is a choice].

Absolute hours are rough; the ratio of two doughs is better known. Not shown: salt above 2.5 % slows a dough
by more than its water activity says, and 2 to 3 % sugar can speed one up.
"""

import math
from collections.abc import Mapping

from adapter.dough.models.water_activity import water_activity

# One observed rise time recalibrates it: see gas_from_rise_time.
GAS_ML_PER_H_PER_G = 86.0

LAG_H = 0.25

GAS_LOWEST_C, GAS_BEST_C, GAS_HIGHEST_C = 4.0, 37.0, 48.0
LOWEST_PH, BEST_PH, HIGHEST_PH = 1.8, 5.0, 8.2
LEAST_WATER_ACTIVITY = 0.88
LEAST_WATER_ACTIVITY_OSMOTOLERANT = 0.83
MOST_ACETIC_MM = 150.0

PROPORTIONAL_UP_TO_PERCENT = 2.5
CROWDING_EXPONENT = 0.70

INVERT_PER_SUCROSE = 1.053
SOURDOUGH_CELLS_PER_G = 2e7
FRESH_YEAST_CELLS_PER_G = 1e10
SOURDOUGH_GROWTH_PER_H = 0.35

REFERENCE_C = 28.5
REFERENCE_PH = 5.3
REFERENCE_SALT_G = 2.0
REFERENCE_WATER_G = 73.0
REFERENCE_DRY_FLOUR_G = 87.0


def temperature_factor(t_c: float) -> float:
    """Pace of gas against the best temperature, 0 to 1; °C. Rosso's cardinal model, 4 / 37 / 48 °C.

    g = (T−Tx)(T−Tn)² / {(To−Tn)·[(To−Tn)(T−To) − (To−Tx)(To+Tn−2T)]}, 0 outside Tn to Tx. The three are
    fitted to a Q10 of about 2.1 from 20 to 30 °C [F]; those of growth (2 / 32 / 45, Salvadó 2011 [P]) are
    not for gas.

    >>> temperature_factor(37.0), temperature_factor(4.0)
    (1.0, 0.0)
    """
    if not GAS_LOWEST_C < t_c < GAS_HIGHEST_C:
        return 0.0
    span = GAS_BEST_C - GAS_LOWEST_C
    above = t_c - GAS_LOWEST_C
    fall = span * (t_c - GAS_BEST_C) - (GAS_BEST_C - GAS_HIGHEST_C) * (GAS_BEST_C + GAS_LOWEST_C - 2.0 * t_c)
    return (t_c - GAS_HIGHEST_C) * above * above / (span * fall)


def acidity_factor(ph: float) -> float:
    """Pace of gas against the best pH, 0 to 1. Rosso's cardinal pH model, 1.8 / 5.0 / 8.2 [F].

    g = (pH−n)(pH−x)/[(pH−n)(pH−x) − (pH−o)²], 0 outside n to x. Bakers' yeast grows from 2.5 to 8.0
    (Praphailong and Fleet 1997 [P]).

    >>> acidity_factor(5.0), acidity_factor(1.8)
    (1.0, 0.0)
    """
    if not LOWEST_PH < ph < HIGHEST_PH:
        return 0.0
    inside = (ph - LOWEST_PH) * (ph - HIGHEST_PH)
    return inside / (inside - (ph - BEST_PH) ** 2)


def osmotic_factor(aw: float, osmotolerant: bool = False) -> float:
    """Pace of gas against pure water, 0 to 1, at the water activity yeast feels (osmotic_water_activity).

    (aw − awmin)/(1 − awmin), 0 below awmin: 0.88 (0.86 to 0.91), osmotolerant yeast 0.83 [F/M].

    >>> round(osmotic_factor(0.94), 6)
    0.5
    """
    least = LEAST_WATER_ACTIVITY_OSMOTOLERANT if osmotolerant else LEAST_WATER_ACTIVITY
    return min(max((aw - least) / (1.0 - least), 0.0), 1.0)


def acetic_factor(undissociated_mM: float) -> float:
    """Pace of gas against no acetic acid, 0 to 1; undissociated acetic acid in mmol per litre of dough water.

    1 − c/150, 0 above 150 mM. Measured on a sourdough yeast (Gänzle 1998 [P]), borrowed for bakers' yeast.

    >>> acetic_factor(15.0)
    0.9
    """
    return min(max(1.0 - undissociated_mM / MOST_ACETIC_MM, 0.0), 1.0)


def osmotic_water_activity(
    sugars: Mapping[str, float], salt_g: float, alcohol_g: float, water_g: float, dry_flour_g: float
) -> float:
    """Water activity that yeast feels in a dough: solutes only, sucrose as 1.053 g of invert sugar.

    Yeast splits sucrose soon after mixing [M]: half the invert sugar is glucose, half fructose. Arguments as
    in water_activity (water_g counts the flour's own water). Raises ValueError where there is no water.

    >>> round(osmotic_water_activity({}, 2.0, 0.0, 73.0, 87.0), 3)
    0.978
    """
    sucrose_g = sugars.get("sucrose", 0.0)
    if sucrose_g > 0.0:
        half_g = 0.5 * INVERT_PER_SUCROSE * sucrose_g
        inverted = dict(sugars)
        inverted["sucrose"] = 0.0
        inverted["glucose"] = inverted.get("glucose", 0.0) + half_g
        inverted["fructose"] = inverted.get("fructose", 0.0) + half_g
        sugars = inverted
    return water_activity(sugars, salt_g, alcohol_g, water_g, dry_flour_g, sorption=False)


def activity(t_c: float, ph: float, aw_osmotic: float, undissociated_mM: float, osmotolerant: bool = False) -> float:
    """G/Gref: pace of yeast in a dough against the reference dough of this module (1 there).

    G is the product of the factors of temperature, acidity, water activity and acetic acid. An osmotolerant
    yeast is measured against itself in the same reference dough [A].

    >>> round(activity(28.5, 5.3, osmotic_water_activity({}, 2.0, 0.0, 73.0, 87.0), 0.0), 12)
    1.0
    """
    pace = temperature_factor(t_c) * acidity_factor(ph) * acetic_factor(undissociated_mM)
    reference = _REFERENCE_OSMOTOLERANT if osmotolerant else _REFERENCE
    return pace * osmotic_factor(aw_osmotic, osmotolerant) / reference


def effective_yeast(percent_fresh: float) -> float:
    """What yeast is worth, in percent fresh yeast: itself up to 2.5 % of flour, then 2.5·(Y/2.5)^0.70 [F].

    >>> effective_yeast(1.0), round(effective_yeast(5.0), 2)
    (1.0, 4.06)
    """
    if percent_fresh <= PROPORTIONAL_UP_TO_PERCENT:
        return percent_fresh
    share: float = (percent_fresh / PROPORTIONAL_UP_TO_PERCENT) ** CROWDING_EXPONENT
    return PROPORTIONAL_UP_TO_PERCENT * share


def yeast_for_effect(effect: float) -> float:
    """Fresh yeast in percent of flour that is worth so much: the inverse of effective_yeast [F].

    >>> round(yeast_for_effect(effective_yeast(5.0)), 9)
    5.0
    """
    if effect <= PROPORTIONAL_UP_TO_PERCENT:
        return effect
    share: float = (effect / PROPORTIONAL_UP_TO_PERCENT) ** (1.0 / CROWDING_EXPONENT)
    return PROPORTIONAL_UP_TO_PERCENT * share


def own_yeast_of_sourdough(
    g_sourdough_per_100g_flour: float,
    cells_per_g: float,
    hours: float,
    growth_per_h: float = SOURDOUGH_GROWTH_PER_H,
) -> float:
    """What a sourdough's own yeast is worth over a proof of so many hours, in percent fresh yeast.

    S = g per 100 g flour · cells per g / 10^10 · (e^(µt) − 1)/(µt): the mean over the proof of growing cells.
    Ripe sourdough 2·10^7 cells per g, fresh yeast 10^10, µ 0.35 per hour [M]. Growth does not slow with time
    here, so trust it for some hours only.

    >>> round(own_yeast_of_sourdough(50.0, 2e7, 0.0), 6)
    0.1
    """
    grown = growth_per_h * hours
    mean_growth = math.expm1(grown) / grown if grown > 0.0 else 1.0
    return g_sourdough_per_100g_flour * cells_per_g / FRESH_YEAST_CELLS_PER_G * mean_growth


def gas_rate_ml_h(
    percent_fresh: float,
    relative_activity: float,
    own_yeast_percent: float = 0.0,
    gas: float = GAS_ML_PER_H_PER_G,
) -> float:
    """Gas made, mL CO2 per hour and 100 g flour: gas · [E(Y) + S] · activity. 86 mL per g fresh yeast [P/F].

    >>> gas_rate_ml_h(2.0, 1.0)
    172.0
    """
    return gas * (effective_yeast(percent_fresh) + own_yeast_percent) * relative_activity


def gas_needed_ml(
    dough_g_per_100g_flour: float,
    density_g_ml: float,
    rise_fraction: float,
    retention: float,
    water_g_per_100g_flour: float,
    t_c: float,
) -> float:
    """Gas that a rise takes, mL CO2 per 100 g flour: what swells, what escapes, what dissolves.

    dough/density · rise/retention + 1.713·e^(−0.0305·T) · water [M]. rise_fraction 0.30 is a dough that
    grows by 30 %; retention is the share of gas that stays: coarse rye 0.45 to 0.65, wheat 0.9 [M]. T in °C;
    what dissolves is within 7 % of measurements from 20 to 30 °C. Raises ValueError for a density or
    retention of zero or less.

    >>> round(gas_needed_ml(185.0, 1.17, 0.30, 0.55, 85.0, 25.0))
    154
    """
    if not (density_g_ml > 0.0 and retention > 0.0):
        raise ValueError(f"density and retention must be above zero, not {density_g_ml} and {retention}")
    swelling_ml = dough_g_per_100g_flour / density_g_ml * rise_fraction / retention
    return swelling_ml + 1.713 * math.exp(-0.0305 * t_c) * water_g_per_100g_flour


def rise_hours(gas_needed: float, rate_ml_h: float) -> float:
    """Hours to a rise: 0.25 h before gas comes [M], then gas needed over gas rate; infinite without gas.

    >>> rise_hours(86.0, 86.0)
    1.25
    """
    return LAG_H + gas_needed / rate_ml_h if rate_ml_h > 0.0 else math.inf


def percent_for_time(
    hours: float,
    gas_needed: float,
    relative_activity: float,
    own_yeast_percent: float = 0.0,
    gas: float = GAS_ML_PER_H_PER_G,
) -> float:
    """Fresh yeast in percent of flour that raises a dough in so many hours; 0 where its own yeast is enough.

    The inverse of rise_hours and gas_rate_ml_h. Raises ValueError for hours of 0.25 or less and for a dough
    in which yeast does not work.

    >>> percent_for_time(1.25, 86.0, 1.0)
    1.0
    """
    if not hours > LAG_H:
        raise ValueError(f"no dough rises within {LAG_H} h; {hours:g} h was asked for")
    if not relative_activity > 0.0:
        raise ValueError("yeast does not work in this dough")
    effect = gas_needed / ((hours - LAG_H) * gas * relative_activity) - own_yeast_percent
    return yeast_for_effect(max(effect, 0.0))


def percent_for_same_time(
    percent_fresh: float,
    activity_before: float,
    activity_after: float,
    gas_needed_before: float,
    gas_needed_after: float,
    own_yeast_before: float = 0.0,
    own_yeast_after: float = 0.0,
) -> float:
    """Fresh yeast in percent of flour that keeps the rise time after a swap; 0 where its own yeast is enough.

    E(Y2) = [E(Y1) + S1] · (G1/G2) · (V2/V1) − S2. Nothing changed gives exactly the same percent. Raises
    ValueError for a dough in which yeast does not work or that needs no gas.

    >>> percent_for_same_time(3.3, 0.8, 0.8, 150.0, 150.0)
    3.3
    """
    if not activity_after > 0.0:
        raise ValueError("yeast does not work in this dough")
    if not gas_needed_before > 0.0:
        raise ValueError(f"a rise needs gas, not {gas_needed_before} mL")
    before = effective_yeast(percent_fresh)
    more = (activity_before / activity_after) * (gas_needed_after / gas_needed_before)
    effect = before * more + (own_yeast_before * more - own_yeast_after)
    if effect == before:
        return percent_fresh
    return yeast_for_effect(max(effect, 0.0))


def gas_from_rise_time(
    hours: float,
    gas_needed: float,
    percent_fresh: float,
    relative_activity: float,
    own_yeast_percent: float = 0.0,
) -> float:
    """mL CO2 per hour and g fresh yeast that one observed rise time speaks for, in place of the 86.

    Raises ValueError for hours of 0.25 or less and for a dough without working yeast.

    >>> gas_from_rise_time(1.25, 86.0, 1.0, 1.0)
    86.0
    """
    if not hours > LAG_H:
        raise ValueError(f"no dough rises within {LAG_H} h; {hours:g} h was given")
    working = gas_rate_ml_h(percent_fresh, relative_activity, own_yeast_percent, gas=1.0)
    if not working > 0.0:
        raise ValueError("yeast does not work in this dough")
    return gas_needed / (hours - LAG_H) / working


def _reference_pace(osmotolerant: bool) -> float:
    aw = osmotic_water_activity({}, REFERENCE_SALT_G, 0.0, REFERENCE_WATER_G, REFERENCE_DRY_FLOUR_G)
    return temperature_factor(REFERENCE_C) * acidity_factor(REFERENCE_PH) * osmotic_factor(aw, osmotolerant)


_REFERENCE = _reference_pace(osmotolerant=False)
_REFERENCE_OSMOTOLERANT = _reference_pace(osmotolerant=True)
