"""How much of a line the highlighted swap takes: ← and → by 5 %."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from adapter.screens.parts.frame import Frame

if TYPE_CHECKING:
    from adapter.screens.bench.lines import Lines
    from adapter.screens.bench.offers import Offers
    from adapter.swaps.offer import Offer

STEP = 5.0


class Sharing(Frame, Protocol):
    """What shares ask of the bench screen."""

    @property
    def lines(self) -> Lines: ...

    @property
    def offers(self) -> Offers: ...

    @property
    def at_lines(self) -> bool: ...

    @property
    def at_levels(self) -> bool: ...

    @property
    def at_offers(self) -> bool: ...

    def solve_again(self, solve: Callable[[], Offer]) -> bool:
        """Work the highlighted swap out anew, in its place; whether that could be done."""
        ...


class Share:
    """Changes the share; outside the swaps the same keys go to the part on that side."""

    def __init__(self, screen: Sharing) -> None:
        self._screen = screen

    def action_less_share(self) -> None:
        if self._screen.at_levels:
            self._screen.lines.focus()
        else:
            self._share(-STEP)

    def action_more_share(self) -> None:
        if self._screen.at_lines:
            self._screen.offers.focus()
        else:
            self._share(STEP)

    def _share(self, by: float) -> None:
        screen = self._screen
        offer = screen.offers.offer
        if offer is None or not screen.at_offers:
            return
        share = min(100.0, max(STEP, STEP * round((offer.share_percent + by) / STEP)))
        if share == offer.share_percent:
            screen.say(f"the share is {share:g} % already")
        elif screen.solve_again(lambda: screen.session.open_bench.with_share(offer, share)):
            screen.say(f"share {share:g} %")
