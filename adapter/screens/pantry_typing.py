"""What is typed into the pantry: cells typed over where they stand, entries put in and struck out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from textual import events, on
from textual.widgets import Input

from adapter.files.packet_figures import LABELS
from adapter.files.stock_typing import (
    date_shown,
    date_typed,
    figure_shown,
    figure_typed,
    grams_typed,
    price_shown,
    price_typed,
    stock_shown,
)
from adapter.files.stock_words import changed_words
from adapter.formula.pantry import Measurement, Pantry, Stock
from adapter.formula.problems import InputProblem
from adapter.screens.dialogs import AskDialog, ChooseDialog, ConfirmDialog
from adapter.screens.pantry_keeping import PantryKeeping
from adapter.screens.widgets.cells import CellInput, CellRows
from adapter.screens.widgets.stock_table import BEST_BEFORE, GRAMS, OWN, OWN_FIGURE, PRICE, FigureTable, StockTable

if TYPE_CHECKING:
    from adapter.formula.ingredient import Ingredient

KEYS = "Enter takes it · Tab goes on · Esc"
GRAMS_HINT = f"grams, 2 kg, 1 1/2 cups or plenty · {KEYS}"
PRICE_HINT = f"of a kilogram: 2.40, or 3.60 for 750 g · {KEYS}"
DATE_HINT = f"2031-05-04 or 4.5.2031 · {KEYS}"
FIGURE_HINT = "with its spread where that is known: 4.1 ± 0.2 · Enter takes it · Esc"


@dataclass(frozen=True, slots=True)
class Editing:
    """A cell that is being typed over: its rows, the entry, and what becomes of the entry by what is typed."""

    rows: CellRows
    place: int
    entry: Stock
    typed: Callable[[str], Stock]


class PantryTyping(PantryKeeping):
    """The part of the pantry that is typed into."""

    def __init__(self) -> None:
        super().__init__()
        self.editing: Editing | None = None

    @property
    def stock(self) -> StockTable:
        return self.query_one("#stock", StockTable)

    @property
    def figures(self) -> FigureTable:
        return self.query_one("#figures", FigureTable)

    @property
    def field(self) -> CellInput:
        return self.query_one("#cell", CellInput)

    @property
    def entry(self) -> Stock | None:
        """The highlighted entry."""
        place = self.stock.index
        return None if place is None or not self.pantry.stock else self.pantry.stock[place]

    @property
    def at_figures(self) -> bool:
        return self.focused is self.figures

    def shipped(self, name: str) -> Ingredient:
        """An ingredient as the tables have it, without figures of its own."""
        return self.shipped_catalogue.get(name)

    # ------------------------------------------------------------------ a cell

    def say(self, text: str, fault: bool = False) -> None:
        super().say(text, fault)
        if self.editing is not None:
            # A message of two lines moves the rows, and the field with them.
            self.call_after_refresh(self.field.place)

    def on_key(self, event: events.Key) -> None:
        """A digit on a cell begins typing it over."""
        if self.editing is None and event.character is not None and event.character.isdecimal():
            event.stop()
            event.prevent_default()
            self._edit(event.character)

    def action_edit(self) -> None:
        self._edit(None)

    def _edit(self, begun: str | None) -> None:
        entry = self.entry
        if entry is None:
            self.say("nothing in stock: a puts something in")
        elif self.at_figures:
            self._edit_figure(entry, begun)
        elif self.stock.column == OWN:
            self.action_figures()
        else:
            self._edit_stock(entry, begun)

    def _edit_stock(self, entry: Stock, begun: str | None) -> None:
        ingredient = self.shipped(entry.ingredient)
        price = price_shown(entry.price_per_kg)

        def price_over(text: str) -> Stock:
            # What stands in the cell is rounded: taken as it is, it changes nothing.
            return entry if text.strip() == price else replace(entry, price_per_kg=price_typed(text, ingredient))

        shown, typed, hint = {
            GRAMS: (
                stock_shown(entry.grams),
                lambda text: replace(entry, grams=grams_typed(text, ingredient)),
                GRAMS_HINT,
            ),
            PRICE: (price, price_over, PRICE_HINT),
            BEST_BEFORE: (
                date_shown(entry.best_before),
                lambda text: replace(entry, best_before=date_typed(text)),
                DATE_HINT,
            ),
        }[self.stock.column]
        self._open_cell(self.stock, self.stock.column, entry, typed, shown, begun)
        self.say(hint)

    def _edit_figure(self, entry: Stock, begun: str | None) -> None:
        key = self.figures.key
        if key is None:
            return
        own = None if entry.measurement is None else getattr(entry.measurement, key)
        self._open_cell(
            self.figures, OWN_FIGURE, entry, lambda text: with_figure(entry, key, text), figure_shown(own), begun
        )
        self.say(f"{LABELS[key][0]}, {FIGURE_HINT}")

    def _open_cell(
        self,
        rows: CellRows,
        column: int,
        entry: Stock,
        typed: Callable[[str], Stock],
        value: str,
        begun: str | None,
    ) -> None:
        place, row = self.stock.index, rows.index
        if place is not None and row is not None:
            self.editing = Editing(rows, place, entry, typed)
            self.field.open_over(rows, row, column, value, begun)

    def leave_cell(self) -> bool:
        """Leave the cell as it was; whether one was being typed over."""
        editing, self.editing = self.editing, None
        if editing is None:
            return False
        self.field.close()
        self.say("")
        editing.rows.focus()
        return True

    @on(Input.Submitted, "#cell")
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self._take_cell()

    @on(CellInput.GoOn)
    def _take_and_go_on(self) -> None:
        """The field moves on to the next cell; it is not closed in between, so that no key goes astray."""
        editing = self.editing
        if editing is None or editing.rows is not self.stock or self.stock.column not in (GRAMS, PRICE):
            self._take_cell()
        elif self._take_cell(close=False):
            self.stock.to_column(1)
            entry = self.entry
            if entry is not None:
                self._edit_stock(entry, None)

    @on(CellInput.Left)
    def _left(self) -> None:
        """The keys went elsewhere: what was typed is taken, or it is said why not."""
        editing = self.editing
        if editing is not None and not self._take_cell(refocus=False):
            fault = self.said.removeprefix("! ")
            self.editing = None
            self.field.close()
            self.say(f"{editing.entry.ingredient} is as it was: {fault}", fault=True)

    def _take_cell(self, *, close: bool = True, refocus: bool = True) -> bool:
        """Take what was typed; where it cannot be meant it is said why, and the field stays open."""
        editing = self.editing
        if editing is None:
            return False
        try:
            new = editing.typed(self.field.value)
        except InputProblem as problem:
            self.say(str(problem), fault=True)
            return False
        old = editing.entry
        if new == old:
            self.say("")
        elif not self.change(self.pantry.with_stock(new, editing.place), changed_words(old, new)):
            return False
        self.editing = None
        if close:
            self.field.close()
            if refocus:
                editing.rows.focus()
        return True

    # ------------------------------------------------------------------ figures and entries

    def action_figures(self) -> None:
        entry = self.entry
        if self.at_figures:
            self.stock.focus()
        elif entry is None:
            self.say("nothing in stock that could have figures: a puts something in")
        elif not self.figures.keys:
            self.say(f"{entry.ingredient} has no figures that a packet could replace")
        else:
            self.add_class("-at-figures")
            self.figures.focus()

    def action_add_stock(self) -> None:
        catalogue = self.shipped_catalogue

        def find(words: str) -> list[tuple[str, str]]:
            return [(item.name, self._said_of(item)) for item in catalogue.search(words)[:60]]

        self.app.push_screen(ChooseDialog("Put in which ingredient?", find), self._ask_grams)

    def _said_of(self, ingredient: Ingredient) -> str:
        entries = self.pantry.of(ingredient.name)
        if not entries:
            return ", ".join(ingredient.aliases)
        return "in stock already: " + ", ".join(stock_shown(entry.grams) for entry in entries)

    def _ask_grams(self, name: str | None) -> None:
        if name is None:
            return
        ingredient = self.shipped(name)
        besides = ", besides what is there" if self.pantry.of(name) else ""

        def take(text: str | None) -> None:
            if text is None:
                return
            at = 0 if self.stock.index is None else self.stock.index + 1
            stock = (*self.pantry.stock[:at], Stock(name, grams_typed(text, ingredient)), *self.pantry.stock[at:])
            if self.change(replace(self.pantry, stock=stock), f"{name} put in", at):
                self.stock.column = GRAMS
                self.stock.focus()

        def check(text: str) -> str | None:
            grams_typed(text, ingredient)
            return None

        hint = "grams, 2 kg, 1 1/2 cups, plenty · Enter takes it · Esc leaves it"
        self.app.push_screen(AskDialog(f"How much {name}{besides}?", "plenty", check=check, hint=hint), take)

    def action_strike_stock(self) -> None:
        entry, place = self.entry, self.stock.index
        if entry is None or place is None:
            self.say("nothing to strike")
        elif self.at_figures:
            self._strike_figure(entry, place)
        else:
            self.change(self.pantry.without(place), f"{entry.ingredient} struck out")

    def _strike_figure(self, entry: Stock, place: int) -> None:
        key = self.figures.key
        if key is None or entry.measurement is None or getattr(entry.measurement, key) is None:
            self.say("that is the table's figure: it stays")
            return
        new = with_figure(entry, key, "")
        self.change(self.pantry.with_stock(new, place), changed_words(entry, new))

    def action_find(self) -> None:
        """Go to an entry by roughly its name."""
        catalogue = self.shipped_catalogue

        def find(words: str) -> list[tuple[str, str]]:
            names = {item.name for item in catalogue.search(words)}
            places = [(place, entry) for place, entry in enumerate(self.pantry.stock) if entry.ingredient in names]
            return [(f"{place + 1}  {entry.ingredient}", stock_shown(entry.grams)) for place, entry in places]

        def take(found: str | None) -> None:
            if found is not None:
                self.stock.focus()
                self.stock.highlight(int(found.split()[0]) - 1)

        self.app.push_screen(ChooseDialog("Find which entry?", find), take)

    def action_start_empty(self) -> None:
        def take(sure: bool | None) -> None:
            if sure:
                self.change(Pantry("pantry"), "an empty pantry: a puts something in", 0)

        count = len(self.pantry.stock)
        question = f"Begin with an empty pantry? The {count} entries are struck out; u brings them back."
        self.app.push_screen(ConfirmDialog(question, "begin empty", "leave it"), take)


def with_figure(entry: Stock, key: str, text: str) -> Stock:
    """An entry with one figure of its packet as it was typed. Raises InputProblem for one that cannot be meant."""
    try:
        figure = figure_typed(key, text)
    except InputProblem as problem:
        raise InputProblem(problem.what, where=LABELS[key][0], right=problem.right) from None
    measurement = replace(entry.measurement or Measurement(), **{key: figure})
    return replace(entry, measurement=measurement if any(measurement.given()) else None)
