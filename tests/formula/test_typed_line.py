"""A line as a person types it: the amount and the name told apart, things that are counted never taken for grams."""

from __future__ import annotations

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.formula.typed_line import read_typed_line


@pytest.mark.parametrize(
    ("typed", "ingredient", "amount", "counted"),
    [
        ("2 cups bread flour", "bread flour", "2 cups", False),
        ("1 1/2 tbsp honey", "honey", "1 1/2 tbsp", False),
        ("500 g wholemeal rye flour", "wholemeal rye flour", "500 g", False),
        ("500 wholemeal rye flour", "wholemeal rye flour", "500", False),
        ("wholemeal rye flour 500 g", "wholemeal rye flour", "500 g", False),
        ("2 cups of milk", "milk", "2 cups", False),
        ("1 egg", "egg", "1 pieces", True),
        ("3 eggs", "egg", "3 pieces", True),
        ("eggs 3", "egg", "3 pieces", True),
        ("1 large egg", "egg", "1 pieces", True),
        ("100 g egg", "egg", "100 g", False),
        ("honey", "honey", None, False),
    ],
)
def test_amount_and_name(typed: str, ingredient: str, amount: str | None, counted: bool, kitchen: Kitchen) -> None:
    found = read_typed_line(typed, kitchen.catalogue)
    assert found.ingredient is not None and found.ingredient.name == ingredient
    assert (found.amount, found.counted) == (amount, counted)


def test_eggs_are_weighed_as_eggs(kitchen: Kitchen) -> None:
    each = kitchen.catalogue.get("egg").property("each_g")
    assert each > 30
    for typed, number in (("1 egg", 1), ("eggs 3", 3), ("2 large eggs", 2)):
        assert read_typed_line(typed, kitchen.catalogue).grams == pytest.approx(number * each)


@pytest.mark.parametrize("typed", ["", "3", "2 cups", "moon dust", "2 cups moon dust", "/", "1/0 egg", "- 3 eggs"])
def test_what_is_no_known_line_has_no_ingredient(typed: str, kitchen: Kitchen) -> None:
    assert read_typed_line(typed, kitchen.catalogue).ingredient is None
