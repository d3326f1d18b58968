"""What people type into the pantry: amounts, prices, dates and a packet's figures; and how each is shown again."""

from __future__ import annotations

import re
from datetime import date

from adapter.files.pantry_file import MOST_PRICE
from adapter.formula.amounts import grams_of, is_bare
from adapter.formula.ingredient import Ingredient
from adapter.formula.pantry import MEASUREMENT_RANGES, Measured
from adapter.formula.plain_text import clean, shown
from adapter.formula.problems import InputProblem

PLENTY = "plenty"
_PLENTY = frozenset((PLENTY, "lots", "enough", "always"))
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?|[.,]\d+")
_TWO_WAYS = re.compile(r"[1-9]\d{0,2},\d{3}")
_SPREAD = re.compile(r"\s*(?:±|\+/-|\+-|\+/−|\+−)\s*")
_UNITS = ("g/100 g", "g/100g", "per 100 g", "%", "g", "ml", "s")
_PRICE = re.compile(r"\s*(?:/|\bper\b|\bfor\b)\s*")
_DAY_FIRST = re.compile(r"(\d{1,2})\.\s*(\d{1,2})\.\s*(\d{4})")
DATE_RIGHT = "a date such as 2031-05-04 or 4.5.2031"


def grams_typed(text: str, ingredient: Ingredient, bare_unit: str = "g") -> float | None:
    """Grams in stock as people write them ("500", "2 kg", "1 1/2 cups"), to 0.1 g; None for "plenty".

    A bare number is of `bare_unit`. Raises InputProblem.
    """
    written = clean(text)
    if written.casefold() in _PLENTY:
        return None
    if not written:
        raise InputProblem("no amount", right="grams such as 500, or plenty")
    density = ingredient.property("density_g_ml") or None
    if bare_unit != "g" and is_bare(written):
        written = f"{written} {bare_unit}"
    return round(grams_of(written, density, ingredient.property("each_g") or None), 1)


def price_typed(text: str, ingredient: Ingredient) -> float | None:
    """Price per kg; "3.60 for 750 g" is taken to the kilogram; nothing takes the price out. Raises InputProblem."""
    written = clean(text)
    if not written:
        return None
    parts = _PRICE.split(written, maxsplit=1)
    price = _number(parts[0], "a price", 0, MOST_PRICE, "the price of 1 kg, such as 2.40, or 3.60 for 750 g")
    if len(parts) == 1 or parts[1].strip().casefold() in ("kg", "1 kg"):
        return price
    grams = grams_of(parts[1], ingredient.property("density_g_ml") or None, ingredient.property("each_g") or None)
    if grams <= 0:
        raise InputProblem("a price for no grams at all", right="3.60 for 750 g")
    per_kg = price * 1000.0 / grams
    if per_kg > MOST_PRICE:
        raise InputProblem(f"{per_kg:g} a kg is too much", right=f"at most {MOST_PRICE:g}")
    return per_kg


def date_typed(text: str) -> date | None:
    """A best-before date, year first or day first with points; nothing takes it out. Raises InputProblem."""
    written = clean(text)
    if not written:
        return None
    day_first = _DAY_FIRST.fullmatch(written)
    try:
        if day_first:
            day, month, year = map(int, day_first.groups())
            return date(year, month, day)
        return date.fromisoformat(written)
    except ValueError:
        raise InputProblem(f"'{shown(written)}' is no date", right=DATE_RIGHT) from None


def figure_typed(key: str, text: str) -> Measured | None:
    """A packet's figure, with or without its spread ("4.1", "4.1 ± 0.2"); nothing takes it out. Raises InputProblem."""
    written = clean(text)
    if not written:
        return None
    low, high = MEASUREMENT_RANGES[key]
    right = f"{low:g} to {high:g}, with ± and its spread if that is known"
    parts = [_without_unit(part) for part in _SPREAD.split(written)]
    if len(parts) > 2:
        raise InputProblem(f"'{shown(written)}' has more than one ±", right=right)
    value = _number(parts[0], "a figure", low, high, right)
    return Measured(value, _number(parts[1], "a spread", 0, high, right) if len(parts) == 2 else None)


def _without_unit(text: str) -> str:
    text = text.strip()
    for unit in _UNITS:
        if text.casefold().endswith(unit):
            return text[: -len(unit)].strip()
    return text


def _number(text: str, what: str, low: float, high: float, right: str) -> float:
    if not _NUMBER.fullmatch(text):
        fault = "is negative" if text.startswith(("-", "−")) else f"is not {what}"
        raise InputProblem(f"'{shown(text)}' {fault}", right=right)
    if _TWO_WAYS.fullmatch(text):
        raise InputProblem(f"'{shown(text)}' can be read in two ways", right=f"{text.replace(',', '.')} or no comma")
    number = float(text.replace(",", "."))
    if not low <= number <= high:
        raise InputProblem(f"'{shown(text)}' cannot be meant", right=right)
    return number


def stock_shown(grams: float | None) -> str:
    """Grams in stock as they stand in the list, and as they can be typed again."""
    return PLENTY if grams is None else plain(grams)


def price_shown(price: float | None) -> str:
    return "" if price is None else f"{price:.2f}" if price < 1000 else f"{price:.0f}"


def date_shown(day: date | None) -> str:
    return "" if day is None else day.isoformat()


def figure_shown(figure: Measured | None) -> str:
    """A figure with its spread where that is known, as it can be typed again."""
    if figure is None:
        return ""
    return plain(figure.value) if figure.spread is None else f"{plain(figure.value)} ± {plain(figure.spread)}"


def plain(value: float) -> str:
    """A number without an exponent and without more digits than mean something."""
    text = f"{value:.3f}" if abs(value) < 1000 else f"{value:.1f}"
    return text.rstrip("0").rstrip(".")
