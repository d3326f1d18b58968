"""The figures of an ingredient as a packet states them, out of the tables: what a baker's own would go over."""

from __future__ import annotations

import math
from collections.abc import Mapping

from adapter.dough.models.acidity import TTA_END_POINT_PH, charge, mean_charge
from adapter.dough.own_figures import ACETIC_G_PER_MOL, OWN_SPREAD_PH, OWN_SPREAD_RELATIVE, SLURRY_LITRES_PER_KG, SUGARS
from adapter.formula.ingredient import Acidity, Ingredient
from adapter.formula.pantry import MEASUREMENT_KEYS, Measured

VINEGAR = "vinegar"

LABELS: Mapping[str, tuple[str, str]] = {
    "sugar": ("sugar", "g/100 g"),
    "salt": ("salt", "g/100 g"),
    "fat": ("fat", "g/100 g"),
    "protein": ("protein", "g/100 g"),
    "fibre": ("fibre", "g/100 g"),
    "water": ("water", "g/100 g"),
    "ph": ("pH", ""),
    "tta": ("TTA", "mL"),
    "acid_percent": ("acid strength", "%"),
    "falling_number": ("falling number", "s"),
}
"""What each figure is called, and its unit; TTA is mL of 0.1 M NaOH per 10 g to pH 8.5."""


def figures_of(ingredient: Ingredient) -> dict[str, Measured]:
    """Every figure that a packet or a measurement could replace, with the spread that it has now.

    A sourdough's composition follows its flour and its hydration, so it has none here.
    """
    found: dict[str, Measured] = {}
    if ingredient.preferment is None:
        sugars = [ingredient.figures[key] for key in SUGARS if key in ingredient.figures]
        total = math.fsum(figure.value for figure in sugars)
        found["sugar"] = Measured(total, math.hypot(*(figure.spread for figure in sugars)))
        for key in ("salt", "fat", "protein", "fibre", "water"):
            figure = ingredient.figures.get(key)
            found[key] = Measured(0.0, 0.0) if figure is None else Measured(figure.value, figure.spread)
    acidity = ingredient.acidity
    if acidity is not None and acidity.ph is not None:
        found["ph"] = Measured(acidity.ph.value, acidity.ph.spread)
        tta = tta_of(ingredient, acidity)
        if tta > 0:
            found["tta"] = Measured(tta, acidity.spread_of_totals * tta)
        acetic = [amount for name, _, amount in acidity.groups if name == "acetic"]
        if acetic and VINEGAR in ingredient.kinds:
            percent = acetic[0] * ACETIC_G_PER_MOL / 1e4
            found["acid_percent"] = Measured(percent, acidity.spread_of_totals * percent)
    falling = ingredient.properties.get("falling_number")
    if falling is not None:
        found["falling_number"] = Measured(falling.value, falling.spread)
    return {key: found[key] for key in MEASUREMENT_KEYS if key in found}


def tta_of(ingredient: Ingredient, acidity: Acidity) -> float:
    """TTA of an ingredient alone, mL of 0.1 M NaOH per 10 g: the charge it takes up from its own pH to 8.5."""
    assert acidity.ph is not None
    litres = ingredient.figure("water") / 100.0
    if ingredient.preferment is not None:
        litres = ingredient.preferment.hydration / (100.0 + ingredient.preferment.hydration)
    if acidity.slurry:
        litres += SLURRY_LITRES_PER_KG
    ph = acidity.ph.value
    mmol = sum(
        amount * (mean_charge(pkas, TTA_END_POINT_PH) - mean_charge(pkas, ph)) for _, pkas, amount in acidity.groups
    )
    return (mmol - charge([], [], ph, litres)) / 10.0


def with_usual_spread(key: str, figure: Measured) -> Measured:
    """A baker's own figure with the spread that is taken where none was given."""
    if figure.spread is not None:
        return figure
    return Measured(figure.value, OWN_SPREAD_PH if key == "ph" else OWN_SPREAD_RELATIVE * figure.value)
