"""Temperatures and weights as people type them where a number alone is °C and grams."""

from __future__ import annotations

import re

from adapter.formula.amounts import grams_of
from adapter.formula.problems import InputProblem
from adapter.words.clock_times import LARGEST, number_typed

_DEGREES = re.compile(r"(?P<number>.*?\d.*?)\s*(?:°|º|deg(?:rees?)?\.?)?\s*(?P<scale>[CF])?\.?\Z", re.IGNORECASE)
_NUMBER = re.compile(r"\s*[-+−]?[\d.,]*\s*\Z")


def degrees_typed(text: str, what: str, right: str) -> float:
    """Degrees Celsius of "24", "75 F" or "75 °F", to a hundredth. Raises InputProblem."""
    found = _DEGREES.match(text.strip())
    if found is None or found["scale"] is None:
        return number_typed(text if found is None else found["number"], what, right)
    number = number_typed(found["number"], what, right)
    return number if found["scale"].casefold() == "c" else round((number - 32.0) / 1.8, 2)


def weight_typed(text: str, what: str, right: str) -> float:
    """Grams of "1750", "1.75 kg" or "60 oz". Raises InputProblem."""
    if _NUMBER.match(text):
        return number_typed(text, what, right)
    grams = grams_of(text, None)
    if grams > LARGEST:
        raise InputProblem(f"{text.strip()} is too much", right=right)
    return round(grams, 1)
