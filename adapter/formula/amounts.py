"""Amounts, lengths and temperatures as people write them: "1 1/2 cups", "0.5 lb", "8.5 in", "350 F".

pint (with our own units.txt) is loaded only for units beyond grams, kilograms, metric lengths and inches.
"""

from __future__ import annotations

import math
import re
import unicodedata
from functools import cache
from typing import Any

from adapter.formula.plain_text import clean, shown
from adapter.formula.problems import InputProblem
from adapter.formula.shipped import shipped_folder

UNITS = "units.txt"
MOST_GRAMS = 1e6
LEAST_METRES, MOST_METRES = 0.0001, 2.0
COLDEST_C, HOTTEST_C = -50.0, 600.0
TEXT_LIMIT = 100

_GRAMS = {
    "": 1.0,
    "g": 1.0,
    "gr": 1.0,
    "gram": 1.0,
    "grams": 1.0,
    "kg": 1000.0,
    "kilogram": 1000.0,
    "kilograms": 1000.0,
}
_METRES = {"": (1.0, 100), "cm": (1.0, 100), "mm": (1.0, 1000), "m": (1.0, 1), "in": (2.54, 100), "inch": (2.54, 100),
           "inches": (2.54, 100)}  # fmt: skip
"""Factor and divisor, so that 8.5 in is the same number as 21.59 cm."""
_PIECES = frozenset(("piece", "pieces", "pc", "pcs", "each", "ea", "whole", "egg", "eggs"))
_CELSIUS = frozenset(("", "c", "celsius", "centigrade"))
_FAHRENHEIT = frozenset(("f", "fahrenheit"))
ONE_LETTER = {"T": "tbsp", "Tb": "tbsp", "t": "tsp", "C": "cup"}

_NUMBER = r"(?:\d+\s+\d+\s*/\s*\d+|\d+\s*/\s*\d+|\d*[.,]\d+(?:[eE][+-]?\d+)?|\d+(?:[eE][+-]?\d+)?)"
_PART = re.compile(rf"\s*({_NUMBER})(?:\s*(?:-|\bto\b|\bor\b)\s*({_NUMBER}))?\s*-?\s*([^\d+,&]*)")
_JOINER = re.compile(r"\s*(?:\+|,|&)\s*")
_JOINING_WORD = re.compile(r"\s+(?:plus|and)\s*$")
_UNIT = re.compile(r"[a-z]+(?:_[a-z]+)*\Z")
_NO_NUMBER = re.compile(r"(?:nan|inf|infinity|infinite|∞)\b|∞", re.IGNORECASE)
_BARE = re.compile(r"[\d\s¼½¾⅓⅔⅛⅜⅝⅞.,/]+\Z")
_MASS_UNITS = "g, kg, oz, lb, ml, l, cups, tbsp, tsp, fl oz or pints"


def grams_of(text: str, density_g_ml: float | None, each_g: float | None = None) -> float:
    """Grams of an amount as written; a number without a unit is grams.

    Volumes need the ingredient's density in g/mL, pieces ("2 pieces", "3 eggs") the grams of one. A range
    ("2-3 tbsp") gives its mean, parts ("1 lb 4 oz", "2 tbsp + 1 tsp") their sum. Cups, spoons, pints and fluid
    ounces are US customary ones unless they are called metric or imperial (NIST Handbook 44; see units.txt).
    Raises InputProblem for anything else, for a negative amount and for more than 1,000,000 g.
    """
    written = _normal(text)
    total = 0.0
    for number, unit in _parts(written):
        total += number * _grams_per(unit, density_g_ml, each_g, written)
    return checked_grams(total, written)


def is_bare(text: str) -> bool:
    """Whether what is typed is a number without a unit: digits, fractions and their signs, and nothing else."""
    return _BARE.match(text) is not None


def checked_grams(grams: float, written: str | None = None) -> float:
    """The same grams if a formula can hold them: finite, not negative, at most 1,000,000."""
    quoted = shown(written if written is not None else repr(grams))
    if not math.isfinite(grams):
        raise InputProblem(f"'{quoted}' is no amount", right="a number of grams")
    if grams < 0:
        raise InputProblem(f"'{quoted}' is negative", right="0 g or more")
    if grams > MOST_GRAMS:
        raise InputProblem(f"'{quoted}' is too much", right="at most 1000000 g")
    return grams


