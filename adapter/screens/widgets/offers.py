"""The swaps for a line as rows, and what is to be said of the highlighted one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.content import Content
from textual.widget import Widget

from adapter.screens.widgets.columns import Column, harmless
from adapter.screens.widgets.rows import Row, RowList

if TYPE_CHECKING:
    from adapter.formula.pantry import Pantry
    from adapter.swaps.offer import Offer

COLUMNS = (
    Column("", least=24),
    Column("drift", right=True, room=5),
    Column("what gives", least=16, drop=4),
    Column("allergens", least=12, most=34, drop=3),
    Column("pantry", room=6, drop=2),
)


class Offers(RowList):
    """The offers for the highlighted line, least drift first."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("swaps", COLUMNS, id=id)
        self.offers: list[Offer] = []
        self._pantry: Pantry | None = None

    def show_offers(self, offers: Sequence[Offer], pantry: Pantry | None, title: str, empty: str) -> None:
        self.offers = list(offers)
        self._pantry = pantry
        self.empty = empty
        self.show([offer_row(offer, pantry) for offer in offers], 0, title)

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
    from adapter.files.wording import allergens_short, gives_text, into_text

    unmet = "! " if offer.unmet else ""
    share = "" if offer.share_percent >= 100 else f" ({offer.share_percent:g} %)"
    allergens = allergens_short(offer)
    stock = "" if pantry is None else "short" if offer.short(pantry) else "yes"
    return Row(
        (
            ((unmet, "warn"), (into_text(offer), ""), (share, "faint")),
            ((f"{offer.drift:.1f}", "strong"),),
            gives_text(offer),
            ((allergens, "warn"),),
            ((stock, "warn" if stock == "short" else ""),),
        )
    )


class Details(Widget):
    """A few lines about what is highlighted: plain text, wrapped, never markup."""

    DEFAULT_CSS = """
    Details { height: 3; background: $surface; color: $foreground; padding: 0 1; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.parts: tuple[tuple[str, bool], ...] = ()

    def tell(self, *parts: tuple[str, bool]) -> None:
        """Sentences, each with whether it warns; empty ones are left out."""
        kept = tuple((harmless(text), warns) for text, warns in parts if text)
        if kept != self.parts:
            self.parts = kept
            self.refresh()

    @property
    def text(self) -> str:
        return "\n".join(text for text, _ in self.parts)

    def render(self) -> Content:
        lines = [Content.styled(f"! {text}", "bold $warning") if warns else Content(text) for text, warns in self.parts]
        return Content("\n").join(lines)
