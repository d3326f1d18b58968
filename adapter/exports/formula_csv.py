"""The lines and readings of a formula as a table for spreadsheets."""

from __future__ import annotations

from adapter.dough.readings.measured import Measured
from adapter.exports.csv_text import Cell, csv_text
from adapter.exports.form import FormulaForm
from adapter.words.reports import lines_data, readings_data

COLUMNS = (
    "what", "stage", "name", "grams", "percent_of_flour", "value", "spread", "unit", "band_low", "band_high", "note",
)  # fmt: skip


def formula_csv(measured: Measured) -> str:
    """One row for each line and each reading, in the order of the formula; numbers unrounded, with a point."""
    rows: list[list[Cell]] = [list(COLUMNS)]
    for line, data in zip(measured.formula.lines, lines_data(measured), strict=True):
        rows.append(
            [
                "line",
                line.stage,
                line.ingredient,
                data["grams"],
                data["percent"],
                None,
                None,
                None,
                None,
                None,
                line.note,
            ]
        )
    for key, reading in readings_data(measured).items():
        low, high = reading["band"] or (None, None)
        found: list[Cell] = [reading["value"], reading["spread"], reading["unit"], low, high, reading["basis"]]
        rows.append(["reading", None, key, None, None, *found])
    return csv_text(rows)


FORM = FormulaForm(".csv", "table for spreadsheets", 5, lambda measured, _: formula_csv(measured))
