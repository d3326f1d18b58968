"""Wishes that contradict each other are named; what makes a further way another; softness is met by water alone."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from adapter.formula.model import Formula, Line
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps.adapt import NO_CHANGE, Answer, adapt
from adapter.swaps.conflict import smallest_conflict
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes, read_aim

LINES = {
    "wholemeal rye flour": 500.0, "white wheat flour": 200.0, "buttermilk": 400.0, "water": 150.0, "honey": 50.0,
    "salt": 13.0, "fresh yeast": 9.0,
}  # fmt: skip


def few(loaf: Swapper) -> Swapper:
    """The same loaf with so few rules that it is quickly asked."""
    kept = ("acid-liquid-for-acid-liquid", "bread-spice-for-bread-spice", "syrup-for-syrup")
    rules = [rule for rule in loaf.rules if rule.id in kept]
    return Swapper(loaf.kitchen, rules, loaf.formula, loaf.balancer.solver)


@pytest.fixture(scope="module")
def answer(swapper: Callable[[Formula], Swapper]) -> Callable[..., Answer]:
    """answer("salt=1.6", without="buttermilk", …): what is found for a loaf soured with buttermilk."""
    loaf = few(swapper(Formula("trial", tuple(Line(name, grams) for name, grams in LINES.items()))))

    def asked(*aims: str, without: str = "", **more: object) -> Answer:
        read = tuple(read_aim(aim, loaf.measured, None) for aim in aims)
        words = (without,) if without else ()
        ruled_out = dict.fromkeys(words, "said")
        return adapt(loaf, Wishes(without=words, ruled_out=ruled_out, aims=read, seconds=60.0, **more))  # type: ignore[arg-type]

    return asked


def test_contradictions_are_named_where_there_are_some(answer: Callable[..., Answer]) -> None:
    """Of four wishes that are all met none; where no way is left at all, those that leave none."""
    store = Pantry("store", tuple(Stock(name) for name in (*LINES, "kefir")))
    met = answer("salt=1.6", without="buttermilk", pantry=store, holds=("line:honey",))
    assert met.ways[0].missed == met.ways[0].short == met.conflict == ()
    none = answer(without="buttermilk", most_swaps=0)
    assert (none.ways, none.stuck) == ((), ())
    assert none.conflict == ("without buttermilk", "at most 0 swaps")


def test_softness_is_aimed_at_with_water(answer: Callable[..., Answer]) -> None:
    (way,) = answer("effective_hydration=+3").ways
    change = way.after.value("effective_hydration") - way.before.value("effective_hydration")
    assert (way.missed, way.swaps) == ((), ()) and change == pytest.approx(3.0, abs=0.06)
    assert [amount.ingredient for amount in way.moved] == ["water"]


@pytest.mark.parametrize(("grams", "ways"), [(12.0, 2), (11.9, 1)])
def test_a_further_way_differs_in_what_weighs(grams: float, ways: int, swapper: Callable[[Formula], Swapper]) -> None:
    """Of 600 g flour two per cent are 12 g: from there on another spice makes another way, below it does not. All that
    these rules put in for buttermilk is one sort of thing.
    """
    lines = {"wholemeal rye flour": 400.0, "white wheat flour": 200.0, "buttermilk": 300.0, "water": 150.0,
             "salt": 12.0, "fresh yeast": 8.0, "caraway": grams}  # fmt: skip
    loaf = few(swapper(Formula("spiced", tuple(Line(name, weight) for name, weight in lines.items()))))
    out = Wishes(without=("said",), ruled_out={"caraway": "said", "buttermilk": "said"}, ways=2, seconds=60.0)
    found = [{swap.candidate.name for swap in way.swaps} for way in adapt(loaf, out).ways]
    assert len(found) == ways
    assert {name.partition("@")[0] for name in found[0] ^ found[-1]} == ({"caraway"} if ways > 1 else set())


@pytest.mark.parametrize(
    ("together", "named"),
    [
        (["ab"], "ab"), (["ad", "bcd"], "ad"), (["abc"], "abc"), (["abd", "abcd"], "abd"), (["c"], "c"),
        (["abcd"], "abcd"), (["ad", "bcde"], "ad"), (["abe", "bcdf"], "abe"),
    ],
)  # fmt: skip
def test_the_smallest_set_that_cannot_be_met_is_named(together: list[str], named: str) -> None:
    """What cannot be is asked of every set by hand; struck one after another the wishes would leave a larger set."""
    words = tuple("abcdef")

    def can_be(some: Wishes) -> bool:
        assert some.ways == 1
        return not any(set(each) <= set(some.without) for each in together)

    wishes = Wishes(without=words, ruled_out=dict.fromkeys(words, "said"), ways=3)
    assert smallest_conflict(wishes, can_be, math.inf) == tuple(f"without {word}" for word in named)
    assert smallest_conflict(wishes, can_be, -math.inf) == (), "nothing is named when the time is up"


def test_why_there_are_no_more_ways(answer: Callable[..., Answer]) -> None:
    """Nothing has to change; or the time is up, though the first way is found in any case."""
    same = answer("salt=0..9", ways=2)
    assert len(same.ways) == 1 and same.fewer is not None and same.fewer.why == NO_CHANGE
    assert same.ways[0].after.formula.lines == same.ways[0].before.formula.lines
