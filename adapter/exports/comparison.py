"""A comparison as a file: CSV for a spreadsheet, Markdown for readers, JSON in the shape that `compare --json` prints.

All three are written from the report that the command line prints, so they hold the same numbers.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from adapter.dough.readings.levels import NO_CLEAR_CHANGE
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import BY_KEY
from adapter.exports.formula_csv import Cell, csv_text
from adapter.exports.markdown import escaped, table
from adapter.formula.pantry import Pantry
from adapter.swaps.comparison import AlignedLine, aligned_lines, allergen_table, cost, needs
from adapter.words.reports import compare_report, number
from adapter.words.text_report import NOTHING, figure_text, grams_text

CLEAR = "clear"


def comparison_json(variants: Sequence[Measured]) -> str:
    """What `otherloaf compare --json` prints, without the names of files, which variants need not have."""
    return json.dumps(compare_report(variants), ensure_ascii=False, indent=2) + "\n"


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


def comparison_markdown(variants: Sequence[Measured], pantry: Pantry | None) -> str:
    """Tables for readers, in the decimals that mean something."""
    names = [escaped(variant.formula.name) for variant in variants]
    parts = [[f"# {names[0]}, compared"], *_line_tables(variants, names), *_reading_table(variants, names)]
    found = allergen_table(variants)
    if found:
        rows = [[escaped(row.group), *("yes" if each else NOTHING for each in row.contained)] for row in found]
        parts += [["## Allergens", "", *table(["", *names], rows), "", "The packets' own labels come first."]]
    if pantry is not None:
        short = needs(variants, pantry)
        rows = [
            [escaped(need.ingredient), *(f"{grams_text(grams)} g" if grams else "" for grams in need.missing)]
            for need in short
        ]
        bought = table(["", *names], rows, range(1, len(names) + 1)) if rows else ["Nothing: the pantry has it all."]
        parts += [["## To buy", "", *bought]]
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def _line_tables(variants: Sequence[Measured], names: Sequence[str]) -> list[list[str]]:
    lines = aligned_lines(variants)
    parts = [["## Lines, in g and % of the flour"]]
    for stage in dict.fromkeys(line.stage for line in lines):
        rows = [
            [escaped(line_name(line)), *map(_weight, line.grams, line.percent)] for line in lines if line.stage == stage
        ]
        parts.append(table([escaped(stage), *names], rows, range(1, len(names) + 1)))
    return parts


def _reading_table(variants: Sequence[Measured], names: Sequence[str]) -> list[list[str]]:
    report = compare_report(variants)
    rows = []
    for key, reading in report["variants"][0]["readings"].items():
        name, unit = BY_KEY[key].label, BY_KEY[key].short_unit
        cells = [f"{name}, {unit}" if unit else name, figure_text(key, reading["value"])]
        for variant, difference in zip(report["variants"][1:], report["differences"], strict=True):
            cells.append(_reading_cell(key, variant["readings"][key]["value"], difference[key]))
        rows.append(cells)
    heads = ["", *names]
    said = f"Changes are against {names[0]}; ± is how far a change may be off, in about 95 of 100 cases."
    return [["## Readings", "", *table(heads, rows, range(1, len(heads))), "", said]]


def _reading_cell(key: str, value: float | None, change: dict[str, Any]) -> str:
    text = figure_text(key, value)
    if not change["change"]:
        return text
    moved = f"{figure_text(key, change['change'], True)} ± {figure_text(key, change['spread'])}"
    return f"{text} ({moved}{'' if change['clear'] else ', ' + NO_CLEAR_CHANGE})"


def _weight(grams: float | None, percent: float | None) -> str:
    return NOTHING if grams is None or percent is None else f"{grams_text(grams)} g, {percent:.1f} %"


def line_name(line: AlignedLine) -> str:
    """An ingredient as it stands in a table: with its hydration where the formula gives one."""
    return line.ingredient if line.hydration is None else f"{line.ingredient} ({line.hydration:g} % water)"
