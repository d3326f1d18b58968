"""A comparison as a table for spreadsheets, with the numbers that the command line prints."""

from __future__ import annotations

from collections.abc import Sequence

from adapter.dough.readings.levels import NO_CLEAR_CHANGE
from adapter.dough.readings.measured import Measured
from adapter.exports.csv_text import Cell, csv_text
from adapter.exports.form import ComparisonForm
from adapter.exports.line_names import line_name
from adapter.formula.pantry import Pantry
from adapter.swaps.comparison import aligned_lines, allergen_table, cost, needs
from adapter.words.reports import compare_report, number

CLEAR = "clear"


def comparison_rows(variants: Sequence[Measured], pantry: Pantry | None) -> str:
    """CSV, one row an item: its value in each variant, then change, spread and clearness against the first."""
    names = [variant.formula.name for variant in variants]
    head: list[Cell] = ["what", "stage", "name", "unit", *names]
    for name in names[1:]:
        head += [f"{name}: change", f"{name}: spread of the change", f"{name}: clear"]
    rows = [*_weights(variants), *_readings(variants), *_allergens(variants), *_purchases(variants, pantry)]
    blank: list[Cell] = [None] * len(head)
    return csv_text([head, *((row + blank)[: len(head)] for row in rows)])


def _weights(variants: Sequence[Measured]) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    for line in aligned_lines(variants):
        name = line_name(line)
        rows.append(["line", line.stage, name, "g", *map(_number, line.grams)])
        rows.append(["line", line.stage, name, "% of flour", *map(_number, line.percent)])
    return rows


def _readings(variants: Sequence[Measured]) -> list[list[Cell]]:
    report = compare_report(variants)
    rows = []
    for key, reading in report["variants"][0]["readings"].items():
        row: list[Cell] = ["reading", None, key, reading["unit"]]
        row += [variant["readings"][key]["value"] for variant in report["variants"]]
        for difference in report["differences"]:
            change = difference[key]
            row += [change["change"], change["spread"], CLEAR if change["clear"] else NO_CLEAR_CHANGE]
        rows.append(row)
    return rows


def _allergens(variants: Sequence[Measured]) -> list[list[Cell]]:
    return [
        ["allergen", None, row.group, None, *("yes" if each else "no" for each in row.contained)]
        for row in allergen_table(variants)
    ]


def _purchases(variants: Sequence[Measured], pantry: Pantry | None) -> list[list[Cell]]:
    if pantry is None:
        return []
    rows: list[list[Cell]] = [
        ["to buy", None, need.ingredient, "g", *map(_number, need.missing)] for need in needs(variants, pantry)
    ]
    prices = [cost(variant.formula, pantry) for variant in variants]
    if any(price is not None for price in prices):
        rows.append(["cost", None, "ingredients", None, *map(_number, prices)])
    return rows


def _number(value: float | None) -> float | None:
    return None if value is None else number(value)


FORM = ComparisonForm(".csv", "table for spreadsheets", 1, comparison_rows)
