"""The order of offers: the one in which a baker would reach for them.

First what answers the whole need, all of the line or what the store lacks of it; part swaps after. Within that the
same sort of thing, then what is in store, then what any baker would name first, then fewer new groups of allergens,
then what is no rarity, then drift for each share replaced, a little more for each further thing that comes in and for
what few bakeries have.
Last of all stands what is tasted in the dose it takes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from adapter.dough.allergens import group_of
from adapter.formula.catalogue import Catalogue
from adapter.formula.pantry import Pantry
from adapter.swaps.balance import WATER
from adapter.swaps.offer import Offer
from adapter.swaps.rules import KIND

BROAD = frozenset(
    (
        "liquid", "plain liquid", "flour", "other flour", "fat", "dairy", "alcohol", "spice", "fruit", "vegetable",
        "improver",
    )
)  # fmt: skip
"""Kinds whose members are only alike; those of any other kind (syrups, rye flours) are one sort of thing [A]."""

OWN = "own"
"""The tag of a baker's own rule."""

FURTHER = 0.5
"""What each thing beyond the first that comes in counts like, in drift [A]."""

UNUSUAL = 1.5
"""What a thing that is no everyday one counts like, in drift: raisins before dried blueberries [A]."""

SAME, ALIKE, STRANGE = 0, 1, 2
ALIKE_GRAMS, ALIKE_SHARE = 1.0, 0.02
"""Offers whose grams differ by no more than this are one offer."""

SAYS = (
    ("ph", "same pH"),
    ("tta", "as sour"),
    ("sweetness", "as sweet"),
    ("sugar", "same sugar"),
    ("fat", "same fat"),
    ("fibre", "same fibre"),
    ("protein", "same protein"),
    ("fermentable_sugar", "same food for yeast"),
    ("rye_share", "same rye"),
    ("starch", "same starch"),
    ("effective_hydration", "as soft"),
    ("hydration", "same water"),
    ("dry_weight", "same dry weight"),
    ("weight", "same weight"),
    ("flour_mass", "same flour"),
    ("dough_mass", "same dough"),
)
"""What an offer says of itself where another of the same ingredients keeps something else."""


def in_order(offers: Iterable[Offer], pantry: Pantry | None = None) -> list[Offer]:
    """Offers as a baker would reach for them, those that come out alike shown once."""
    return told_apart(sorted(offers, key=lambda offer: reach(offer, pantry)))


def reach(offer: Offer, pantry: Pantry | None) -> tuple[int | float, ...]:
    """The key by which offers are sorted: the lower, the sooner."""
    share = offer.share_percent / 100.0
    catalogue = offer.before.kitchen.catalogue
    unusual = any(not catalogue.get(amount.ingredient).everyday for amount in offer.into)
    return (
        bool(offer.over_taste),
        any(item.held for item in offer.missed),
        not answers_all(offer, pantry),
        sort_of_thing(offer),
        pantry is not None and bool(offer.short(pantry)),
        not is_closest(offer),
        len(_new_groups(offer)),
        len(offer.missed) > 0,
        offer.rule is not None and not offer.rule.seldom.isdisjoint(offer.chosen),
        offer.drift / share + FURTHER * max(0, len(offer.into) - 1) + UNUSUAL * unusual,
    )


def _new_groups(offer: Offer) -> set[str]:
    """The groups of Annex II that come in anew: one nut for another is the same group, though each is named."""
    added = offer.allergens_added
    return set(map(group_of, added)) - set(map(group_of, offer.before.allergens)) if added else set()


def answers_all(offer: Offer, pantry: Pantry | None) -> bool:
    """Whether an offer stands in for all of its line, or for all that the store lacks of it."""
    if offer.share_percent >= 100.0:
        return True
    if pantry is None:
        return False
    formula = offer.before.formula
    line = formula.lines[offer.line]
    need = sum(other.grams for other in formula.lines if other.ingredient == line.ingredient)
    lacking = need - pantry.grams_of(line.ingredient)
    return 0.0 < lacking <= line.grams * offer.share_percent / 100.0


