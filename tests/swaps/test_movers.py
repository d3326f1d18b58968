"""Which lines may move beside the swaps, how far and at which price: assumptions of this project, once more by hand."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import pytest

from adapter.formula.model import Formula, Line
from adapter.swaps.aim_rows import aim_rows
from adapter.swaps.movers import NEW_WATER, Moving, moving_lines
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Aim, Wishes

LINES = (
    Line("wholemeal rye flour", 100.0, "soaker"), Line("water", 300.0, "soaker"), Line("salt", 2.0, "soaker"),
    Line("wholemeal rye flour", 300.0), Line("white wheat flour", 200.0), Line("water", 50.0), Line("water", 200.0),
    Line("salt", 10.0), Line("honey", 40.0), Line("caraway", 2.0), Line("fresh yeast", 8.0), Line("honey", 0.0),
)  # fmt: skip
FLOUR, SOAKED_WATER, RYE, WHITE, LITTLE_WATER, WATER, SALT, HONEY = 600.0, 1, 3, 4, 5, 6, 7, 8
FREE, ELSEWHERE = 1e-6, 2e-3


@pytest.fixture(scope="module")
def loaf(swapper: Callable[[Formula], Swapper]) -> Swapper:
    return swapper(Formula("soaked", LINES))


def movers(
    loaf: Swapper, wishes: Wishes | None = None, short: Sequence[str] = (), left_out: bool = False
) -> dict[int, Moving]:
    wishes = wishes or Wishes()
    rows = [row for aim in wishes.aims for row in aim_rows(loaf, aim, None)]
    found = list(moving_lines(loaf, wishes, rows, frozenset(short), left_out))
    assert len({moving.place for moving in found}) == len(found)
    return {moving.place: moving for moving in found}


def free(place: int, cost: float = FREE) -> Moving:
    grams = 0.0 if place == NEW_WATER else LINES[place].grams
    return Moving(place, -grams, 10.0 * FLOUR, cost)


def playing(place: int, grows: bool = True) -> Moving:
    grams = LINES[place].grams
    return Moving(place, -0.5 * grams, 0.5 * grams if grows else 0.0, 1.0 / grams)


def test_water_and_salt_of_the_dough_move_freely(loaf: Swapper, swapper: Callable[[Formula], Swapper]) -> None:
    """The largest line of each in the stage with most flour; where that has no water, water of its own."""
    assert movers(loaf) == {WATER: free(WATER), SALT: free(SALT)}
    assert movers(loaf, Wishes(holds=("line:water",))) == {SALT: free(SALT)}
    assert movers(loaf, Wishes(ruled_out={"salt": "said", "honey": "said"})) == {WATER: free(WATER)}
    assert movers(loaf, Wishes(ruled_out={"water": "said"})) == {SALT: free(SALT)}
    soaked = swapper(Formula("all water in the soaker", (*LINES[:5], *LINES[8:])))
    assert movers(soaked) == {
        SOAKED_WATER: free(SOAKED_WATER, ELSEWHERE), 2: free(2), NEW_WATER: free(NEW_WATER),
    }  # fmt: skip
    alike = swapper(
        Formula("as much flour in both", (LINES[0], LINES[1], Line("bread flour", 100.0), Line("water", 9.0)))
    )
    assert movers(alike) == {3: Moving(3, -9.0, 10.0 * 200.0, FREE)}, "of two alike the later"


def test_flour_makes_up_for_what_is_left_out(loaf: Swapper) -> None:
    """By a quarter of itself, and no flour of which there is too little."""
    found = movers(loaf, left_out=True, short=("white wheat flour",))
    assert found == {
        0: Moving(0, 0.0, 25.0, FREE), RYE: Moving(RYE, 0.0, 75.0, FREE), WATER: free(WATER), SALT: free(SALT),
    }  # fmt: skip


def test_for_an_aim_lines_that_serve_it_give_way_or_grow_by_half(loaf: Swapper) -> None:
    """Flour and all water; of others those that bring a quarter of what is lacking. Yeast does not."""
    flour_and_water = {place: playing(place) for place in (0, SOAKED_WATER, RYE, WHITE, LITTLE_WATER)}
    freely = {WATER: free(WATER), SALT: free(SALT)}
    sugar = loaf.measured.value("sugar")
    _, row = aim_rows(loaf, Aim("sugar", 0.0, sugar - 0.5, "less sugar"), None)
    brought = 20.0 * abs(row.per_gram(LINES[HONEY]))
    for part, serves in ((0.26, True), (0.24, False)):
        aim = Aim("sugar", -math.inf, sugar - brought / part, "less sugar")
        found = movers(loaf, Wishes(aims=(aim,)), short=("white wheat flour", "honey"))
        wanted = {**flour_and_water, **freely, WHITE: playing(WHITE, False)}
        assert set(found) == set(wanted) | ({HONEY} if serves else set())
        assert all(found[place] == wanted[place] for place in wanted)
        assert found.get(HONEY, playing(HONEY, False)) == playing(HONEY, False)
    met = Aim("sugar", 0.0, sugar + 1.0, "not more sugar")
    assert set(movers(loaf, Wishes(aims=(met,)))) == {*flour_and_water, *freely, HONEY}, "it moves what is noticed"
    unnoticed = 0.9 * loaf.kitchen.tolerances["sugar"].value / (20.0 * abs(row.per_gram(LINES[HONEY])))
    less = [line.with_grams(unnoticed * line.grams) if line.ingredient == "honey" else line for line in LINES]
    assert HONEY not in movers(
        Swapper(loaf.kitchen, (), loaf.formula.with_lines(less), loaf.balancer.solver), Wishes(aims=(met,))
    )
    salt = Aim("salt", 1.0, 1.0, "less salt")
    assert HONEY not in movers(loaf, Wishes(aims=(salt,)))
    assert HONEY in movers(loaf, Wishes(aims=(salt,), holds=("sugar",))), "it takes a held reading along"
    assert HONEY not in movers(loaf, Wishes(aims=(salt,), holds=("sugar", "line:honey")))
