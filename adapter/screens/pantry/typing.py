"""What is typed into the pantry: cells typed over where they stand, entries put in and struck out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from adapter.dough.packet_figures import LABELS
from adapter.formula.pantry import Measurement, Pantry, Stock
from adapter.formula.problems import InputProblem
from adapter.screens.pantry.stock_table import BEST_BEFORE, GRAMS, OWN, PRICE, stock_cell
from adapter.screens.parts.dialogs import AskDialog, ChooseDialog, ConfirmDialog, fault_in
from adapter.screens.parts.frame import Frame
from adapter.words.stock_typing import (
    date_shown,
    date_typed,
    figure_shown,
    figure_typed,
    grams_typed,
    price_shown,
    price_typed,
)
from adapter.words.stock_words import changed_words
from adapter.work.typed_lines import Understood, stock_amount, understood

if TYPE_CHECKING:
    from adapter.formula.catalogue import Catalogue
    from adapter.formula.ingredient import Ingredient
    from adapter.screens.pantry.keeping import PantryKeeper
    from adapter.screens.pantry.stock_table import FigureTable, StockTable
    from adapter.screens.parts.cells import CellRows

Over = Callable[[str], Stock]
"""What becomes of an entry by what is typed over one of its cells. It may raise InputProblem."""

KEYS = "Enter takes it · Tab goes on · Esc"
GRAMS_HINT = f", 2 kg, 1 1/2 cups or plenty · {KEYS}"
PRICE_HINT = f"of a kilogram: 2.40, or 3.60 for 750 g · {KEYS}"
DATE_HINT = f"2031-05-04 or 4.5.2031 · {KEYS}"
FIGURE_HINT = "with its spread where that is known: 4.1 ± 0.2 · Enter takes it · Esc"


class TypedInto(Frame, Protocol):
    """What typing asks of the pantry screen."""

    @property
    def stock(self) -> StockTable: ...

    @property
    def figures(self) -> FigureTable: ...

    @property
    def entry(self) -> Stock | None:
        """The highlighted entry."""
        ...

    @property
    def at_figures(self) -> bool: ...

    def to_figures(self) -> None:
        """Give the figures the keys."""
        ...


class StockTyping:
    """Cells typed over, entries put in, found and struck out. The keeper takes what comes of it."""

    def __init__(self, screen: TypedInto, keeper: PantryKeeper) -> None:
        self._screen = screen
        self._keeper = keeper

    @property
    def pantry(self) -> Pantry:
        return self._keeper.pantry

    @property
    def catalogue(self) -> Catalogue:
        """The tables, without figures of the baker's own packets."""
        return self._keeper.shipped_catalogue

    # ------------------------------------------------------------------ a cell

    def action_edit(self) -> None:
        self.open_cell(None)

    def open_cell(self, begun: str | None) -> None:
        """Type the highlighted cell over, beginning with a character that was typed."""
        entry = self._screen.entry
        if entry is None:
            self._screen.say("nothing in stock: a puts something in")
        elif self._screen.at_figures:
            self._open_figure(entry, begun)
        elif self._screen.stock.column == OWN:
            self.action_next_part()
        else:
            self._open_stock(entry, begun)

    def _open_stock(self, entry: Stock, begun: str | None) -> None:
        ingredient = self.catalogue.get(entry.ingredient)
        units = self._screen.units
        stock, bare = stock_cell(entry, units), units.bare(ingredient, entry.grams)
        price = price_shown(entry.price_per_kg)

        def grams_over(text: str) -> Stock:
            # What stands in the cell is rounded: taken as it is, it changes nothing.
            return entry if text.strip() == stock else replace(entry, grams=grams_typed(text, ingredient, bare))

        def price_over(text: str) -> Stock:
            return entry if text.strip() == price else replace(entry, price_per_kg=price_typed(text, ingredient))

        def date_over(text: str) -> Stock:
            return replace(entry, best_before=date_typed(text))

        cells: dict[int, tuple[str, Over, str]] = {
            GRAMS: (stock, grams_over, f"{units.hint(bare)}{GRAMS_HINT}"),
            PRICE: (price, price_over, PRICE_HINT),
            BEST_BEFORE: (date_shown(entry.best_before), date_over, DATE_HINT),
        }
        stands, over, hint = cells[self._screen.stock.column]
        self._screen.say(hint)
        self._screen.stock.begin(stands, self._taker(entry, over), begun)

    def _open_figure(self, entry: Stock, begun: str | None) -> None:
        key = self._screen.figures.key
        if key is None:
            return
        own = None if entry.measurement is None else getattr(entry.measurement, key)
        self._screen.say(f"{LABELS[key][0]}, {FIGURE_HINT}")
        self._screen.figures.begin(
            figure_shown(own), self._taker(entry, lambda text: with_figure(entry, key, text)), begun
        )

    def _taker(self, old: Stock, over: Over) -> Callable[[str], bool]:
        """What takes a typed text; where it cannot be meant, it is said why and nothing is taken."""
        place = self._screen.stock.index

        def take(text: str) -> bool:
            try:
                new = over(text)
            except InputProblem as problem:
                self._screen.say(str(problem), fault=True)
                return False
            if new == old:
                self._screen.say("")
                return True
            return self._keeper.change(self.pantry.with_stock(new, place), changed_words(old, new, self._screen.units))

        return take

    def go_on(self, rows: CellRows) -> None:
        """A cell was taken by Tab: the next one is to be typed over."""
        entry = self._screen.entry
        if rows is self._screen.stock and entry is not None and self._screen.stock.column in (GRAMS, PRICE):
            self._screen.stock.to_column(1)
            self._open_stock(entry, None)

    # ------------------------------------------------------------------ figures and entries

    def action_next_part(self) -> None:
        entry = self._screen.entry
        if self._screen.at_figures:
            self._screen.stock.focus()
        elif entry is None:
            self._screen.say("nothing in stock that could have figures: a puts something in")
        elif not self._screen.figures.keys:
            self._screen.say(f"{entry.ingredient} has no figures that a packet could replace")
        else:
            self._screen.to_figures()

    def action_add(self) -> None:
        catalogue, reader = self.catalogue, self._screen.session.line_reader()
        typed = Understood("", "", ())

        def find(words: str) -> list[tuple[str, str]]:
            nonlocal typed
            typed = understood(words, catalogue, reader)
            return [(item.name, self._said_of(item)) for item in typed.choices]

        def nothing(words: str) -> str:
            return str(catalogue.not_found(typed.name)) if typed.name else f"{typed.amount} of what?"

        def take(name: str | None) -> None:
            if name is not None:
                self._ask_grams(name, stock_amount(typed, catalogue.get(name), reader))

        self._screen.ask(ChooseDialog("Put in what? 2 kg rye flour, or a name", find, nothing=nothing), take)

    def _said_of(self, ingredient: Ingredient) -> str:
        entries = self.pantry.of(ingredient.name)
        if not entries:
            return ", ".join(ingredient.aliases)
        return "in stock already: " + ", ".join(stock_cell(entry, self._screen.units) for entry in entries)

    def _ask_grams(self, name: str, typed: str) -> None:
        """Ask how much there is, with what was typed already, which needs no question."""
        ingredient = self.catalogue.get(name)
        units = self._screen.units
        bare = units.bare(ingredient)
        besides = ", besides what is there" if self.pantry.of(name) else ""

        def take(text: str | None) -> None:
            if text is None:
                return
            at = 0 if self._screen.stock.index is None else self._screen.stock.index + 1
            stock = (*self.pantry.stock[:at], Stock(name, grams_typed(text, ingredient, bare)), *self.pantry.stock[at:])
            if self._keeper.change(replace(self.pantry, stock=stock), f"{name} put in", at):
                self._screen.stock.column = GRAMS
                self._screen.stock.focus()

        def check(text: str) -> str | None:
            grams_typed(text, ingredient, bare)
            return None

        hint = f"{units.hint(bare)}, 2 kg, 1 1/2 cups, plenty · Enter takes it · Esc leaves it"
        if typed and fault_in(typed, check) is None:
            take(typed)
        else:
            self._screen.ask(AskDialog(f"How much {name}{besides}?", typed or "plenty", check=check, hint=hint), take)

    def action_strike(self) -> None:
        entry, place = self._screen.entry, self._screen.stock.index
        if entry is None or place is None:
            self._screen.say("nothing to strike")
        elif self._screen.at_figures:
            self._strike_figure(entry, place)
        else:
            self._keeper.change(self.pantry.without(place), f"{entry.ingredient} struck out")

    def _strike_figure(self, entry: Stock, place: int) -> None:
        key = self._screen.figures.key
        if key is None or entry.measurement is None or getattr(entry.measurement, key) is None:
            self._screen.say("that is the table's figure: it stays")
            return
        new = with_figure(entry, key, "")
        self._keeper.change(self.pantry.with_stock(new, place), changed_words(entry, new, self._screen.units))

    def action_find(self) -> None:
        """Go to an entry by roughly its name."""
        catalogue = self.catalogue

        def find(words: str) -> list[tuple[str, str]]:
            names = {item.name for item in catalogue.search(words)}
            places = [(place, entry) for place, entry in enumerate(self.pantry.stock) if entry.ingredient in names]
            return [
                (f"{place + 1}  {entry.ingredient}", stock_cell(entry, self._screen.units)) for place, entry in places
            ]

        def take(chosen: str | None) -> None:
            if chosen is not None:
                self._screen.stock.focus()
                self._screen.stock.highlight(int(chosen.split()[0]) - 1)

        self._screen.ask(ChooseDialog("Find which entry?", find), take)

    def action_throw_away(self) -> None:
        def take(sure: bool | None) -> None:
            if sure:
                self._keeper.change(Pantry("pantry"), "an empty pantry: a puts something in", 0)

        count = len(self.pantry.stock)
        question = f"Begin with an empty pantry? The {count} entries are struck out; u brings them back."
        self._screen.ask(ConfirmDialog(question, "begin empty", "leave it"), take)


def with_figure(entry: Stock, key: str, text: str) -> Stock:
    """An entry with one figure of its packet as it was typed. Raises InputProblem for one that cannot be meant."""
    try:
        figure = figure_typed(key, text)
    except InputProblem as problem:
        raise InputProblem(problem.what, where=LABELS[key][0], right=problem.right) from None
    measurement = replace(entry.measurement or Measurement(), **{key: figure})
    return replace(entry, measurement=measurement if any(measurement.given()) else None)
