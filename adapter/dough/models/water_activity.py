"""Water activity of a dough, a crumb or a syrup: what sugars, salt and alcohol leave free of its water.

Each solute is taken alone in the solvent water and the water activities are multiplied (Ross 1975 [M]). Beside sugars,
salt and alcohol the minerals of syrups, fruit and milk count, as ideal ions of 40 g to the mole [A].
Solvent water is all water, that of the flour too, less 0.25 g per g of dry flour that dissolves nothing [M].
Starch and protein hold their share: a sorption factor for crumb and dough. At 25 °C; quote a crumb to ±0.015.
"""

import math
from collections.abc import Mapping

WATER_G_PER_MOL = 18.015
SALT_G_PER_MOL = 58.443
ETHANOL_G_PER_MOL = 46.068
MINERALS_G_PER_MOL = 40.0
"""Grams of ash to a mole of dissolved ions: those of potassium with phosphates and the salts of fruit acids [A]."""

DEXTRINS_K = 20.0
"""Of a solute of 666 g/mol: so that glucose syrup of 42 DE at 81 % solids comes to 0.70-0.78 [F]."""

# Norrish's constant K, base e: Norrish 1966 and later refits, from memory [M], two of them seen in print [P].
# Lactose is the weakest. Polyols are taken as sorbitol.
NORRISH_K: dict[str, float] = {
    "glucose": 2.25,
    "fructose": 2.15,
    "sucrose": 6.47,
    "maltose": 4.54,
    "lactose": 10.2,
    "galactose": 2.24,
    "polyols": 1.65,
    "dextrins": DEXTRINS_K,
    "glycerol": 1.16,
}
SOLUTE_G_PER_MOL: dict[str, float] = {
    "glucose": 180.156,
    "fructose": 180.156,
    "sucrose": 342.297,
    "maltose": 342.297,
    "lactose": 342.297,
    "galactose": 180.156,
    "polyols": 182.172,
    "dextrins": 666.0,
    "glycerol": 92.094,
}
_NORRISH: dict[str, tuple[float, float]] = {
    name: (WATER_G_PER_MOL / grams_per_mol, NORRISH_K[name]) for name, grams_per_mol in SOLUTE_G_PER_MOL.items()
}

UNSOLVENT_WATER_G_PER_G_FLOUR = 0.25
# A stiff dough or dry flour keeps this share of its water as solvent, lest the model divide by nothing [A].
LEAST_SOLVENT_SHARE = 0.05

SORPTION_HALF_WATER = 0.12
SORPTION_EXPONENT = 2.5


def sodium_chloride_osmotic_coefficient(molality: float) -> float:
    """Osmotic coefficient of sodium chloride in water at 25 °C; molality in mol per kg water, 0 to 6.15.

    φ = 1 − A·√m/(1 + 1.2·√m) + m·(β0 + β1·exp(−2·√m)) + m²·C; A 0.3915, β0 0.0765, β1 0.2664, C 0.00127.
    Pitzer and Mayorga 1973, J. Phys. Chem. 77:2300 [M].

    >>> round(sodium_chloride_osmotic_coefficient(1.0), 3)
    0.936
    """
    root = math.sqrt(molality)
    return (
        1.0
        - 0.3915 * root / (1.0 + 1.2 * root)
        + molality * (0.0765 + 0.2664 * math.exp(-2.0 * root))
        + 0.00127 * molality * molality
    )


def sodium_chloride_activity(molality: float) -> float:
    """Water activity of a sodium chloride solution at 25 °C; molality in mol per kg water, 0 to 6.15.

    aw = exp(−φ · 2m · 0.018015), φ by Pitzer [M]. Within 0.001 of the saturated solution's 0.753.

    >>> round(sodium_chloride_activity(6.146), 3)
    0.752
    """
    return math.exp(-0.03603 * molality * sodium_chloride_osmotic_coefficient(molality))


