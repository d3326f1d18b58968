"""What is told of one answer: what moves beside its swaps, what gives for it, what it misses, why swaps are in it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import pytest

from adapter.dough.readings.measured import Measured
from adapter.formula.model import Amount, Formula, Line
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps.block import Chosen
from adapter.swaps.candidates import Candidate
from adapter.swaps.programme import PROVEN_GAP
from adapter.swaps.rules import Rule
from adapter.swaps.swapper import Swapper
from adapter.swaps.way import Missed, Way, missed_wishes, reasons_for, step_of, way_of
from adapter.swaps.wishes import Aim, Wishes

Read = Callable[..., Measured]

LINES = {
    "wholemeal rye flour": 600.0, "kefir": 400.0, "water": 50.0, "honey": 40.0, "salt": 12.0, "fresh yeast": 8.0,
}  # fmt: skip
KEFIR = 1


@pytest.fixture(scope="module")
def before(read: Read) -> Measured:
    return read(dict(LINES))


@pytest.fixture(scope="module")
def candidate(rules: Sequence[Rule]) -> Candidate:
    rule = next(rule for rule in rules if rule.id == "acid-liquid-for-acid-liquid")
    return Candidate(rule, (KEFIR,), ("yoghurt",), (300.0,), 1.0, "kefir@dough > yoghurt")


def way(before: Measured, after: Measured, *swaps: Chosen, **more: object) -> Way:
    return Way(before, after, swaps, (), step_of(before, after, ()), (), (), None, True, 0.0, **more)  # type: ignore[arg-type]


def test_what_moves_beside_the_swaps(before: Measured, read: Read, candidate: Candidate) -> None:
    """From half a tenth of a gram on; of what a swap moves itself from a gram on, as far as rounding goes."""
    swap = Chosen(candidate, 0.5, (Amount("yoghurt", 150.0),))
    for changes, moved in (
        ({}, {}),
        ({"water": 50.04, "honey": 39.97}, {}),
        ({"water": 50.06, "honey": 39.9}, {"water": 0.06, "honey": -0.1}),
        ({"water": 62.0}, {"water": 12.0}),
        ({"kefir": 200.9, "yoghurt": 149.1}, {}),
        ({"kefir": 201.0, "yoghurt": 139.0}, {"kefir": 1.0, "yoghurt": -11.0}),
        ({"salt": 0.0}, {"salt": -12.0}),
    ):
        after = read({**LINES, "kefir": 200.0, "yoghurt": 150.0, **changes})
        found = way(before, after, swap).moved
        assert {amount.ingredient: amount.grams for amount in found} == pytest.approx(moved), changes
        assert all(amount.grams == round(amount.grams, 6) for amount in found)


def test_what_gives_for_it(before: Measured, read: Read) -> None:
    """What changes by at least what a baker notices and was not aimed at, largest first, in its own unit."""
    after = read({**LINES, "salt": 20.0, "honey": 55.0})
    told = dict(way(before, after).traded)
    tolerances = before.kitchen.tolerances
    steps = {key: (after.value(key) - before.value(key)) / tolerances[key].value for key in told}
    assert {"salt", "sugar", "sweetness"} <= set(told) and "fibre" not in told
    assert list(told) == sorted(told, key=lambda key: -abs(steps[key])) or "flour_mass" in told or "dough_mass" in told
    assert told["salt"] == pytest.approx(after.value("salt") - before.value("salt"))
    assert "salt" not in dict(way(before, after, aimed=frozenset(["salt"])).traded)
    noticed = tolerances["fat"].value * 6.0
    for grams, is_told in ((0.98 * noticed, False), (1.02 * noticed, True)):
        fatter = read({**LINES, "sunflower oil": grams})
        assert ("fat" in dict(way(before, fatter).traded)) is is_told


def test_the_record_of_an_answer(before: Measured, read: Read) -> None:
    after = read({**LINES, "kefir": 0.0, "yoghurt": 300.0, "water": 140.0, "fresh yeast": 8.4})
    gone = Formula("after", tuple(line for line in after.formula.lines if line.grams))
    step = step_of(before, read(gone), ("ph", "line:honey"))
    assert (step.kind, step.out, step.into) == ("pantry", (Amount("kefir", 400.0),), (Amount("yoghurt", 300.0),))
    assert step.moved == (Amount("water", 90.0), Amount("fresh yeast", 0.4))
    assert (step.holds, step.yeast_before_g, step.yeast_after_g) == (("ph", "line:honey"), 8.0, 8.4)


def test_what_an_answer_misses(before: Measured, read: Read) -> None:
    """A hold by a tenth of what is noticed, masses in % of the book's; an aim in the digits it is shown in."""
    tolerances, mass = before.kitchen.tolerances, sum(LINES.values())
    water = 0.1 * tolerances["dough_mass"].value / 100.0 * mass
    wishes = Wishes(holds=("dough_mass", "fat", "line:honey"))
    for part, missed in ((0.95, []), (1.05, ["hold dough_mass"]), (-1.05, ["hold dough_mass"])):
        after = read({**LINES, "water": 50.0 + part * water})
        found = missed_wishes(before, after, wishes)
        assert [(each.wish, each.nearest) for each in found] == [(wish, after.value("dough_mass")) for wish in missed]
    oil = 0.1 * tolerances["fat"].value * 6.0
    for part, missed in ((0.95, []), (1.05, ["hold fat"])):
        assert [m.wish for m in missed_wishes(before, read({**LINES, "sunflower oil": part * oil}), wishes)] == missed
    salt = before.value("salt")
    for low, missed in ((salt + 0.004 - salt % 0.01, []), (salt + 0.02, ["salt=more"])):
        found = missed_wishes(before, before, Wishes(aims=(Aim("salt", low, 9.0, "salt=more"),)))
        assert [each.wish for each in found] == missed and all(each.nearest == salt for each in found)
    dear = Wishes(Pantry("no prices", ()), aims=(Aim("price", 0.0, 1.0, "price=..1"),))
    assert [(miss.wish, miss.nearest) for miss in missed_wishes(before, before, dear)] == [("price=..1", None)]


