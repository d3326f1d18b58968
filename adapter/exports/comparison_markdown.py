"""A comparison as tables for readers, in the decimals that mean something."""

from __future__ import annotations

from collections.abc import Sequence

from adapter.dough.readings.levels import NO_CLEAR_CHANGE
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import BY_KEY
from adapter.exports.form import ComparisonForm
from adapter.exports.line_names import line_name
from adapter.exports.markdown import escaped, table
from adapter.formula.pantry import Pantry
from adapter.swaps.comparison import aligned_lines, allergen_table, needs
from adapter.words.report_data import DifferenceData
from adapter.words.reports import compare_report
from adapter.words.text_report import NOTHING, figure_text, grams_text


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


def _reading_cell(key: str, value: float | None, change: DifferenceData) -> str:
    text = figure_text(key, value)
    if not change["change"]:
        return text
    moved = f"{figure_text(key, change['change'], True)} ± {figure_text(key, change['spread'])}"
    return f"{text} ({moved}{'' if change['clear'] else ', ' + NO_CLEAR_CHANGE})"


def _weight(grams: float | None, percent: float | None) -> str:
    return NOTHING if grams is None or percent is None else f"{grams_text(grams)} g, {percent:.1f} %"


FORM = ComparisonForm(".md", "tables for readers", 2, comparison_markdown)
