"""Reports as text for people: the same data that goes out as JSON, set in columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

Data = Mapping[str, Any]
DECIMALS = {
    "ph": 2,
    "water_activity": 3,
    "pace": 2,
    "rise_time": 1,
    "flour_mass": 0,
    "dough_mass": 0,
    "starch_attack": 0,
}
NOTHING = "–"


def figure_text(key: str, value: float | None, signed: bool = False) -> str:
    """A reading's value with the decimals that mean something."""
    if value is None:
        return NOTHING
    text = f"{value:+.{DECIMALS.get(key, 1)}f}" if signed else f"{value:.{DECIMALS.get(key, 1)}f}"
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
    lines += _lines_text(data["lines"])
    lines += ["", *_readings_text(data["readings"])]
    if data["allergens"]:
        lines += ["", "Allergens: " + ", ".join(data["allergens"]) + ". The packets' labels come first."]
    lines += ["", *data["warnings"]] if data["warnings"] else []
    return "\n".join(lines)


def _lines_text(lines: Sequence[Data]) -> list[str]:
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
        spread = figure_text(key, reading["spread"])
        line = f"{key:<20} {value:>8} ± {spread:<6} {reading['unit']:<10}"
        if reading["band"]:
            low, high = reading["band"]
            line += f"  band {low:g}–{high:g}"
            if reading["value"] is not None and not low <= reading["value"] <= high:
                line += "  outside"
        shown.append(line.rstrip())
    return shown


def amounts_text(amounts: Sequence[Data]) -> str:
    return " + ".join(f"{grams_text(item['grams'])} g {item['ingredient']}" for item in amounts)


def offer_text(data: Data) -> list[str]:
    """One offer in a few lines: what goes, what comes, what moves, what gives way."""
    lines = [f"{amounts_text(data['out'])} → {amounts_text(data['into']) or 'nothing'}   drift {data['drift']:.1f}"]
    if data["moved"]:
        moved = ", ".join(f"{item['ingredient']} {grams_text(item['grams_change'], True)} g" for item in data["moved"])
        lines.append(f"    moved: {moved}")
    clear = [
        f"{key} {figure_text(key, change['change'], True)}"
        for key, change in data["changes"].items()
        if change["clear"] and figure_text(key, abs(change["change"])) != figure_text(key, 0.0)
    ]
    lines.append("    clear changes: " + (", ".join(clear) if clear else "none"))
    for item in data["unmet"]:
        by = figure_text(item["reading"], item["by"], True)
        lines.append(f"    cannot {'hold' if item['held'] else 'keep'} {item['reading']}: off by {by}")
    for key, word in (("allergens_added", "brings in"), ("allergens_removed", "takes out")):
        if data[key]:
            lines.append(f"    {word}: " + ", ".join(data[key]))
    if data["in_pantry"] is not None:
        lines.append("    in the pantry" if data["in_pantry"] else f"    short of {amounts_text(data['short'])}")
    if data["notice"]:
        lines.append(f"    {data['notice']}")
    return lines


def offers_text(data: Data) -> str:
    if not data["offers"]:
        return "No rule offers anything here. `otherloaf swap` takes any ingredients."
    return "\n".join(line for offer in data["offers"] for line in offer_text(offer))


def swap_text(data: Data) -> str:
    return "\n".join([*offer_text(data), "", *_lines_text(data["lines"]), "", *_readings_text(data["readings"])])


def compare_text(data: Data) -> str:
    variants = data["variants"]
    width = max(12, *(min(len(variant["name"]), 28) for variant in variants))
    lines = [" " * 21 + "".join(f"{variant['name'][:width]:>{width + 2}}" for variant in variants)]
    for key in variants[0]["readings"]:
        cells = [figure_text(key, variant["readings"][key]["value"]) for variant in variants]
        for number, difference in enumerate(data["differences"], start=1):
            cells[number] += " !" if difference[key]["clear"] else "  "
        lines.append(f"{key:<21}" + "".join(f"{cell:>{width + 2}}" for cell in cells))
    lines += ["", "! a clear change against the first; the others lie within what the figures can tell", ""]
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
