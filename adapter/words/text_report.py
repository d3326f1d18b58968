"""Reports as text for people: the same data that goes out as JSON, set in columns."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from adapter.dough.readings.registry import change_unit, label, rounded
from adapter.words.glossary import DRIFT

if TYPE_CHECKING:
    from adapter.words.report_data import (
        AmountData,
        BalanceData,
        ChangeData,
        CompareData,
        DifferenceData,
        IngredientData,
        IngredientsData,
        LineData,
        MovedData,
        OfferData,
        OffersData,
        ReadingData,
        SwapData,
        VariantData,
        WayData,
    )

NOTHING = "–"
LEFT_OUT = "left out"
HEAD_WIDTH = 28
MOST_WIDTH = 200
"""As wide as a table gets where nobody says how wide the terminal is: in a file, through a pipe."""
NAMES_TOLD = 6
"""Other names that a list of ingredients gives of each."""
TOLD_H = 0.25
"""A new time of the rise is told from a quarter of an hour on."""


def figure_text(key: str, value: float | None, signed: bool = False) -> str:
    """A reading's value with the decimals that mean something."""
    if value is None:
        return NOTHING
    value, decimals = rounded(key, value, signed)
    text = f"{value:+.{decimals}f}" if signed else f"{value:.{decimals}f}"
    return text.replace("-", "−")


def change_text(key: str, change: float | None) -> str:
    """A signed change of a reading or of what a rule keeps, with its unit: "fat +0.9 %"."""
    unit = change_unit(key)
    text = f"{label(key)} {figure_text(key, change, True)}"
    return f"{text} {unit}" if unit else text


def grams_text(grams: float | None, signed: bool = False) -> str:
    """Grams as a kitchen scale shows them."""
    if grams is None:
        return NOTHING
    decimals = 1 if abs(grams) < 9.95 and round(grams, 1) != round(grams) else 0
    if round(grams, decimals) == 0:
        return "0"
    return (f"{grams:+.{decimals}f}" if signed else f"{grams:.{decimals}f}").replace("-", "−")


def in_grams(grams: float, ingredient: str) -> str:
    """An amount with its unit, whatever it is of."""
    return f"{grams_text(grams)} g"


def balance_text(data: BalanceData) -> str:
    head = data["formula"]
    lines = [f"{head['name']}: flour {grams_text(head['flour_g'])} g, dough {grams_text(head['dough_g'])} g", ""]
    lines += lines_text(data["lines"])
    lines += ["", *_readings_text(data["readings"])]
    if data["allergens"]:
        lines += ["", "Allergens: " + ", ".join(data["allergens"]) + ". The packets' labels come first."]
    lines += ["", *data["warnings"]] if data["warnings"] else []
    return "\n".join(lines)


def lines_text(lines: Sequence[LineData], amount: Callable[[float, str], str] = in_grams) -> list[str]:
    """The lines of a formula by stage, in columns."""
    width = max(len(line["ingredient"]) for line in lines)
    amounts = [amount(line["grams"], line["ingredient"]) for line in lines]
    room = max(9, *map(len, amounts))
    shown = []
    stage = None
    for line, told in zip(lines, amounts, strict=True):
        if line["stage"] != stage:
            stage = line["stage"]
            shown.append(stage)
        shown.append(f"  {line['ingredient']:<{width}}  {told:>{room}}  {line['percent']:6.1f} %")
    return shown


def _readings_text(readings: Mapping[str, ReadingData]) -> list[str]:
    shown = []
    width = max(len(label(key)) for key in readings)
    for key, reading in readings.items():
        value = figure_text(key, reading["value"])
        spread = "" if reading["value"] is None else f"± {figure_text(key, reading['spread'])}"
        line = f"{label(key):<{width}} {value:>8} {spread:<8} {reading['unit']:<10}"
        if reading["band"]:
            low, high = reading["band"]
            line += f"  band {low:g}–{high:g}"
            if reading["value"] is not None and not low <= float(value.replace("−", "-")) <= high:
                line += "  outside"
        shown.append(line.rstrip())
    return shown


