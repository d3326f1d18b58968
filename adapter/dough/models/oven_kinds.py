"""How an oven heats a loaf by the kind of bake, and the least time in which a crust takes colour.

The brick of oven.py needs two numbers: heat transfer to the faces h (W/m²K) and conduction inside k (W/mK). Both are
fitted here [F] to the times that baking textbooks give, kind by kind:

    hearth    on hot stone with steam: the base is heated by contact, steam condenses on the cold skin   h 20, k 0.78
    open      in an open tin, or on a sheet without stone                                                h 15, k 0.75
    lidded    in a closed tin: still air under the lid, dense dough            h 12.5, k 0.70 (two hours at 160 °C [CP])

Small pieces are through long before they look done: they bake by the colour of the crust,

    t = 15.5 min · (weight/50 g)^0.3 · e^((230 − oven)/110) · (1 − 0.35·min(sugar + fat, 15 %)/15)                  [F]

to 50 g soft rolls at 200 °C 12–15 min and baguettes of 350 g at 240 °C 20–25 min. Hearth loaves then
lie within a quarter of the bakers' rule of 40 min for 500 g of wheat dough and 5 more for each 250 g. Under a lid no
crust is waited for.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HeatTransfer:
    """Heat to the faces of a loaf, W/m²K, and inside it, W/mK."""

    surface: float
    conductivity: float


HEARTH, OPEN, LIDDED = "hearth", "open", "lidded"
KINDS: Mapping[str, HeatTransfer] = {
    HEARTH: HeatTransfer(20.0, 0.78),
    OPEN: HeatTransfer(15.0, 0.75),
    LIDDED: HeatTransfer(12.5, 0.70),
}

CRUST_MIN, CRUST_G, CRUST_C = 15.5, 50.0, 230.0
CRUST_BY_WEIGHT, CRUST_BY_C = 0.3, 110.0
RICH_PERCENT, RICH_BROWNS_SOONER = 15.0, 0.35


def crust_minutes(piece_g: float, oven_c: float, sugar_fat_percent: float) -> float:
    """Least minutes until the crust of a piece of dough has colour; sugar and fat in % of flour [F].

    >>> round(crust_minutes(50.0, 200.0, 15.0)), round(crust_minutes(350.0, 240.0, 2.0))
    (13, 24)
    """
    if not piece_g > 0.0:
        raise ValueError(f"a piece of dough weighs something, not {piece_g:g} g")
    rich = min(max(sugar_fat_percent, 0.0), RICH_PERCENT) / RICH_PERCENT
    size: float = (piece_g / CRUST_G) ** CRUST_BY_WEIGHT
    return CRUST_MIN * size * math.exp((CRUST_C - oven_c) / CRUST_BY_C) * (1.0 - RICH_BROWNS_SOONER * rich)
