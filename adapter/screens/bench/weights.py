"""Weights typed on the bench: for a line, for what a swap brings in, for a further line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Protocol

from adapter.dough.readings.measured import Measured, measure
from adapter.formula.amounts import grams_of
from adapter.formula.model import DEFAULT_STAGE, Line
from adapter.formula.problems import InputProblem
from adapter.screens.bench.aims import type_aim
from adapter.screens.parts.dialogs import AskDialog, ChooseDialog
from adapter.screens.parts.frame import Frame
from adapter.swaps.variant import with_amount
from adapter.words.text_report import grams_text

if TYPE_CHECKING:
    from adapter.formula.ingredient import Ingredient
    from adapter.screens.bench.lines import Lines
    from adapter.screens.bench.offers import Offers
    from adapter.screens.parts.levels import Levels
    from adapter.swaps.offer import Offer

AMOUNT_HINT = "grams, or as people write it: 1 1/2 cups, 2 tbsp, 0.5 lb · Enter takes it · Esc leaves it"


class Weighing(Frame, Protocol):
    """What weights ask of the bench screen."""

    @property
    def lines(self) -> Lines: ...

    @property
    def offers(self) -> Offers: ...

    @property
    def level_rows(self) -> Levels: ...

    @property
    def at_lines(self) -> bool: ...

    @property
    def at_levels(self) -> bool: ...

    @property
    def at_offers(self) -> bool: ...

    def show_typed(self, typed: Measured | None) -> None:
        """The levels while a weight is typed; None shows again what stands."""
        ...

    def solve_again(self, solve: Callable[[], Offer]) -> bool:
        """Work the highlighted swap out anew, in its place; whether that could be done."""
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
        else:
            screen.say("there is no line to weigh")

    def _ask_grams_of_line(self, place: int, begun: str | None) -> None:
        screen = self._screen
        bench = screen.session.open_bench
        line = bench.formula.lines[place]
        ingredient = bench.kitchen.catalogue.get(line.ingredient)

        def measured(text: str) -> Measured:
            formula, _ = with_amount(bench.formula, place, typed_grams(text, ingredient))
            return measure(bench.kitchen, formula, bench.now.book)

        def watch(text: str) -> None:
            try:
                screen.show_typed(measured(text))
            except InputProblem:
                screen.show_typed(None)

        def check(text: str) -> str | None:
            measured(text)
            return None

        def take(text: str | None) -> None:
            screen.show_typed(None)
            if text is None:
                return
            grams = typed_grams(text, ingredient)
            if screen.attempt(lambda: bench.type_amount(place, grams)):
                screen.changed(place)
                screen.say(f"{line.ingredient}: {grams_text(line.grams)} → {grams_text(grams)} g · u undoes it")

        self._ask(f"How much {line.ingredient}?", line.grams, begun, check, take, watch)

    def _ask_grams_of_offer(self, offer: Offer, begun: str | None) -> None:
        """A weight for the first ingredient that comes in; the rest is balanced around it."""
        screen = self._screen
        bench = screen.session.open_bench
        name = offer.chosen[0]
        ingredient = bench.kitchen.catalogue.get(name)
        now = next((amount.grams for amount in offer.into if amount.ingredient == name), 0.0)

        def check(text: str) -> str | None:
            return None if typed_grams(text, ingredient) > 0 else "it has to be more than nothing"

        def take(text: str | None) -> None:
            if text is None:
                return
            typed = {name: typed_grams(text, ingredient)}
            holds = bench.work.holds
            if screen.solve_again(lambda: bench.swapper().offer_again(offer, offer.share_percent, holds, typed)):
                screen.say(f"{name} {typed[name]:g} g, the rest balanced around it · Enter takes it")

        self._ask(f"How much {name} in this swap?", now, begun, check, take)

    def _ask(
        self,
        question: str,
        grams: float,
        begun: str | None,
        check: Callable[[str], str | None],
        take: Callable[[str | None], None],
        watch: Callable[[str], None] | None = None,
    ) -> None:
        value = f"{grams:g}" if begun is None else begun
        dialog = AskDialog(question, value, check=check, watch=watch, hint=AMOUNT_HINT, select=begun is None)
        self._screen.ask(dialog, take)

    # ------------------------------------------------------------------ lines put in and struck out

    def action_strike(self) -> None:
        screen = self._screen
        place = screen.lines.line
        if not screen.at_lines or place is None:
            screen.say("x strikes a line of the formula: Tab goes there")
            return
        bench = screen.session.open_bench
        name = bench.formula.lines[place].ingredient
        if screen.attempt(lambda: bench.strike(place)):
            screen.changed(place)
            screen.say(f"{name} struck out · u undoes it")

    def action_add(self) -> None:
        catalogue = self._screen.session.open_bench.kitchen.catalogue

        def find(words: str) -> Sequence[tuple[str, str]]:
            return [(item.name, ", ".join(item.aliases)) for item in catalogue.search(words)[:60]]

        self._screen.ask(ChooseDialog("Put in which ingredient?", find), self._ask_grams_of_new)

    def _ask_grams_of_new(self, name: str | None) -> None:
        if name is None:
            return
        screen = self._screen
        bench = screen.session.open_bench
        ingredient = bench.kitchen.catalogue.get(name)
        before = screen.lines.line
        stage = bench.formula.lines[before].stage if before is not None else DEFAULT_STAGE
        at = before + 1 if before is not None else 0

        def take(text: str | None) -> None:
            if text is None:
                return
            line = Line(name, typed_grams(text, ingredient), stage)
            if screen.attempt(lambda: bench.add(line, at)):
                screen.changed(at)
                screen.say(f"{name} {line.grams:g} g put in · u undoes it")

        def check(text: str) -> str | None:
            typed_grams(text, ingredient)
            return None

        screen.ask(AskDialog(f"How much {name}?", "", check=check, hint="grams, cups, tbsp … · Enter · Esc"), take)


def typed_grams(text: str, ingredient: Ingredient) -> float:
    """Grams of an amount as written for an ingredient. Raises InputProblem."""
    if not text.strip():
        raise InputProblem("no amount", right="grams, such as 250")
    return grams_of(text, ingredient.property("density_g_ml") or None, ingredient.property("each_g") or None)