def amounts_text(
    amounts: Sequence[AmountData], amount: Callable[[float, str], str] = in_grams, between: str = " + "
) -> str:
    return between.join(f"{amount(item['grams'], item['ingredient'])} {item['ingredient']}" for item in amounts)


def moved_text(moved: Sequence[MovedData]) -> str:
    return ", ".join(f"{item['ingredient']} {grams_text(item['grams_change'], True)} g" for item in moved)


def clear_text(changes: Mapping[str, ChangeData]) -> str:
    """The clear changes of readings; "none" where there is none."""
    clear = [change_text(key, change["change"]) for key, change in changes.items() if shows_clearly(key, change)]
    return ", ".join(clear) or "none"


def allergen_lines(data: OfferData | WayData) -> list[str]:
    told = (("brings in", data["allergens_added"]), ("takes out", data["allergens_removed"]))
    return [f"{word}: {', '.join(groups)}" for word, groups in told if groups]


def offer_text(data: OfferData) -> list[str]:
    """One offer in a few lines: what goes, what comes, what moves, what gives way."""
    said = "".join(f" · {word}" for word in (_part_text(data["share_percent"]), data["says"]) if word)
    lines = [f"{amounts_text(data['out'])} → {amounts_text(data['into']) or LEFT_OUT}{said}   {drift_text(data)}"]
    if data["moved"]:
        lines.append(f"    moved: {moved_text(data['moved'])}")
    lines.append(f"    clear changes: {clear_text(data['changes'])}")
    for item in data["unmet"]:
        by = figure_text(item["reading"], item["by"], True)
        if by == figure_text(item["reading"], 0.0, True):
            continue
        unit = change_unit(item["reading"])
        off = f"{by} {unit}" if unit else by
        lines.append(f"    cannot {'hold' if item['held'] else 'keep'} {label(item['reading'])}: off by {off}")
    lines += [
        f"    {item['ingredient']}, {item['percent_flour']:.1f} % of the flour: beyond about {item['most']:g} % "
        "the bread tastes of it"
        for item in data["over_taste"]
    ]
    lines += [f"    {line}" for line in allergen_lines(data)]
    if data["in_pantry"] is not None:
        lines.append("    in the pantry" if data["in_pantry"] else f"    short of {amounts_text(data['short'])}")
    rise = data["changes"].get("rise_time")
    new_time = rise_text(rise["before"], rise["after"]) if rise is not None else ""
    if new_time:
        lines.append(f"    {new_time}")
    if data["notice"]:
        lines.append(f"    {data['notice']}")
    return lines


def rise_text(before: float | None, after: float | None) -> str:
    """The new time of the rise, where a swap changes it by a quarter of an hour or more; empty where it does not.

    Hours; None or infinite is a dough that does not rise by itself.
    """
    first, second = (math.inf if hours is None else hours for hours in (before, after))
    if first == second or abs(second - first) < TOLD_H:
        return ""
    if not math.isfinite(second):
        return "it does not rise by itself any more"
    instead = f"instead of {first:.1f} h" if math.isfinite(first) else "where it did not rise"
    return f"rises in {second:.1f} h {instead}"


def drift_text(data: OfferData) -> str:
    """Drift against now, and the sum since the book where that is another number."""
    now, sum_of_all = f"{data['drift']:.1f}", f"{data['drift_from_book']:.1f}"
    return f"drift {now}" + (f" ({sum_of_all} since the book)" if sum_of_all != now else "")


def _part_text(share_percent: float) -> str:
    return "" if share_percent >= 100 else f"{share_percent:g} % of it"


def shows_clearly(key: str, change: DifferenceData) -> bool:
    """A clear change that is still one in the decimals that are shown."""
    size = change["change"]
    return change["clear"] and size is not None and figure_text(key, abs(size)) != figure_text(key, 0.0)


def offers_text(data: OffersData) -> str:
    if not data["offers"]:
        return "No rule offers anything here. `otherloaf swap` takes any ingredients."
    lines = [line for offer in data["offers"] for line in offer_text(offer)]
    return "\n".join([*lines, "", DRIFT])


