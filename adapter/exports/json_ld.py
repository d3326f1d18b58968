"""A formula as a schema.org Recipe in JSON-LD: what the formula says, and nothing that it does not.

https://schema.org/Recipe
"""

from __future__ import annotations

import json

from adapter.exports.form import FormulaForm
from adapter.formula.model import Formula, Line
from adapter.formula.plain_text import clean, clean_block
from adapter.words.reader_card import minutes_in_oven, steps_of


def recipe_data(formula: Formula, bake_minutes: float | None = None) -> dict[str, object]:
    """The properties of the recipe, in the order of the formula; `bake_minutes` where they have been worked out."""
    data: dict[str, object] = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": clean(formula.name),
        "recipeYield": recipe_yield(formula),
        "recipeIngredient": [ingredient_text(line) for line in formula.lines],
    }
    if bake_minutes is not None:
        data["cookTime"] = f"PT{bake_minutes:.0f}M"
    if formula.note:
        data["description"] = clean_block(formula.note)
        data["recipeInstructions"] = [{"@type": "HowToStep", "text": clean(step, 4000)} for step in steps_of(formula)]
    if formula.adapted is not None:
        data["isBasedOn"] = {"@type": "Recipe", "name": clean(formula.adapted.origin)}
    return data


def recipe_json_ld(formula: Formula, bake_minutes: float | None = None) -> str:
    """JSON-LD that may stand inside a page: nothing in it can close the script it stands in."""
    text = json.dumps(recipe_data(formula, bake_minutes), ensure_ascii=False, indent=2)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026") + "\n"


def recipe_yield(formula: Formula) -> str:
    kind = "piece" if formula.tin is None else "tin loaf"
    plural = {"piece": "pieces", "tin loaf": "tin loaves"}[kind]
    return f"1 {kind}" if formula.pieces == 1 else f"{formula.pieces} {plural}"


def _grams(grams: float) -> str:
    """Grams to the hundredth, so that they are read back as they were; without zeros that say nothing."""
    return f"{grams:.2f}".rstrip("0").rstrip(".")


def ingredient_text(line: Line) -> str:
    """ "530 g kefir, at room temperature", "240 g rye sourdough (100 % water)"."""
    text = f"{_grams(line.grams)} g {clean(line.ingredient)}"
    if line.hydration is not None:
        text += f" ({line.hydration:g} % water)"
    return f"{text}, {clean(line.note)}" if line.note else text


FORM = FormulaForm(
    ".jsonld",
    "schema.org recipe for web pages",
    7,
    lambda measured, _: recipe_json_ld(measured.formula, minutes_in_oven(measured)),
)
