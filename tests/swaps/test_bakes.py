"""Several bakes from one store: the stock is never overdrawn beyond what is to be bought, and together is no worse."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from importlib.resources import files
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import measure
from adapter.files.formula_file import read_sample
from adapter.files.pantry_file import read_pantry
from adapter.formula.model import Formula, Line
from adapter.formula.pantry import Pantry, Stock
from adapter.formula.problems import InputProblem
from adapter.swaps.adapt import adapt
from adapter.swaps.bakes import Bakes, _favoured, _own_drift, _sane, _to_buy, _within_store, checked_count, plan_bakes
from adapter.swaps.candidates import Candidate
from adapter.swaps.programme import Search, Solution, Solver, TimeIsUp
from adapter.swaps.ruled_out import load_without, ruled_out_by
from adapter.swaps.rules import Rule
from adapter.swaps.stock import needs_of
from adapter.swaps.swapper import Swapper
from adapter.swaps.way import Way, step_of
from adapter.swaps.wishes import Aim, Wishes, read_aim, shown_value

PLAIN = tuple(
    Line(name, grams)
    for name, grams in {"wholemeal rye flour": 500.0, "buttermilk": 300.0, "water": 100.0, "salt": 10.0}.items()
)
SHARED = ("buttermilk", "kefir", "yoghurt", "milk", "cider vinegar")
COUNT = st.integers(1, 3)
COUNTS = {"hut_everyday_loaf": 3, "sunday_currant_rolls": 2, "spelt_hearth_loaf": 2}


@pytest.fixture(scope="module")
def store(kitchen: Kitchen) -> Pantry:
    return read_pantry(files("sample_formulas") / "pantry.toml", kitchen.catalogue)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def swappers(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver) -> list[Swapper]:
    read = [read_sample(files("sample_formulas") / f"{name}.toml", kitchen.catalogue) for name in COUNTS]
    return [Swapper(kitchen, rules, formula, solver) for formula in read]


def used(bakes: Bakes, store: Pantry, kitchen: Kitchen) -> dict[str, float]:
    formulas = [(way.after.formula, count) for way, count in zip(bakes.ways, bakes.counts, strict=True)]
    return needs_of(formulas, store, kitchen.catalogue)


def test_the_store_and_what_is_bought_is_enough(store: Pantry, swappers: list[Swapper], kitchen: Kitchen) -> None:
    bakes = plan_bakes(swappers, list(COUNTS.values()), Wishes(store, seconds=60.0))
    bought = {amount.ingredient: amount.grams for amount in bakes.buy}
    for name, need in used(bakes, store, kitchen).items():
        assert need <= store.grams_of(name) + bought.get(name, 0.0) + 0.051, name
    assert all(way.swaps for way in bakes.ways)
    assert bakes.proven and bakes.gap <= 0.01
    turned = plan_bakes(swappers[::-1], list(COUNTS.values())[::-1], Wishes(store, seconds=60.0))
    for way, same in zip(bakes.ways, turned.ways[::-1], strict=True):
        assert way.after.formula.lines == same.after.formula.lines, "the order in which they are named is nothing"
    for way in bakes.ways:
        left_out = sum(
            way.before.formula.lines[place].grams * swap.share
            for swap in way.swaps
            for place in swap.candidate.places
            if not swap.candidate.chosen
        )
        gone = way.before.value("flour_mass") - way.after.value("flour_mass")
        assert gone <= 0.035 * way.before.value("flour_mass") + left_out, "no smaller loaves for want of flour"


def test_what_would_make_another_loaf_is_bought(kitchen: Kitchen, swappers: list[Swapper]) -> None:
    """White rolls raised with a pound of rye sourdough for want of a cube of yeast: no baker would."""
    rolls = swappers[1]
    stock = [Stock(line.ingredient, 10_000.0) for line in rolls.formula.lines if line.ingredient != "fresh yeast"]
    store = Pantry("hut", (*stock, Stock("fresh yeast", 1.0), Stock("rye sourdough", 5000.0)))
    bakes = plan_bakes([rolls], [10], Wishes(store, seconds=60.0))
    [way] = bakes.ways
    needed = 10 * next(line.grams for line in rolls.formula.lines if line.ingredient == "fresh yeast")
    bought = {amount.ingredient: amount.grams for amount in bakes.buy}
    assert bought["fresh yeast"] > 0.8 * needed
    assert way.drift < 15.0


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


def without(entry: Stock, taken: dict[str, float]) -> Stock:
    """What is left of a stock."""
    return (
        entry if entry.grams is None else replace(entry, grams=max(0.0, entry.grams - taken.get(entry.ingredient, 0)))
    )


@settings(max_examples=5)
@given(grams=st.lists(st.integers(0, 900), min_size=len(SHARED), max_size=len(SHARED)), counts=st.tuples(COUNT, COUNT))
def test_together_is_no_worse_than_one_after_the_other(
    grams: list[int], counts: tuple[int, int], kitchen: Kitchen, rules: Sequence[Rule], solver: Solver
) -> None:
    """The swaps of single plans, the second made of what the first leaves, are one answer of the joint programme."""
    both = [Swapper(kitchen, rules, Formula(name, PLAIN), solver) for name in ("a", "b")]
    stock = [*(Stock(name) for name in ("wholemeal rye flour", "salt")),
             *(Stock(name, float(amount)) for name, amount in zip(SHARED, grams, strict=True))]  # fmt: skip
    store = Pantry("shared", tuple(stock))
    bakes = plan_bakes(both, counts, Wishes(store, seconds=60.0))
    bought = {amount.ingredient: amount.grams for amount in bakes.buy}
    for name, need in used(bakes, store, kitchen).items():
        assert need <= store.grams_of(name) + bought.get(name, 0.0) + 0.051, name
    left, to_buy = store, dict.fromkeys(SHARED, 0.0)
    for swapper, count in zip(both, counts, strict=True):
        single = plan_bakes([swapper], [count], Wishes(left, seconds=60.0))
        for amount in single.buy:
            to_buy[amount.ingredient] = to_buy.get(amount.ingredient, 0.0) + amount.grams
        taken = used(single, left, kitchen)
        left = Pantry("left", tuple(without(entry, taken) for entry in left.stock))
    assert sum(bought.values()) <= sum(to_buy.values()) + 1.0 * sum(counts), "less is bought together"


def test_each_formula_has_its_own_aims(store: Pantry, swappers: list[Swapper]) -> None:
    wishes = [
        Wishes(store, aims=(read_aim("sweetness=-20%", each.measured, store),), seconds=60.0) for each in swappers
    ]
    bakes = plan_bakes(swappers, [1, 1, 1], wishes)
    for way, swapper in zip(bakes.ways, swappers, strict=True):
        wanted = 0.8 * swapper.measured.value("sweetness")
        assert way.missed or shown_value("sweetness", way.after.value("sweetness")) == shown_value("sweetness", wanted)
    assert not bakes.ways[0].missed


def test_a_wish_that_one_formula_cannot_meet_is_named(store: Pantry, swappers: list[Swapper]) -> None:
    wishes = [
        Wishes(store, aims=tuple(read_aim(text, each.measured, store) for text in ("ph=3.2", "hydration=+1")))
        for each in swappers[:2]
    ]
    bakes = plan_bakes(swappers[:2], [1, 1], wishes, seconds=60.0)
    assert any(way.missed for way in bakes.ways) and bakes.conflict == ("ph=3.2",)


def test_a_sourdough_that_all_share_is_fed_once(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver) -> None:
    """Two doughs that take more of it together than is there: what is lacking is made of its flour, not bought."""
    lines = (Line("rye sourdough", 240.0), Line("wholemeal rye flour", 300.0), Line("salt", 8.0))
    both = [Swapper(kitchen, rules, Formula(name, lines), solver) for name in ("a", "b")]
    rye = kitchen.catalogue.get("rye sourdough").preferment
    assert rye is not None
    stock = [Stock("rye sourdough", 400.0), Stock("salt"), Stock("wholemeal rye flour", 600.0), Stock(rye.flour, 600.0)]
    enough = Pantry("p", tuple({entry.ingredient: entry for entry in stock}.values()))
    bakes = plan_bakes(both, [1, 1], Wishes(enough, seconds=60.0))
    fed = 80.0 * 100.0 / (100.0 + rye.hydration)
    needs = used(bakes, enough, kitchen)
    assert "rye sourdough" not in {amount.ingredient for amount in bakes.buy}
    assert needs[rye.flour] == pytest.approx((600.0 if rye.flour == "wholemeal rye flour" else 0.0) + fed, abs=1.0)


def test_what_is_ruled_out_is_in_none_or_there_is_no_plan(
    store: Pantry, swappers: list[Swapper], kitchen: Kitchen
) -> None:
    for word, can_be in (("milk", True), ("gluten", False)):
        ruled_out, by = ruled_out_by([word], kitchen.catalogue, load_without())
        bakes = plan_bakes(swappers, [1, 1, 1], Wishes(store, (word,), ruled_out, words_of=by, seconds=60.0))
        assert bool(bakes.ways) is can_be and bool(bakes.stuck) is not can_be
        assert bakes.conflict == (() if can_be else ("without gluten",))
        assert not {line.ingredient for way in bakes.ways for line in way.after.formula.lines} & set(ruled_out)


def test_what_all_together_lack_is_the_reason_in_each(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver) -> None:
    """Enough buttermilk for either loaf, not for both: the swap says of how much."""
    both = [Swapper(kitchen, rules, Formula(name, PLAIN), solver) for name in ("a", "b")]
    stock = (Stock("wholemeal rye flour"), Stock("salt"), Stock("buttermilk", 400.0), Stock("kefir", 900.0))
    bakes = plan_bakes(both, [1, 1], Wishes(Pantry("p", stock), seconds=60.0))
    told = {reason for way in bakes.ways for reasons in way.reasons for reason in reasons}
    assert told == {"buttermilk: 400 of 600 g in store"}


@pytest.mark.parametrize("count", [0, -1, 1_000_000])
def test_counts_are_checked(count: int, store: Pantry, swappers: list[Swapper]) -> None:
    with pytest.raises(InputProblem, match="1 to"):
        plan_bakes(swappers[:1], [count], Wishes(store, seconds=60.0))


def test_thirty_formulas_are_planned_together_at_most(swappers: list[Swapper], store: Pantry) -> None:
    """And ten thousand of one: more is no kitchen's bake but a slip of the keys."""
    for number, said in ((30, "0 of a formula"), (31, "31 formulas")):
        with pytest.raises(InputProblem, match=said):
            plan_bakes(swappers[:1] * number, [0] * number, Wishes(store))
    for count in (0, 10_000):
        assert checked_count(count) == count
    for count in (-1, 10_001):
        with pytest.raises(InputProblem) as caught:
            checked_count(count)
        assert caught.value.right == "0 to 10000"


