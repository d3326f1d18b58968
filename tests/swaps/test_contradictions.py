"""Wishes that contradict each other are named, and only those; an aim for softness is met by water alone."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from adapter.formula.model import Formula, Line
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps.adapt import Answer, adapt
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes, read_aim

LINES = {
    "wholemeal rye flour": 500.0, "white wheat flour": 200.0, "buttermilk": 400.0, "water": 150.0, "honey": 50.0,
    "salt": 13.0, "fresh yeast": 9.0,
}  # fmt: skip


@pytest.fixture(scope="module")
def answer(swapper: Callable[[Formula], Swapper]) -> Callable[..., Answer]:
    """answer("salt=1.6", without="buttermilk", …): what is found for a loaf soured with buttermilk."""
    loaf = swapper(Formula("trial", tuple(Line(name, grams) for name, grams in LINES.items())))

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
    change = way.after.values["effective_hydration"] - way.before.values["effective_hydration"]
    assert (way.missed, way.swaps) == ((), ()) and change == pytest.approx(3.0, abs=0.06)
    assert [amount.ingredient for amount in way.moved] == ["water"]
