"""Which swaps can answer wishes: for lines that something calls on, from what may be used, few for an aim alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import pytest

from adapter.formula.model import Formula
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps.candidates import candidates, swap_name
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes, read_aim

MOST_FOR_AIM = 6


@pytest.fixture(scope="module")
def dark(dark_loaf: Formula, swapper: Callable[[Formula], Swapper]) -> Swapper:
    return swapper(dark_loaf)


def names(dark: Swapper, place: int) -> str:
    return dark.formula.lines[place].ingredient


def test_without_a_wish_nothing_is_called_for(dark: Swapper) -> None:
    assert candidates(dark, Wishes(), frozenset()) == []


def test_a_line_that_is_short_is_swapped_for_what_is_there(dark: Swapper) -> None:
    store = Pantry("store", (Stock("yoghurt", 900.0), Stock("milk", 50.0), Stock("cider vinegar", 0.0)))
    found = candidates(dark, Wishes(store), frozenset({"buttermilk", "milk"}))
    assert found
    for candidate in found:
        assert "buttermilk" in {names(dark, place) for place in candidate.places}
        assert set(candidate.chosen) <= {"yoghurt", "water"}, "milk is short itself, of vinegar there is none"
        assert min(candidate.typical) >= 0.05
    refused = frozenset({found[0].name})
    left = candidates(dark, Wishes(store, refused=refused), frozenset({"buttermilk"}))
    assert found[0].name not in {candidate.name for candidate in left}


def test_what_is_ruled_out_neither_stays_nor_comes_in(dark: Swapper) -> None:
    found = candidates(dark, Wishes(ruled_out={"buttermilk": "it is milk", "yoghurt": "it is milk"}), frozenset())
    assert {names(dark, candidate.places[0]) for candidate in found} == {"buttermilk"}
    assert len(found) > MOST_FOR_AIM
    assert not any("yoghurt" in candidate.chosen for candidate in found)


def test_for_an_aim_alone_only_the_nearest_of_each_line_are_tried(dark: Swapper) -> None:
    aim = read_aim("sweetness=-30%", dark.measured, None)
    found = candidates(dark, Wishes(aims=(aim,)), frozenset())
    each = Counter(candidate.places for candidate in found)
    assert 1 < max(each.values()) <= MOST_FOR_AIM
    assert all(candidate.serves is not None for candidate in found)
    assert all(len(candidate.places) == 1 == len(candidate.chosen) for candidate in found)
    assert {"honey", "molasses"} <= {names(dark, place) for (place,) in each}
    assert "salt" not in {names(dark, place) for (place,) in each}, "it changes no sweetness"
    held = candidates(dark, Wishes(aims=(aim,), holds=("line:honey",)), frozenset())
    assert "honey" not in {names(dark, candidate.places[0]) for candidate in held}


def test_a_swap_is_called_by_its_lines_and_what_comes_in(dark: Swapper) -> None:
    place = {line.ingredient: number for number, line in enumerate(dark.formula.lines)}
    assert swap_name(dark.formula, (place["buttermilk"],), ("milk", "cider vinegar")) == (
        "buttermilk@dough > cider vinegar + milk"
    )
    both = (place["wheat bran"], place["white wheat flour"])
    assert swap_name(dark.formula, both, ()) == "white wheat flour@dough + wheat bran@dough > nothing"