def test_what_rounding_takes_beyond_the_store_is_weighed_down(kitchen: Kitchen, solver: Solver) -> None:
    """A step of the scale at a time, two at most of a line, first of what is baked most often, of its largest line."""
    lines = (Line("white wheat flour", 500.0), Line("water", 300.0), Line("salt", 10.0))

    def way(*honey: float) -> Way:
        more = [Line("honey", grams, stage) for grams, stage in zip(honey, ("dough", "soaker"), strict=False)]
        before = measure(kitchen, Formula("loaf", (*lines, *more)))
        return Way(before, before, (), (), step_of(before, before, ()), (), (), None, True, 0.0)

    def honeys(stock: float, counts: list[int], *ways: Way, bought: float | None = None) -> list[tuple[float, ...]]:
        store = Pantry("store", (Stock("honey", stock, 10.0), *(Stock(line.ingredient, None, 0.0) for line in lines)))
        programme = SimpleNamespace(pantry=store, bought={} if bought is None else {"honey": 0})
        wishes = [Wishes(store, aims=(Aim("price", 0.0, 0.25, "price=..0.25"),), holds=("line:salt",))] * len(ways)
        solution = Solution((bought or 0.0,), (), 0.0)
        found = _within_store(list(ways), counts, wishes, programme, solution)  # type: ignore[arg-type]
        for each in found:
            grams = [line.grams for line in each.after.formula.lines if line.ingredient == "honey"]
            if each not in ways:
                assert each.price == pytest.approx(sum(grams) / 100.0) and each.step.holds == ("line:salt",)
                assert [miss.wish for miss in each.missed] == (["price=..0.25"] if sum(grams) > 25.4 else [])
        return [tuple(line.grams for line in each.after.formula.lines if line.ingredient == "honey") for each in found]

    two, one, none = way(20.0, 10.0), way(20.0), way()
    assert honeys(80.0, [1, 2], one, two) == [(20.0,), (20.0, 10.0)], "there is enough"
    assert honeys(79.0, [1, 2], one, two) == [(20.0,), (19.0, 10.0)]
    assert honeys(77.9, [1, 2], one, two) == [(20.0,), (18.0, 10.0)]
    assert honeys(74.0, [1, 2, 3], one, two, none) == [(18.0,), (18.0, 10.0), ()], "two grams of each line at most"
    assert honeys(79.0, [1, 2], one, two, bought=0.6) == [(20.0,), (20.0, 10.0)], "what has to be bought is"
    assert honeys(79.0, [1, 2], one, two, bought=0.5) == [(20.0,), (19.0, 10.0)]
    assert honeys(17.7, [1, 1], way(9.0), way(9.0)) == [(8.8,), (8.9,)], "by tenths below ten grams"


