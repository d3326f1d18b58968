"""Making do with the pantry: the one programme over several swaps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product

import pytest
from adapter.swaps.pantry_plan import make_do, missing

from adapter.dough.readings.kitchen import Kitchen
from adapter.formula.model import Formula, Line
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps.programme import Column, Part, Solution, Solver, Target
from adapter.swaps.rules import Rule
from adapter.swaps.swapper import Swapper

LINES = {
    "wholemeal rye flour": 500.0,
    "white wheat flour": 200.0,
    "wheat bran": 60.0,
    "buttermilk": 400.0,
    "water": 150.0,
    "honey": 50.0,
    "linseed": 60.0,
    "salt": 13.0,
    "fresh yeast": 9.0,
}
PLENTY = ("wholemeal rye flour", "white wheat flour", "salt", "fresh yeast")


@pytest.fixture
def formula() -> Formula:
    return Formula("trial", tuple(Line(name, grams) for name, grams in LINES.items()))


@pytest.fixture
def swapper(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver, formula: Formula) -> Swapper:
    return Swapper(kitchen, rules, formula, solver)


def pantry(**grams: float) -> Pantry:
    stock = [Stock(name) for name in PLENTY]
    return Pantry("store", (*stock, *(Stock(name.replace("_", " "), value) for name, value in grams.items())))


def test_nothing_missing_changes_nothing(swapper: Swapper, formula: Formula) -> None:
    plan = make_do(swapper, Pantry("full", tuple(Stock(name) for name in LINES)))
    assert plan.after.formula.lines == formula.lines
    assert (plan.swaps, plan.short, plan.drift) == ((), (), 0.0)


def test_the_stock_is_enough_for_what_the_plan_weighs_in(swapper: Swapper) -> None:
    store = pantry(
        wheat_bran=20, wholemeal_wheat_flour=900, buttermilk=150, milk=2000, cider_vinegar=300, golden_syrup=500,
        linseed=60, honey=10,
    )  # fmt: skip
    plan = make_do(swapper, store)
    assert plan.swaps
    assert plan.short == missing(plan.after.formula, store, swapper.kitchen.catalogue) == ()
    for line in plan.after.formula.lines:
        if line.ingredient != "water":
            used = sum(other.grams for other in plan.after.formula.lines if other.ingredient == line.ingredient)
            assert used <= store.grams_of(line.ingredient)


def test_what_nothing_stands_in_for_is_named_with_its_grams(swapper: Swapper) -> None:
    plan = make_do(swapper, pantry(wheat_bran=60, buttermilk=400, honey=50, linseed=15))
    assert [(amount.ingredient, amount.grams) for amount in plan.short] == [("linseed", 45.0)]


def test_a_held_line_stays(swapper: Swapper) -> None:
    store = pantry(wheat_bran=60, buttermilk=400, golden_syrup=500, linseed=60)
    assert "honey" not in [line.ingredient for line in make_do(swapper, store).after.formula.lines]
    held = make_do(swapper, store, ("line:honey",))
    assert held.after.formula.lines[list(LINES).index("honey")].grams == 50.0
    assert [amount.ingredient for amount in held.short] == ["honey"]


def test_it_drifts_no_further_than_the_best_single_swap(swapper: Swapper) -> None:
    """One line short: the best offer for all of it, among what is there, is one of the plans open to the programme."""
    store = pantry(wheat_bran=60, yoghurt=900, milk=900, cider_vinegar=300, honey=50, linseed=60)
    there = {stock.ingredient for stock in store.stock} | {"water"}
    offers = swapper.offers(list(LINES).index("buttermilk"), 100.0)
    best = min(offer.drift for offer in offers if set(offer.chosen) <= there)
    # Weights are rounded after the programme, and the yeast follows: half a tolerance is allowed for both.
    assert make_do(swapper, store).drift <= best + 0.5


class Recorder(Solver):
    """A solver that keeps the last programme it was given."""

    def solve(self, columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part] = ()) -> Solution:
        self.asked = (columns, targets, parts)
        self.answer = super().solve(columns, targets, parts)
        return self.answer


def cost(columns: Sequence[Column], targets: Sequence[Target], answer: Solution) -> float:
    own = sum(column.cost * abs(amount) for column, amount in zip(columns, answer.amounts, strict=True))
    return own + sum(target.cost * abs(deviation) for target, deviation in zip(targets, answer.deviations, strict=True))


def test_no_other_choice_of_swaps_is_better(
    kitchen: Kitchen, rules: Sequence[Rule], formula: Formula, fixed: Callable[[Column, float], Column]
) -> None:
    """Against every choice of yes and no for the swaps, each solved as a plain linear programme."""
    solver = Recorder()
    few = [rule for rule in rules if rule.id in ("acid-liquid-for-acid-liquid", "syrup-for-syrup")]
    store = pantry(wheat_bran=60, buttermilk=100, kefir=150, yoghurt=120, golden_syrup=30, maple_syrup=30, linseed=60)
    make_do(Swapper(kitchen, few, formula, solver), store)
    columns, targets, parts = solver.asked
    best = cost(columns, targets, solver.answer)
    choices = [place for place, column in enumerate(columns) if column.whole]
    assert 3 <= len(choices) <= 6
    tried = []
    for answer in product((0.0, 1.0), repeat=len(choices)):
        settled = list(columns)
        for place, value in zip(choices, answer, strict=True):
            settled[place] = fixed(columns[place], value)
        tried.append(cost(columns, targets, Solver().solve(settled, targets, parts)))
    assert best == pytest.approx(min(tried), rel=1e-6)


@pytest.fixture
def fixed() -> Callable[[Column, float], Column]:
    return lambda column, value: Column(column.coefficients, value, value, column.cost)
