"""Water activity: what sugars, salt and alcohol leave free of the dough's water, as food and as yeast feels it."""

from __future__ import annotations

from collections.abc import Sequence

from adapter.dough.models.water_activity import (
    MINERALS_G_PER_MOL,
    NORRISH_K,
    SORPTION_EXPONENT,
    SORPTION_HALF_WATER,
    UNSOLVENT_WATER_G_PER_G_FLOUR,
    solvent_water,
    sorption_factor,
    water_activity,
)
from adapter.dough.readings.reading import Brought, Dough, Parameter, Reading, Working
from adapter.dough.readings.slopes import partials, placed
from adapter.dough.readings.totals import Vector

SUGARS = ("glucose", "fructose", "sucrose", "maltose", "lactose", "galactose", "polyols", "dextrins")
DISSOLVED = (*SUGARS, "salt", "alcohol")
INPUTS = (*DISSOLVED, "water", "dry_flour", "ash", "flour_ash")
"""The totals that water activity is worked out from, in the order of the lists below."""


def inputs_of(dough: Dough) -> list[float]:
    return [dough.amount(name) for name in INPUTS]


def of_food(inputs: Sequence[float]) -> float:
    """Water activity of the dough as a food; 0 where there is no water."""
    sugars = dict(zip(SUGARS, inputs, strict=False))
    salt, alcohol, water, dry_flour, ash, flour_ash = inputs[len(SUGARS) :]
    if not water > 0:
        return 0.0
    minerals = max(ash - flour_ash - salt, 0.0)  # most of the flour's own are bound in phytate
    return water_activity(sugars, salt, alcohol, water, dry_flour, True, minerals)


class WaterActivity(Reading):
    def value(self, dough: Dough) -> float:
        return of_food(inputs_of(dough))

    def gradient(self, dough: Dough) -> list[float]:
        return placed(dough, INPUTS, partials(of_food, inputs_of(dough)))

    def brings(self, dough: Dough) -> Brought:
        places = [dough.layout.index[name] for name in DISSOLVED]

        def dissolved(vector: Vector) -> float:
            return sum(vector[place] for place in places)

        return Brought("g dissolved", dissolved)

    def working(self, dough: Dough) -> Working:
        water, dry = dough.amount("water"), dough.amount("dry_flour")
        steps = (
            f"water {water:.0f} g, of it free to dissolve {solvent_water(water, dry):.0f} g",
            f"sorption of the flour: factor {sorption_factor(water, dry):.4f}",
        )
        sugars = sorted(SUGARS, key=lambda sugar: sugar != "sucrose")  # the commonest first
        constants = ", ".join(f"{sugar} {NORRISH_K[sugar]:g}" for sugar in sugars)
        parameters = (
            Parameter("Norrish K", constants, "M", "textbook, two published"),
            Parameter("salt", "Pitzer, 25 °C", "M", "textbook"),
            Parameter(
                "water that dissolves nothing", f"{UNSOLVENT_WATER_G_PER_G_FLOUR:g} g per g dry flour", "M", "textbook"
            ),
            Parameter("other minerals", f"{MINERALS_G_PER_MOL:g} g to a mole of ions", "A", "none of the flour's"),
        )
        symbols = (
            f"aw = Π aw of each solute alone (Ross) · r/(1 + r),  r = (X/{SORPTION_HALF_WATER:g})^{SORPTION_EXPONENT:g}"
        )
        meaning = (
            "aw: water activity; Π: the numbers multiplied; X: g of water to 1 g of dry flour; r/(1 + r): what the "
            "flour itself leaves free"
        )
        return Working(symbols, steps, parameters, meaning)


READINGS = (
    WaterActivity(
        key="water_activity",
        basis="product of each solute's water activity, times the flour's sorption",
        tag="M",
        unit="",
        short_unit="",
        decimals=3,
        claim="Good to about ±0.015.",
    ),
)
