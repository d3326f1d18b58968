"""Which swaps can answer wishes: for lines that something calls on, from what may be used, few for an aim alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from types import SimpleNamespace

import pytest

from adapter.formula.model import Amount, Formula
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps.candidates import SERVES, SERVES_TOGETHER, _served_most, candidates, swap_name
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


def test_of_a_line_that_is_ruled_out_no_gram_is_too_few(
    dark_loaf: Formula, swapper: Callable[[Formula], Swapper]
) -> None:
    lines = [line.with_grams(0.4) if line.ingredient == "buttermilk" else line for line in dark_loaf.lines]
    trace = swapper(dark_loaf.with_lines(lines))
    assert candidates(trace, Wishes(ruled_out={"buttermilk": "it is milk"}), frozenset())


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


def test_six_swaps_of_a_line_are_taken_for_an_aim_and_fifteen_tried(dark: Swapper) -> None:
    """White flour for softness: the six nearest that bring a fifth of what is lacking; rye has four among fifteen."""
    aim = read_aim("hydration=+5", dark.measured, None)
    found = candidates(dark, Wishes(aims=(aim,)), frozenset(), 0.2)
    each = Counter(names(dark, candidate.places[0]) for candidate in found)
    assert (each["white wheat flour"], each["wholemeal rye flour"]) == (6, 4)
    sweet = read_aim("sweetness=-30%", dark.measured, None)
    fewer = Counter(names(dark, each.places[0]) for each in candidates(dark, Wishes(aims=(sweet,)), frozenset(), 0.2))
    assert fewer["molasses"] == 4, "the fourth that serves is the fifteenth that is tried"
    assert {candidate.part for candidate in found} == {0.2}
    for candidate in found:
        assert candidate.serves is not None
        out = [(dark.formula.lines[place], dark.formula.lines[place].grams) for place in candidate.places]
        into = [Amount(name, grams) for name, grams in zip(candidate.chosen, candidate.typical, strict=True)]
        assert candidate.serves.served(out, into) >= 0.2
    assert candidates(dark, Wishes(aims=(aim,)), frozenset(), 0.5) == [], "the loaf's own water does it"
    held = candidates(dark, Wishes(aims=(aim,), holds=("line:water",)), frozenset(), 0.5)
    assert held and {candidate.part for candidate in held} == {0.5}, "unless it is held"
    gone = Wishes(aims=(aim,), ruled_out={"water": "said"})
    assert any(candidate.serves for candidate in candidates(dark, gone, frozenset(), 0.5)), "or ruled out"


BROAD = {"liquid", "flour", "other flour", "fat", "dairy", "alcohol", "spice", "fruit", "vegetable", "improver"}


@pytest.mark.parametrize("store", [False, True], ids=["anything", "from a store"])
def test_what_each_swap_costs(dark: Swapper, store: bool) -> None:
    """Once more by hand, in drift: 1 for the swap, 0.5 for each further thing, 0.75 for what is only alike and 1.5 for
    strangers, 4 for a new group of allergens and 0.5 for a new member, 2 for a rarity, 1.5 for what few bakeries have,
    and a thousandth for each that the rules and tables name before it.
    """
    catalogue = dark.kitchen.catalogue
    pantry = Pantry("all", tuple(Stock(item.name) for item in catalogue)) if store else None
    here = {allergen for line in dark.formula.lines for allergen in catalogue.get(line.ingredient).allergens}
    ruled_out = dict.fromkeys(("buttermilk", "honey", "white wheat flour", "wheat bran", "salt"), "said")
    found = candidates(dark, Wishes(pantry, ruled_out=ruled_out), frozenset())
    assert len(found) > 100
    kinds: set[str] = set()
    for number, candidate in enumerate(found):
        going = [names(dark, place) for place in candidate.places]
        extra = {"further": 0.5 * (max(len(candidate.chosen), 1) - 1 + len(going) - 1)}
        for name in going:
            shared = [catalogue.get(name).kinds & catalogue.get(other).kinds for other in candidate.chosen]
            near = "same" if any(kind - BROAD for kind in shared) else "alike" if any(shared) else "strange"
            extra[near] = extra.get(near, 0.0) + {"same": 0.0, "alike": 0.75, "strange": 1.5}[near] / len(going)
        new = {allergen for name in candidate.chosen for allergen in catalogue.get(name).allergens} - here
        groups = {each.split(":")[0] for each in new} - {each.split(":")[0] for each in here}
        extra["group"], extra["member"] = 4.0 * len(groups), 0.5 * (len(new) - len(groups))
        extra["rare"] = 2.0 * bool(set(candidate.chosen) & candidate.rule.seldom)
        extra["unusual"] = 1.5 * (not store and any(not catalogue.get(name).everyday for name in candidate.chosen))
        extra["in turn"] = 0.001 * number
        assert candidate.cost == pytest.approx(1.0 + sum(extra.values())), candidate.name
        kinds |= {kind for kind, cost in extra.items() if cost}
    assert kinds >= {"further", "alike", "strange", "group", "member"} | (set() if store else {"unusual"}), kinds


def test_a_swap_is_called_by_its_lines_and_what_comes_in(dark: Swapper) -> None:
    place = {line.ingredient: number for number, line in enumerate(dark.formula.lines)}
    assert swap_name(dark.formula, (place["buttermilk"],), ("milk", "cider vinegar")) == (
        "buttermilk@dough > cider vinegar + milk"
    )
    both = (place["wheat bran"], place["white wheat flour"])
    assert swap_name(dark.formula, both, ()) == "white wheat flour@dough + wheat bran@dough > nothing"


def test_what_there_is_little_of_may_come_in_and_what_is_gone_may_not(dark: Swapper) -> None:
    ruled_out = Wishes(
        Pantry("rest", (Stock("maple syrup", 0.6), Stock("malt syrup", 0.0))), ruled_out={"honey": "said"}
    )
    assert {candidate.chosen for candidate in candidates(dark, ruled_out, frozenset())} == {("maple syrup",)}


def test_no_aim_calls_for_other_yeast(dark: Swapper, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever it would serve: how much of it there is hangs on the hours alone."""
    (place,) = dark.formula.find("fresh yeast")
    monkeypatch.setattr("adapter.swaps.candidates._served_most", lambda loaf, rows, *more: rows[0])
    monkeypatch.setattr("adapter.swaps.candidates._moves_an_aim", lambda *asked: True)
    found = candidates(dark, Wishes(aims=(read_aim("fibre=+2", dark.measured, None),)), frozenset())
    assert found and not any(place in each.places for each in found)
    called = candidates(dark, Wishes(ruled_out={"fresh yeast": "said"}), frozenset())
    assert any(place in each.places for each in called)


def test_how_much_of_an_aim_a_swap_serves(dark: Swapper) -> None:
    """Half of what is lacking by itself, a fifth together with others [A]; of several aims the one it serves most."""
    (place,) = dark.formula.find("buttermilk")

    def served(serving: float, *parts: float) -> int | None:
        rows = [SimpleNamespace(served=lambda out, into, part=part: part) for part in parts]
        best = _served_most(dark, rows, (place,), ("milk",), (300.0,), serving)  # type: ignore[arg-type]
        return None if best is None else rows.index(best)  # type: ignore[arg-type]

    assert [served(SERVES, part) for part in (0.49, 0.5)] == [None, 0]
    assert [served(SERVES_TOGETHER, part) for part in (0.19, 0.2)] == [None, 0]
    assert served(SERVES, 0.6, 0.9, 0.7) == 1 and served(SERVES, -0.9, 0.3) is None
