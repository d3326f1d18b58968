"""A comparison as a file: CSV for a spreadsheet, Markdown for readers, JSON in the shape that `compare --json` prints.

All three are written from the same report, so they hold the same numbers.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from typing import Any

from adapter.dough.levels import label, short_unit
from adapter.dough.readings import Measured
from adapter.files.plain_report import NOTHING, figure_text, grams_text
from adapter.files.reports import compare_report, number
from adapter.formula.pantry import Pantry
from adapter.swaps.comparison import AlignedLine, aligned_lines, allergen_table, cost, needs

Cell = str | float | None
RISKY_STARTS = ("=", "+", "-", "@", "\t", "\r")
CLEAR, UNCLEAR = "clear", "no clear change"


def comparison_json(variants: Sequence[Measured]) -> str:
    """The very text of `otherloaf compare --json`."""
    return json.dumps(compare_report(variants), ensure_ascii=False, indent=2) + "\n"


def comparison_csv(variants: Sequence[Measured], pantry: Pantry | None) -> str:
    """One row an item: its value in each variant, then change, spread and clearness against the first variant."""
    names = [variant.formula.name for variant in variants]
    head: list[Cell] = ["part", "stage", "item", "unit", *names]
    for name in names[1:]:
        head += [f"{name}: change", f"{name}: spread of the change", f"{name}: clear"]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in _csv_rows(variants, pantry, head):
        writer.writerow([_csv_cell(cell) for cell in row] + [""] * (len(head) - len(row)))
    return out.getvalue()


def _csv_cell(cell: Cell) -> str | float:
    """A text that a spreadsheet would take for a formula gets an apostrophe before it; numbers stay numbers."""
    if isinstance(cell, str):
        return "'" + cell if cell.startswith(RISKY_STARTS) else cell
    return "" if cell is None else cell


def _csv_rows(variants: Sequence[Measured], pantry: Pantry | None, head: list[Cell]) -> list[list[Cell]]:
    report = compare_report(variants)
    rows = [head]
    for line in aligned_lines(variants):
        name = line_name(line)
        rows.append(["line", line.stage, name, "g", *map(_number, line.grams)])
        rows.append(["line", line.stage, name, "% of flour", *map(_number, line.percent)])
    for key, reading in report["variants"][0]["readings"].items():
        row: list[Cell] = ["reading", "", key, reading["unit"]]
        row += [variant["readings"][key]["value"] for variant in report["variants"]]
        for difference in report["differences"]:
            change = difference[key]
            row += [change["change"], change["spread"], CLEAR if change["clear"] else UNCLEAR]
        rows.append(row)
    for allergen in allergen_table(variants):
        rows.append(["allergen", "", allergen.group, "", *("yes" if each else "no" for each in allergen.contained)])
    if pantry is not None:
        for need in needs(variants, pantry):
            rows.append(["to buy", "", need.ingredient, "g", *map(_number, need.missing)])
        prices = [cost(variant.formula, pantry) for variant in variants]
        if any(price is not None for price in prices):
            rows.append(["cost", "", "ingredients", "", *map(_number, prices)])
    return rows


def _number(value: float | None) -> float | None:
    return None if value is None else number(value)


def comparison_markdown(variants: Sequence[Measured], pantry: Pantry | None) -> str:
    """Tables for readers, in the decimals that mean something."""
    names = [variant.formula.name for variant in variants]
    parts = [f"# {_plain(names[0])}, compared", *_line_tables(variants, names), *_reading_table(variants, names)]
    found = allergen_table(variants)
    if found:
        parts += ["## Allergens", *_table(["", *names], [[row.group, *map(_yes_no, row.contained)] for row in found])]
        parts.append("From the tables; the packets' labels come first.")
    if pantry is not None:
        short = needs(variants, pantry)
        if short:
            rows = [[need.ingredient, *(f"{grams_text(g)} g" if g else "" for g in need.missing)] for need in short]
            parts += ["## To buy", *_table(["", *names], rows)]
        else:
            parts += ["## To buy", "Nothing: the pantry has everything."]
    return "\n\n".join(parts) + "\n"


def _line_tables(variants: Sequence[Measured], names: Sequence[str]) -> list[str]:
    lines = aligned_lines(variants)
    parts = ["## Lines, in g and % of the flour"]
    for stage in dict.fromkeys(line.stage for line in lines):
        rows = [[line_name(line), *map(_weight, line.grams, line.percent)] for line in lines if line.stage == stage]
        parts += _table([stage, *names], rows)
    return parts


def _reading_table(variants: Sequence[Measured], names: Sequence[str]) -> list[str]:
    report = compare_report(variants)
    rows = []
    for key, reading in report["variants"][0]["readings"].items():
        unit = short_unit(reading["unit"])
        cells = [f"{label(key)}{', ' + unit if unit else ''}", figure_text(key, reading["value"])]
        for variant, difference in zip(report["variants"][1:], report["differences"], strict=True):
            cells.append(_reading_cell(key, variant["readings"][key]["value"], difference[key]))
        rows.append(cells)
    said = f"± is the spread of a change (about 95 %); a change inside it is no clear change. All against {names[0]}."
    return ["## Readings", *_table(["", *names], rows), _plain(said)]


def _reading_cell(key: str, value: float | None, change: dict[str, Any]) -> str:
    text = figure_text(key, value)
    if not change["change"]:
        return text
    moved = f"{figure_text(key, change['change'], True)} ± {figure_text(key, change['spread'])}"
    return f"{text} ({moved}{'' if change['clear'] else ', ' + UNCLEAR})"


def _weight(grams: float | None, percent: float | None) -> str:
    return NOTHING if grams is None or percent is None else f"{grams_text(grams)} g, {percent:.1f} %"


def _yes_no(contained: bool) -> str:
    return "yes" if contained else NOTHING


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    lines = ["| " + " | ".join(map(_plain, row)) + " |" for row in (heads, *rows)]
    rule = "|" + "|".join([" --- ", *[" ---: "] * (len(heads) - 1)]) + "|"
    return ["\n".join([lines[0], rule, *lines[1:]])]


def _plain(text: str) -> str:
    """A text that Markdown shows as it is written."""
    return "".join("\\" + sign if sign in r"\`*_[]<>#|&~" else sign for sign in text)


def line_name(line: AlignedLine) -> str:
    """An ingredient as it stands in a table: with its hydration where the formula gives one."""
    return line.ingredient if line.hydration is None else f"{line.ingredient} ({line.hydration:g} % water on flour)"