def sort_of_thing(offer: Offer) -> int:
    """How near in kind the largest thing coming in, but water, is to the line that was asked for.

    No nearer than alike where further lines go out with it.
    """
    if not offer.into:
        return STRANGE
    near = nearness(_asked_for(offer), _largest(offer), offer.before.kitchen.catalogue)
    return max(near, ALIKE) if len(offer.out_lines) > 1 else near


def is_closest(offer: Offer) -> bool:
    """Whether the largest thing coming in, but water, is what any baker would name first in place of the line."""
    if not offer.into or len(offer.out_lines) > 1:
        return False
    return _largest(offer) in offer.before.kitchen.catalogue.get(_asked_for(offer)).closest


def _asked_for(offer: Offer) -> str:
    return offer.before.formula.lines[offer.line].ingredient


def _largest(offer: Offer) -> str:
    return main_thing([(amount.ingredient, amount.grams) for amount in offer.into])


def main_thing(coming: Sequence[tuple[str, float]]) -> str:
    """What mostly stands in: of the things coming in the heaviest, water only where nothing else does."""
    return max(coming, key=lambda each: (each[0] != WATER, each[1]))[0]


def nearness(one: str, other: str, catalogue: Catalogue) -> int:
    """Whether another ingredient is the same sort of thing, alike, or a stranger, by the kinds they share.

    What is closest to the one by its row is the same sort, whatever the kinds say.
    """
    if other in catalogue.get(one).closest:
        return SAME
    shared = catalogue.get(one).kinds & catalogue.get(other).kinds
    if not shared:
        return STRANGE
    return SAME if shared - BROAD else ALIKE


def told_apart(offers: Sequence[Offer]) -> list[Offer]:
    """Each set of ingredients once where the grams come out alike; otherwise each offer says what it holds."""
    groups: dict[tuple[tuple[int, ...], frozenset[str], float], list[Offer]] = {}
    for offer in offers:
        same = groups.setdefault((tuple(sorted(offer.out_lines)), frozenset(offer.chosen), offer.share_percent), [])
        twin = next((place for place, other in enumerate(same) if _alike(offer, other)), None)
        if twin is None:
            same.append(offer)
        elif _weight_of_rule(offer) > _weight_of_rule(same[twin]):
            same[twin] = offer
    kept = {id(offer): _saying(offer, same) for same in groups.values() for offer in same}
    return [kept[id(offer)] for offer in offers if id(offer) in kept]


def _weight_of_rule(offer: Offer) -> tuple[bool, int]:
    """Of rules that come out alike the baker's own speaks, then the one written for just these things.

    The second number is how many slots of the rule name an ingredient and no kind.
    """
    rule = offer.rule
    if rule is None:
        return False, 0
    return rule.tag == OWN, sum(not slot.startswith(KIND) for slot in (*rule.out, *rule.into))


def _alike(one: Offer, other: Offer) -> bool:
    first = {amount.ingredient: amount.grams for amount in one.into}
    second = {amount.ingredient: amount.grams for amount in other.into}
    return all(
        abs(first.get(name, 0.0) - second.get(name, 0.0))
        <= max(ALIKE_GRAMS, ALIKE_SHARE * max(first.get(name, 0.0), second.get(name, 0.0)))
        for name in {*first, *second}
    )


def _saying(offer: Offer, same: Sequence[Offer]) -> Offer:
    if len(same) < 2 or offer.rule is None:
        return offer
    others = [set(other.rule.keep) for other in same if other is not offer and other.rule is not None]
    own = [word for key, word in SAYS if key in offer.rule.keep and not all(key in keep for keep in others)]
    words = own or [word for key, word in SAYS if key in offer.rule.keep]
    return replace(offer, says=", ".join(words[:2]) or offer.rule.say)
