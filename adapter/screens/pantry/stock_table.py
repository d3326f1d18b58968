"""The pantry's entries as rows, and the figures of one of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from adapter.dough.packet_figures import LABELS, with_usual_spread
from adapter.formula.pantry import Measured, Measurement, Pantry, Stock
from adapter.screens.parts.cells import CellRows
from adapter.screens.parts.columns import Column
from adapter.screens.parts.rows import Row
from adapter.words.freshness import freshness
from adapter.words.stock_typing import date_shown, figure_shown, price_shown, stock_shown
from adapter.words.stock_words import own_names, table_text
from adapter.words.units import Units

NAME, GRAMS, NEED, PRICE, BEST_BEFORE, OWN = range(6)
STOCK_COLUMNS = (
    Column("", least=16, most=36),
    Column("g in stock", right=True, room=8),
    Column("takes", right=True, drop=3),
    Column("a kg", right=True, room=6),
    Column("best before", right=True, room=12),
    Column("own figures", least=11, most=40),
)
FIGURE, UNIT, TABLE, OWN_FIGURE = range(4)
FIGURE_COLUMNS = (
    Column("", least=12, most=15),
    Column("", gap=1, drop=1),
    Column("table", room=11),
    Column("own", room=11),
)
OWN_MARK = "*"


class StockTable(CellRows):
    """One row an entry. `takes` is what the formula on the bench needs of it."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(
            "stock",
            STOCK_COLUMNS,
            (GRAMS, PRICE, BEST_BEFORE, OWN),
            empty="nothing in stock: a puts something in",
            id=id,
        )

    def show_pantry(
        self, pantry: Pantry, needs: Mapping[str, float], today: date, units: Units, index: int | None, title: str
    ) -> None:
        name, stock, *others = STOCK_COLUMNS
        self.columns = (name, stock._replace(title=f"{units.amounts} in stock"), *others)
        rows = []
        for entry in pantry.stock:
            need = needs.get(entry.ingredient, 0.0)
            short = need > pantry.grams_of(entry.ingredient)
            fresh = freshness(entry.best_before, today)
            own = own_names(entry)
            takes = f"{'! ' if short else ''}{units.cell(need, entry.ingredient)}" if need else ""
            cells = (
                entry.ingredient,
                ((stock_cell(entry, units), "strong"),),
                ((takes, "warn" if short else "faint"),),
                price_shown(entry.price_per_kg),
                ((("! " if fresh else "") + date_shown(entry.best_before), "warn" if fresh else ""),),
                ((f"{OWN_MARK} {own}" if own else "", "accent"),),
            )
            rows.append(Row(cells))
        self.show(rows, index, title)


def stock_cell(entry: Stock, units: Units) -> str:
    """What is in stock, and what is typed over: grams as they were given, other units as they are shown."""
    is_as_given = entry.grams is None or units.amounts == units.weight == "g"
    return stock_shown(entry.grams) if is_as_given or entry.grams is None else units.cell(entry.grams, entry.ingredient)


class FigureTable(CellRows):
    """The figures of one entry: the table's, and its own that go over them."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("figures", FIGURE_COLUMNS, (OWN_FIGURE,), empty="nothing to measure", id=id)
        self.keys: tuple[str, ...] = ()

    def show_figures(self, table: Mapping[str, Measured], own: Measurement | None, title: str) -> None:
        self.keys = tuple(table)
        rows = []
        for key in self.keys:
            label, unit = LABELS[key]
            figure = getattr(own, key) if own is not None else None
            shown = f"{OWN_MARK} {figure_shown(with_usual_spread(key, figure))}" if figure is not None else ""
            rows.append(
                Row(
                    (
                        label,
                        ((unit, "faint"),),
                        ((table_text(table[key]), "faint" if shown else ""),),
                        ((shown, "accent"),),
                    )
                )
            )
        self.show(rows, title=title)

    @property
    def key(self) -> str | None:
        """The highlighted figure."""
        return None if self.index is None or not self.keys else self.keys[self.index]


def needs_of(lines: Sequence[tuple[str, float]]) -> dict[str, float]:
    """Grams of each ingredient in the lines of a formula."""
    needs: dict[str, float] = {}
    for name, grams in lines:
        needs[name] = needs.get(name, 0.0) + grams
    return needs
