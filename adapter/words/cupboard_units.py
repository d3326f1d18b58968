"""Amounts as a cupboard measures them: grams, ounces, or cups and spoons; degrees on either scale.

Grams and °C are what is stored and worked with; this is how they are told.
"""

from __future__ import annotations

from adapter.formula.amounts import unit_size
from adapter.formula.ingredient import Ingredient
from adapter.words.text_report import grams_text

GRAMS, OUNCES, CUPS = "g", "oz", "cups"
PINCH = "a pinch"
_FRACTIONS = {0.0: "", 0.25: "¼", 1 / 3: "⅓", 0.5: "½", 2 / 3: "⅔", 0.75: "¾"}
_QUARTERS = {part: sign for part, sign in _FRACTIONS.items() if (4 * part).is_integer()}
_EIGHTHS = {**_QUARTERS, 0.125: "⅛", 0.375: "⅜", 0.625: "⅝", 0.875: "⅞"}
_WHOLE, _HALVES = {0.0: ""}, {0.0: "", 0.5: "½"}
_LEAST_CUP, _LEAST_SPOON, _LEAST_TEASPOON = 0.245, 0.98, 0.09
"""From how much of one it is told in cups, in tablespoons, in teaspoons; less is a pinch."""
NEAR = 0.035
"""How far a fraction of a cup may be off before a smaller spoon is added: what two people differ in filling it [A]."""
_TABLESPOONS_PER_CUP, _TEASPOONS_PER_TABLESPOON = 16, 3
Parts = dict[float, str]


def amount_shown(grams: float, ingredient: Ingredient | None, unit: str) -> str:
    """An amount with its unit: "320 g", "11.3 oz", "1⅓ cups". Grams where nobody knows how a cup of it weighs."""
    if unit == OUNCES:
        return f"{ounces_text(grams)} oz"
    if unit == CUPS:
        return cups_of(grams, ingredient) or f"{grams_text(grams)} g"
    return f"{grams_text(grams)} g"


def ounces_text(grams: float) -> str:
    """Ounces as a kitchen scale shows them, of little as many digits as a gram has."""
    ounces = grams / unit_size("ounce")[0]
    return f"{ounces:.{1 if ounces >= 0.995 or not ounces else 2 if ounces >= 0.0995 else 3}f}"


def cups_of(grams: float, ingredient: Ingredient | None) -> str:
    """US cups and spoons, or pieces of what is counted; empty where the tables have neither density nor weight."""
    if ingredient is None or grams <= 0:
        return ""
    each_g = ingredient.properties.get("each_g")
    if each_g is not None:
        return _pieces(grams / each_g.value) if grams >= each_g.value / 8 else "a little"
    density = ingredient.properties.get("density_g_ml")
    if density is None or density.value <= 0:
        return ""
    millilitres = grams / density.value
    cups, spoons, teaspoons = (millilitres / unit_size(name)[0] for name in ("cup", "tablespoon", "teaspoon"))
    if cups >= _LEAST_CUP:
        smaller = _HALVES if cups < 1 else _WHOLE
        return _with_spoons(cups, _FRACTIONS, "cup", _FRACTIONS, "tbsp", smaller, _TABLESPOONS_PER_CUP)
    if spoons >= _LEAST_SPOON:
        return _with_spoons(spoons, _HALVES, "tbsp", _WHOLE, "tsp", _QUARTERS, _TEASPOONS_PER_TABLESPOON)
    if teaspoons >= _LEAST_TEASPOON:
        return f"{_nearest(teaspoons, _EIGHTHS)[1]} tsp"
    return PINCH


def spoon_of(grams: float | None, ingredient: Ingredient | None) -> str:
    """The measure in which cups_of tells an amount, as grams_of reads it: "cup", "tbsp", "tsp", "pieces" or "g".

    Without an amount it is the largest.
    """
    told = "" if ingredient is None else cups_of(grams if grams else 1e5, ingredient)
    return next((unit for unit in ("cup", "tbsp", "tsp", "piece") if unit in told), "tsp" if told else GRAMS)


def fahrenheit(celsius: float, step: float = 1.0) -> float:
    return round((celsius * 9.0 / 5.0 + 32.0) / step) * step


def both_degrees(celsius: float, step_f: float = 1.0) -> str:
    """ "175 °C (347 °F)"; an oven's dial goes by fives."""
    return f"{celsius:.0f} °C ({fahrenheit(celsius, step_f):.0f} °F)"


def _with_spoons(
    value: float,
    parts: Parts,
    unit: str,
    parts_before_spoons: Parts,
    spoon: str,
    parts_of_spoons: Parts,
    spoons_each: int,
) -> str:
    """So many cups: a fraction where that is near enough, else a fraction of them and the spoons that are left."""
    near, sign = _nearest(value, parts)
    below = max((each for each in _amounts(value, parts_before_spoons) if each[0] <= value), default=None)
    if below is None or abs(near - value) <= NEAR * value:
        return _counted(near, sign, unit)
    count, spoons = _nearest((value - below[0]) * spoons_each, parts_of_spoons)
    if abs(below[0] + count / spoons_each - value) >= abs(near - value):
        return _counted(near, sign, unit)
    return f"{_counted(*below, unit)} + {spoons} {spoon}"


def _counted(value: float, sign: str, unit: str) -> str:
    return f"{sign} {unit}s" if unit == "cup" and value > 1 else f"{sign} {unit}"


def _pieces(count: float) -> str:
    value, sign = _nearest(count, _QUARTERS)
    return f"{sign} {'piece' if value <= 1 else 'pieces'}"


def _nearest(value: float, parts: Parts) -> tuple[float, str]:
    """The nearest whole and fraction, and how it is written; never nothing."""
    return min(_amounts(value, parts), key=lambda item: abs(item[0] - value))


def _amounts(value: float, parts: Parts) -> list[tuple[float, str]]:
    """What can be written with these fractions around a value."""
    wholes = range(max(0, int(value) - 1), int(value) + 2)
    found = [(whole + part, f"{whole or ''}{sign}") for whole in wholes for part, sign in parts.items()]
    return [item for item in found if item[0] > 0]
