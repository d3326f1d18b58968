"""Amounts as a cupboard measures them: grams, ounces, or cups and spoons. Grams are what is stored."""

from __future__ import annotations

from adapter.formula.amounts import unit_size
from adapter.formula.ingredient import Ingredient
from adapter.words.text_report import grams_text

GRAMS, OUNCES, CUPS = "g", "oz", "cups"
UNITS = (GRAMS, OUNCES, CUPS)
_FRACTIONS = {0.0: "", 0.25: "¼", 1 / 3: "⅓", 0.5: "½", 2 / 3: "⅔", 0.75: "¾"}
_QUARTERS = {part: sign for part, sign in _FRACTIONS.items() if (4 * part).is_integer()}
_LEAST_CUP, _LEAST_SPOON, _LEAST_TEASPOON = 0.25, 0.75, 0.2
"""From how much of one it is told in cups, in tablespoons, in teaspoons; less is a pinch."""


def amount_shown(grams: float, ingredient: Ingredient | None, unit: str) -> str:
    """An amount with its unit: "320 g", "11.3 oz", "1⅓ cups". Grams where nobody knows how a cup of it weighs."""
    if unit == OUNCES:
        return f"{grams / unit_size('ounce')[0]:.{1 if grams >= 28 else 2}f} oz"
    if unit == CUPS:
        return cups_of(grams, ingredient) or f"{grams_text(grams)} g"
    return f"{grams_text(grams)} g"


def cups_of(grams: float, ingredient: Ingredient | None) -> str:
    """US cups and spoons, or pieces of what is counted; empty where the tables have neither density nor weight."""
    if ingredient is None or grams <= 0:
        return ""
    each_g = ingredient.properties.get("each_g")
    if each_g is not None:
        return f"{_mixed(grams / each_g.value, _QUARTERS)} pieces" if grams >= each_g.value / 8 else "a little"
    density = ingredient.properties.get("density_g_ml")
    if density is None or density.value <= 0:
        return ""
    millilitres = grams / density.value
    cups, spoons, teaspoons = (millilitres / unit_size(name)[0] for name in ("cup", "tablespoon", "teaspoon"))
    if cups >= _LEAST_CUP - 0.02:
        return f"{_mixed(cups, _FRACTIONS)} {'cups' if cups > 1.125 else 'cup'}"
    if spoons >= _LEAST_SPOON:
        return f"{_mixed(spoons, {0.0: '', 0.5: '½'})} tbsp"
    return f"{_mixed(teaspoons, _QUARTERS)} tsp" if teaspoons >= _LEAST_TEASPOON else "a pinch"


def fahrenheit(celsius: float, step: float = 1.0) -> float:
    return round((celsius * 9.0 / 5.0 + 32.0) / step) * step


def both_degrees(celsius: float, step_f: float = 1.0) -> str:
    """ "175 °C (347 °F)"; an oven's dial goes by fives."""
    return f"{celsius:.0f} °C ({fahrenheit(celsius, step_f):.0f} °F)"


def _mixed(value: float, parts: dict[float, str]) -> str:
    """A number as whole and fraction, to the nearest of these parts; never nothing."""
    choices = [(whole + part, whole, sign) for whole in range(int(value) + 2) for part, sign in parts.items()]
    _, whole, sign = min((item for item in choices if item[0] > 0), key=lambda item: abs(item[0] - value))
    return f"{whole or ''}{sign}"
