"""A living dough: what it is made of, what lives in it, and its course over time, step by step."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

from adapter.dough.models.acidity import Species, tta_ml_per_10g
from adapter.dough.models.bubbles import Bubbles
from adapter.dough.models.crossing import crossing
from adapter.dough.models.growing_acids import YEAST_ACIDS
from adapter.dough.models.yeast import GAS_ML_PER_H_PER_G

NEAR_PART = 1e-9
"""The moment of a rise is looked for to this part of a step."""
Made = tuple[float, float, float, float]
"""mmol per kg dough of lactic, acetic, succinic acid and fixed charge made since mixing."""
NOTHING_MADE: Made = (0.0, 0.0, 0.0, 0.0)

YEAST_ACID_MEQ, YEAST_ACID_MEQ_PER_ASH, YEAST_ACID_ASH = 10.0, 12.0, 0.55


class Living(NamedTuple):
    """What lives in a dough: bacteria 10^9/g and sourdough yeast 10^7/g of dough, bakers' yeast in % of flour."""

    bacteria: float = 0.0
    sourdough_yeast: float = 0.0
    bakers_yeast: float = 0.0


@dataclass(frozen=True, slots=True)
class Medium:
    """A dough just mixed, per kg of it: what the living things work in.

    `amounts_mmol` run parallel to `species`, among them lactic, acetic and succinic acid. `slurry_litres` is the
    water in which pH is read, `water_g` all water of the dough. `pace` is what salt and sugar leave of the yeast's
    pace (culture_pace.dough_pace), `ash_percent` that of the flour. `working` says that the bacteria come lively,
    `warm_bacteria` what share of them thrives at 35 to 40 °C.
    """

    species: tuple[Species, ...]
    amounts_mmol: tuple[float, ...]
    fixed_charge_mmol: float
    slurry_litres: float
    water_g: float
    flour_g: float
    rye_share: float = 0.0
    salt_percent: float = 0.0
    ash_percent: float = YEAST_ACID_ASH
    pace: float = 1.0
    gas_ml: float = GAS_ML_PER_H_PER_G
    working: bool = False
    own_bacteria: bool = True
    bacteria_pace: float = 1.0
    wild_pace: float = 1.0
    warm_bacteria: float = 0.0

    def __post_init__(self) -> None:
        if not (self.water_g > 0.0 and self.flour_g > 0.0 and self.slurry_litres > 0.0):
            raise ValueError("a living stage needs flour and water")

    @property
    def yeast_acid_meq(self) -> float:
        """Most milliequivalents of acid that yeast makes in a kg of this dough [A]."""
        per_kg_flour = YEAST_ACID_MEQ + YEAST_ACID_MEQ_PER_ASH * (self.ash_percent - YEAST_ACID_ASH)
        return max(per_kg_flour, 0.0) * self.flour_g / 1000.0


class Moment(NamedTuple):
    """A dough after so many hours. Acids are those made since mixing, mmol per kg dough, beside what went in."""

    hours: float
    temperature_c: float
    ph: float
    living: Living
    lactic: float
    acetic: float
    yeast_meq: float
    bakers_gas_ml: float
    wild_gas_ml: float
    bacteria_gas_ml: float

    @property
    def yeast_gas_ml(self) -> float:
        """mL CO2 per 100 g flour that yeast of both kinds has made."""
        return self.bakers_gas_ml + self.wild_gas_ml

    @property
    def gas_ml(self) -> float:
        """mL CO2 per 100 g flour made since mixing."""
        return self.bakers_gas_ml + self.wild_gas_ml + self.bacteria_gas_ml

    def made(self) -> Made:
        """What has been made of acids since mixing."""
        return acids_made(self.lactic, self.acetic, self.yeast_meq)


