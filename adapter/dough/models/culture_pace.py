"""How fast what lives in a dough grows and works: sourdough bacteria, sourdough yeast, bakers' yeast, gas.

Each factor is 1 at its best and never below zero. Temperatures in °C, salt in % of the flour or grams per
100 mL of water as said.
"""

from __future__ import annotations

from adapter.dough.models.yeast import BEST_PH, HIGHEST_PH, LOWEST_PH, acetic_factor, osmotic_factor

Points = tuple[tuple[float, float], ...]

# Published doubling temperatures of L. sanfranciscensis and of a sourdough yeast (Gänzle 1998) [P]; the straight
# lines between them are ours.
BACTERIA_BY_C: Points = ((4.0, 0.0), (15.0, 0.25), (20.0, 0.5), (32.0, 1.0), (37.0, 0.5), (39.0, 0.25), (41.0, 0.0))
SOURDOUGH_YEAST_BY_C: Points = (
    (8.0, 0.0), (14.0, 0.25), (20.0, 0.5), (28.0, 1.0), (32.0, 0.5), (34.0, 0.25), (35.0, 0.0),
)  # fmt: skip

WARM_BACTERIA_C, WARM_BACTERIA_PACE = 6.0, 2.5
"""Bacteria of a short sour (L. brevis, L. fermentum and their like): so many degrees warmer, and so much quicker, than
L. sanfranciscensis [F: a fifth of starter on the flour is below pH 4.1 in 3 to 4 h at 35 °C, as the trade says; they
double in 20 to 60 min at 35 to 40 °C, Spicher (quoted in a handbook) P]."""

WILD_GAS = 2.0
"""Gas of a cell of sourdough yeast against one of pressed yeast, 10^10 to the gram [F]: with it a wheat dough of which
15 % is soured doubles in 6 h at 24 °C (textbooks 4 to 6½), rye of which 45 % is soured is up in 1½ h at 28 °C
(a recipe of the three-stage process 1 h), and a culture fed 1:1:1 to 1:10:10 peaks at 20 °C in 6 to 13 h (a chart of
feedings: 5 to 14)."""
WILD_GAS_BY_C: Points = ((0.0, 2.2), (5.0, 2.0), (15.0, 1.0), (30.0, 1.0), (42.0, 0.0))
"""Against the gas of pressed yeast at the same °C. Warmer than it grows it soon stops working too; in the cold it works
on: fed and put straight into the fridge it doubles within a week [CP]. The lines are assumed here [A]."""

BACTERIA_PH = (3.75, 5.3, 6.9)
MOST_SALT_PERCENT = 4.0

GAS_C = (0.0, 38.0, 46.0)
YEAST_GROWTH_C = (2.0, 32.0, 45.0)
YEAST_GROWTH_REFERENCE_C = 28.0

SALT_STOPS_G_PER_100ML = 14.0
SALT_EXPONENT = 0.9
FLOURS_OWN_SUGAR_PERCENT = 1.5
SUGAR_HALF_PERCENT = 0.3
SUGAR_EXPONENT = 1.8
"""Of the osmotic factor where sugar is what binds the water: 20 % sugar leave about half the gas [F to textbooks]."""

# The dough for which the 86 mL hold: lean, 2 g salt in 60 g water, pH 5.3, no acetic acid, 28.5 °C (yeast_pace).
REFERENCE_C, REFERENCE_PH, REFERENCE_SALT_G_PER_100ML = 28.5, 5.3, 2.0 / 0.6


def between(points: Points, x: float) -> float:
    """Straight lines through the points; their ends' values beyond them."""
    left = points[0]
    if x <= left[0]:
        return left[1]
    for right in points[1:]:
        if x < right[0]:
            return left[1] + (right[1] - left[1]) * (x - left[0]) / (right[0] - left[0])
        left = right
    return left[1]


def cardinal(x: float, lowest: float, best: float, highest: float) -> float:
    """Rosso's cardinal temperature model: 0 outside lowest to highest, 1 at the best.

    g = (T−Tx)(T−Tn)² / {(To−Tn)·[(To−Tn)(T−To) − (To−Tx)(To+Tn−2T)]}

    >>> cardinal(38.0, 0.0, 38.0, 46.0), cardinal(0.0, 0.0, 38.0, 46.0)
    (1.0, 0.0)
    """
    if not lowest < x < highest:
        return 0.0
    span, above = best - lowest, x - lowest
    fall = span * (x - best) - (best - highest) * (best + lowest - 2.0 * x)
    return (x - highest) * above * above / (span * fall)


def cardinal_ph(ph: float, lowest: float, best: float, highest: float) -> float:
    """Rosso's cardinal pH model: g = (pH−n)(pH−x)/[(pH−n)(pH−x) − (pH−o)²], 0 outside n to x."""
    if not lowest < ph < highest:
        return 0.0
    inside = (ph - lowest) * (ph - highest)
    return inside / (inside - (ph - best) ** 2)


