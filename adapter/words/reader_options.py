"""What readers may take when they lack something of a formula: one sentence for each swap that comes out well."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from adapter.swaps.balance import WATER
from adapter.swaps.offer import Offer
from adapter.swaps.rules import Rule
from adapter.swaps.swapper import Swapper
from adapter.words.offer_words import NOTHING_GIVES, allergens_text, gives_text, into_text, out_text, yeast_text

MOST_DRIFT = 5.0
"""Drift beyond which a swap is no advice to a stranger [A]."""


@dataclass(frozen=True, slots=True)
class ReaderOption:
    """What a reader who lacks an ingredient may take, in a sentence."""

    ingredient: str
    sentence: str


def reader_options(swapper: Swapper, most_per_line: int = 2, most_drift: float = MOST_DRIFT) -> list[ReaderOption]:
    """For each ingredient but water, by the formula's order, the first good swaps of all of it, none twice."""
    options: dict[str, ReaderOption] = {}
    asked: set[str] = set()
    for place, line in enumerate(swapper.formula.lines):
        if line.ingredient == WATER or line.ingredient in asked or line.grams <= 0:
            continue
        asked.add(line.ingredient)
        # A swap of a part helps nobody who has none of it.
        whole = [offer for offer in swapper.offers(place) if offer.share_percent == 100 and not offer.unmet]
        fit = [offer for offer in whole if offer.drift <= most_drift]
        for offer in map(swapper.refined, fit[:most_per_line]):
            options.setdefault(option_sentence(offer), ReaderOption(line.ingredient, option_sentence(offer)))
    return list(options.values())


def option_sentence(offer: Offer) -> str:
    """ "For kefir 310 g take yoghurt 248 g + water 58 g: changes nothing to notice." """
    gives = gives_text(offer)
    result = f"changes {NOTHING_GIVES}" if gives == NOTHING_GIVES else gives
    yeast = yeast_text(offer.before, offer.after)
    swap = f"For {out_text(offer)} take {into_text(offer)}" if offer.into else f"{out_text(offer)} {into_text(offer)}"
    text = f"{swap}{f', {yeast}' if yeast else ''}: {result}"
    allergens = allergens_text(offer)
    return f"{text}; it {allergens}." if allergens else f"{text}."


def reasons_of(rules: Iterable[Rule]) -> dict[str, str]:
    """What each rule brings about, by its id: the reasons on a card."""
    return {rule.id: rule.notice for rule in rules}
