"""Holds of readings and lines: met to the last digit, or reported with their size."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from adapter.dough.kitchen import Kitchen
from adapter.dough.readings import measure
from adapter.formula.model import Formula
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
    offer = swap(dark_loaf, out, into, holds=(hold,))
    exact = measure(kitchen, offer.exact, offer.before)
    reported = {item.key: item for item in offer.unmet}
    change = exact.values[hold] - offer.before.values[hold]
    if hold in reported:
        assert reported[hold].held and abs(change) > 1e-7
    else:
        assert exact.values[hold] == pytest.approx(offer.before.values[hold], rel=1e-9, abs=1e-9)


# BUG: Unmet.by is the change by the linear row (base of the book flour or dough, pH by its slope), not the change
# that happens: TTA −0.83 is reported where it falls by 1.31, pH +0.29 where it rises by 0.57.
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
    """Water and salt held, one ingredient in: what is held gives way, and the report says by how much."""
    offer = swap(dark_loaf, out, into, holds=(hold, "line:water", "line:salt"))
    exact = measure(kitchen, offer.exact, offer.before)
    reported = {item.key: item for item in offer.unmet}
    assert reported[hold].held
    change = exact.values[hold] - offer.before.values[hold]
    assert reported[hold].by == pytest.approx(change, rel=1e-3)


# BUG: the size of flour_mass and dough_mass comes in % of the book's, their unit is g.
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


# BUG: when the swap flips whether the dough is fermented (yeast leaves, or the first yeast comes), the balance is made
# with the acids of fermentation that the dough had before: pH "held" moves by 0.14 and nothing is reported.
def test_a_hold_is_met_when_the_yeast_leaves(dark_loaf: Formula, swap: Swapping) -> None:
    offer = swap(dark_loaf, "fresh yeast", "rye sourdough", holds=("ph",))
    change = offer.after.values["ph"] - offer.before.values["ph"]
    assert abs(change) < 0.02 or any(item.key == "ph" for item in offer.unmet)


# BUG: a row for "yeast" enters the programme although the yeast follows afterwards: the hold is reported as unmet
# (by 0.41) while the yeast comes out at the same % of the flour.
def test_held_yeast_is_not_reported_when_it_is_met(dark_loaf: Formula, swap: Swapping) -> None:
    offer = swap(dark_loaf, "white wheat flour", "sunflower seeds", holds=("yeast",))
    assert offer.after.values["yeast"] == pytest.approx(offer.before.values["yeast"], abs=0.02)
    assert [item for item in offer.unmet if item.key == "yeast"] == []
