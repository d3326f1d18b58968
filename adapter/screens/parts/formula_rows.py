"""A formula to look at, stage by stage."""

from __future__ import annotations

from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Column
from adapter.screens.parts.rows import Row, heading

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.formula.model import Line
    from adapter.words.units import Units

PREVIEW_COLUMNS = (
    Column("", least=22, most=36),
    Column("grams", right=True, room=5, gap=1),
    Column("% flour", right=True, room=5, drop=1, gap=1),
)


def by_stage(lines: tuple[Line, ...]) -> list[tuple[str, list[int]]]:
    """Runs of lines of one stage, in the order they are written."""
    runs: list[tuple[str, list[int]]] = []
    for place, line in enumerate(lines):
        if not runs or runs[-1][0] != line.stage:
            runs.append((line.stage, []))
        runs[-1][1].append(place)
    return runs


def preview_columns(units: Units) -> tuple[Column, ...]:
    """The columns with the head of the amounts as they are shown."""
    name, amount, percent = PREVIEW_COLUMNS
    return (name, amount._replace(title=units.head), percent)


def preview_rows(measured: Measured, units: Units) -> list[Row]:
    """A formula to look at: stages, ingredients, amounts and their % of the flour."""
    rows: list[Row] = []
    flour = measured.amount("flour")
    for stage, places in by_stage(measured.formula.lines):
        rows.append(heading(stage))
        for place in places:
            line = measured.formula.lines[place]
            amount = units.cell(line.grams, line.ingredient)
            rows.append(Row((line.ingredient, ((amount, "strong"),), f"{100 * line.grams / flour:.1f}")))
    return rows
