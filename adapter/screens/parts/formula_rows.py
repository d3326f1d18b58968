"""A formula to look at, stage by stage."""

from __future__ import annotations

from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Column
from adapter.screens.parts.rows import Row, heading

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.formula.model import Line

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


def preview_rows(measured: Measured) -> list[Row]:
    """A formula to look at: stages, ingredients, grams and their % of the flour."""
    from adapter.words.text_report import grams_text

    rows: list[Row] = []
    flour = measured.amount("flour")
    for stage, places in by_stage(measured.formula.lines):
        rows.append(heading(stage))
        for place in places:
            line = measured.formula.lines[place]
            rows.append(
                Row((line.ingredient, ((grams_text(line.grams), "strong"),), f"{100 * line.grams / flour:.1f}"))
            )
    return rows
