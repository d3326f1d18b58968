"""What a baker asks for: a share, typed weights, ingredients that make no sense together."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.dough.readings.measured import measure
from adapter.formula.catalogue import load_catalogue
from adapter.formula.model import Formula, Line
from adapter.formula.problems import InputProblem
from adapter.swaps.offer import Offer
from adapter.swaps.swapper import Swapper

Swapping = Callable[..., Offer]
MakeSwapper = Callable[[Formula], Swapper]


def grams_by_name(formula: Formula) -> dict[str, float]:
    found: dict[str, float] = {}
    for line in formula.lines:
        found[line.ingredient] = found.get(line.ingredient, 0.0) + line.grams
    return found


# --- share and typed amounts ----------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.1, 5, 20, 37.5, 50, 99, 100])
def test_share_takes_its_part_and_leaves_the_rest(share: float, dark_loaf: Formula, swap: Swapping) -> None:
    offer = swap(dark_loaf, "honey", "malt syrup", share_percent=share)
    left = grams_by_name(offer.exact).get("honey", 0.0)
    assert left == pytest.approx(60 * (1 - share / 100), abs=1e-9)
    full = swap(dark_loaf, "honey", "malt syrup")
    assert grams_by_name(offer.exact)["malt syrup"] == pytest.approx(
        share / 100 * grams_by_name(full.exact)["malt syrup"], rel=1e-6
    )


def test_share_of_all_takes_the_line_away(dark_loaf: Formula, swap: Swapping) -> None:
    assert "honey" not in grams_by_name(swap(dark_loaf, "honey", "malt syrup").after.formula)


@pytest.mark.parametrize("share", [0, -1, 100.1, math.nan, math.inf])
def test_impossible_share(share: float, dark_loaf: Formula, swap: Swapping) -> None:
    with pytest.raises(InputProblem, match="share"):
        swap(dark_loaf, "honey", "malt syrup", share_percent=share)


def test_typed_grams_come_in_and_the_rest_is_balanced(dark_loaf: Formula, swap: Swapping) -> None:
    free = swap(dark_loaf, "buttermilk", "yoghurt")
    typed = swap(dark_loaf, "buttermilk", "yoghurt", typed={"yoghurt": 300.0})
    assert grams_by_name(typed.after.formula)["yoghurt"] == 300.0
    more = grams_by_name(typed.exact)["water"] - grams_by_name(free.exact)["water"]
    assert more > 60
    assert {item.key for item in typed.unmet} == {"tta"}


@pytest.mark.parametrize(
    "typed",
    [
        {"milk": -5.0},
        {"milk": math.nan},
        {"milk": math.inf},
        {"milk": 1e10},
        {"milk": 100.0, "cider vinegar": 200.0},
    ],
)
def test_impossible_typed_grams_are_one_line(typed: dict[str, float], dark_loaf: Formula, swap: Swapping) -> None:
    with pytest.raises(InputProblem):
        swap(dark_loaf, "buttermilk", ["milk", "cider vinegar"], typed=typed)


# --- odd requests ---------------------------------------------------------------------------------


def test_an_ingredient_may_go_out_and_part_of_it_come_back(dark_loaf: Formula, swap: Swapping) -> None:
    """White flour out, white flour and bran in: the bran must come in, or it is refused in one line."""
    try:
        offer = swap(dark_loaf, "white wheat flour", ["white wheat flour", "wheat germ"])
    except InputProblem:
        return
    assert {amount.ingredient for amount in offer.into} >= {"wheat germ"}


@pytest.mark.parametrize(
    ("out", "into"),
    [
        ([], ["milk"]),
        (["buttermilk", "buttermilk"], ["milk"]),
        (["buttermilk"], ["milk", "milk"]),
    ],
    ids=["nothing out", "one line twice", "one ingredient twice"],
)
def test_nothing_going_out_or_the_same_twice_is_refused(
    out: list[str], into: list[str], dark_loaf: Formula, swap: Swapping
) -> None:
    with pytest.raises(InputProblem):
        swap(dark_loaf, out, into)


def test_swapping_makes_new_formulas_only(dark_loaf: Formula, swapper: MakeSwapper) -> None:
    """Nothing is changed until an offer is taken."""
    lines = dark_loaf.lines
    copies = tuple(Line(line.ingredient, line.grams) for line in lines)
    for place in range(len(lines)):
        swapper(dark_loaf).offers(place)
    assert dark_loaf.lines is lines and dark_loaf.lines == copies


# BUG: without a rule the cheapest answer is often to bring in nothing (white flour for sunflower seeds: 180 g out, none
# in), and neither `unmet` nor an error tells that the swap that was asked for is not made.
@pytest.mark.parametrize(
    ("out", "into"),
    [("white wheat flour", "sunflower seeds"), ("honey", "walnuts"), ("wheat bran", "raisins"), ("honey", "butter")],
)
def test_a_swap_without_a_rule_brings_in_what_was_asked_for(
    out: str, into: str, dark_loaf: Formula, swap: Swapping
) -> None:
    try:
        offer = swap(dark_loaf, out, into)
    except InputProblem:
        return
    assert [amount.ingredient for amount in offer.into] == [into] or offer.unmet


def test_of_several_things_that_get_nothing_the_first_is_named(
    dark_loaf: Formula, swapper: MakeSwapper, swap: Swapping, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With what to do about it: to type its grams, or to leave it out; fewer holds, where there are any."""
    loaf, offer = swapper(dark_loaf), swap(dark_loaf, "honey", "malt syrup")
    for left_out in (("rice", "malt syrup"), ("malt syrup", "rice")):
        monkeypatch.setattr(loaf, "solve", lambda request, names=left_out: replace(offer, left_out=names))
        for holds, fewer in (((), ""), (("ph",), "fewer holds, or ")):
            with pytest.raises(InputProblem, match=f"no {left_out[0]} would come in") as caught:
                loaf.free_swap(offer.request.out, ["malt syrup"], holds=holds)
            name = left_out[0]
            assert caught.value.right == f"{fewer}--grams {name}=GRAMS, or leave {name} out of the request"


