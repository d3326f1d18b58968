"""The swaps for a line as rows, and what is to be said of the highlighted one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Column, Items
from adapter.screens.parts.rows import Row, RowList

if TYPE_CHECKING:
    from adapter.formula.pantry import Pantry
    from adapter.swaps.offer import Offer

COLUMNS = (
    Column("", least=34, most=70),
    Column("drift", right=True, room=5),
    Column("what gives", least=18, most=64, drop=3),
    Column("allergens", least=14, most=40, drop=5),
    Column("pantry", room=6, drop=4),
)


class Offers(RowList):
    """The offers for the highlighted line, as a baker would reach for them."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("swaps", COLUMNS, id=id)
        self.offers: list[Offer] = []
        self._ahead = 0
        self._pantry: Pantry | None = None

    def show_offers(self, offers: Sequence[Offer], pantry: Pantry | None, title: str, empty: str) -> None:
        self.offers = list(offers)
        self._pantry = pantry
        self.empty = empty
        at, self._ahead = (self._ahead, 0) if offers else (0, 0)
        self.show([offer_row(offer, pantry) for offer in offers], max(0, min(at, len(self.offers) - 1)), title)

    def action_move(self, by: int) -> None:
        """Steps taken while the offers are still worked out count when they are there."""
        if not self.offers:
            self._ahead += by
        super().action_move(by)

    def replace(self, place: int, offer: Offer) -> None:
        """Another share of an offer, in its place."""
        self.offers[place] = offer
        rows = list(self.rows)
        rows[place] = offer_row(offer, self._pantry)
        self.change(rows)

    @property
    def offer(self) -> Offer | None:
        """The highlighted offer."""
        return None if self.index is None or not self.offers else self.offers[self.index]


def offer_row(offer: Offer, pantry: Pantry | None) -> Row:
    from adapter.words.offer_words import allergens_short, gives_parts, into_parts

    unmet = (("! ", "warn"),) if offer.missed else ()
    notes = [f"{offer.share_percent:g} % of it"] if offer.share_percent < 100 else []
    notes += [offer.says] if offer.says else []
    share = ((f" ({', '.join(notes)})", "faint"),) if notes else ()
    stock = "" if pantry is None else "short" if offer.short(pantry) else "yes"
    return Row(
        (
            Items(into_parts(offer), share, unmet),
            ((f"{offer.drift:.1f}", "strong"),),
            Items(gives_parts(offer)),
            ((allergens_short(offer), "warn"),),
            ((stock, "warn" if stock == "short" else ""),),
        )
    )
