"""The pantry: what is in stock, typed over in place, and the figures of a packet or of a measurement."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.geometry import Size

from adapter.dough.packet_figures import figures_of
from adapter.screens.pantry.keeping import PantryKeeper
from adapter.screens.pantry.stock_table import OWN, FigureTable, StockTable, needs_of
from adapter.screens.pantry.typing import StockTyping
from adapter.screens.parts.cells import CellRows
from adapter.screens.parts.details import Details
from adapter.screens.parts.rows import RowList
from adapter.screens.parts.shell import OtherloafScreen
from adapter.words.stock_typing import date_shown, price_shown, stock_shown
from adapter.words.stock_words import figure_sentences, stock_sentences

if TYPE_CHECKING:
    from adapter.formula.pantry import Pantry, Stock

WIDE = 124


class PantryScreen(OtherloafScreen):
    """The list of what is in stock, and beside it the figures of the highlighted entry."""

    NAME = "pantry"
    HELP_NOTES = (
        "* a figure of your own over the table's. ! short of what the open formula needs, or past its date.",
        "A packet's figures count in every formula, with a smaller spread than the table's.",
    )
    CSS_PATH = "pantry.tcss"
    AUTO_FOCUS = "#stock"

    def __init__(self) -> None:
        super().__init__()
        self.today = date.today()
        self.keeper = PantryKeeper(self)
        self.typing = StockTyping(self, self.keeper)
        self.parts = (self.typing, self.keeper)

    def body(self) -> ComposeResult:
        self._suit(self.app.size)
        with Horizontal(id="parts"):
            yield StockTable(id="stock")
            yield FigureTable(id="figures")
        yield Details(id="details")

    @property
    def pantry(self) -> Pantry:
        return self.keeper.pantry

    @property
    def stock(self) -> StockTable:
        return self.query_one("#stock", StockTable)

    @property
    def figures(self) -> FigureTable:
        return self.query_one("#figures", FigureTable)

    @property
    def entry(self) -> Stock | None:
        """The highlighted entry."""
        place = self.stock.index
        return None if place is None or not self.pantry.stock else self.pantry.stock[place]

    @property
    def at_figures(self) -> bool:
        return self.focused is self.figures

    def on_mount(self) -> None:
        self.stock.opener = self.figures.opener = self.typing.open_cell
        self.show_pantry(0)
        self.keeper.look_at_file()

    def on_resize(self, event: events.Resize) -> None:
        self._suit(event.size)

    def _suit(self, size: Size) -> None:
        self.set_class(size.width < WIDE, "-narrow")

    def on_descendant_focus(self) -> None:
        """In a small window the figures are seen while they have the keys."""
        self.set_class(self.at_figures, "-at-figures")
        self.show_keys("figures" if self.at_figures else "stock")
        self._show_details()

    # ------------------------------------------------------------------ showing

    def show_pantry(self, index: int | None = None) -> None:
        bench = self.session.bench
        lines = [] if bench is None else [(line.ingredient, line.grams) for line in bench.formula.lines]
        count = len(self.pantry.stock)
        title = f"{count} entries" if count != 1 else "1 entry"
        self.stock.show_pantry(self.pantry, needs_of(lines), self.today, self.units, index, title)
        name = self.pantry.name
        self.top("pantry" if name.casefold() == "pantry" else f"pantry · {name}", *self.keeper.standing())
        self._show_figures()

    def show_units(self) -> None:
        self.show_pantry()

    def _show_figures(self) -> None:
        entry = self.entry
        if entry is None:
            self.figures.show_figures({}, None, "figures")
        else:
            self.figures.show_figures(
                figures_of(self.keeper.shipped_catalogue.get(entry.ingredient)), entry.measurement, entry.ingredient
            )
        self._show_details()

    def _show_details(self) -> None:
        details, entry, key = self.query_one("#details", Details), self.entry, self.figures.key
        if entry is None:
            details.tell()
        elif self.at_figures and key is not None:
            own = None if entry.measurement is None else getattr(entry.measurement, key)
            table = figures_of(self.keeper.shipped_catalogue.get(entry.ingredient)).get(key)
            details.tell(*figure_sentences(entry.ingredient, key, table, own))
        else:
            ingredient = self.keeper.shipped_catalogue.get(entry.ingredient)
            need = self._need(entry.ingredient)
            details.tell(*stock_sentences(entry, self.pantry, ingredient, need, self.today, self.units))

    def _need(self, name: str) -> float | None:
        """Grams that the formula on the bench takes."""
        bench = self.session.bench
        return None if bench is None else sum(bench.formula.lines[place].grams for place in bench.formula.find(name))

    @on(RowList.Highlighted, "#stock")
    def _entry_highlighted(self) -> None:
        self._show_figures()

    @on(RowList.Highlighted, "#figures")
    @on(CellRows.CellHighlighted)
    def _cell_highlighted(self) -> None:
        self._show_details()

    @on(RowList.Chosen)
    def _cell_chosen(self) -> None:
        self.typing.action_edit()

    @on(CellRows.GoOn)
    def _go_on(self, event: CellRows.GoOn) -> None:
        self.typing.go_on(event.rows)

    @on(CellRows.Left)
    def _left(self) -> None:
        self.say("")

    @on(CellRows.Dropped)
    def _dropped(self) -> None:
        self.say(f"left as it was: {self.said.removeprefix('! ')}", fault=True)

    def key_pressed(self) -> None:
        """While a cell is typed over, what is said of it stays."""
        if self.stock.edit is None and self.figures.edit is None:
            super().key_pressed()

    def text_to_copy(self) -> str:
        return "\n".join(
            "\t".join(
                (each.ingredient, stock_shown(each.grams), price_shown(each.price_per_kg), date_shown(each.best_before))
            )
            for each in self.pantry.stock
        )

    # ------------------------------------------------------------------ moving about

    def to_figures(self) -> None:
        self.add_class("-at-figures")
        self.figures.focus()

    def action_column_left(self) -> None:
        if self.at_figures:
            self.stock.focus()
        else:
            self.stock.to_column(-1)

    def action_column_right(self) -> None:
        if self.at_figures:
            return
        if self.stock.column == OWN:
            self.typing.action_next_part()
        else:
            self.stock.to_column(1)

    def action_back(self) -> None:
        """Out of the figures first, then off the screen."""
        if self.at_figures:
            self.stock.focus()
        else:
            super().action_back()