def test_without_a_plan_in_the_time_more_is_asked_for(swappers: list[Swapper], monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a minute, or as long as the wishes allow if that is more, until it is proven to a hundredth."""
    asked: list[Search] = []

    def late(programme: object, search: Search) -> None:
        asked.append(search)
        raise TimeIsUp("over")

    monkeypatch.setattr("adapter.swaps.bakes.LoafProgramme.solve", late)
    for allowed, seconds in ((5.0, None), (60.0, None), (60.0, 7.0)):
        with pytest.raises(InputProblem, match="no plan was found in the time") as caught:
            plan_bakes(swappers[:1], [1], Wishes(Pantry("empty"), seconds=allowed), seconds=seconds)
        assert caught.value.right == "more seconds"
    assert [(search.gap, search.seconds) for search in asked] == [(0.01, 30.0), (0.01, 60.0), (0.01, 7.0)]


def test_what_is_bought_is_what_a_scale_shows(kitchen: Kitchen) -> None:
    """What all the final formulas take beyond the stock, by name; half a tenth of a gram is nothing."""
    formulas = [
        Formula("one", (Line("water", 900.0), Line("salt", 10.0), Line("honey", 0.05), Line("caraway", 0.06))),
        Formula("two", (Line("salt", 4.0), Line("kefir", 100.0))),
    ]
    ways = [SimpleNamespace(after=SimpleNamespace(formula=each, kitchen=kitchen)) for each in formulas]
    store = Pantry("store", (Stock("kefir", 200.0), Stock("salt", 5.0)))
    bought = _to_buy(ways, [1, 3], store)  # type: ignore[arg-type]
    assert [(each.ingredient, each.grams) for each in bought] == [
        ("caraway", pytest.approx(0.06)), ("kefir", pytest.approx(100.0)), ("salt", pytest.approx(17.0)),
    ]  # fmt: skip


def test_how_much_of_a_line_a_swap_takes_before_it_is_bought(
    kitchen: Kitchen, rules: Sequence[Rule], solver: Solver, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As much as drifts by twelve noticed changes; where that is less than a tenth there is no such swap; what is ruled
    out goes whole however far that takes the loaf [A].
    """
    swapper = Swapper(kitchen, rules, Formula("plain", PLAIN), solver)
    rule = next(rule for rule in rules if rule.id == "acid-liquid-for-acid-liquid")
    swap = Candidate(rule, (1,), ("kefir",), (300.0,), 2.0, "buttermilk@dough > kefir")
    for drift, most in ((0.0, 1.0), (6.0, 1.0), (12.0, 1.0), (16.0, 0.75), (119.9, 12.0 / 119.9), (120.1, None)):
        monkeypatch.setattr("adapter.swaps.bakes._own_drift", lambda *asked, drift=drift: drift)
        sane = _sane([swap], swapper, Wishes())
        assert [each.most for each in sane] == ([] if most is None else [pytest.approx(most)]), drift
        assert _sane([swap], swapper, Wishes(ruled_out={"buttermilk": "said"})) == [swap]


def test_a_swap_drifts_by_what_it_brings_less_what_it_takes(
    kitchen: Kitchen, rules: Sequence[Rule], solver: Solver
) -> None:
    """But for water and salt, which are put right: the same thing for itself drifts by nothing, half of it by half."""
    swapper = Swapper(kitchen, rules, Formula("plain", PLAIN), solver)
    rule, out = rules[0], [PLAIN[1]]

    def drift(*chosen: str, grams: float) -> float:
        return _own_drift(Candidate(rule, (1,), chosen, (grams,), 1.0, ""), out, swapper)

    assert drift("buttermilk", grams=300.0) == pytest.approx(0.0, abs=1e-9)
    nothing = drift("buttermilk", grams=0.0)
    assert drift("buttermilk", grams=150.0) == pytest.approx(0.5 * nothing)
    assert drift("buttermilk", grams=600.0) == pytest.approx(nothing)
    counted = [
        key for key in swapper.balancer.soft if key not in ("hydration", "effective_hydration", "salt", "label_salt")
    ]
    effects = swapper.balancer.effects(PLAIN[1])
    tolerances = kitchen.tolerances
    by_hand = sum(300.0 * abs(effects[key]) * tolerances[key].weight / tolerances[key].value for key in counted)
    assert nothing == pytest.approx(by_hand) and by_hand > 1.0


def test_what_spoils_soon_costs_a_little_less(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver) -> None:
    """A tenth for each percent of the flour that is used, at most half of what the swap costs [A]."""
    swapper = Swapper(kitchen, rules, Formula("plain", PLAIN), solver)
    swap = Candidate(rules[0], (1,), ("kefir", "water"), (50.0, 100.0), 3.0, "")
    for soon, grams, cost in (
        ((), 50.0, 3.0),
        (("kefir",), 50.0, 2.0),
        (("kefir",), 90.0, 1.5),
        (("water",), 50.0, 1.5),
    ):
        asked = replace(swap, typical=(grams, 100.0))
        assert [each.cost for each in _favoured([asked], frozenset(soon), swapper)] == [pytest.approx(cost)], (
            soon,
            grams,
        )
