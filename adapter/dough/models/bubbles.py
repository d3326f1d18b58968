"""Bubbles: how much gas lifts a dough so far, and how far so much gas lifts it.

Mixing folds air in. CO2 dissolves in the dough's water and fills those bubbles at once: with v0 the air and v
the gas in the dough, all in mL per 100 g flour, the water holds the share x = 1 − v0/v of what it could, so

    gas needed = (v − v0)/retention + 1.713·e^(−0.0305·T)·water·x,      v = v0 + rise · volume of the dough

So a dough rises from the first gas on, not after its water is full. At a rise of nothing nothing is needed.
Air: 6 % of the dough's volume in wheat, 3 % in stirred rye [M/A]; solubility [M].
"""

from __future__ import annotations

import math
from dataclasses import dataclass

WHEAT_AIR, RYE_AIR = 0.06, 0.03
DISSOLVED_ML_PER_ML, DISSOLVED_PER_C = 1.713, 0.0305


def folded_air(rye_share: float) -> float:
    """Air that mixing leaves in a dough, share of its volume, by rye share (0 to 1) [M/A].

    >>> folded_air(0.0), folded_air(1.0)
    (0.06, 0.03)
    """
    return WHEAT_AIR + (RYE_AIR - WHEAT_AIR) * rye_share


def dissolved_ml(t_c: float) -> float:
    """mL of CO2 (at 25 °C) that a mL of water holds under one atmosphere of it: 1.713·e^(−0.0305·T) [M].

    Within 7 % of measurements from 20 to 30 °C.

    >>> round(dissolved_ml(25.0), 3)
    0.799
    """
    return DISSOLVED_ML_PER_ML * math.exp(-DISSOLVED_PER_C * t_c)


@dataclass(frozen=True, slots=True)
class Bubbles:
    """A dough that can rise: mL of dough and of water per 100 g flour, air and retention as shares."""

    dough_ml: float
    water_ml: float
    air: float
    retention: float

    def __post_init__(self) -> None:
        for what, value in (("volume", self.dough_ml), ("air", self.air), ("retention", self.retention)):
            if not (math.isfinite(value) and value > 0.0):
                raise ValueError(f"a dough's {what} has to be above zero, not {value:g}")

    def gas_needed(self, rise: float, t_c: float) -> float:
        """mL CO2 per 100 g flour that a rise takes (0.30 for +30 %) at a temperature.

        >>> round(Bubbles(158.0, 85.0, 0.04, 0.55).gas_needed(0.30, 25.0))
        146
        """
        air_ml = self.air * self.dough_ml
        swelling_ml = rise * self.dough_ml
        filled = swelling_ml / (air_ml + swelling_ml)
        return swelling_ml / self.retention + dissolved_ml(t_c) * self.water_ml * filled

    def rise(self, gas_ml: float, t_c: float) -> float:
        """How far so much gas lifts the dough (0.30 for +30 %): the inverse of gas_needed.

        >>> round(Bubbles(158.0, 85.0, 0.04, 0.55).rise(146.1, 25.0), 2)
        0.3
        """
        if gas_ml <= 0.0:
            return 0.0
        air_ml = self.air * self.dough_ml
        held_ml = self.retention * dissolved_ml(t_c) * self.water_ml
        half = 0.5 * (air_ml + held_ml - self.retention * gas_ml)
        # (s/R) + D·s/(a + s) = gas, a square equation in the swelling s; this form of its root never cancels.
        product = air_ml * self.retention * gas_ml
        root = math.sqrt(half * half + product)
        swelling_ml = product / (half + root) if half > 0.0 else root - half
        return swelling_ml / self.dough_ml
