"""What was read, as data for JSON and as text for people."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from adapter.recipes.read_line import ReadLine
from adapter.recipes.read_recipe import ReadRecipe

Data = dict[str, Any]


def read_report(recipes: Sequence[ReadRecipe]) -> Data:
    """The recipes with every line, and apart from them what is unsure and why."""
    return {"formulas": [_formula(recipe) for recipe in recipes], "unsure": unsure_of(recipes)}


def unsure_of(recipes: Sequence[ReadRecipe]) -> list[Data]:
    """One entry for each line or whole recipe that is in doubt."""
    found: list[Data] = []
    for recipe in recipes:
        found += [{"formula": recipe.name, "text": "", "why": doubt, "candidates": []} for doubt in recipe.doubts]
        found += [
            {
                "formula": recipe.name,
                "text": line.text,
                "why": "; ".join(line.doubts),
                "candidates": list(line.candidates),
            }
            for line in recipe.lines
            if not line.sure
        ]
    return found


def _formula(recipe: ReadRecipe) -> Data:
    return {
        "name": recipe.name,
        "pieces": recipe.pieces,
        "lines": [_line(line) for line in recipe.lines],
        "proof": {"temperature_c": _short(recipe.proof_c)},
        "bake": {"oven_c": [_short(value) for value in recipe.oven_c], "core_c": _short(recipe.core_c)},
        "tin": dict(recipe.tin),
        "notes": list(recipe.notes),
    }


def _line(line: ReadLine) -> Data:
    return {
        "text": line.text,
        "stage": line.stage,
        "name": line.name,
        "ingredient": line.ingredient,
        "amount_low": _short(line.amount_low),
        "amount_high": _short(line.amount_high),
        "unit": line.unit,
        "grams": _short(line.grams),
        "sure": line.sure,
        "reference": line.reference,
        "note": line.note,
    }


def _short(number: float | None) -> float | int | None:
    if number is None:
        return None
    rounded = float(f"{number:.6g}")
    return int(rounded) if rounded.is_integer() else rounded


def read_text_report(data: Data) -> str:
    """The same for people: one row a line, a question mark where something is in doubt."""
    parts = []
    for formula in data["formulas"]:
        parts += [_head(formula), ""]
        parts += _rows(formula["lines"])
        parts.append("")
    if data["unsure"]:
        parts.append("To be asked:")
        for item in data["unsure"]:
            near = f" (perhaps {', '.join(item['candidates'])})" if item["candidates"] else ""
            parts.append(f"  {item['text'] or item['formula']}: {item['why']}{near}")
    else:
        parts.append("Nothing is in doubt.")
    return "\n".join(parts)


def _head(formula: Data) -> str:
    said = [formula["name"]]
    if formula["pieces"] is not None:
        said.append(f"{formula['pieces']} pieces" if formula["pieces"] != 1 else "1 piece")
    if formula["proof"]["temperature_c"] is not None:
        said.append(f"proof at {formula['proof']['temperature_c']} °C")
    if formula["bake"]["oven_c"]:
        said.append("oven " + ", then ".join(f"{value} °C" for value in formula["bake"]["oven_c"]))
    if formula["bake"]["core_c"] is not None:
        said.append(f"core {formula['bake']['core_c']} °C")
    keys = ("length_cm", "width_cm", "top_length_cm", "top_width_cm", "diameter_cm", "height_cm")
    sides = [f"{formula['tin'][key]:g}" for key in keys if key in formula["tin"]]
    if sides:
        said.append(f"tin {' x '.join(sides)} cm")
    if "volume_l" in formula["tin"]:
        said.append(f"tin of {formula['tin']['volume_l']:g} l")
    return "; ".join(said)


def _rows(lines: Sequence[Data]) -> list[str]:
    names = [str(line["ingredient"] or line["name"]) for line in lines]
    stages = [str(line["stage"]) for line in lines]
    wide, stage_wide = max(map(len, names), default=0), max(map(len, stages), default=0)
    rows = []
    for line, name, stage in zip(lines, names, stages, strict=True):
        grams = "-" if line["grams"] is None else f"{line['grams']:.1f}".removesuffix(".0")
        if line["reference"]:
            grams = "(made above)"
        mark = " " if line["sure"] else "?"
        rows.append(f"{mark} {stage:<{stage_wide}}  {name:<{wide}}  {grams:>8} g  {line['text']}".replace(") g", ")  "))
    return rows
