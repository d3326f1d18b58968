"""What a store lacks for a formula, and what of it goes first."""

from __future__ import annotations

from collections.abc import Iterable

from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Amount, Formula
from adapter.formula.pantry import Pantry
from adapter.swaps.balance import WATER


def needs_of(formulas: Iterable[tuple[Formula, float]], pantry: Pantry, catalogue: Catalogue) -> dict[str, float]:
    """Grams of each ingredient that formulas take together, so many of each; water never counts.

    A sourdough is no stock but is fed: where some of it is there, what is lacking is made of its flour.
    """
    needs: dict[str, float] = {}
    hydrations: dict[str, float] = {}
    for formula, count in formulas:
        for line in formula.lines:
            if line.ingredient != WATER:
                needs[line.ingredient] = needs.get(line.ingredient, 0.0) + count * line.grams
            if line.hydration is not None:
                hydrations.setdefault(line.ingredient, line.hydration)
    for name in list(needs):
        preferment, stock = catalogue.get(name).preferment, pantry.grams_of(name)
        if preferment is not None and 0 < stock < needs[name]:
            share = 100.0 / (100.0 + hydrations.get(name, preferment.hydration))
            needs[preferment.flour] = needs.get(preferment.flour, 0.0) + share * (needs.pop(name) - stock)
    return needs


def missing(formula: Formula, pantry: Pantry, catalogue: Catalogue, count: float = 1.0) -> tuple[Amount, ...]:
    """What so many of a formula need beyond the stock: grams short of each ingredient."""
    return tuple(
        Amount(name, need - pantry.grams_of(name))
        for name, need in needs_of([(formula, count)], pantry, catalogue).items()
        if need > pantry.grams_of(name)
    )
