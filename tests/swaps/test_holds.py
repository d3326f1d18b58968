"""Holds of readings and lines: met to the last digit, or reported with their size."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import measure
from adapter.formula.model import Formula
from adapter.formula.problems import InputProblem
from adapter.swaps.offer import Offer
from adapter.swaps.swapper import Swapper

Loaf = Callable[..., Formula]
Swapping = Callable[..., Offer]
MakeSwapper = Callable[[Formula], Swapper]


def grams_by_name(formula: Formula) -> dict[str, float]:
    found: dict[str, float] = {}
    for line in formula.lines:
        found[line.ingredient] = found.get(line.ingredient, 0.0) + line.grams
    return found


# --- holds ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("hold", ["ph", "tta", "effective_hydration", "sugar", "salt", "fat", "fibre", "dough_mass"])
@pytest.mark.parametrize(
    ("out", "into"),
    [
        ("buttermilk", ["milk", "cider vinegar"]),
        ("buttermilk", ["rye sourdough"]),
        ("honey", ["malt syrup"]),
        ("white wheat flour", ["spelt flour"]),
        ("wholemeal rye flour", ["medium rye flour", "wheat bran"]),
    ],
)
def test_a_hold_is_met_or_reported(
    out: str, into: list[str], hold: str, dark_loaf: Formula, swap: Swapping, kitchen: Kitchen
) -> None:
    if (out, hold) == ("honey", "tta"):  # the acids of malt syrup leave no room for any of it
        with pytest.raises(InputProblem, match="no malt syrup would come in"):
            swap(dark_loaf, out, into, holds=(hold,))
        return
    offer = swap(dark_loaf, out, into, holds=(hold,))
    assert {amount.ingredient for amount in offer.into} == set(into)
    exact = measure(kitchen, offer.exact, offer.before)
    reported = {item.key: item for item in offer.unmet}
    change = exact.value(hold) - offer.before.value(hold)
    if hold in reported:
        assert reported[hold].held and abs(change) > 1e-7
    elif hold in ("ph", "tta"):
        # The proof's acids follow the swap: the programme is asked until what is read at the end is what was held.
        tolerance = kitchen.tolerances[hold].value
        assert offer.after.value(hold) == pytest.approx(offer.before.value(hold), abs=0.3 * tolerance)
    else:
        assert exact.value(hold) == pytest.approx(offer.before.value(hold), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("out", "into", "hold"),
    [
        ("buttermilk", "beer", "tta"),
        ("buttermilk", "milk", "ph"),
        ("buttermilk", "milk", "tta"),
        ("honey", "malt syrup", "tta"),
        ("buttermilk", "beer", "sugar"),
        ("honey", "malt syrup", "fibre"),
    ],
)
def test_a_hold_that_cannot_be_met_is_reported_with_its_size(
    out: str, into: str, hold: str, dark_loaf: Formula, swap: Swapping, kitchen: Kitchen
) -> None:
    """Water and salt held, one ingredient in: what is held gives way, and the report says by how much it really does,
    not by the straight line of the programme."""
    offer = swap(dark_loaf, out, into, holds=(hold, "line:water", "line:salt"))
    exact = measure(kitchen, offer.exact, offer.before)
    reported = {item.key: item for item in offer.unmet}
    assert reported[hold].held
    change = exact.value(hold) - offer.before.value(hold)
    assert reported[hold].by == pytest.approx(change, rel=1e-3)


def test_a_mass_that_cannot_be_held_is_reported_in_grams(dark_loaf: Formula, swap: Swapping) -> None:
    offer = swap(dark_loaf, "white wheat flour", "honey", holds=("flour_mass",))
    assert {item.key: item.by for item in offer.unmet}["flour_mass"] == pytest.approx(-180.0, rel=1e-6)


def test_held_lines_do_not_move(dark_loaf: Formula, swap: Swapping) -> None:
    holds = ("line:water", "line:salt", "line:fresh yeast")
    offer = swap(dark_loaf, "buttermilk", "yoghurt", holds=holds)
    before, after = grams_by_name(dark_loaf), grams_by_name(offer.after.formula)
    for hold in holds:
        name = hold.removeprefix("line:")
        assert after[name] == before[name]
    assert offer.moved == ()


def test_a_held_line_cannot_go_out(dark_loaf: Formula, swap: Swapping, swapper: MakeSwapper) -> None:
    with pytest.raises(InputProblem, match="buttermilk"):
        swap(dark_loaf, "buttermilk", "milk", holds=("line:buttermilk",))
    place = next(dark_loaf.find("buttermilk"))
    assert swapper(dark_loaf).offers(place, holds=("line:buttermilk",)) == []
    bran = next(dark_loaf.find("wheat bran"))
    for offer in swapper(dark_loaf).offers(bran, holds=("line:white wheat flour",)):
        assert grams_by_name(offer.after.formula)["white wheat flour"] == 180.0


def test_a_hold_is_met_when_the_yeast_leaves(dark_loaf: Formula, swap: Swapping) -> None:
    """The acids of fermentation leave with the yeast: the balance must know, or the report."""
    offer = swap(dark_loaf, "fresh yeast", "rye sourdough", holds=("ph",))
    change = offer.after.value("ph") - offer.before.value("ph")
    assert abs(change) < 0.02 or any(item.key == "ph" for item in offer.unmet)


def test_held_yeast_is_not_reported_when_it_is_met(dark_loaf: Formula, swap: Swapping) -> None:
    """Flour goes and the yeast follows after the balance, to the same % of the flour."""
    offer = swap(dark_loaf, "white wheat flour", "sunflower seeds", holds=("yeast",))
    assert offer.after.value("yeast") == pytest.approx(offer.before.value("yeast"), abs=0.02)
    assert [item for item in offer.unmet if item.key == "yeast"] == []


# BUG: yeast named as coming in counts as fermenting although the balance brings in none of it: pH "held" moves by 0.5
# and nothing is reported. Reading what is missed from the exact formula, for every hold, would tell.
def test_a_hold_is_met_when_the_first_yeast_does_not_come(loaf: Loaf, swap: Swapping, kitchen: Kitchen) -> None:
    dough = loaf({"wholemeal rye flour": 1, "water": 1, "agave syrup": 1, "bread flour": 1})
    offer = swap(dough, "wholemeal rye flour", "active dry yeast", holds=("ph",))
    change = measure(kitchen, offer.exact, offer.before).value("ph") - offer.before.value("ph")
    assert abs(change) < 1e-6 or any(item.key == "ph" for item in offer.unmet)
