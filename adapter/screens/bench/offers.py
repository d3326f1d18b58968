"""The swaps for a line as rows, and what is to be said of the highlighted one."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Cell, Column, Items
from adapter.screens.parts.rows import Row, RowList
from adapter.words.units import METRIC, Units

if TYPE_CHECKING:
    from adapter.formula.pantry import Pantry
    from adapter.swaps.offer import Offer

COLUMNS = (
    Column("", least=28, most=70),
    Column("drift", right=True, room=5),
    Column("what gives", least=17, most=64, drop=4),
    Column("allergens"),
    Column("price", right=True, drop=5),
    Column("pantry", room=6, drop=3),
)
"""The last two only where there is a pantry."""

AS_REACHED = "as a baker reaches for them"
ALLERGENS_MOST = 30
ORDERS = (AS_REACHED, "drift", "price", "in store")


def price_of(offer: Offer, pantry: Pantry | None) -> float | None:
    """By how much the loaf costs more with a swap; None where a price is missing."""
    from adapter.swaps.comparison import price_change

    return None if pantry is None else price_change(offer.before.formula, offer.after.formula, pantry)


def in_order(offers: Sequence[Offer], order: str, pantry: Pantry | None) -> list[Offer]:
    """Offers by drift, price or stock; what is alike in that stays as the core gives it."""
    if order == "drift":
        return sorted(offers, key=lambda offer: round(offer.drift, 1))
    if order == "price":
        prices = [price_of(offer, pantry) for offer in offers]
        places = sorted(range(len(offers)), key=lambda place: inf if prices[place] is None else prices[place] or 0.0)
        return [offers[place] for place in places]
    if order == "in store" and pantry is not None:
        return sorted(offers, key=lambda offer: sum(amount.grams for amount in offer.short(pantry)))
    return list(offers)


def found_by(offer: Offer, words: str, units: Units) -> bool:
    """Whether every word stands in what is shown of an offer or said by its rule."""
    from adapter.words.offer_words import allergens_short, into_text

    rule = offer.rule.say if offer.rule is not None else ""
    text = f"{into_text(offer, units)} {offer.says} {allergens_short(offer)} {rule}".casefold()
    return all(word in text for word in words.casefold().split())


class Offers(RowList):
    """The offers for the highlighted line, in the order that was chosen."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("swaps", COLUMNS, id=id)
        self.offers: list[Offer] = []
        self._ahead = 0
        self._pantry: Pantry | None = None
        self._units = METRIC

    def show_offers(self, offers: Sequence[Offer], pantry: Pantry | None, units: Units, title: str, empty: str) -> None:
        self.offers = list(offers)
        self._pantry, self._units = pantry, units
        self.columns = COLUMNS if pantry is not None else COLUMNS[:-2]
        self.empty = empty
        at, self._ahead = (self._ahead, 0) if offers else (0, 0)
        self.show([offer_row(offer, pantry, units) for offer in offers], max(0, min(at, len(self.offers) - 1)), title)

    def show_in(self, units: Units) -> None:
        """The same offers in other units."""
        self._units = units
        self.show([offer_row(offer, self._pantry, units) for offer in self.offers])

    def action_move(self, by: int) -> None:
        """Steps taken while the offers are still worked out count when they are there."""
        if not self.offers:
            self._ahead += by
        super().action_move(by)

    def replace(self, place: int, offer: Offer) -> None:
        """Another share of an offer, in its place."""
        self.offers[place] = offer
        rows = list(self.rows)
        rows[place] = offer_row(offer, self._pantry, self._units)
        self.change(rows)

    @property
    def offer(self) -> Offer | None:
        """The highlighted offer."""
        return None if self.index is None or not self.offers else self.offers[self.index]


def offer_row(offer: Offer, pantry: Pantry | None, units: Units) -> Row:
    from adapter.words.offer_words import gives_parts, into_parts

    unmet = (("! ", "warn"),) if offer.missed else ()
    price = price_of(offer, pantry)
    notes = ["of your own"] if offer.rule is None else []
    notes += [f"{offer.share_percent:g} % of it"] if offer.share_percent < 100 else []
    notes += [offer.says] if offer.says else []
    share = ((f" ({', '.join(notes)})", "faint"),) if notes else ()
    stock = "" if pantry is None else "short" if offer.short(pantry) else "yes"
    return Row(
        (
            Items(into_parts(offer, units), share, unmet),
            ((f"{offer.drift:.1f}", "strong"),),
            Items(gives_parts(offer)),
            _allergens(offer),
            "" if price is None else f"{price:+.2f}".replace("-", "−"),
            ((stock, "warn" if stock == "short" else ""),),
        )
    )


def _allergens(offer: Offer) -> Cell:
    """What comes in and goes out of allergens, each by its own name: "+ wheat, − spelt"."""
    groups = [("+", group) for group in offer.allergens_added] + [("−", group) for group in offer.allergens_removed]
    if not groups:
        return ""
    names = [f"{sign} {group.rpartition(': ')[2]}" for sign, group in groups]
    shown = 1
    while shown < len(names) and len(", ".join(names[: shown + 1])) <= ALLERGENS_MOST:
        shown += 1
    more = [f"{len(names) - shown} more"] if shown < len(names) else []
    return ((", ".join([*names[:shown], *more]), "warn"),)