# --- any request ----------------------------------------------------------------------------------

CATALOGUE = load_catalogue()
NAMES = sorted(CATALOGUE.ingredients)
HOLDS = ("ph", "tta", "sugar", "salt", "effective_hydration", "yeast", "rise_time", "line:water", "line:salt", "fat")


@st.composite
def formulas(draw: st.DrawFn) -> Formula:
    """Flour, water and anything else, in stages, some things in two lines, weights as people write them."""
    names = ["wholemeal rye flour", "water", *draw(st.lists(st.sampled_from(NAMES), min_size=2, max_size=7))]
    names += draw(st.lists(st.sampled_from(("water", "salt", "fresh yeast", "white wheat flour")), max_size=4))
    lines = []
    for name in names:
        grams = draw(st.integers(1, 600)) / draw(st.sampled_from((1, 1, 10, 7)))
        stage = draw(st.sampled_from(("dough", "dough", "soaker", "sourdough, 14 h")))
        wet = draw(st.sampled_from((None, 60.0, 150.0))) if CATALOGUE.get(name).preferment else None
        lines.append(Line(name, grams, stage, hydration=wet))
    return Formula("any", tuple(lines))


@given(
    formulas(),
    st.integers(0, 99),
    st.lists(st.sampled_from(NAMES), min_size=1, max_size=3),
    st.sampled_from((None, 5, 50, 100)),
    st.lists(st.sampled_from(HOLDS), max_size=3, unique=True),
)
def test_any_request_is_answered_soundly(
    swapper: MakeSwapper, formula: Formula, place: int, into: list[str], share: float | None, holds: list[str]
) -> None:
    """One line where it cannot be; else the books balance, nothing is below zero and holds are met or reported."""
    place %= len(formula.lines)
    try:
        offer = swapper(formula).free_swap([place], into, share_percent=share, holds=tuple(holds))
    except InputProblem as problem:
        assert "\n" not in str(problem)
        return
    assert all(
        line.grams >= 0 and math.isfinite(line.grams) for line in (*offer.exact.lines, *offer.after.formula.lines)
    )
    books = grams_by_name(formula)
    for sign, amounts in ((-1, offer.out), (1, offer.into), (1, offer.moved)):
        for amount in amounts:
            books[amount.ingredient] = books.get(amount.ingredient, 0.0) + sign * amount.grams
    after = grams_by_name(offer.after.formula)
    for name in books.keys() | after.keys():
        assert books.get(name, 0.0) == pytest.approx(after.get(name, 0.0), abs=1e-4)
    for hold in holds:
        if hold.startswith("line:"):
            assert after.get(hold[5:]) == (grams_by_name(formula).get(hold[5:])) or hold[5:] in into
    exact = measure(offer.before.kitchen, offer.exact, offer.before)
    reported = {item.key: item.by for item in offer.unmet}
    for key in {*holds, *(offer.rule.keep if offer.rule else ())} - {"yeast", "rise_time", "weight", "dry_weight"}:
        if key in ("ph", "tta"):  # they hang on what the proof makes, which is read after rounding
            change = offer.after.value(key) - offer.before.value(key)
            parts = 0.15 if key in holds else 0.5
            most = parts * offer.before.kitchen.tolerances[key].value
            assert change == pytest.approx(reported.get(key, 0.0), abs=most)
        elif not key.startswith("line:"):
            change = exact.value(key) - offer.before.value(key)
            assert change == pytest.approx(reported.get(key, 0.0), rel=1e-5, abs=1e-6 * (1 + abs(exact.value(key))))


def test_nothing_of_it_may_be_typed(dark_loaf: Formula, swap: Swapping) -> None:
    """0 g is what was asked for, not what the balance left out; a speck is too little to be weighed."""
    offer = swap(dark_loaf, "buttermilk", ["milk", "cider vinegar"], typed={"cider vinegar": 0.0})
    assert offer.left_out == () and [amount.ingredient for amount in offer.into] == ["milk"]
    with pytest.raises(InputProblem, match="no cider vinegar would come in"):
        swap(dark_loaf, "buttermilk", ["milk", "cider vinegar"], typed={"cider vinegar": 0.04})
