"""What a formula must say of itself: allergen groups and the usual cautions. The packets' own labels come first."""

from __future__ import annotations

from adapter.dough.readings.measured import Measured
from adapter.dough.tables.cautions import cautions_for


def allergens(measured: Measured) -> tuple[str, ...]:
    """Allergen groups (Regulation (EU) 1169/2011 Annex II) of everything in a formula, sorted."""
    return tuple(sorted(measured.allergens))


def group_of(allergen: str) -> str:
    """The group of Annex II: "nuts" of "nuts: walnut"."""
    return allergen.partition(":")[0]


def allergens_beyond(measured: Measured, other: Measured) -> tuple[str, ...]:
    """What a formula has of allergens that another has not, sorted."""
    return tuple(sorted(measured.allergens - other.allergens))


def cautions_of(measured: Measured) -> list[str]:
    """The cautions of the kitchen's table that apply to a formula, in table order."""
    catalogue = measured.kitchen.catalogue
    used = [(catalogue.get(line.ingredient), line.grams) for line in measured.formula.lines if line.grams > 0]
    percents: dict[str, float] = {}
    for ingredient, grams in used:
        for name in {ingredient.name, *ingredient.kinds}:
            percents[name] = percents.get(name, 0.0) + 100.0 * grams / measured.amount("flour")
    return cautions_for(
        [ingredient.name for ingredient, _ in used],
        {kind for ingredient, _ in used for kind in ingredient.kinds},
        allergens(measured),
        percents,
        measured.kitchen.cautions,
    )
