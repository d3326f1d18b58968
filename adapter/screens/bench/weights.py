"""Weights typed on the bench: for a line, and for what a swap brings in."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from adapter.dough.readings.measured import Measured, measure
from adapter.formula.problems import InputProblem
from adapter.screens.bench.aims import type_aim
from adapter.screens.bench.pieces_dialog import ask_which
from adapter.screens.bench.share import Sharing
from adapter.screens.parts.dialogs import AskDialog
from adapter.swaps.variant import with_amount
from adapter.work.typed_lines import Amount, PiecesOrGrams, amount_typed

if TYPE_CHECKING:
    from adapter.formula.ingredient import Ingredient
    from adapter.screens.parts.levels import Levels
    from adapter.swaps.offer import Offer

AMOUNT_HINT = ", or as people write it: 1 1/2 cups, 2 tbsp, 0.5 lb · Enter takes it · Esc leaves it"


class Weighing(Sharing, Protocol):
    """What weights ask of the bench screen."""

    @property
    def level_rows(self) -> Levels: ...

    def show_typed(self, typed: Measured | None) -> None:
        """The levels while a weight is typed; None shows again what stands."""
        ...

    def begin_line(self, begun: str = "") -> None:
        """Ask for a further line, begun with what was typed."""
        ...

    def changed(self, line: int | None = None) -> None:
        """The work changed: show it with a line highlighted, and keep it."""
        ...


class Weights:
    """Asks for weights and puts them on the bench."""

    def __init__(self, screen: Weighing) -> None:
        self._screen = screen

    def action_weigh(self, digit: str) -> None:
        """A digit on a line, or on a swap, begins a weight; on a level what it is to be."""
        if self._screen.at_levels:
            type_aim(self._screen, digit)
        else:
            self._ask_weight(digit)

    def action_grams(self) -> None:
        if self._screen.at_levels:
            type_aim(self._screen, "")
        else:
            self._ask_weight(None)

    def _ask_weight(self, begun: str | None) -> None:
        screen = self._screen
        offer = screen.offers.offer
        if screen.at_offers and offer is not None:
            self._ask_grams_of_offer(offer, begun)
        elif screen.lines.line is not None:
            self._ask_grams_of_line(screen.lines.line, begun)
        elif not screen.session.open_bench.formula.lines:
            screen.begin_line(begun or "")
        else:
            screen.say("there is no line to weigh")

    def _ask_grams_of_line(self, place: int, begun: str | None) -> None:
        screen = self._screen
        bench = screen.session.open_bench
        line = bench.formula.lines[place]
        ingredient = bench.kitchen.catalogue.get(line.ingredient)
        units = screen.units
        stands = line.amount or units.to_edit(line.grams, line.ingredient)
        bare = units.bare(ingredient, line.grams)

        def grams(text: str) -> float:
            return line.grams if text == stands else typed_grams(text, ingredient, bare)

        def measured(text: str) -> Measured:
            formula, _ = with_amount(bench.formula, place, grams(text))
            return measure(bench.kitchen, formula, None if bench.formula.adapted is None else bench.now.book)

        def watch(text: str) -> None:
            try:
                screen.show_typed(measured(text))
            except InputProblem:
                screen.show_typed(None)

        def check(text: str) -> str | None:
            if bench.work.variant.is_being_written:
                grams(text)
            else:
                measured(text)
            return None

        def put(amount: Amount) -> None:
            if screen.attempt(lambda: bench.type_amount(place, amount.grams, amount.written)):
                screen.changed(place)
                told = units.change(line.grams, amount.grams, line.ingredient)
                screen.say(f"{line.ingredient}: {told} · u undoes it")

        def take(text: str | None) -> None:
            screen.show_typed(None)
            if text is not None:
                same = Amount(line.grams, line.amount)
                typed = same if text == stands else amount_typed(text, ingredient, bare_unit=bare)
                ask_which(screen, line.ingredient, typed, put)

        self._ask(f"How much {line.ingredient}?", stands, bare, begun, check, take, watch)

    def _ask_grams_of_offer(self, offer: Offer, begun: str | None) -> None:
        """A weight for the first ingredient that comes in; the rest is balanced around it."""
        screen = self._screen
        bench = screen.session.open_bench
        if not offer.chosen:
            screen.say("nothing comes in whose grams could be typed: ←→ sets the share that is left out")
            return
        name = offer.chosen[0]
        ingredient = bench.kitchen.catalogue.get(name)
        now = next((amount.grams for amount in offer.into if amount.ingredient == name), 0.0)
        units = screen.units
        stands, bare = units.to_edit(now, name), units.bare(ingredient, now)

        def grams(text: str) -> float:
            return now if text == stands else typed_grams(text, ingredient, bare)

        def check(text: str) -> str | None:
            return None if grams(text) > 0 else "it has to be more than nothing"

        def take(text: str | None) -> None:
            if text is None:
                return
            typed = {name: grams(text)}
            holds = bench.work.holds
            if screen.solve_again(lambda: bench.swapper().offer_again(offer, offer.share_percent, holds, typed)):
                screen.say(f"{name} {units.amount(typed[name], name)}, the rest balanced around it · Enter takes it")

        self._ask(f"How much {name} in this swap?", stands, bare, begun, check, take)

    def _ask(
        self,
        question: str,
        stands: str,
        bare: str,
        begun: str | None,
        check: Callable[[str], str | None],
        take: Callable[[str | None], None],
        watch: Callable[[str], None] | None = None,
    ) -> None:
        value = stands if begun is None else begun
        hint = self._screen.units.hint(bare) + AMOUNT_HINT
        dialog = AskDialog(question, value, check=check, watch=watch, hint=hint, select=begun is None)
        self._screen.ask(dialog, take)


def typed_grams(text: str, ingredient: Ingredient, bare: str) -> float:
    """Grams of an amount as written, a bare number in the unit that is shown. Raises InputProblem."""
    amount = amount_typed(text, ingredient, bare_unit=bare)
    return amount.grams.grams if isinstance(amount, PiecesOrGrams) else amount.grams
