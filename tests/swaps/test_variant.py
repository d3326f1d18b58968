"""Variants: undo and redo to the last digit, swaps that come back, steps that tell the whole way from the book."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import READING_KEYS
from adapter.formula.model import Formula, Line, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.offer import Offer
from adapter.swaps.variant import Variant, origin_kept, with_amount, with_line, without_line

Loaf = Callable[..., Formula]
Read = Callable[..., Measured]
Swapping = Callable[..., Offer]


def grams_by_name(formula: Formula) -> dict[str, float]:
    found: dict[str, float] = {}
    for line in formula.lines:
        found[line.ingredient] = found.get(line.ingredient, 0.0) + line.grams
    return found


@pytest.fixture
def worked(dark_loaf: Formula, swap: Swapping) -> Variant:
    """The dark loaf after two swaps, a typed weight, a line put in and one struck out."""
    variant = Variant.of(dark_loaf)
    for out, into in (("buttermilk", ["yoghurt"]), ("honey", ["malt syrup"])):
        offer = swap(variant.formula, out, into)
        variant = variant.then(offer.after.formula, offer.step())
    variant = variant.then(*with_amount(variant.formula, 0, 411.7))
    variant = variant.then(*with_line(variant.formula, Line("caraway", 4.4), 2))
    return variant.then(*without_line(variant.formula, next(variant.formula.find("molasses"))))


# --- undo and redo --------------------------------------------------------------------------------


def test_undo_to_the_start_and_redo_to_the_end(worked: Variant, dark_loaf: Formula, read: Read) -> None:
    """Exact to the last digit: formulas and readings are equal, not near."""
    shown = [worked.formula]
    values = [[read(worked.formula).value(key) for key in READING_KEYS]]
    variant = worked
    while variant.can_undo:
        variant = variant.undo()
        shown.append(variant.formula)
        values.append([read(variant.formula).value(key) for key in READING_KEYS])
    assert len(shown) == 6
    assert variant.formula is dark_loaf
    assert variant.undo() is variant
    for formula, numbers in zip(reversed(shown[:-1]), reversed(values[:-1]), strict=True):
        variant = variant.redo()
        assert variant.formula == formula
        assert [read(variant.formula).value(key) for key in READING_KEYS] == numbers
    assert variant == worked
    assert variant.redo() is variant


def test_a_new_step_drops_what_was_undone(worked: Variant) -> None:
    back = worked.undo().undo()
    assert back.can_redo
    changed = back.then(*with_amount(back.formula, 0, 400.0))
    assert not changed.can_redo
    assert len(changed.formulas) == 5
    assert changed.undo().formula == back.formula
    assert worked.formulas[-1] == worked.formula


def test_a_variant_is_never_changed(worked: Variant) -> None:
    formulas = worked.formulas
    worked.undo().then(*with_amount(worked.undo().formula, 1, 5.0))
    worked.renamed("other")
    assert worked.formulas is formulas
    assert worked.formula.name == "dark tin loaf"


def test_steps_lead_from_the_book_to_the_formula(worked: Variant, dark_loaf: Formula) -> None:
    """Book lines plus all that came in and moved, less all that went out, are the lines at the end."""
    adapted = worked.formula.adapted
    assert adapted is not None
    assert adapted.origin == "dark tin loaf"
    assert adapted.book_lines == dark_loaf.lines
    assert [step.kind for step in adapted.steps] == ["swap", "swap", "amount", "amount", "amount"]
    books = grams_by_name(dark_loaf)
    for step in adapted.steps:
        for sign, amounts in ((-1, step.out), (1, step.into), (1, step.moved)):
            for amount in amounts:
                books[amount.ingredient] = books.get(amount.ingredient, 0.0) + sign * amount.grams
    after = grams_by_name(worked.formula)
    for name in books.keys() | after.keys():
        assert books.get(name, 0.0) == pytest.approx(after.get(name, 0.0), abs=1e-4), name


def test_every_formula_knows_its_book(worked: Variant, dark_loaf: Formula) -> None:
    for formula in worked.formulas:
        assert formula.book().lines == dark_loaf.lines
        assert formula.book().name == dark_loaf.name
        assert formula.book().adapted is None


def test_the_swap_step_says_what_was_asked(dark_loaf: Formula, swap: Swapping) -> None:
    offer = swap(dark_loaf, "buttermilk", "beer", share_percent=50, holds=("tta",))
    step = offer.step()
    assert (step.kind, step.share_percent, step.holds) == ("swap", 50, ("tta",))
    assert step.rule == (offer.rule.id if offer.rule else None)
    assert step.yeast_before_g == 10.0
    assert step.yeast_after_g == grams_by_name(offer.after.formula)["fresh yeast"]


def test_pace_counts_against_the_book_all_along(worked: Variant, dark_loaf: Formula, read: Read) -> None:
    """1 is the book formula, not the step before."""
    book = read(dark_loaf)
    for formula in worked.formulas:
        assert read(formula).value("pace") == pytest.approx(read(formula).rate / book.rate, rel=1e-12)


def test_a_saved_variant_opens_with_its_book(worked: Variant, dark_loaf: Formula) -> None:
    opened = Variant.of(worked.formula)
    assert not opened.can_undo
    changed = opened.then(*with_amount(opened.formula, 0, 300.0)).formula
    assert changed.adapted is not None and worked.formula.adapted is not None
    assert changed.adapted.book_lines == dark_loaf.lines
    assert changed.adapted.steps[:-1] == worked.formula.adapted.steps


def test_a_name_is_the_variants_at_every_step(worked: Variant) -> None:
    renamed = worked.undo().renamed("harvest loaf")
    assert renamed.formula.name == "harvest loaf"
    assert renamed.undo().formula.name == "harvest loaf"
    assert renamed.undo().formula.book().name == "dark tin loaf"
    assert renamed.redo().formula.name == "harvest loaf"
    assert renamed.then(renamed.formula, Step("amount")).formula.name == "harvest loaf"


def test_origin_of_a_book_formula_is_itself(dark_loaf: Formula) -> None:
    kept = origin_kept(dark_loaf)
    assert kept.adapted is not None and kept.adapted.book_lines is dark_loaf.lines
    assert origin_kept(kept) is kept


# --- typed weights --------------------------------------------------------------------------------


@pytest.mark.parametrize("grams", [-0.1, math.nan, math.inf, -math.inf, 1e9, 1_000_000.5])
def test_a_weight_that_cannot_be_is_one_line(grams: float, dark_loaf: Formula) -> None:
    with pytest.raises(InputProblem) as caught:
        with_amount(dark_loaf, 0, grams)
    assert "\n" not in str(caught.value)


def test_a_typed_weight_drops_the_written_amount() -> None:
    """ "2 cups" no longer holds when the grams were typed over; the same grams change nothing."""
    formula = Formula("x", (Line("milk", 490.0, amount="2 cups", note="cold"),))
    changed, step = with_amount(formula, 0, 300.0)
    assert changed.lines[0].amount is None and changed.lines[0].note == "cold"
    assert step.moved[0].grams == pytest.approx(-190.0)
    same, _ = with_amount(formula, 0, 490.0)
    assert same.lines == formula.lines


# --- there and back -------------------------------------------------------------------------------


def there_and_back(
    formula: Formula, swap: Swapping, first: tuple[list[str], list[str]], second: tuple[list[str], list[str]]
) -> dict[str, float]:
    there = swap(formula, *first).after.formula
    return grams_by_name(swap(there, *second).after.formula)


def test_honey_malt_syrup_honey(dark_loaf: Formula, swap: Swapping) -> None:
    after = there_and_back(dark_loaf, swap, (["honey"], ["malt syrup"]), (["malt syrup"], ["honey"]))
    for name, grams in grams_by_name(dark_loaf).items():
        assert after[name] == pytest.approx(grams, abs=1.01), name


def test_wholemeal_white_and_bran_wholemeal(loaf: Loaf, swap: Swapping) -> None:
    dough = loaf({"wholemeal wheat flour": 1000, "water": 700, "salt": 20, "fresh yeast": 20})
    parts = ["white wheat flour", "wheat bran"]
    after = there_and_back(dough, swap, (["wholemeal wheat flour"], parts), (parts, ["wholemeal wheat flour"]))
    for name, grams in grams_by_name(dough).items():
        assert after[name] == pytest.approx(grams, abs=1.01), name


def test_white_and_bran_wholemeal_white_and_bran(loaf: Loaf, swap: Swapping) -> None:
    """The bran comes back by its fibre: as it was where it had been a fifth, as in wholemeal."""
    dough = loaf({"white wheat flour": 801, "wheat bran": 199, "water": 700, "salt": 20, "fresh yeast": 20})
    parts = ["white wheat flour", "wheat bran"]
    after = there_and_back(dough, swap, (parts, ["wholemeal wheat flour"]), (["wholemeal wheat flour"], parts))
    for name, grams in grams_by_name(dough).items():
        assert after[name] == pytest.approx(grams, abs=2.01), name


def test_buttermilk_yoghurt_buttermilk(dark_loaf: Formula, swap: Swapping) -> None:
    after = there_and_back(dark_loaf, swap, (["buttermilk"], ["yoghurt"]), (["yoghurt"], ["buttermilk"]))
    for name, grams in grams_by_name(dark_loaf).items():
        assert after[name] == pytest.approx(grams, abs=2.01), name