def test_why_a_swap_is_there(swapper: Callable[[Formula], Swapper], before: Measured, candidate: Candidate) -> None:
    loaf, swap = swapper(before.formula), Chosen(candidate, 1.0, (Amount("yoghurt", 300.0),))
    store = Pantry("store", (Stock("kefir", 150.4), Stock("yoghurt", 900.0)))
    assert reasons_for(loaf, Wishes(store), swap, {}) == ("kefir: 150 of 400 g in store",)
    assert reasons_for(loaf, Wishes(store), swap, {"kefir": 1200.0}) == ("kefir: 150 of 1200 g in store",)
    full = Pantry("full", (Stock("kefir", 400.0),))
    assert reasons_for(loaf, Wishes(full), swap, {}) == reasons_for(loaf, Wishes(), swap, {}) == ()
    words = {"kefir": frozenset(["milk"])}
    ruled_out = Wishes(store, ("egg", "milk"), ruled_out={"kefir": "it is milk"}, words_of=words)
    assert reasons_for(loaf, ruled_out, swap, {}) == ("without milk: kefir (it is milk)",)
    assert reasons_for(loaf, Wishes(store, ("egg", "milk"), ruled_out={"kefir": ""}), swap, {}) == (
        "without egg and milk: kefir",
    )
    sugar = before.value("sugar")
    fat = Wishes(aims=(Aim("tta", -math.inf, before.value("tta") - 1.0, "tta=-1"), Aim("sugar", 0.0, sugar, "same")))
    less = Chosen(candidate, 1.0, (Amount("yoghurt", 1.0),))
    assert reasons_for(loaf, fat, less, {}) == ("serves tta=-1",)
    assert reasons_for(loaf, fat, Chosen(candidate, 0.02, (Amount("yoghurt", 0.1),)), {}) == (), "by a tenth at least"


def test_an_answer_is_weighed_as_the_scale_shows_it(
    swapper: Callable[[Formula], Swapper], before: Measured, candidate: Candidate
) -> None:
    """What one swap alone brings in is what the formula says; what is in the loaf already, by the swap's own grams."""
    loaf = swapper(before.formula)
    lines = [line.with_grams(300.3) if line.ingredient == "kefir" else line for line in before.formula.lines]
    exact = before.formula.with_lines([*lines, Line("yoghurt", 76.46)])
    swap = Chosen(candidate, 0.25, (Amount("yoghurt", 76.46), Amount("water", 7.04), Amount("honey", 0.01)))
    store = Pantry(
        "store", tuple(Stock(name, 60.0 if name == "yoghurt" else None, 2.0) for name in (*LINES, "yoghurt"))
    )
    aims = (Aim("fibre", 0.0, 99.0, "fibre"),)
    found = way_of(loaf, Wishes(store, aims=aims, holds=("line:fresh yeast",)), exact, (swap,), 1e-7)
    assert [(amount.ingredient, amount.grams) for amount in found.swaps[0].into] == [("yoghurt", 60.0), ("water", 7.0)]
    assert (found.proven, found.gap, found.aimed, found.short) == (True, 1e-7, frozenset(["fibre"]), ())
    assert found.price == pytest.approx(2.0 * (sum(LINES.values()) - 50.0 - 100.0 + 60.0) / 1000.0)
    many = way_of(loaf, Wishes(store, holds=("line:fresh yeast",)), exact, (swap,), 1.01 * PROVEN_GAP, 2.0)
    assert not many.proven and many.after.formula.lines[-1] == Line("yoghurt", 30.0)


def test_only_a_price_may_be_unknown() -> None:
    unknown = {Missed(wish, nearest).is_unknown for wish, nearest in (("price=..3", None),)}
    known = {Missed(wish, nearest).is_unknown for wish, nearest in (("price=..3", 3.5), ("rise_time=4", None))}
    assert (unknown, known) == ({True}, {False})
