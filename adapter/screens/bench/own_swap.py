"""Swaps of the baker's own on the bench: any lines, one or several, for anything that is named."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from adapter.screens.parts.dialogs import ChooseDialog
from adapter.screens.parts.frame import Frame

if TYPE_CHECKING:
    from adapter.screens.bench.lines import Lines
    from adapter.screens.bench.offer_finder import OfferFinder
    from adapter.screens.bench.offers import Offers

AND = " + "


class Swapping(Frame, Protocol):
    """What own swaps ask of the bench screen."""

    finder: OfferFinder

    @property
    def lines(self) -> Lines: ...

    @property
    def offers(self) -> Offers: ...

    @property
    def at_lines(self) -> bool: ...


class OwnSwap:
    """Marks lines that go out together, and asks what comes in."""

    def __init__(self, screen: Swapping) -> None:
        self._screen = screen

    def action_mark(self) -> None:
        screen = self._screen
        place = screen.lines.line
        if not screen.at_lines or place is None:
            screen.say("Space marks a line of the formula: Tab goes there")
            return
        count = screen.lines.toggle_mark(place)
        screen.say(f"{count} marked · j swaps what is marked for what you name" if count else "none is marked")

    def action_own_swap(self) -> None:
        screen = self._screen
        bench = screen.session.open_bench
        line = screen.lines.line
        out = sorted(screen.lines.marked) or ([line] if line is not None else [])
        if not out:
            screen.say("there is no line to swap")
            return
        from adapter.swaps.order import nearness

        names = [bench.formula.lines[place].ingredient for place in out]
        catalogue = bench.kitchen.catalogue

        def find(words: str) -> Sequence[tuple[str, str]]:
            """What was typed after the last +, behind what stands before it."""
            *before, last = [part.strip() for part in words.split("+")]
            meant = [catalogue.named(part) for part in before if part]
            known = [item.name for item in meant if item is not None]
            if len(known) < len(meant):
                return []
            likely = catalogue.search(last)
            if not last:
                likely = sorted(likely, key=lambda item: (nearness(names[0], item.name, catalogue), not item.everyday))
            found = [item for item in likely[:60] if item.name not in (*names, *known)]
            return [(AND.join((*known, item.name)), ", ".join(item.aliases)) for item in found]

        def take(text: str | None) -> None:
            if text is not None:
                self._put(out, text.split(AND))

        screen.ask(ChooseDialog(f"Swap {AND.join(names)} for what? (a + b for both)", find), take)

    def _put(self, out: Sequence[int], chosen: Sequence[str]) -> None:
        screen = self._screen
        bench = screen.session.open_bench
        offer = bench.swapper().free_swap(out, chosen, None, bench.work.holds)
        screen.offers.focus()
        screen.finder.put_first(offer)
        if offer.rule is None:
            kept = "weight for weight" if offer.request.keep else "balanced on what is held and every reading"
            screen.say(f"by no rule: {kept} · g types another weight · Enter takes it")
        else:
            screen.say("Enter takes it · ←→ share · g grams · Esc leaves it")
