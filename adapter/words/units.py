"""The units that a person wants to see: every amount and temperature on a screen is told, and heard, through them.

Grams and °C are what is stored and worked with. What a person types without a unit is in the one that is shown.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from math import ceil, floor

from adapter.formula.amounts import is_bare
from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Ingredient
from adapter.formula.model import Amount
from adapter.words.cupboard_units import CUPS, GRAMS, OUNCES, amount_shown, ounces_text, spoon_of
from adapter.words.text_report import grams_text

CELSIUS, FAHRENHEIT = "°C", "°F"
UNITS, SCALES = (GRAMS, OUNCES, CUPS), (CELSIUS, FAHRENHEIT)
PER_DEGREE = 1.8
_NUMBER = r"\d+(?:[.,]\d+)?"
_BARE_DEGREES = re.compile(rf"\s*[-+−]?{_NUMBER}\s*\Z")
_BARE_WARMTH = re.compile(
    rf"((?:\bat|(?<=\d)\s*h(?:\s*(?:at|@))?)\s+[-−]?{_NUMBER})(?![\d:]|[.,]\d)(?!\s*(?:°|[CFhm]\b))", re.IGNORECASE
)
_TOLD_GRAMS = re.compile(rf"(?<![\w.,/])(?:({_NUMBER}) of )?({_NUMBER}) g\b(?!/)(?: ([^\d,;:.()]+))?")
_TOLD_C = re.compile(
    rf"(?<![\w.,/])(?P<by>by |± ?)?(?P<sign>[+−-])?(?:(?P<low>{_NUMBER})(?P<to> to |–))?(?P<high>{_NUMBER}) °C"
    r"(?P<after> (?:a minute|cooler|colder|warmer|hotter|more|less))?"
)
"""Amounts and temperatures in a sentence of the core; those that change something by so much are told apart."""
_HEADS = {GRAMS: "grams", OUNCES: "oz", CUPS: "cups"}
_BARE_WORDS = {GRAMS: "grams", "cup": "cups", "piece": "pieces"}
_STEPS_OZ = {50.0: 2.0, 5.0: 0.2}
"""The step in ounces that stands for one in grams."""


@dataclass(frozen=True, slots=True)
class Units:
    """How amounts and temperatures are told. The catalogue knows what a cup of each ingredient weighs."""

    amounts: str = GRAMS
    degrees: str = CELSIUS
    catalogue: Catalogue | None = field(default=None, compare=False, repr=False)

    def with_next_amounts(self) -> Units:
        return replace(self, amounts=UNITS[(UNITS.index(self.amounts) + 1) % len(UNITS)])

    def with_next_degrees(self) -> Units:
        return replace(self, degrees=SCALES[(SCALES.index(self.degrees) + 1) % len(SCALES)])

    # ------------------------------------------------------------------ amounts

    def said_of_amounts(self) -> str:
        return {
            GRAMS: "amounts in grams",
            OUNCES: "amounts in ounces",
            CUPS: "amounts in US cups and spoons, about; in grams where nobody knows what a cup weighs",
        }[self.amounts]

    def _ingredient(self, name: str) -> Ingredient | None:
        return None if self.catalogue is None else self.catalogue.ingredients.get(name)

    @property
    def head(self) -> str:
        """What stands over a column of amounts."""
        return _HEADS[self.amounts]

    @property
    def is_wide(self) -> bool:
        """Whether an amount may be as wide as "1½ cups + 1 tbsp"."""
        return self.amounts == CUPS

    @property
    def weight(self) -> str:
        """The unit of what has no cups: of a dough, of a sum of several things."""
        return OUNCES if self.amounts == OUNCES else GRAMS

    def amount(self, grams: float, name: str = "", signed: bool = False) -> str:
        """An amount with its unit: "310 g", "10.9 oz", "1⅓ cups"; signed "−12 g". `name` is the ingredient's."""
        if not signed:
            return amount_shown(grams, self._ingredient(name), self.amounts)
        if self.amounts == GRAMS:
            return f"{grams_text(grams, True)} g"
        told = amount_shown(abs(grams), self._ingredient(name), self.amounts)
        if grams < 0 and " + " in told:
            told = f"({told})"  # a minus before the first part alone would read as if the second were put in
        return ("−" if grams < 0 else "+") + told

    def cell(self, grams: float, name: str = "", signed: bool = False) -> str:
        """The same under the column's head: the unit stands beside the number only where the head does not say it."""
        told = self.amount(grams, name, signed)
        return told if self.is_wide else told.rpartition(" ")[0]

    def named(self, amount: Amount, signed: bool = False) -> str:
        """An ingredient and how much of it: "kefir 310 g"."""
        return f"{amount.ingredient} {self.amount(amount.grams, amount.ingredient, signed)}"

    def listed(self, amounts: Iterable[Amount], between: str = " + ") -> str:
        return between.join(self.named(amount) for amount in amounts)

    def change(self, before: float, after: float, name: str = "") -> str:
        """From one amount to another: "9 → 10 g". In grams where a spoon would not show that they differ."""
        first, second = self.amount(before, name), self.amount(after, name)
        if first == second and before != after:
            first, second = f"{grams_text(before)} g", f"{grams_text(after)} g"
        (number, _, unit), (_, _, unit_after) = first.rpartition(" "), second.rpartition(" ")
        return f"{number if unit == unit_after and not self.is_wide else first} → {second}"

    def to_edit(self, grams: float, name: str = "") -> str:
        """An amount as it can be typed over."""
        return f"{grams:g}" if self.amounts == GRAMS else self.amount(grams, name)

    def bare(self, ingredient: Ingredient | None = None, grams: float | None = None) -> str:
        """The unit of a bare number, where something of which so much is there is typed over."""
        return spoon_of(grams, ingredient) if self.amounts == CUPS else self.weight

    def hint(self, bare: str) -> str:
        """How a prompt begins that goes on with more units: "grams", or "a number alone is tsp; else 500 g"."""
        word = _BARE_WORDS.get(bare, bare)
        return word if self.amounts == GRAMS else f"a number alone is {word}; else 500 g"

    def heard(self, text: str, bare: str) -> str:
        """An amount as typed, in words that always have a unit; a bare number has the unit that is shown."""
        return f"{text.strip()} {bare}" if bare != GRAMS and is_bare(text.strip()) else text

    def weight_number(self, grams: float, decimals: int | None = None) -> str:
        """The number alone of a weight of no one ingredient; in grams with as many decimals as it was given with."""
        if self.weight == OUNCES:
            return ounces_text(grams)
        return f"{grams:g}" if decimals is None else f"{grams:.{decimals}f}"

    def weight_cell(self, grams: float) -> str:
        """The number alone of a sum of several things, as a scale shows it."""
        return ounces_text(grams) if self.weight == OUNCES else grams_text(grams)

    def weight_step(self, grams: float) -> float:
        """A step of so many grams as one of the shown unit."""
        return _STEPS_OZ.get(grams, grams / 28.0) if self.weight == OUNCES else grams

    # ------------------------------------------------------------------ temperatures

    def degree(self, celsius: float) -> float:
        """The number on the scale that is shown."""
        return celsius if self.degrees == CELSIUS else celsius * PER_DEGREE + 32.0

    def degree_text(self, celsius: float, decimals: int | None = None) -> str:
        """The number alone; without a number of decimals as many as it was given with."""
        if self.degrees == CELSIUS:
            return f"{celsius:g}" if decimals is None else f"{celsius:.{decimals}f}"
        value = self.degree(celsius)
        return f"{round(value, 1):g}" if decimals is None else f"{value:.0f}"

    def temperature(self, celsius: float, decimals: int | None = None) -> str:
        """A temperature with its unit: "24.5 °C", "76 °F"."""
        return f"{self.degree_text(celsius, decimals)} {self.degrees}".replace("-", "−")

    def difference(self, celsius: float, decimals: int) -> str:
        """A number of degrees by which something changes."""
        by = celsius if self.degrees == CELSIUS else celsius * PER_DEGREE
        return f"{by:.{decimals}f} {self.degrees}"

    def degree_step(self, celsius: float) -> float:
        """A step of so many °C as a round one of the scale that is shown."""
        return celsius if self.degrees == CELSIUS else 2.0 * celsius

    def degrees_heard(self, text: str) -> str:
        """A temperature as typed, with its scale; a bare number is of the scale that is shown."""
        bare = self.degrees != CELSIUS and _BARE_DEGREES.match(text) is not None
        return f"{text.strip()} {self.degrees}" if bare else text

    def stages_heard(self, text: str) -> str:
        """Times with their warmth as typed, "14 h 75, 10 h 40" or "by 07:00 at 75", each warmth with its scale."""
        return text if self.degrees == CELSIUS else _BARE_WARMTH.sub(rf"\1 {self.degrees}", text)

    def stages_told(self, text: str) -> str:
        """The same as they stand in the formula, each warmth as the number that is shown."""
        return text if self.degrees == CELSIUS else _BARE_WARMTH.sub(self._told_warmth, text)

    def _told_warmth(self, found: re.Match[str]) -> str:
        before, _, number = found[1].rpartition(" ")
        return f"{before} {self.degree_text(_number(number))}"

    def stepped(self, shown: float, by: int, step: float) -> float:
        """So many steps on from what is shown; other than in g and °C to a whole step."""
        if step <= 0.0:
            return shown
        whole = floor(shown / step + 1e-6) if by > 0 else ceil(shown / step - 1e-6)
        return (whole + by) * step

    # ------------------------------------------------------------------ sentences of the core

    def told(self, sentence: str) -> str:
        """A finished sentence in grams and °C, told in the units that are shown."""
        if self.degrees != CELSIUS:
            sentence = _TOLD_C.sub(self._told_degrees, sentence)
        return sentence if self.amounts == GRAMS else _TOLD_GRAMS.sub(self._told_grams, sentence)

    def _told_degrees(self, found: re.Match[str]) -> str:
        by, sign, low, to, high, after = (found[name] or "" for name in ("by", "sign", "low", "to", "high", "after"))
        decimals = 1 if "a minute" in after else 0
        if by or after or sign == "+":
            return f"{by}{sign}{self.difference(_number(high), decimals)}{after}"
        value = -_number(high) if sign else _number(high)
        lowest = f"{self.degree_text(_number(low), 0)}{to}" if low else ""
        return f"{lowest}{self.degree_text(value, 0)} {self.degrees}".replace("-", "−")

    def _told_grams(self, found: re.Match[str]) -> str:
        words = (found[3] or "").split(" ")
        names = (" ".join(words[:count]) for count in range(len(words), 0, -1))
        name = next((each for each in names if self._ingredient(each) is not None), "")
        behind = f" {found[3]}" if found[3] else ""
        part = f"{self.cell(_number(found[1]), name)} of " if found[1] else ""
        return part + self.amount(_number(found[2]), name) + behind


METRIC = Units()


def _number(text: str) -> float:
    return float(text.replace(",", "."))