def length_m(text: str) -> float:
    """Metres of a length as written ("9 in", '8 1/2"', "22 cm"); a number without a unit is centimetres.

    Raises InputProblem for other units, for less than 0.1 mm and for more than 2 m.
    """
    written = _normal(re.sub(r"''|[″“”\"]", " in", text))
    metres = 0.0
    for number, unit in _parts(written):
        factor, divisor = _metres_per(unit, written)
        metres += number * factor / divisor
    if not LEAST_METRES <= metres <= MOST_METRES:
        raise InputProblem(f"'{shown(text)}' is no length of a tin", right="0.01 to 200 cm")
    return metres


def temperature_c(text: str) -> float:
    """Degrees Celsius of a temperature as written ("350 F", "175 °C"); a number without a unit is °C.

    Raises InputProblem for other units and outside −50 … 600 °C.
    """
    written = _normal(text)
    bare = written.removeprefix("-").removeprefix("+")
    parts = _parts(bare) if _PART.match(bare) else []
    if len(parts) != 1:
        raise InputProblem(f"'{shown(text)}' is no temperature", right="for example 175 C or 350 F")
    number, unit = parts[0]
    number = -number if written.startswith("-") else number
    scale = re.sub(r"[°º_.]|degrees?|deg\b", "", unit.lower()).strip()
    if scale in _FAHRENHEIT:
        number = (number - 32) / 1.8
    elif scale not in _CELSIUS:
        raise InputProblem(f"'{shown(unit)}' is no temperature scale", right="C or F")
    if not COLDEST_C <= number <= HOTTEST_C:
        raise InputProblem(f"'{shown(text)}' is out of reach", right=f"{COLDEST_C:.0f} to {HOTTEST_C:.0f} °C")
    return number


def _normal(text: str) -> str:
    """One tidy line with plain digits, slashes and hyphens; the signs that can only be wrong are refused here."""
    if len(text) > TEXT_LIMIT:
        raise InputProblem(f"'{shown(text)}' is too long for an amount", right=f"at most {TEXT_LIMIT} characters")
    written = clean(plain_fractions(text))
    written = re.sub(r"^(?:about|approx\.?|ca\.?|~)\s*", "", written, flags=re.IGNORECASE)
    written = re.sub(r"^half an?\s+", "0.5 ", written, flags=re.IGNORECASE)
    written = re.sub(r"^an?\s+", "1 ", written, flags=re.IGNORECASE)
    if not written:
        raise InputProblem("the amount is empty", right="for example 480 g")
    if _NO_NUMBER.match(written.lstrip("+-")):
        raise InputProblem(f"'{shown(text)}' is no amount", right="a number and a unit, such as 480 g")
    return written


def plain_fractions(text: str) -> str:
    """The same text with "½" as " 1/2 " and every hyphen, minus and fraction slash a plain one."""
    return text if text.isascii() else "".join(map(_plain_fraction, text))


def _plain_fraction(character: str) -> str:
    if character in "⁄∕":
        return "/"
    if character in "−–—‐‑":
        return "-"
    mark, _, digits = unicodedata.decomposition(character).partition(" ")
    if mark != "<fraction>":
        return character
    return " " + "".join("/" if code == "2044" else chr(int(code, 16)) for code in digits.split()) + " "


def _parts(written: str) -> list[tuple[float, str]]:
    """(number, unit as written) of every part of an amount."""
    if re.match(r"-\s*[\d.]", written):
        raise InputProblem(f"'{shown(written)}' is negative", right="0 or more")
    found = []
    at = 0
    while at < len(written):
        part = _PART.match(written, at)
        if not part:
            raise InputProblem(f"'{shown(written)}' is no amount", right="a number and a unit, such as 480 g or 2 cups")
        low, high, unit = part.groups()
        found.append((_mean(low, high, written), _JOINING_WORD.sub("", unit).strip(" .")))
        at = part.end()
        joiner = _JOINER.match(written, at)
        at = joiner.end() if joiner and joiner.end() < len(written) else at
        if at == part.start():
            break
    if any(unit == "" for _, unit in found) and len(found) > 1:
        raise InputProblem(f"'{shown(written)}' lacks a unit", right="one unit after every number")
    return found


