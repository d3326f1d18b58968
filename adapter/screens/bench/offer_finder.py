"""Finding the swaps for the highlighted line of the bench, beside the screen's own doings."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from adapter.formula.problems import InputProblem
from adapter.screens.parts.frame import Frame

if TYPE_CHECKING:
    from adapter.screens.bench.lines import Lines
    from adapter.screens.bench.offers import Offers
    from adapter.swaps.offer import Offer

IN_STOCK_ONLY = "in_stock_only"
PAUSE_S = 0.03
"""How long the highlight stands on a line before its swaps are worked out, so that running past costs nothing."""


class Offering(Frame, Protocol):
    """What the finder asks of the bench screen."""

    @property
    def lines(self) -> Lines: ...

    @property
    def offers(self) -> Offers: ...

    def offers_changed(self) -> None:
        """Other offers are listed: show what follows from the highlighted one."""
        ...


class OfferFinder:
    """Asks for offers and lists them when they are worked out."""

    def __init__(self, screen: Offering) -> None:
        self._screen = screen
        self._asked_for: tuple[object, ...] = ()
        self._name = ""
        self._offers: list[Offer] = []
        self._in_stock_only: bool | None = None

    @property
    def in_stock_only(self) -> bool:
        """Only swaps from what is in stock: as it was left the last time."""
        if self._in_stock_only is None:
            self._in_stock_only = self._screen.preferences.flag(IN_STOCK_ONLY)
        return self._in_stock_only

    def ask(self, *, again: bool = False) -> None:
        """Have the offers for the highlighted line worked out, unless they are shown or on their way."""
        screen = self._screen
        bench, line = screen.session.open_bench, screen.lines.line
        wanted = (id(bench.work.variant.formula), line, bench.work.holds)
        if line is None or not bench.has_flour:
            self._asked_for = wanted
            screen.offers.show_offers([], None, "swaps", "")
        elif again or wanted != self._asked_for:
            self._asked_for = wanted
            name = bench.formula.lines[line].ingredient
            screen.offers.show_offers([], None, f"swaps for {name}", "working them out …")
            screen.after(PAUSE_S, lambda: self._start(wanted, line, name))

    def _start(self, wanted: tuple[object, ...], line: int, name: str) -> None:
        if wanted == self._asked_for:
            bench = self._screen.session.open_bench
            swapper, holds, pantry = bench.swapper(), bench.work.holds, self._screen.session.pantry
            self._screen.in_background(
                lambda: self._work_out(wanted, name, lambda: swapper.offers(line, None, holds, pantry)), "offers"
            )

    def _work_out(self, wanted: tuple[object, ...], name: str, offers_of: Callable[[], list[Offer]]) -> None:
        screen = self._screen
        with screen.session.solving:
            if wanted != self._asked_for:
                return
            try:
                offers = offers_of()
            except (InputProblem, ArithmeticError) as problem:
                screen.back_on_screen(screen.say, str(problem), True)
                offers = []
        screen.back_on_screen(self._take, wanted, name, offers)

    def _take(self, wanted: tuple[object, ...], name: str, offers: list[Offer]) -> None:
        if wanted == self._asked_for:
            self._name, self._offers = name, offers
            self._list()

    def _list(self) -> None:
        screen, name, offers = self._screen, self._name, self._offers
        pantry, line = screen.session.pantry, screen.lines.line
        held = line is not None and screen.session.open_bench.is_line_held(line)
        title = f"swaps for {name}"
        empty = f"{name} is held: h on its line lets it go" if held else f"no rule offers anything for {name}"
        if self.in_stock_only and pantry is not None:
            in_stock = [offer for offer in offers if not offer.short(pantry)]
            if offers and not in_stock:
                empty = f"nothing in stock stands in for {name} · i shows all {len(offers)}"
            title, offers = f"in stock for {name}", in_stock
        screen.offers.show_offers(offers, pantry, title, empty)
        screen.offers_changed()

    def action_in_stock(self) -> None:
        """Only the swaps that the pantry has everything for, or all of them again."""
        screen = self._screen
        if screen.session.pantry is None:
            screen.say("there is no pantry to look into · p opens it")
            return
        self._in_stock_only = not self.in_stock_only
        screen.preferences.put(IN_STOCK_ONLY, self._in_stock_only)
        self._list()
        screen.say("swaps from what is in stock · i shows all" if self._in_stock_only else "all swaps")
