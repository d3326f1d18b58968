"""Finding the swaps for the highlighted line of the bench, beside the screen's own doings."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from adapter.formula.problems import InputProblem
from adapter.screens.bench.edits import BenchEdits

if TYPE_CHECKING:
    from adapter.dough.readings.levels import Level
    from adapter.dough.readings.measured import Measured
    from adapter.swaps.offer import Offer

PAUSE_S = 0.03
"""How long the highlight stands on a line before its swaps are worked out, so that running past costs nothing."""


class BenchOffers(BenchEdits):
    """The part of the bench that asks for offers and shows them when they are there."""

    def __init__(self) -> None:
        super().__init__()
        self._offers_key: tuple[object, ...] = ()
        self._found: tuple[str, list[Offer]] = ("", [])
        self._in_stock_only = False
        self._seen: dict[int, tuple[Measured, tuple[Level, ...]]] = {}

    def show_around_offers(self) -> None:
        """What else follows the highlighted offer."""
        raise NotImplementedError

    def _key_of_offers(self) -> tuple[object, ...]:
        work = self.session.open_bench.work
        return (id(work.variant.formula), self.lines.line, work.holds)

    def ask_for_offers(self) -> None:
        """Have the offers for the highlighted line worked out, unless they are shown or on their way."""
        line = self.lines.line
        key = self._key_of_offers()
        if line is None:
            self._offers_key = key
            self.offers.show_offers([], None, "swaps", "")
        elif key != self._offers_key:
            self._offers_key = key
            name = self.session.open_bench.formula.lines[line].ingredient
            self.offers.show_offers([], None, f"swaps for {name}", "working them out …")
            self.set_timer(PAUSE_S, lambda: self._start_offers(key, line, name))

    def _start_offers(self, key: tuple[object, ...], line: int, name: str) -> None:
        if key == self._offers_key:
            swapper, holds = self.session.open_bench.swapper(), self.session.open_bench.work.holds
            pantry = self.session.pantry

            def find() -> None:
                self._find_offers(key, name, lambda: swapper.offers(line, None, holds, pantry))

            self.run_worker(find, thread=True, group="offers")

    def _find_offers(self, key: tuple[object, ...], name: str, find: Callable[[], list[Offer]]) -> None:
        with self.session.solving:
            if key != self._offers_key:
                return
            try:
                found = find()
            except (InputProblem, ArithmeticError) as problem:
                self.app.call_from_thread(self.say, str(problem), True)
                found = []
        self.app.call_from_thread(self._offers_found, key, name, found)

    def _offers_found(self, key: tuple[object, ...], name: str, found: list[Offer]) -> None:
        if key != self._offers_key or not self.is_mounted:
            return
        self._found = (name, found)
        self._show_found()

    def _show_found(self) -> None:
        name, found = self._found
        pantry = self.session.pantry
        held = self.lines.line is not None and self.session.open_bench.is_line_held(self.lines.line)
        title = f"swaps for {name}"
        empty = f"{name} is held: h on its line lets it go" if held else f"no rule offers anything for {name}"
        if self._in_stock_only and pantry is not None:
            there = [offer for offer in found if not offer.short(pantry)]
            if found and not there:
                empty = f"nothing in stock stands in for {name} · i shows all {len(found)}"
            title, found = f"in stock for {name}", there
        self._seen = {}
        self.offers.show_offers(found, pantry, title, empty)
        self.show_around_offers()

    def action_in_stock(self) -> None:
        """Only the swaps that the pantry has everything for, or all of them again."""
        if self.session.pantry is None:
            self.say("there is no pantry to look into · p opens it")
            return
        self._in_stock_only = not self._in_stock_only
        self._show_found()
        self.say("swaps from what is in stock · i shows all" if self._in_stock_only else "all swaps")