def _mean(low_text: str, high_text: str | None, written: str) -> float:
    low = _number(low_text, written)
    if high_text is None:
        return low
    high = _number(high_text, written)
    if high >= low:
        return (low + high) / 2
    if "/" in high_text and high < 1 and low_text.isdigit():
        return low + high
    raise InputProblem(f"'{shown(written)}' runs downwards", right="the smaller number first")


def _number(text: str, written: str) -> float:
    whole, slash, below = text.partition("/")
    if slash:
        first, _, above = whole.rstrip().rpartition(" ")
        if float(below) == 0:
            raise InputProblem(f"'{shown(written)}' divides by zero", right="for example 1/2 cup")
        return (float(first) if first.strip() else 0.0) + float(above) / float(below)
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", text):
        plain = text.replace(",", "")
        raise InputProblem(
            f"'{shown(written)}' can be read in two ways", right=f"{plain} or {text.replace(',', '.')}, without a comma"
        )
    return float(text.replace(",", "."))


def _unit_name(unit: str) -> str:
    if unit in ONE_LETTER:
        return ONE_LETTER[unit]
    words = unit.lower().replace(".", " ").split()
    if words and words[-1] == "of":
        words.pop()
    if len(words) > 1 and words[0] == "level":
        words.pop(0)
    return "_".join(words)


def _grams_per(unit: str, density_g_ml: float | None, each_g: float | None, written: str) -> float:
    name = _unit_name(unit)
    if name in _GRAMS:
        return _GRAMS[name]
    if name in _PIECES:
        if each_g and each_g > 0:
            return each_g
        raise InputProblem(f"'{shown(written)}' counts pieces, and the weight of one is not known", right="write grams")
    quantity = _quantity(name)
    if quantity is None:
        raise InputProblem(f"there is no unit '{shown(unit)}' for an amount", right=_MASS_UNITS)
    if quantity.check("[mass]"):
        return float(quantity.to("gram").magnitude)
    if not quantity.check("[length] ** 3"):
        raise InputProblem(f"'{shown(unit)}' is a length, not an amount", right=_MASS_UNITS)
    if not density_g_ml or density_g_ml <= 0:
        raise InputProblem(f"'{shown(written)}' is a volume, and the density is not known", right="write grams")
    return float(quantity.to("millilitre").magnitude) * density_g_ml


@cache
def unit_words() -> dict[str, str]:
    """Every word of units.txt for a unit, with the name it stands under there: "oz" -> "ounce". Does not load pint."""
    words = {}
    for line in (shipped_folder("adapter.formula") / UNITS).read_text(encoding="utf-8").splitlines():
        name, *others = (part.strip() for part in line.partition("#")[0].split("="))
        for word in (name, *others[1:]):
            if word and word != "_":
                words[word.replace("_", " ")] = name
    return words


@cache
def unit_size(name: str) -> tuple[float, str]:
    """How much one of a unit of units.txt is: grams and "g" for a weight, millilitres and "ml" for a volume."""
    quantity = _quantity(name)
    if quantity is not None and quantity.check("[mass]"):
        return float(quantity.to("gram").magnitude), "g"
    if quantity is not None and quantity.check("[length] ** 3"):
        return float(quantity.to("millilitre").magnitude), "ml"
    raise InputProblem(f"there is no unit '{shown(name)}' of weight or volume", right=_MASS_UNITS)


def _metres_per(unit: str, written: str) -> tuple[float, int]:
    name = _unit_name(unit)
    if name in _METRES:
        return _METRES[name]
    quantity = _quantity(name)
    if quantity is None or not quantity.check("[length]"):
        raise InputProblem(f"'{shown(written)}' is no length", right="cm, mm, m or in")
    return float(quantity.to("metre").magnitude), 1


def _quantity(name: str) -> Any | None:
    """One of the named unit as a pint quantity; None when units.txt does not have it."""
    if not _UNIT.match(name) or len(name) > 40:
        return None
    registry = _registry()
    readings = registry.parse_unit_name(name)
    return registry.Quantity(1.0, readings[0][1]) if readings else None


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(str(shipped_folder("adapter.formula") / UNITS), on_redefinition="raise")
