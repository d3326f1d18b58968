"""A plan for several bakes as rows: what to buy, then each formula with its swaps and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Column, listed
from adapter.screens.parts.rows import Row, RowList, heading
from adapter.screens.parts.swap_rows import sure_text, swap_rows, warning_rows

if TYPE_CHECKING:
    from adapter.swaps.bakes import Bakes
    from adapter.swaps.way import Way
    from adapter.words.report_data import BakeOfStore, BakesData
    from adapter.words.units import Units

MARGIN = 5
"""Before a row the mark of the highlight, after it the room of a sign that something is left out."""


class PlanRows(RowList):
    """The plan; a row of a formula knows its way."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("plan", (Column("", least=20),), id=id)
        self.bakes: Bakes | None = None
        self._ways: tuple[int | None, ...] = ()
        self._swaps: tuple[int | None, ...] = ()

    @property
    def swap(self) -> int | None:
        """The number of the swap that the highlight is on."""
        return None if self.index is None or not self._swaps else self._swaps[self.index]

    @property
    def place(self) -> int | None:
        """The number of the formula that the highlight is on."""
        return None if self.index is None or not self._ways else self._ways[self.index]

    @property
    def way(self) -> Way | None:
        place = self.place
        return None if place is None or self.bakes is None else self.bakes.ways[place]

    def show_plan(self, bakes: Bakes | None, empty: str, units: Units, took_s: float = 0.0) -> None:
        from adapter.words.adapt_report import bakes_report, conflict_lines

        self.bakes = bakes
        self.empty = empty
        rows: list[Row] = []
        ways: list[int | None] = []
        swaps: list[int | None] = []

        def add(row: Row, way: int | None = None, swap: int | None = None) -> None:
            rows.append(row)
            ways.append(way)
            swaps.append(swap)

        width = (self.size.width or self.screen.size.width) - MARGIN
        if bakes is not None:
            report = bakes_report(bakes)
            for text in conflict_lines(report):
                for row in warning_rows(text, width):
                    add(row)
            if bakes.ways:
                add(heading("to buy"))
                for row in _bought(report, units):
                    add(row)
            for number, bake in enumerate(report["bakes"]):
                add(Row((f"{bake['count']} × {bake['formula']} · drift {bake['drift']:.1f}",), "strong"), number)
                for row, place in _told(bake, units, width):
                    add(row, number, place)
        self._ways, self._swaps = tuple(ways), tuple(swaps)
        sure = "" if bakes is None else sure_text(bakes.proven, bakes.gap)
        self.show(rows, title=f"plan · {sure} · {took_s:.1f} s" if sure else "plan")


def _bought(report: BakesData, units: Units) -> list[Row]:
    items = [
        Row((f"  {units.amount(item['grams'], item['ingredient'])} {item['ingredient']}",), "warn")
        for item in report["buy"]
    ]
    return items or [Row(("  nothing: the store has it all",))]


def _told(bake: BakeOfStore, units: Units, width: int) -> list[tuple[Row, int | None]]:
    """Rows of a bake, each with the number of its swap."""
    from adapter.words.adapt_report import missed_lines, short_lines
    from adapter.words.text_report import amounts_text

    rows: list[tuple[Row, int | None]] = []
    for place, swap in enumerate(bake["swaps"]):
        out, into = amounts_text(swap["out"], units.amount), amounts_text(swap["into"], units.amount) or "left out"
        told = swap_rows(f"  {out}", into, [units.told(text) for text in swap["why"][:1]], width)
        rows += [(row, place) for row in told]
    warnings = [*missed_lines(bake), *short_lines(bake, units)]
    return rows + [(Row((listed("  " + line, style="warn"),)), None) for line in warnings]
