"""Finding the swaps for the highlighted line of the bench, beside the screen's own doings."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.screens.bench.offers import AS_REACHED, ORDERS, found_by, in_order
from adapter.screens.parts.dialogs import AskDialog
from adapter.screens.parts.frame import Frame

if TYPE_CHECKING:
    from adapter.screens.bench.lines import Lines
    from adapter.screens.bench.offers import Offers
    from adapter.swaps.offer import Offer

IN_STOCK_ONLY = "in_stock_only"
PAUSE_S = 0.03
"""How long the highlight stands on a line before its swaps are worked out, so that running past costs nothing."""

SORTED_BY = "swaps sorted by"
FIND_HINT = "an ingredient, an allergen, a word of the rule · Enter keeps them · Esc as before"


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
        self._words = ""
        self._own: Offer | None = None
        self._in_stock_only: bool | None = None

    @property
    def in_stock_only(self) -> bool:
        """Only swaps from what is in stock: as it was left the last time."""
        if self._in_stock_only is None:
            self._in_stock_only = self._screen.preferences.flag(IN_STOCK_ONLY)
        return self._in_stock_only

    @property
    def order(self) -> str:
        """What the swaps are sorted by; it is found again at the next start."""
        chosen = self._screen.preferences.text(SORTED_BY, AS_REACHED)
        return chosen if chosen in ORDERS else AS_REACHED

    def ask(self, *, again: bool = False) -> None:
        """Have the offers for the highlighted line worked out, unless they are shown or on their way."""
        screen = self._screen
        bench, line = screen.session.open_bench, screen.lines.line
        wanted = (id(bench.work.variant.formula), line, bench.work.holds)
        if line is None or not bench.has_flour:
            self._asked_for, self._own = wanted, None
            screen.offers.show_offers([], None, screen.units, "swaps", "")
        elif again or wanted != self._asked_for:
            self._asked_for, self._own = wanted, None
            name = bench.formula.lines[line].ingredient
            screen.offers.show_offers([], None, screen.units, f"swaps for {name}", "working them out …")
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
            if name != self._name:
                self._words = ""
            self._name, self._offers = name, offers
            self._list()

    def refine(self, place: int | None) -> bool:
        """A listed swap as it is shown by itself and taken, in its row; whether there was anything to do."""
        screen = self._screen
        bench, offers = screen.session.open_bench, screen.offers.offers
        if place is None or not 0 <= place < len(offers):
            return False
        listed = offers[place]
        if not listed.listed or listed.before.formula is not bench.formula:
            return False
        refined = bench.refined(listed)
        self._offers = [refined if offer is listed else offer for offer in self._offers]
        screen.offers.replace(place, refined)
        return True

    def put_first(self, offer: Offer) -> None:
        """A swap of the baker's own, at the head of the list until another line is looked at."""
        self._own = offer
        self._words = ""
        self._list()
        self._screen.offers.highlight(0)

    def _list(self) -> None:
        screen, name, pantry = self._screen, self._name, self._screen.session.pantry
        offers = in_order(self._offers, self.order, pantry)
        title, empty = f"swaps for {name}", self._nothing()
        if self.in_stock_only and pantry is not None:
            title = f"in stock for {name}"
            in_stock = [offer for offer in offers if not offer.short(pantry)]
            if offers and not in_stock:
                empty = f"nothing in stock stands in for {name} · i shows all {len(offers)}"
            offers = in_stock
        if self._words:
            found = [offer for offer in offers if found_by(offer, self._words, screen.units)]
            title += f" · “{self._words}”"
            if offers and not found:
                empty = f"none of the {len(offers)} has “{self._words}” · / and Enter shows all"
            offers = found
        if self.order != AS_REACHED:
            title += f" · by {self.order}"
        if self._own is not None:
            offers = [self._own, *offers]
        screen.offers.show_offers(offers, pantry, screen.units, title, empty)
        screen.offers_changed()

    def _nothing(self) -> str:
        screen, name = self._screen, self._name
        line = screen.lines.line
        held = line is not None and screen.session.open_bench.is_line_held(line)
        if held:
            return f"{name} is held: h on its line lets it go"
        return f"no rule offers anything for {name} · j swaps it for what you name"

    def action_find(self) -> None:
        """Only the swaps that have what is typed; nothing typed shows all."""
        screen, before = self._screen, self._words

        def watch(text: str) -> None:
            self._words = clean(text)
            self._list()

        def take(text: str | None) -> None:
            watch(before if text is None else text)
            if self._words:
                screen.say(f"{len(screen.offers.offers)} swaps with “{self._words}” · / and an empty line shows all")

        screen.ask(AskDialog("Find among the swaps", before, watch=watch, hint=FIND_HINT), take)

    def action_next_order(self) -> None:
        self._sort(1)

    def action_order_before(self) -> None:
        self._sort(-1)

    def _sort(self, by: int) -> None:
        order = ORDERS[(ORDERS.index(self.order) + by) % len(ORDERS)]
        self._screen.preferences.put(SORTED_BY, order)
        self._list()
        self._screen.offers.highlight(0)
        self._screen.say(f"swaps {order}" if order == AS_REACHED else f"swaps by {order}")

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