def bacteria_warmth(t_c: float, warm_share: float = 0.0) -> float:
    """gL: pace of sourdough bacteria by temperature, for growth and acid alike.

    `warm_share` of them are those of a short sour, kept at 35 °C from sour to sour: quickest at 38 °C.
    """
    usual = between(BACTERIA_BY_C, t_c)
    if not warm_share:
        return usual
    return (1.0 - warm_share) * usual + warm_share * WARM_BACTERIA_PACE * between(BACTERIA_BY_C, t_c - WARM_BACTERIA_C)


def sourdough_yeast_warmth(t_c: float) -> float:
    """gS: growth of sourdough yeast by temperature; none below 8 °C or above 35 °C."""
    return between(SOURDOUGH_YEAST_BY_C, t_c)


def sourdough_yeast_gas(t_c: float) -> float:
    """Gas of sourdough yeast by temperature, 1 at 28.5 °C: more in the cold, less in heat than bakers' yeast [A]."""
    return gas_warmth(t_c) * between(WILD_GAS_BY_C, t_c)


def bakers_yeast_growth(t_c: float) -> float:
    """Growth of bakers' yeast by temperature, 1 at 28 °C: cardinal temperatures 2 / 32 / 45 (Salvadó 2011 [P])."""
    return cardinal(t_c, *YEAST_GROWTH_C) / _GROWTH_REFERENCE


def gas_warmth(t_c: float) -> float:
    """Gas by temperature, 1 at 28.5 °C: cardinal temperatures 0 / 38 / 46.

    [F: 30/20 °C 2.0–2.6; 7 % a degree at 25 °C; about 4 % of the 27 °C rate at 5 °C]
    """
    return cardinal(t_c, *GAS_C) / _GAS_REFERENCE


def bacteria_salt(salt_percent: float) -> float:
    """1 − salt/4, salt in % of flour: nothing grows beyond 4 % [A]."""
    return max(1.0 - salt_percent / MOST_SALT_PERCENT, 0.0)


def salt_pace(salt_g_per_100ml: float) -> float:
    """Pace of yeast by kitchen salt in the poured water (without what the flour holds), 1 without salt.

    (1 − NaCl/14)^0.9 [F: none/2 % 1.28, 4 %/2 % 0.71, 8 % nearly none, at 60 % water].

    >>> round(salt_pace(0.0) / salt_pace(2.0 / 0.6), 2)
    1.28
    """
    left: float = max(1.0 - salt_g_per_100ml / SALT_STOPS_G_PER_100ML, 0.0) ** SALT_EXPONENT
    return left


def sugar_pace(added_percent: float) -> float:
    """How a little sugar feeds yeast, 1 without: F/(F + 0.3), F fermentable sugar in % of flour [F].

    The flour's own counts as 1.5. Below 5 % of flour sugar feeds more than it hinders: gas 1.0 to 1.25 of none
    (Marek and Bushuk 1967 [P]); what hinders is the osmotic factor.

    >>> round(sugar_pace(0.0), 2), round(sugar_pace(4.0), 2)
    (1.0, 1.14)
    """
    fed = FLOURS_OWN_SUGAR_PERCENT + max(added_percent, 0.0)
    return fed / (fed + SUGAR_HALF_PERCENT) * _UNFED


def dough_pace(salt_g_per_100ml: float, added_sugar_percent: float, sugars_aw: float, osmotolerant: bool) -> float:
    """What stays as it is while a dough rises: salt, sugar as food and sugar as a hindrance, 1 in the reference dough.

    `sugars_aw` is the water activity that the sugars alone leave (yeast_pace.osmotic_water_activity without salt).
    """
    hindrance: float = osmotic_factor(sugars_aw, osmotolerant) ** SUGAR_EXPONENT
    return salt_pace(salt_g_per_100ml) / _SALT_REFERENCE * sugar_pace(added_sugar_percent) * hindrance


def acid_pace(ph: float, undissociated_acetic_mm: float) -> float:
    """Pace of yeast by pH and acetic acid, 1 at pH 5.3 without any."""
    return cardinal_ph(ph, LOWEST_PH, BEST_PH, HIGHEST_PH) / _PH_REFERENCE * acetic_factor(undissociated_acetic_mm)


_GROWTH_REFERENCE = cardinal(YEAST_GROWTH_REFERENCE_C, *YEAST_GROWTH_C)
_GAS_REFERENCE = cardinal(REFERENCE_C, *GAS_C)
_SALT_REFERENCE = salt_pace(REFERENCE_SALT_G_PER_100ML)
_PH_REFERENCE = cardinal_ph(REFERENCE_PH, LOWEST_PH, BEST_PH, HIGHEST_PH)
_UNFED = (FLOURS_OWN_SUGAR_PERCENT + SUGAR_HALF_PERCENT) / FLOURS_OWN_SUGAR_PERCENT
