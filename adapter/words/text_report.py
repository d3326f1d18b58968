"""Reports as text for people: the same data that goes out as JSON, set in columns."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from adapter.dough.readings.registry import rounded

Data = Mapping[str, Any]
NOTHING = "–"
HEAD_WIDTH = 28
TOLD_H = 0.25
"""A new time of the rise is told from a quarter of an hour on."""


def figure_text(key: str, value: float | None, signed: bool = False) -> str:
    """A reading's value with the decimals that mean something."""
    if value is None:
        return NOTHING
    value, decimals = rounded(key, value, signed)
    text = f"{value:+.{decimals}f}" if signed else f"{value:.{decimals}f}"
    return text.replace("-", "−")


def grams_text(grams: float | None, signed: bool = False) -> str:
    """Grams as a kitchen scale shows them."""
    if grams is None:
        return NOTHING
    decimals = 1 if abs(grams) < 9.95 and round(grams, 1) != round(grams) else 0
    return (f"{grams:+.{decimals}f}" if signed else f"{grams:.{decimals}f}").replace("-", "−")


def balance_text(data: Data) -> str:
    head = data["formula"]
    lines = [f"{head['name']}: flour {grams_text(head['flour_g'])} g, dough {grams_text(head['dough_g'])} g", ""]
    lines += lines_text(data["lines"])
    lines += ["", *_readings_text(data["readings"])]
    if data["allergens"]:
        lines += ["", "Allergens: " + ", ".join(data["allergens"]) + ". The packets' labels come first."]
    lines += ["", *data["warnings"]] if data["warnings"] else []
    return "\n".join(lines)


def lines_text(lines: Sequence[Data]) -> list[str]:
    """The lines of a formula by stage, in columns."""
    width = max(len(line["ingredient"]) for line in lines)
    shown = []
    stage = None
    for line in lines:
        if line["stage"] != stage:
            stage = line["stage"]
            shown.append(stage)
        shown.append(f"  {line['ingredient']:<{width}}  {grams_text(line['grams']):>7} g  {line['percent']:6.1f} %")
    return shown


def _readings_text(readings: Data) -> list[str]:
    shown = []
    for key, reading in readings.items():
        value = figure_text(key, reading["value"])
        spread = "" if reading["value"] is None else f"± {figure_text(key, reading['spread'])}"
        line = f"{key:<20} {value:>8} {spread:<8} {reading['unit']:<10}"
        if reading["band"]:
            low, high = reading["band"]
            line += f"  band {low:g}–{high:g}"
            if reading["value"] is not None and not low <= float(value.replace("−", "-")) <= high:
                line += "  outside"
        shown.append(line.rstrip())
    return shown


def amounts_text(amounts: Sequence[Data]) -> str:
    return " + ".join(f"{grams_text(item['grams'])} g {item['ingredient']}" for item in amounts)


def offer_text(data: Data) -> list[str]:
    """One offer in a few lines: what goes, what comes, what moves, what gives way."""
    said = "".join(f" · {word}" for word in (_part_text(data["share_percent"]), data["says"]) if word)
    lines = [f"{amounts_text(data['out'])} → {amounts_text(data['into']) or 'nothing'}{said}   {drift_text(data)}"]
    if data["moved"]:
        moved = ", ".join(f"{item['ingredient']} {grams_text(item['grams_change'], True)} g" for item in data["moved"])
        lines.append(f"    moved: {moved}")
    clear = [
        f"{key} {figure_text(key, change['change'], True)}"
        for key, change in data["changes"].items()
        if _shows_clearly(key, change)
    ]
    lines.append("    clear changes: " + (", ".join(clear) if clear else "none"))
    for item in data["unmet"]:
        by = figure_text(item["reading"], item["by"], True)
        if by == figure_text(item["reading"], 0.0, True):
            continue
        lines.append(f"    cannot {'hold' if item['held'] else 'keep'} {item['reading']}: off by {by}")
    for key, word in (("allergens_added", "brings in"), ("allergens_removed", "takes out")):
        if data[key]:
            lines.append(f"    {word}: " + ", ".join(data[key]))
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


def drift_text(data: Data) -> str:
    """Drift against now, and the sum since the book where that is another number."""
    now, sum_of_all = f"{data['drift']:.1f}", f"{data['drift_from_book']:.1f}"
    return f"drift {now}" + (f" ({sum_of_all} since the book)" if sum_of_all != now else "")


def _part_text(share_percent: float) -> str:
    return "" if share_percent >= 100 else f"{share_percent:g} % of it"


def _shows_clearly(key: str, change: Data) -> bool:
    """A clear change that is still one in the decimals that are shown."""
    return change["clear"] and figure_text(key, abs(change["change"])) != figure_text(key, 0.0)


def offers_text(data: Data) -> str:
    if not data["offers"]:
        return "No rule offers anything here. `otherloaf swap` takes any ingredients."
    return "\n".join(line for offer in data["offers"] for line in offer_text(offer))


def swap_text(data: Data) -> str:
    lines = [*offer_text(data), "", *lines_text(data["lines"]), "", *_readings_text(data["readings"])]
    return "\n".join([*lines, "", f"{data['saved']} written"] if "saved" in data else lines)


def _column_heads(variants: Sequence[Data]) -> list[str]:
    """The names of formulas, or of their files where two formulas have the same name."""
    names = [variant["name"] for variant in variants]
    if len(set(names)) < len(names):
        names = [variant.get("file", variant["name"]) for variant in variants]
    short = [name if len(name) <= HEAD_WIDTH else name[: HEAD_WIDTH - 1] + "…" for name in names]
    if len(set(short)) == len(set(names)):
        return short
    return [name if len(name) <= HEAD_WIDTH else "…" + name[1 - HEAD_WIDTH :] for name in names]


def compare_text(data: Data) -> str:
    variants = data["variants"]
    heads = _column_heads(variants)
    width = max(12, *map(len, heads))
    lines = [" " * 21 + "".join(f"{head:>{width + 2}}" for head in heads)]
    for key in variants[0]["readings"]:
        cells = [figure_text(key, variant["readings"][key]["value"]) for variant in variants]
        for number, difference in enumerate(data["differences"], start=1):
            cells[number] += " !" if _shows_clearly(key, difference[key]) else "  "
        lines.append(f"{key:<21}" + "".join(f"{cell:>{width + 2}}" for cell in cells))
    lines += ["", "! a clear change against the first; the others lie within what the figures can tell"]
    if len({variant["book"] for variant in variants}) > 1:
        lines.append("pace is against the book formula of each")
    lines.append("")
    names = dict.fromkeys(line["ingredient"] for variant in variants for line in variant["lines"])
    label = max(len(name) for name in names)
    for name in names:
        cells = []
        for variant in variants:
            grams = sum(line["grams"] for line in variant["lines"] if line["ingredient"] == name)
            cells.append(grams_text(grams) + " g" if grams else NOTHING)
        lines.append(f"{name:<{max(label, 21)}}" + "".join(f"{cell:>{width + 2}}" for cell in cells))
    return "\n".join(lines)


def ingredients_text(data: Data) -> str:
    lines = []
    for item in data["ingredients"]:
        also = f" ({', '.join(item['aliases'])})" if item["aliases"] else ""
        allergens = f"  allergens: {', '.join(item['allergens'])}" if item["allergens"] else ""
        lines.append(f"{item['name']}{also}: {', '.join(item['kinds'])}{allergens}")
    return "\n".join(lines)
