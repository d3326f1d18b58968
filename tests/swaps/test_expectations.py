"""What stands first in the list of offers is what a colleague would name first: common practice, no source.

The table is expectations.toml beside this file; see there for its keys.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli

from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps.offer import Offer
from adapter.swaps.swapper import Swapper

TABLE = tomli.loads((Path(__file__).parent / "expectations.toml").read_text("utf-8"))
ROWS: list[dict[str, Any]] = TABLE["expectation"]
WITHIN, FAR = 2, 5
BY_NAME = pytest.mark.parametrize("row", ROWS, ids=[f"{row['out']} in {row['dough']}" for row in ROWS])


def dough_of(row: dict[str, Any]) -> dict[str, float]:
    amounts = dict(TABLE["dough"][row["dough"]])
    if row["out"] not in amounts:
        amounts[row["out"]] = row["grams"]
    return amounts


def names_of(offer: Offer) -> frozenset[str]:
    return frozenset(offer.chosen)


def wanted(entry: str) -> frozenset[str]:
    return frozenset(part.strip() for part in entry.split(" + "))


@BY_NAME
def test_expectations_name_what_the_catalogue_has(row: dict[str, Any], kitchen: Any) -> None:
    catalogue: Catalogue = kitchen.catalogue
    for entry in (row["out"], *row["expect"], *row.get("never", ()), *row.get("store", ())):
        for name in wanted(entry):
            assert name in catalogue.ingredients, name
    for name in dough_of(row):
        assert name in catalogue.ingredients, name


@BY_NAME
def test_every_expected_swap_is_offered_at_all(
    row: dict[str, Any], loaf: Callable[..., Formula], swapper: Callable[[Formula], Swapper]
) -> None:
    """At least one of what a colleague would name must be somewhere in the list, whatever its order."""
    offered = [names_of(offer) for offer in offers_for(row, loaf, swapper)]
    assert any(wanted(entry) in offered for entry in row["expect"]), offered[:10]


@BY_NAME
def test_what_a_colleague_would_name_stands_first(
    row: dict[str, Any], loaf: Callable[..., Formula], swapper: Callable[[Formula], Swapper]
) -> None:
    offered = [names_of(offer) for offer in offers_for(row, loaf, swapper)]
    first = offered[: row.get("within", WITHIN)]
    assert any(wanted(entry) in first for entry in row["expect"]), offered[:10]
    assert not any(wanted(entry) in offered[:FAR] for entry in row.get("never", ())), offered[:10]


def offers_for(row: dict[str, Any], loaf: Callable[..., Formula], swapper: Callable[[Formula], Swapper]) -> list[Offer]:
    amounts = dough_of(row)
    formula = loaf(amounts)
    beside = [name for name in amounts if name != row["out"]]
    pantry = Pantry("store", tuple(Stock(name) for name in [*beside, *row["store"]])) if "store" in row else None
    return swapper(formula).offers(next(formula.find(row["out"])), pantry=pantry)