@dataclass(frozen=True, slots=True)
class Course:
    """What becomes of a dough over time, step by step; `rates` are mL gas per hour and 100 g flour at each."""

    medium: Medium
    moments: tuple[Moment, ...]
    rates: tuple[float, ...] = field(repr=False)

    @property
    def end(self) -> Moment:
        return self.moments[-1]

    def at(self, hours: float) -> Moment:
        """The dough after so many hours, straight between the steps; its end beyond them."""
        if hours <= 0.0:
            return self.moments[0]
        for before, after in zip(self.moments, self.moments[1:], strict=False):
            if hours <= after.hours:
                return _blend(before, after, (hours - before.hours) / (after.hours - before.hours))
        return self.end

    def rate_at(self, hours: float) -> float:
        """mL CO2 per hour and 100 g flour after so many hours, straight between the steps."""
        for index in range(1, len(self.moments)):
            before, after = self.moments[index - 1].hours, self.moments[index].hours
            if hours <= after:
                part = (hours - before) / (after - before)
                return self.rates[index - 1] + part * (self.rates[index] - self.rates[index - 1])
        return self.rates[-1]

    def gas_at(self, hours: float) -> float:
        """mL CO2 per 100 g flour after so many hours: the cubic through amounts and rates of the steps."""
        for index in range(1, len(self.moments)):
            before, after = self.moments[index - 1], self.moments[index]
            if hours <= after.hours:
                width = after.hours - before.hours
                return _cubic(before.gas_ml, after.gas_ml, self.rates[index - 1] * width, self.rates[index] * width)(
                    max(hours - before.hours, 0.0) / width
                )
        return self.end.gas_ml

    def tta(self, moment: Moment) -> float:
        """mL of 0.1 M NaOH per 10 g of dough up to pH 8.5."""
        amounts, charge = with_made(self.medium, moment.made())
        return tta_ml_per_10g(amounts, self.medium.species, charge, 1000.0)

    def hours_to_rise(self, bubbles: Bubbles, rise: float) -> float:
        """Hours until the dough has risen so far (0.30 for +30 %); infinite where it never does."""
        needed, t_c = math.nan, math.nan
        for index in range(1, len(self.moments)):
            after = self.moments[index]
            if after.temperature_c != t_c:
                t_c = after.temperature_c
                needed = bubbles.gas_needed(rise, t_c)
            if after.gas_ml >= needed:
                return self._crossing(index, bubbles, rise)
        return math.inf

    def _crossing(self, index: int, bubbles: Bubbles, rise: float) -> float:
        """Where between two steps the rise is met: gas as the cubic through both ends' amounts and rates."""
        before, after = self.moments[index - 1], self.moments[index]
        width = after.hours - before.hours
        gas = _cubic(before.gas_ml, after.gas_ml, self.rates[index - 1] * width, self.rates[index] * width)

        def short(part: float) -> float:
            t_c = before.temperature_c + part * (after.temperature_c - before.temperature_c)
            return gas(part) - bubbles.gas_needed(rise, t_c)

        at_start, at_end = short(0.0), short(1.0)
        if at_start >= 0.0:
            return before.hours
        part = crossing(short, 0.0, 1.0, at_start, at_end, NEAR_PART)
        return before.hours + part * width


def _cubic(start: float, end: float, first: float, last: float) -> Callable[[float], float]:
    """The cubic from 0 to 1 with these values and slopes at its ends."""
    gain = end - start
    square, cube = 3.0 * gain - 2.0 * first - last, first + last - 2.0 * gain
    return lambda part: start + part * (first + part * (square + part * cube))


def acids_made(lactic: float, acetic: float, yeast_meq: float) -> Made:
    """All acid made: what bacteria made of lactic and acetic acid, mmol, and so many meq of acids of yeast."""
    return (
        lactic,
        acetic + YEAST_ACIDS.acetic * yeast_meq,
        YEAST_ACIDS.succinic * yeast_meq,
        YEAST_ACIDS.fixed_charge * yeast_meq,
    )


def with_made(medium: Medium, made: Made) -> tuple[list[float], float]:
    amounts = list(medium.amounts_mmol)
    for place, kind in enumerate(medium.species):
        if kind.name == "lactic":
            amounts[place] += made[0]
        elif kind.name == "acetic":
            amounts[place] += made[1]
        elif kind.name == "succinic":
            amounts[place] += made[2]
    return amounts, medium.fixed_charge_mmol + made[3]


def _blend(before: Moment, after: Moment, part: float) -> Moment:
    def mid(a: float, b: float) -> float:
        return a + part * (b - a)

    first, last = before.living, after.living
    return Moment(
        mid(before.hours, after.hours),
        mid(before.temperature_c, after.temperature_c),
        mid(before.ph, after.ph),
        Living(
            mid(first.bacteria, last.bacteria),
            mid(first.sourdough_yeast, last.sourdough_yeast),
            mid(first.bakers_yeast, last.bakers_yeast),
        ),
        mid(before.lactic, after.lactic),
        mid(before.acetic, after.acetic),
        mid(before.yeast_meq, after.yeast_meq),
        mid(before.bakers_gas_ml, after.bakers_gas_ml),
        mid(before.wild_gas_ml, after.wild_gas_ml),
        mid(before.bacteria_gas_ml, after.bacteria_gas_ml),
    )
