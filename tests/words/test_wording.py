"""Offers, steps and stock in words: the numbers of the core, and nothing left out that a baker must know."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import measure
from adapter.formula.model import Amount, Formula, Step, Tin
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps.offer import Offer
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule
from adapter.swaps.swapper import Swapper
from adapter.words.offer_words import (
    NOTHING_GIVES,
    change_text,
    fill_of,
    gives_text,
    into_parts,
    into_text,
    offer_sentences,
    out_text,
    step_text,
    stock_text,
    tin_text,
)
from adapter.words.reader_options import option_sentence
from adapter.words.text_report import grams_text

DARK = {"wholemeal rye flour": 480, "white wheat flour": 150, "wheat bran": 60, "buttermilk": 520, "honey": 60,
        "molasses": 60, "water": 60, "salt": 13, "fresh yeast": 9}  # fmt: skip


@pytest.fixture(scope="module")
def offers(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver, loaf: Callable[..., Formula]) -> list[Offer]:
    """Every offer for every line of a dark loaf."""
    swapper = Swapper(kitchen, rules, loaf(DARK), solver)
    return [offer for place in range(len(DARK)) for offer in swapper.offers(place)]


def test_what_comes_in_names_every_arrival_and_every_move(offers: list[Offer]) -> None:
    assert len(offers) > 50
    for offer in offers:
        text = into_text(offer)
        assert text == "".join(into_parts(offer))
        for amount in offer.into:
            assert f"{amount.ingredient} {grams_text(amount.grams)} g" in text
        for amount in offer.moved:
            if offer.after.kitchen.catalogue.get(amount.ingredient).property("yeast") <= 0:
                assert amount.ingredient in text and grams_text(abs(amount.grams)) in text
        for amount in offer.out:
            assert f"{amount.ingredient} {grams_text(amount.grams)} g" in out_text(offer)
    gone = next(offer for offer in offers if not offer.into)
    assert into_parts(gone)[0] == "left out" and option_sentence(gone).startswith(f"{out_text(gone)} left out")


def test_what_gives_is_what_the_core_says(offers: list[Offer]) -> None:
    for offer in offers:
        text = gives_text(offer)
        assert (text == NOTHING_GIVES) == (not offer.gives)
        for key, _ in offer.gives:
            assert change_text(key, offer.after.value(key) - offer.before.value(key)) in text


def test_warnings_name_allergens_that_come_in_what_is_missing_and_what_is_not_kept(offers: list[Offer]) -> None:
    pantry = Pantry("bare", (Stock("honey", 10.0),))
    came_in = 0
    for offer in offers:
        warned = " ".join(text for text, warns in offer_sentences(offer, pantry) if warns)
        said = " ".join(text for text, _ in offer_sentences(offer, pantry))
        came_in += len(offer.allergens_added)
        assert all(group in warned for group in offer.allergens_added)
        assert all(group in said for group in offer.allergens_removed)
        assert all(amount.ingredient in warned for amount in offer.short(pantry))
        assert ("cannot be" in warned) == bool(offer.missed)
        assert {each.key for each in offer.missed} <= {each.key for each in offer.unmet}
        assert offer.rule is None or offer.rule.notice in said
    assert came_in


def test_steps_in_words() -> None:
    swap = Step("swap", (Amount("kefir", 310.0),), (Amount("yoghurt", 248.0), Amount("water", 58.0)))
    assert step_text(swap) == "kefir 310 g → yoghurt 248 g + water 58 g"
    assert step_text(Step("amount", moved=(Amount("honey", -12.5),))) == "honey −12 g"
    assert step_text(Step("amount", out=(Amount("honey", 60.0),))) == "honey 60 g struck out"
    assert [grams_text(grams, True) for grams in (-0.03, 0.0, 0.04, -0.06)] == ["0", "0", "0", "−0.1"]
    assert step_text(Step("amount", into=(Amount("caraway", 5.0),))) == "caraway 5 g put in"


def test_the_pantry_counts_the_need_of_the_whole_formula(kitchen: Kitchen, loaf: Callable[..., Formula]) -> None:
    formula = measure(kitchen, loaf(DARK)).formula
    pantry = Pantry("x", (Stock("honey", 30.0), Stock("salt"), Stock("molasses", 60.0)))
    assert stock_text(pantry, formula, "honey") == "30 g"
    assert stock_text(pantry, formula, "salt") == "ok" and stock_text(pantry, formula, "molasses") == "ok"
    assert stock_text(pantry, formula, "wheat bran") == "none"
    assert stock_text(pantry, formula, "water") == "" and stock_text(None, formula, "honey") == ""


def test_the_tin_in_words(kitchen: Kitchen, loaf: Callable[..., Formula]) -> None:
    tin = Tin(0.22, 0.10, 0.22, 0.10, 0.10, lidded=True)
    measured = measure(kitchen, loaf(DARK, tin=tin))
    fill = fill_of(measured)
    assert fill is not None and fill < 0.80  # too little for the tin: marked
    assert tin_text(measured) == f"1 tin 2.2 L, {100 * fill:.0f} % full !"
    assert tin_text(measured, warns=False) == f"1 tin 2.2 L, {100 * fill:.0f} % full", "as a card for readers has it"
    small = measure(kitchen, loaf(DARK, tin=Tin(0.1, 0.05, 0.1, 0.05, 0.05)))
    assert tin_text(small).endswith("too small")
    assert tin_text(measure(kitchen, loaf(DARK))) == "1 loaf"
    assert tin_text(measure(kitchen, loaf(DARK, pieces=12))) == "12 pieces"
