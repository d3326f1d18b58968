"""Several bakes from one store: the stock is never overdrawn beyond what is to be bought, and together is no worse."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from importlib.resources import files

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.files.formula_file import read_sample
from adapter.files.pantry_file import read_pantry
from adapter.formula.model import Formula, Line
from adapter.formula.pantry import Pantry, Stock
from adapter.formula.problems import InputProblem
from adapter.swaps.adapt import adapt
from adapter.swaps.bakes import Bakes, plan_bakes
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule
from adapter.swaps.stock import needs_of
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes

COUNTS = {"hut_everyday_loaf": 3, "sunday_currant_rolls": 2, "spelt_hearth_loaf": 2}


@pytest.fixture(scope="module")
def store(kitchen: Kitchen) -> Pantry:
    return read_pantry(files("sample_formulas") / "pantry.toml", kitchen.catalogue)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def swappers(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver) -> list[Swapper]:
    read = [read_sample(files("sample_formulas") / f"{name}.toml", kitchen.catalogue) for name in COUNTS]
    return [Swapper(kitchen, rules, formula, solver) for formula in read]


def used(bakes: Bakes, store: Pantry, kitchen: Kitchen) -> dict[str, float]:
    needs: dict[str, float] = {}
    for way, count in zip(bakes.ways, bakes.counts, strict=True):
        for name, need in needs_of(way.after.formula, store, kitchen.catalogue, count).items():
            needs[name] = needs.get(name, 0.0) + need
    return needs


def test_the_store_and_what_is_bought_is_enough(store: Pantry, swappers: list[Swapper], kitchen: Kitchen) -> None:
    bakes = plan_bakes(swappers, list(COUNTS.values()), Wishes(store, seconds=60.0))
    bought = {amount.ingredient: amount.grams for amount in bakes.buy}
    for name, need in used(bakes, store, kitchen).items():
        assert need <= store.grams_of(name) + bought.get(name, 0.0) + 0.051, name
    assert all(way.swaps for way in bakes.ways)


def test_one_bake_once_is_the_single_answer(store: Pantry, swappers: list[Swapper]) -> None:
    (single,) = adapt(swappers[0], Wishes(store, seconds=60.0)).ways
    (joint,) = plan_bakes(swappers[:1], [1], Wishes(store, seconds=60.0)).ways
    assert joint.after.formula.lines == single.after.formula.lines


def test_alone_they_take_the_same_stock_twice(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver) -> None:
    """One by one both loaves take the same kefir for their buttermilk; together one of them does without."""
    amounts = {"wholemeal rye flour": 500.0, "buttermilk": 300.0, "water": 100.0, "salt": 10.0}
    formulas = [
        Formula(name, tuple(Line(ingredient, grams) for ingredient, grams in amounts.items())) for name in ("a", "b")
    ]
    stock = [Stock("wholemeal rye flour"), Stock("salt"), Stock("kefir", 320.0), Stock("yoghurt", 320.0)]
    store = Pantry("two liquids", tuple(stock))
    both = [Swapper(kitchen, rules, formula, solver) for formula in formulas]
    alone = [adapt(swapper, Wishes(store, seconds=60.0)).ways[0] for swapper in both]
    assert alone[0].after.formula.lines == alone[1].after.formula.lines
    bakes = plan_bakes(both, [1, 1], Wishes(store, seconds=60.0))
    assert bakes.proven and bakes.buy == ()
    for name, need in used(bakes, store, kitchen).items():
        assert need <= store.grams_of(name) + 1e-6
    assert sum(way.drift for way in bakes.ways) >= sum(way.drift for way in alone) - 0.5


def test_what_spoils_first_goes_first(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver) -> None:
    amounts = {"wholemeal rye flour": 500.0, "honey": 40.0, "water": 400.0, "salt": 10.0}
    formula = Formula("sweet", tuple(Line(ingredient, grams) for ingredient, grams in amounts.items()))

    def taken(first: str, second: str) -> set[str]:
        stock = [Stock("wholemeal rye flour"), Stock("salt"), Stock(first, 500.0, best_before=date(2031, 6, 12)),
                 Stock(second, 500.0, best_before=date(2031, 12, 1))]  # fmt: skip
        swapper = Swapper(kitchen, rules, formula, solver)
        bakes = plan_bakes([swapper], [1], Wishes(Pantry("p", tuple(stock)), seconds=60.0), date(2031, 6, 16))
        return {amount.ingredient for swap in bakes.ways[0].swaps for amount in swap.into}

    pair = ("golden syrup", "maple syrup")
    assert taken(*pair) == {pair[0]} and taken(*reversed(pair)) == {pair[1]}


@pytest.mark.parametrize("count", [0, -1, 1_000_000])
def test_counts_are_checked(count: int, store: Pantry, swappers: list[Swapper]) -> None:
    with pytest.raises(InputProblem, match="1 to"):
        plan_bakes(swappers[:1], [count], Wishes(store, seconds=60.0))