def swap_text(data: SwapData) -> str:
    lines = [*offer_text(data), "", *lines_text(data["lines"]), "", *_readings_text(data["readings"])]
    return "\n".join([*lines, "", f"{data['saved']} written"] if "saved" in data else lines)


def _column_heads(variants: Sequence[VariantData]) -> list[str]:
    """The names of formulas, or of their files where two formulas have the same name."""
    names = [variant["name"] for variant in variants]
    if len(set(names)) < len(names):
        names = [variant.get("file", variant["name"]) for variant in variants]
    short = [name if len(name) <= HEAD_WIDTH else name[: HEAD_WIDTH - 1] + "…" for name in names]
    if len(set(short)) == len(set(names)):
        return short
    return [name if len(name) <= HEAD_WIDTH else "…" + name[1 - HEAD_WIDTH :] for name in names]


def compare_text(data: CompareData, width: int | None = None) -> str:
    """Variants side by side, in blocks of as many columns as `width` characters hold."""
    variants = data["variants"]
    rows = [("", _column_heads(variants))]
    clear = False
    for key in variants[0]["readings"]:
        cells = [_with_spread(key, variant["readings"][key]) for variant in variants]
        for number, difference in enumerate(data["differences"], start=1):
            is_clear = shows_clearly(key, difference[key])
            clear = clear or is_clear
            cells[number] += " !" if is_clear else "  "
        rows.append((labelled(key, variants[0]["readings"][key]["unit"]), cells))
    rows.append(("", [""] * len(variants)))
    for name in dict.fromkeys(line["ingredient"] for variant in variants for line in variant["lines"]):
        cells = []
        for variant in variants:
            grams = sum(line["grams"] for line in variant["lines"] if line["ingredient"] == name)
            cells.append(grams_text(grams) + " g  " if grams else NOTHING + "  ")
        rows.append((name, cells))
    lines = _in_blocks(rows, width or MOST_WIDTH)
    if clear:
        lines += ["", "! a clear change against the first; the others lie within what the figures can tell"]
    if len({variant["book"] for variant in variants}) > 1:
        lines.append("the yeast's speed is against the book formula of each")
    return "\n".join(lines)


def _with_spread(key: str, reading: ReadingData) -> str:
    if reading["value"] is None:
        return NOTHING
    return f"{figure_text(key, reading['value'])} ± {figure_text(key, reading['spread'])}"


def labelled(key: str, unit: str) -> str:
    """A reading's name with its unit."""
    return f"{label(key)}, {unit}" if unit else label(key)


def _in_blocks(rows: Sequence[tuple[str, Sequence[str]]], width: int) -> list[str]:
    """Rows of a table; columns that do not fit beside each other stand below, with the first column again."""
    side = max(len(name) for name, _ in rows)
    widths = [2 + max(len(cells[place]) for _, cells in rows) for place in range(len(rows[0][1]))]
    blocks, block = [], [0]
    for place in range(1, len(widths)):
        if len(block) > 1 and side + sum(widths[each] for each in block) + widths[place] > width:
            blocks.append(block)
            block = [0]
        block.append(place)
    blocks.append(block)
    lines: list[str] = []
    for block in blocks:
        lines += [""] if lines else []
        lines += [
            f"{name:<{side}}" + "".join(f"{cells[each]:>{widths[each]}}" for each in block).rstrip()
            for name, cells in rows
        ]
    return [line.rstrip() for line in lines]


def ingredients_text(data: IngredientsData) -> str:
    """One line an ingredient with a few of its other names; all of them where only one ingredient is told."""
    most = NAMES_TOLD if len(data["ingredients"]) > 1 else sys.maxsize
    return "\n".join(line for item in data["ingredients"] for line in _ingredient_lines(item, most))


def _ingredient_lines(item: IngredientData, most: int) -> list[str]:
    allergens = f"  allergens: {', '.join(item['allergens'])}" if item["allergens"] else ""
    lines = [f"{item['name']}: {', '.join(item['kinds'])}{allergens}"]
    if told := item["aliases"][:most]:
        rest = len(item["aliases"]) - len(told)
        lines.append(f"    also {'; '.join(told)}" + (f" and {rest} more" if rest else ""))
    return lines
