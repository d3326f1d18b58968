"""Yeast after a swap: the same rise time, the same percent when it is held, and nothing where nothing changed."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula, Line, Proof
from adapter.swaps.offer import Offer
from adapter.swaps.swapper import _unmet_by_yeast
from adapter.swaps.yeast import keep_rise_time, keep_yeast_percent, yeast_grams, yeast_lines

Loaf = Callable[..., Formula]
Read = Callable[..., Measured]
Swapping = Callable[..., Offer]


def with_yeast(formula: Formula, grams: float) -> Formula:
    return formula.with_lines(
        line if "yeast" not in line.ingredient else line.with_grams(grams) for line in formula.lines
    )


SWAPS = [
    ("buttermilk", ["milk", "cider vinegar"]),
    ("buttermilk", ["beer"]),
    ("honey", ["white sugar"]),
    ("white wheat flour", ["wholemeal wheat flour"]),
    ("wholemeal rye flour", ["light rye flour"]),
]


@pytest.mark.parametrize(("out", "into"), SWAPS)
def test_rise_time_is_kept_as_nearly_as_the_scale_allows(
    out: str, into: list[str], dark_loaf: Formula, swap: Swapping, read: Read
) -> None:
    """Half a step of the scale less yeast would be too slow, half a step more too fast."""
    offer = swap(dark_loaf, out, into)
    wanted = offer.before.value("rise_time")
    grams = yeast_grams(offer.after)
    step = 0.05 if grams < 9.95 else 0.5
    slower, faster = (read(with_yeast(offer.after.formula, grams + sign * 1.02 * step)) for sign in (-1, 1))
    assert faster.value("rise_time") <= wanted <= slower.value("rise_time")


@pytest.mark.parametrize(("out", "into"), SWAPS)
def test_yeast_of_a_list_is_the_refined_one(out: str, into: list[str], dark_loaf: Formula, swap: Swapping) -> None:
    """The closed form that a list takes comes to the same scale step as the proof followed to the end."""
    offer = swap(dark_loaf, out, into)
    refined = keep_rise_time(offer.before, offer.after, refined=True)
    assert abs(yeast_grams(offer.after) - yeast_grams(refined)) <= (0.11 if yeast_grams(refined) < 9.95 else 1.1)


def test_nothing_changed_keeps_the_written_yeast(loaf: Loaf, swap: Swapping, read: Read) -> None:
    """An odd weight stays to the last digit where the dough stays, and the formula itself is handed back."""
    dough = loaf({"white wheat flour": 500, "water": 320, "salt": 9, "fresh yeast": 7.777, "caraway": 4})
    offer = swap(dough, "caraway", "fennel seed", holds=("line:water", "line:salt"))
    assert yeast_grams(offer.after) == 7.777
    same = read(dough)
    assert keep_rise_time(same, same) is same
    assert keep_yeast_percent(same, same) is same
    again = read(dough)
    assert keep_rise_time(same, again) is again


def test_held_yeast_keeps_its_percent(dark_loaf: Formula, swap: Swapping) -> None:
    offer = swap(dark_loaf, "buttermilk", "beer", holds=("yeast",))
    assert yeast_grams(offer.after) == yeast_grams(offer.before)
    assert offer.after.value("rise_time") != offer.before.value("rise_time")


def test_held_yeast_follows_the_flour(loaf: Loaf, swap: Swapping) -> None:
    """Half the flour gone with a typed weight: half the yeast, on the scale."""
    dough = loaf({"white wheat flour": 500, "wholemeal rye flour": 500, "water": 650, "salt": 18, "fresh yeast": 30})
    offer = swap(dough, "wholemeal rye flour", "sunflower seeds", holds=("yeast",), typed={"sunflower seeds": 100.0})
    assert yeast_grams(offer.after) == 15.0


def test_held_yeast_line_does_not_move(dark_loaf: Formula, swap: Swapping) -> None:
    offer = swap(dark_loaf, "buttermilk", "beer", holds=("line:fresh yeast",))
    assert yeast_grams(offer.after) == 10.0


def test_a_pace_that_cannot_be_held_beside_the_yeast_is_reported(dark_loaf: Formula, swap: Swapping) -> None:
    offer = swap(dark_loaf, "buttermilk", "beer", holds=("yeast", "rise_time", "pace"))
    sizes = {item.key: item.by for item in offer.unmet if item.held}
    for key in ("rise_time", "pace"):
        change = offer.after.value(key) - offer.before.value(key)
        assert abs(change) > 0.01
        assert sizes[key] == pytest.approx(change, rel=1e-9)


@pytest.mark.parametrize("case", ["yeast line held", "no yeast, sourdough only", "sourdough quicker than the book"])
def test_a_rise_time_that_cannot_be_held_is_reported(case: str, loaf: Loaf, swap: Swapping) -> None:
    flours = {"wholemeal rye flour": 400, "white wheat flour": 100, "water": 300, "buttermilk": 100, "salt": 9}
    if case == "yeast line held":
        offer = swap(loaf({**flours, "fresh yeast": 8}), "buttermilk", "beer", holds=("rise_time", "line:fresh yeast"))
    elif case == "no yeast, sourdough only":
        offer = swap(loaf({**flours, "rye sourdough": 150}), "buttermilk", "beer", holds=("rise_time",))
    else:
        dough = loaf({**flours, "fresh yeast": 0.3}, proof=Proof(28, 30))
        typed = {"rye sourdough": 400.0}
        offer = swap(dough, "wholemeal rye flour", "rye sourdough", holds=("rise_time",), typed=typed)
        assert yeast_grams(offer.after) == 0
    change = offer.after.value("rise_time") - offer.before.value("rise_time")
    assert abs(change) > 0.05
    sizes = {item.key: item.by for item in offer.unmet if item.held}
    assert sizes.get("rise_time") == pytest.approx(change, rel=1e-9)


def test_sourdough_takes_the_place_of_yeast_and_no_further(loaf: Loaf, swap: Swapping) -> None:
    """Its own yeast counts: less is added, never less than none."""
    dough = loaf({"wholemeal rye flour": 500, "water": 400, "salt": 9, "fresh yeast": 6})
    some = swap(dough, "wholemeal rye flour", "rye sourdough", share_percent=20)
    assert 0 < yeast_grams(some.after) < 6
    little = loaf({"wholemeal rye flour": 500, "water": 400, "salt": 9, "fresh yeast": 0.5})
    much = swap(little, "wholemeal rye flour", "rye sourdough", share_percent=40)
    assert yeast_grams(much.after) == 0
    assert much.after.value("rise_time") < much.before.value("rise_time")


def test_no_yeast_stays_no_yeast(loaf: Loaf, swap: Swapping) -> None:
    dough = loaf({"wholemeal rye flour": 500, "water": 200, "buttermilk": 200, "salt": 9, "rye sourdough": 200})
    offer = swap(dough, "buttermilk", "beer")
    assert yeast_grams(offer.after) == 0
    assert math.isfinite(offer.after.value("rise_time"))


def test_a_dough_almost_dry_is_left_with_yeast_that_works(loaf: Loaf, swap: Swapping) -> None:
    """The yeast brings most of its water: scaled down for the time asked for it would have none to work in."""
    dry = {"wholemeal rye flour": 300, "white wheat flour": 300, "water": 30, "salt": 1, "fresh yeast": 9}
    offer = swap(loaf(dry | {"linseed": 120}), "linseed", "pine nuts")
    assert math.isfinite(offer.after.value("rise_time")) and offer.after.rise.is_alive


def test_yeasts_of_two_kinds_are_scaled_together(loaf: Loaf, swap: Swapping, kitchen: Kitchen) -> None:
    dough = loaf(
        {"white wheat flour": 2000, "buttermilk": 900, "water": 300, "salt": 36, "fresh yeast": 40, "instant yeast": 14}
    )
    assert len(yeast_lines(dough, kitchen.catalogue)) == 2
    after = {line.ingredient: line.grams for line in swap(dough, "buttermilk", "milk").after.formula.lines}
    assert after["fresh yeast"] != 40
    assert after["fresh yeast"] / after["instant yeast"] == pytest.approx(40 / 14, rel=0.06)


@pytest.mark.parametrize("dry", ["instant yeast", "active dry yeast"])
@pytest.mark.parametrize("grams", [3.3, 8.0, 20.0, 42.0])
def test_fresh_dry_fresh_comes_back(dry: str, grams: float, loaf: Loaf, swap: Swapping) -> None:
    """Within the rounding: a step of the fresh, and what half a step of the dry stands for."""
    dough = loaf({"white wheat flour": 1000, "water": 620, "salt": 18, "fresh yeast": grams})
    there = swap(dough, "fresh yeast", dry)
    back = swap(there.after.formula, dry, "fresh yeast").after.formula
    after = {line.ingredient: line.grams for line in back.lines}
    coarse = 0.5 if yeast_grams(there.after) >= 9.95 else 0.05
    assert after["fresh yeast"] == pytest.approx(grams, abs=coarse / 0.36 + (0.5 if grams >= 9.95 else 0.05))
    assert after["water"] == pytest.approx(620, abs=2)


def test_yeast_does_not_round_away(loaf: Loaf, swap: Swapping) -> None:
    """0.1 g fresh yeast is 0.04 g instant, which a scale shows as nothing: the dough would never rise."""
    dough = loaf({"white wheat flour": 150, "water": 100, "salt": 3, "fresh yeast": 0.1}, proof=Proof(26, 40))
    offer = swap(dough, "fresh yeast", "instant yeast")
    assert math.isfinite(offer.before.value("rise_time"))
    assert yeast_grams(offer.after) > 0 or offer.unmet


def test_yeast_is_found_by_its_figure_not_its_name(kitchen: Kitchen) -> None:
    formula = Formula("x", (Line("white wheat flour", 100), Line("instant yeast", 1), Line("rye sourdough", 20)))
    assert yeast_lines(formula, kitchen.catalogue) == [1]


def test_yeast_goes_down_to_nothing_where_the_sourdough_is_enough(read: Read) -> None:
    """Followed hour by hour or as a list takes it: no yeast is left, and none is asked of a dough without it."""
    lines = {"white wheat flour": 500, "water": 300, "salt": 9, "rye sourdough": 50, "fresh yeast": 1.0}
    proof = Proof(26.0, 40.0)
    before, after = read(lines, proof=proof), read({**lines, "rye sourdough": 400}, proof=proof)
    assert after.value("rise_time") < before.value("rise_time")
    for refined in (False, True):
        found = keep_rise_time(before, after, refined)
        assert yeast_grams(found) == 0.0
        assert keep_rise_time(before, found, refined) is found


@pytest.mark.parametrize(("part", "misses"), [(0.93, False), (0.945, True), (-0.93, False), (-0.945, True)])
def test_a_held_time_that_half_a_step_of_the_scale_misses_is_held(part: float, misses: bool, read: Read) -> None:
    """8 g of yeast are weighed to 0.1 g: 0.625 % of it by rounding, half as much again for what the gas makes of it."""
    lines = {"white wheat flour": 500, "water": 300, "salt": 9, "fresh yeast": 8.0}
    before, after = read(lines), read(lines)
    hours = before.value("rise_time")
    after._values["rise_time"] = hours * (1.0 + part / 100.0)
    found = _unmet_by_yeast(before, after, ("rise_time", "ph"), True)
    assert [(unmet.key, unmet.held) for unmet in found] == ([("rise_time", True)] if misses else [])
    assert all(unmet.by == pytest.approx(hours * part / 100.0) for unmet in found)
    assert [unmet.key for unmet in _unmet_by_yeast(before, after, ("rise_time",), False)] == ["rise_time"]
    assert _unmet_by_yeast(before, after, ("pace", "yeast"), False) == []


def test_yeast_that_comes_in_for_a_sourdough_keeps_its_hours(read: Read) -> None:
    """A dough that rose by its sourdough alone shows nothing of bakers' yeast: the new dough's gas tells the dose."""
    lines = {"white wheat flour": 500, "water": 300, "salt": 9, "rye sourdough": 250}
    proof = Proof(26.0, 40.0)
    before = read(lines, proof=proof)
    after = read({**lines, "rye sourdough": 60, "fresh yeast": 2.0}, proof=proof)
    found = keep_rise_time(before, after)
    assert found.value("rise_time") == pytest.approx(before.value("rise_time"), rel=0.06)
    assert yeast_grams(found) == pytest.approx(yeast_grams(keep_rise_time(before, after, True)), abs=0.31)


def test_a_dough_that_is_up_before_its_yeast_is_awake_keeps_its_yeast(read: Read) -> None:
    """A rise of 2 % within minutes: no dose of yeast is sought for so short a time."""
    lines = {"white wheat flour": 500, "water": 320, "salt": 9, "fresh yeast": 60}
    proof = Proof(30.0, 2.0)
    before, after = read(lines, proof=proof), read({**lines, "salt": 12}, proof=proof)
    assert before.value("rise_time") < 0.25
    for refined in (False, True):
        assert keep_rise_time(before, after, refined) is after
