"""What hinders yeast, and what a dose of it is worth: factors of its pace, each 0 to 1, and E(Y).

Yeast is counted as fresh yeast in percent of the flour. Its pace by warmth, salt and sugar is in culture_pace.py, what
it makes of a dough over the hours in ripening.py: 86 mL CO2 per hour and gram of fresh yeast at 28.5 °C in a lean,
salted dough [P/F]. Absolute hours are rough; the ratio of two doughs is better known.
"""

from collections.abc import Mapping

from adapter.dough.models.water_activity import water_activity

# One observed rise time recalibrates it: see gas_from_rise_time.
GAS_ML_PER_H_PER_G = 86.0


LOWEST_PH, BEST_PH, HIGHEST_PH = 1.8, 5.0, 8.2
"""Cardinal pH of gas, by Rosso's model [F]. Bakers' yeast grows from 2.5 to 8.0 (Praphailong and Fleet 1997 [P])."""
LEAST_WATER_ACTIVITY = 0.88
LEAST_WATER_ACTIVITY_OSMOTOLERANT = 0.83
MOST_ACETIC_MM = 150.0

PROPORTIONAL_UP_TO_PERCENT = 2.5
CROWDING_EXPONENT = 0.70

INVERT_PER_SUCROSE = 1.053


def osmotic_factor(aw: float, osmotolerant: bool = False) -> float:
    """Pace of gas against pure water, 0 to 1, at the water activity yeast feels (osmotic_water_activity).

    (aw − awmin)/(1 − awmin), 0 below awmin: 0.88 (0.86 to 0.91), osmotolerant yeast 0.83 [F/M].

    >>> round(osmotic_factor(0.94), 6)
    0.5
    """
    least = LEAST_WATER_ACTIVITY_OSMOTOLERANT if osmotolerant else LEAST_WATER_ACTIVITY
    return max((aw - least) / (1.0 - least), 0.0)


def acetic_factor(undissociated_mM: float) -> float:
    """Pace of gas against no acetic acid, 0 to 1; undissociated acetic acid in mmol per litre of dough water.

    1 − c/150, 0 above 150 mM. Measured on a sourdough yeast (Gänzle 1998 [P]), borrowed for bakers' yeast.

    >>> acetic_factor(15.0)
    0.9
    """
    return max(1.0 - undissociated_mM / MOST_ACETIC_MM, 0.0)


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
