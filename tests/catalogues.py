"""A catalogue in which one ingredient is another."""

from __future__ import annotations

from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Ingredient


def with_ingredient(catalogue: Catalogue, ingredient: Ingredient) -> Catalogue:
    """One ingredient added, or in the place of that of the same name."""
    return Catalogue({**catalogue.ingredients, ingredient.name: ingredient}, catalogue.substances)