def ethanol_activity(grams: float, water_g: float) -> float:
    """Water activity of ethanol in water as if ideal: the mole fraction of water [A]. Up to 10 % alcohol.

    >>> round(ethanol_activity(5.0, 95.0), 3)
    0.98
    """
    return _mole_fraction_of_water(water_g, grams / ETHANOL_G_PER_MOL)


def minerals_activity(grams: float, water_g: float) -> float:
    """Water activity of other minerals than kitchen salt, g ash, as ideal ions of 40 g/mol: the mole fraction [A].

    >>> round(minerals_activity(3.3, 22.0), 3)
    0.937
    """
    return _mole_fraction_of_water(water_g, grams / MINERALS_G_PER_MOL)


def _mole_fraction_of_water(water_g: float, other_moles: float) -> float:
    water_moles = water_g / WATER_G_PER_MOL
    return water_moles / (water_moles + other_moles)


def sorption_factor(water_g: float, dry_flour_g: float) -> float:
    """Share of water activity that the flour's starch and protein leave, in crumb and dough (0 to 1).

    r/(1 + r), r = (X/0.12)^2.5, X g water per g dry flour (Oswin's isotherm) [M]. 1 where there is no flour.

    >>> round(sorption_factor(73.0, 87.0), 3)
    0.992
    """
    if dry_flour_g <= 0.0:
        return 1.0
    ratio: float = (water_g / dry_flour_g / SORPTION_HALF_WATER) ** SORPTION_EXPONENT
    return ratio / (1.0 + ratio)


def solvent_water(water_g: float, dry_flour_g: float) -> float:
    """Grams of water in which sugar and salt dissolve: all water less 0.25 g per g of dry flour [M].

    Never below 5 % of the water [A]. water_g counts all water, that of the flour too.

    >>> solvent_water(80.0, 80.0)
    60.0
    """
    return max(water_g - UNSOLVENT_WATER_G_PER_G_FLOUR * dry_flour_g, LEAST_SOLVENT_SHARE * water_g)


def water_activity(
    sugars: Mapping[str, float],
    salt_g: float,
    alcohol_g: float,
    water_g: float,
    dry_flour_g: float,
    sorption: bool,
    minerals_g: float = 0.0,
) -> float:
    """Water activity of a mixture (0 to 1), grams of each part; water_g counts the flour's own water too.

    Product of each solute's water activity alone in the solvent water (Ross), times the sorption factor where
    sorption is asked for: with it for crumb and dough as a food, without it for what yeast feels. Sugars are
    glucose, fructose, sucrose, maltose, lactose, and glycerol. [M; floor of solvent water and ethanol A.]
    Good to ±0.015 for a crumb; where solvent water is at its floor (drier than flour) only an order of size.
    Raises ValueError where there is no water, KeyError for an unknown sugar.

    >>> round(water_activity({}, 2.0, 0.0, 73.0, 87.0, sorption=False), 3)
    0.978
    """
    if not water_g > 0.0:
        raise ValueError(f"water activity needs water, not {water_g} g")
    solvent_g = solvent_water(water_g, dry_flour_g)
    activity = 1.0
    exponent = 0.0
    for sugar, grams in sugars.items():
        if grams > 0.0:
            moles_ratio, constant = _NORRISH[sugar]
            solute_moles = grams * moles_ratio
            solute_share = solute_moles / (solute_moles + solvent_g)
            activity *= 1.0 - solute_share
            exponent -= constant * solute_share * solute_share
    activity *= math.exp(exponent)
    if salt_g > 0.0:
        activity *= sodium_chloride_activity(1000.0 * salt_g / (SALT_G_PER_MOL * solvent_g))
    if alcohol_g > 0.0:
        activity *= ethanol_activity(alcohol_g, solvent_g)
    if minerals_g > 0.0:
        activity *= minerals_activity(minerals_g, solvent_g)
    if sorption:
        activity *= sorption_factor(water_g, dry_flour_g)
    return activity
