"""The order of offers, one reason at a time, and which of several that are alike is shown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.formula.model import Amount, Formula
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps.balance import Unmet
from adapter.swaps.offer import Offer
from adapter.swaps.order import (
    ALIKE,
    SAME,
    STRANGE,
    answers_all,
    in_order,
    is_closest,
    nearness,
    reach,
    sort_of_thing,
    told_apart,
)
from adapter.swaps.rules import Rule

Loaf = Callable[..., Formula]
Swapping = Callable[..., Offer]

DOUGH = {"wholemeal rye flour": 500, "kefir": 300, "water": 100, "honey": 40, "salt": 10, "fresh yeast": 8}


def asked(offer: Offer, **changes: object) -> Offer:
    """The same amounts as the answer to another request."""
    return replace(offer, request=replace(offer.request, **changes))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def yoghurt(loaf: Loaf, swap: Swapping) -> Offer:
    return swap(loaf(DOUGH), "kefir", "yoghurt")


@pytest.fixture(scope="module")
def beer(loaf: Loaf, swap: Swapping) -> Offer:
    return swap(loaf(DOUGH), "kefir", "beer")


@pytest.mark.parametrize(
    ("one", "other", "near"),
    [
        ("honey", "malt syrup", SAME),
        ("kefir", "yoghurt", SAME),
        ("kefir", "water", ALIKE),
        ("wholemeal rye flour", "barley flour", ALIKE),
        ("honey", "salt", STRANGE),
        ("kefir", "kefir", SAME),
        ("milk", "oat drink", ALIKE),
    ],
)
def test_how_near_two_things_are_in_kind(kitchen: Kitchen, one: str, other: str, near: int) -> None:
    assert nearness(one, other, kitchen.catalogue) == nearness(other, one, kitchen.catalogue) == near


def test_the_largest_thing_says_what_sort_of_swap_it_is(
    yoghurt: Offer, beer: Offer, loaf: Loaf, swap: Swapping
) -> None:
    assert sort_of_thing(yoghurt) == SAME
    assert sort_of_thing(beer) == ALIKE
    assert sort_of_thing(replace(yoghurt, into=())) == STRANGE
    thinned = replace(yoghurt, into=(Amount("water", 200.0), Amount("yoghurt", 100.0)))
    assert sort_of_thing(thinned) == SAME, "what is thinned with water is what it is"
    small = replace(yoghurt, into=(Amount("beer", 200.0), Amount("yoghurt", 100.0)))
    assert sort_of_thing(small) == ALIKE
    assert sort_of_thing(asked(yoghurt, out=(1, 3))) == ALIKE
    assert sort_of_thing(asked(replace(small, into=(Amount("salt", 900.0),)), out=(1, 3))) == STRANGE


def test_what_any_baker_would_name_first(yoghurt: Offer, beer: Offer) -> None:
    """It stands in the row of what goes out, and counts as the same sort whatever its kinds."""
    assert is_closest(yoghurt) and not is_closest(beer)
    assert not is_closest(replace(yoghurt, into=())) and not is_closest(asked(yoghurt, out=(1, 3)))
    catalogue = yoghurt.before.kitchen.catalogue
    assert nearness("cracked rye", "rye flakes", catalogue) == SAME
    assert nearness("rye flakes", "cracked rye", catalogue) == STRANGE


def test_what_answers_the_whole_need(yoghurt: Offer) -> None:
    """All of the line, or as much of it as the store lacks."""
    assert yoghurt.share_percent == 100.0 and answers_all(yoghurt, None)
    half = asked(yoghurt, share_percent=50.0)
    assert not answers_all(half, None)
    for stock, whole in ((149.0, False), (150.0, True), (299.0, True), (300.0, False), (None, False)):
        assert answers_all(half, Pantry("store", (Stock("kefir", stock),))) is whole, stock


def test_each_reason_in_its_turn(yoghurt: Offer, beer: Offer) -> None:
    store = Pantry("store", (Stock("yoghurt", 900.0), Stock("salt"), Stock("fresh yeast"), Stock("honey"),
                             Stock("wholemeal rye flour")))  # fmt: skip
    far = replace(yoghurt)
    far.__dict__["drift"] = yoghurt.drift + 90.0  # as if it had been worked out so
    held = replace(yoghurt, unmet=(Unmet("ph", 1.0, True),))
    kept = replace(yoghurt, unmet=(Unmet("ph", 1.0, False),))
    part = asked(yoghurt, share_percent=40.0)
    assert in_order([far, yoghurt]) == [yoghurt], "less drift first; the same grams are one offer"
    assert reach(yoghurt, None) < reach(far, None) < reach(kept, None) < reach(beer, None) < reach(part, None)
    assert reach(part, None) < reach(held, None)
    assert reach(yoghurt, store) < reach(yoghurt, Pantry("empty")) < reach(beer, store)
    half = asked(yoghurt, share_percent=50.0)
    assert reach(half, None)[-1] == pytest.approx(2 * yoghurt.drift)


def test_what_further_things_and_seldom_ones_count_like(yoghurt: Offer, rules: tuple[Rule, ...]) -> None:
    """Half a noticed change for each thing beyond the first, one and a half where a thing is no everyday one [A]; a
    rarity of the rule stands behind whatever drifts.
    """
    rare = next(item.name for item in yoghurt.before.kitchen.catalogue if not item.everyday)
    (first,) = yoghurt.into

    def last(*names: str) -> float:
        return reach(replace(yoghurt, into=(first, *(Amount(name, 1.0) for name in names))), None)[-1]

    assert last() == pytest.approx(yoghurt.drift)
    for names, more in ((("milk",), 0.5), (("milk", "water"), 1.0), ((rare,), 2.0)):
        assert last(*names) - last() == pytest.approx(more)
    rule = yoghurt.rule or rules[0]
    seldom = [asked(yoghurt, rule=replace(rule, seldom=frozenset(names))) for names in ((), ("kefir",), ("yoghurt",))]
    assert reach(seldom[0], None) == reach(seldom[1], None) < reach(seldom[2], None)


def test_offers_that_come_out_alike_are_shown_once(yoghurt: Offer) -> None:
    """A gram, or two in a hundred, make no difference."""
    grams = yoghurt.into[0].grams

    def bringing(more: float) -> Offer:
        return replace(yoghurt, into=(Amount("yoghurt", grams + more),))

    assert grams > 100
    assert told_apart([yoghurt, bringing(0.02 * grams)]) == [yoghurt]
    assert len(told_apart([yoghurt, bringing(0.03 * grams)])) == 2
    milky = replace(yoghurt, into=(Amount("yoghurt", grams), Amount("milk", 1.1)))
    for offers in ([yoghurt, milky], [milky, yoghurt]):
        assert len(told_apart(offers)) == 2, "not where one thing alone is as much"
    assert told_apart([yoghurt, replace(milky, into=(milky.into[0], Amount("milk", 0.9)))]) == [yoghurt]
    little = replace(yoghurt, into=(Amount("yoghurt", 10.0),))
    assert told_apart([little, replace(yoghurt, into=(Amount("yoghurt", 11.0),))]) == [little]
    assert len(told_apart([little, replace(yoghurt, into=(Amount("yoghurt", 11.1),))])) == 2
    assert len(told_apart([yoghurt, asked(yoghurt, share_percent=50.0)])) == 2
    assert len(told_apart([yoghurt, asked(yoghurt, out=(1, 2))])) == 2


def test_of_rules_that_come_out_alike_the_bakers_own_speaks(yoghurt: Offer, rules: tuple[Rule, ...]) -> None:
    """Then the one that names its ingredients, whichever stands first in the table."""
    rule = yoghurt.rule or rules[0]

    def by(name: str, out: str, into: str, tag: str) -> Offer:
        return asked(yoghurt, rule=replace(rule, id=name, out=(out,), into=(into,), tag=tag))

    own = by("own", "kind:dairy", "kind:dairy", "own")
    named, general = by("named", "kefir", "yoghurt", "CP"), by("general", "kind:dairy", "kind:dairy", "CP")
    assert rule.tag != "own"
    for offers in ([own, named, general], [general, named, own], [named, own, general]):
        assert [offer.rule.id for offer in told_apart(offers) if offer.rule] == ["own"]
    free = asked(yoghurt, rule=None)
    for offers in ([free, general], [general, free]):
        assert told_apart(offers) == offers[:1], "neither names anything: the first"
    for offers in ([free, named], [named, free]):
        assert [offer.rule for offer in told_apart(offers)] == [named.rule], "a rule's own words before none"
    for offers in ([named, general], [general, named]):
        assert [offer.rule.id for offer in told_apart(offers) if offer.rule] == ["named"]


def test_of_two_that_differ_each_says_what_it_keeps(yoghurt: Offer, rules: tuple[Rule, ...]) -> None:
    rule = yoghurt.rule or rules[0]
    sour = asked(yoghurt, rule=replace(rule, keep=("tta", "effective_hydration")))
    other = replace(yoghurt, into=(Amount("yoghurt", 20.0),))
    sweet = asked(other, rule=replace(rule, keep=("sweetness", "effective_hydration")))
    first, second = told_apart([sour, sweet])
    assert (first.says, second.says) == ("as sour", "as sweet")
    assert told_apart([sour])[0].says == sour.says
    both = asked(other, rule=replace(rule, keep=("ph", "tta", "sugar", "effective_hydration")))
    assert [offer.says for offer in told_apart([sour, both])] == ["as sour, as soft", "same pH, same sugar"]
