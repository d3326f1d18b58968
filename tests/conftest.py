"""What all tests share: the tables loaded once, short ways to write, read and swap a formula, how Hypothesis runs.

Usual runs draw the same examples each time. To look for new faults: pytest --hypothesis-profile=search
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

import adapter.formula.tables
import adapter.work.checking
from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula, Line
from adapter.swaps.offer import Offer
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule, load_rules
from adapter.swaps.swapper import Swapper

settings.register_profile("usual", deadline=None, max_examples=30, derandomize=True)
settings.register_profile(
    "search", deadline=None, max_examples=2000, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("usual")

os.environ.pop("COLUMNS", None)  # text that is printed is as wide as it is, whatever a shell says of its width

SHIPPED = str(adapter.formula.tables.shipped_tables())
read_table = adapter.formula.tables.read_table
read_shipped_table = cache(read_table)


def read_table_once(path: Traversable, array: str = "", on_demand: tuple[str, ...] = ()) -> dict[str, Any]:
    """A shipped file of tables is parsed once, whatever is laid over it; a person's own one each time."""
    return (read_shipped_table if str(path).startswith(SHIPPED) else read_table)(path, array, on_demand)


adapter.formula.tables.read_table = read_table_once


@pytest.fixture(scope="session")
def kitchen() -> Kitchen:
    """The shipped tables."""
    return load_kitchen()


@pytest.fixture(scope="session")
def catalogue(kitchen: Kitchen) -> Catalogue:
    return kitchen.catalogue


@pytest.fixture(scope="session")
def keepable(kitchen: Kitchen) -> tuple[str, ...]:
    """What a rule may keep."""
    return kitchen.keepable


@pytest.fixture(scope="session")
def rules(kitchen: Kitchen, keepable: tuple[str, ...]) -> tuple[Rule, ...]:
    """The shipped rules."""
    return load_rules(kitchen.catalogue, keepable)


@pytest.fixture
def tables_once(monkeypatch: pytest.MonkeyPatch, kitchen: Kitchen, rules: tuple[Rule, ...]) -> None:
    """The shipped tables are read once for all tests in this process; with own tables, and by check, as always."""

    def kitchen_of(own_folders: Iterable[Path] = ()) -> Kitchen:
        folders = tuple(own_folders)
        return load_kitchen(folders) if folders else kitchen

    def rules_of(catalogue: Catalogue, keepable: Iterable[str], own_folders: Iterable[Path] = ()) -> tuple[Rule, ...]:
        folders = tuple(own_folders)
        return rules if catalogue is kitchen.catalogue and not folders else load_rules(catalogue, keepable, folders)

    monkeypatch.setattr("adapter.dough.readings.kitchen.load_kitchen", kitchen_of)
    monkeypatch.setattr("adapter.swaps.rules.load_rules", rules_of)


@pytest.fixture(scope="session")
def solver() -> Solver:
    return Solver()


@pytest.fixture(scope="session")
def loaf() -> Callable[..., Formula]:
    """loaf({"wholemeal rye flour": 500, "water": 400}, proof=…): a formula of one stage."""

    def written(amounts: Mapping[str, float], **fields: Any) -> Formula:
        lines = tuple(Line(name, float(grams)) for name, grams in amounts.items())
        return Formula(fields.pop("name", "test loaf"), lines, **fields)

    return written


@pytest.fixture(scope="session")
def read(kitchen: Kitchen, loaf: Callable[..., Formula]) -> Callable[..., Measured]:
    """read(amounts or formula, …): the measured formula; a second argument is its measured book."""

    def measured(what: Mapping[str, float] | Formula, book: Measured | None = None, **fields: Any) -> Measured:
        formula = what if isinstance(what, Formula) else loaf(what, **fields)
        return measure(kitchen, formula, book)

    return measured


@pytest.fixture(scope="session")
def swapper(kitchen: Kitchen, rules: tuple[Rule, ...], solver: Solver) -> Callable[[Formula], Swapper]:
    return lambda formula: Swapper(kitchen, rules, formula, solver)


@pytest.fixture(scope="session")
def swap(swapper: Callable[[Formula], Swapper]) -> Callable[..., Offer]:
    """swap(formula, "honey", "malt syrup", holds=…): the swap that the command line makes, lines by name."""

    def made(formula: Formula, out: str | Sequence[str], into: str | Sequence[str], **options: Any) -> Offer:
        going = [out] if isinstance(out, str) else out
        places = [next(formula.find(name)) for name in going]
        return swapper(formula).free_swap(places, [into] if isinstance(into, str) else list(into), **options)

    return made


@pytest.fixture(scope="session")
def dark_loaf(loaf: Callable[..., Formula]) -> Formula:
    """A dense dark rye tin loaf with bran, white flour, an acid liquid and two syrups."""
    return loaf(
        {
            "wholemeal rye flour": 420,
            "white wheat flour": 180,
            "wheat bran": 60,
            "buttermilk": 520,
            "honey": 60,
            "molasses": 60,
            "water": 60,
            "salt": 12,
            "fresh yeast": 10,
        },
        name="dark tin loaf",
    )
