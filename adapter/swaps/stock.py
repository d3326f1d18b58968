"""What a store lacks for a formula, and what of it goes first."""

from __future__ import annotations

from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Amount, Formula
from adapter.formula.pantry import Pantry
from adapter.swaps.balance import WATER


def needs_of(formula: Formula, pantry: Pantry, catalogue: Catalogue, count: float = 1.0) -> dict[str, float]:
    """Grams of each ingredient that so many of a formula take; water never counts.

    A sourdough is no stock but is fed: where some of it is there, what is lacking is made of its flour.
    """
    needs: dict[str, float] = {}
    for line in formula.lines:
        if line.ingredient != WATER:
            needs[line.ingredient] = needs.get(line.ingredient, 0.0) + count * line.grams
    for line in formula.lines:
        preferment = catalogue.get(line.ingredient).preferment
        lacking = needs.get(line.ingredient, 0.0) - pantry.grams_of(line.ingredient)
        if preferment and lacking > 0 and pantry.grams_of(line.ingredient) > 0:
            hydration = preferment.hydration if line.hydration is None else line.hydration
            needs[preferment.flour] = needs.get(preferment.flour, 0.0) + lacking * 100.0 / (100.0 + hydration)
            del needs[line.ingredient]
    return needs


def missing(formula: Formula, pantry: Pantry, catalogue: Catalogue, count: float = 1.0) -> tuple[Amount, ...]:
    """What so many of a formula need beyond the stock: grams short of each ingredient."""
    return tuple(
        Amount(name, need - pantry.grams_of(name))
        for name, need in needs_of(formula, pantry, catalogue, count).items()
        if need > pantry.grams_of(name)
    )
