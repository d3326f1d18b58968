"""Variants side by side: their lines aligned, the allergens that differ, what must be bought and what they cost."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from adapter.dough.allergens import allergens
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.levels import Level, levels
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.model import Formula
from adapter.formula.pantry import Pantry
from adapter.swaps.balance import WATER

Key = tuple[str, float | None]
Item = TypeVar("Item")


@dataclass(frozen=True, slots=True)
class AlignedLine:
    """One ingredient of one stage across the variants; None where a variant has no such line.

    `percent` is % of the variant's flour. `hydration` is a sourdough's own, where the lines give one.
    """

    stage: str
    ingredient: str
    hydration: float | None
    grams: tuple[float | None, ...]
    percent: tuple[float | None, ...]

    @property
    def differs(self) -> bool:
        return len(set(self.grams)) > 1


@dataclass(frozen=True, slots=True)
class Allergen:
    """An allergen group, and which of the variants contain it."""

    group: str
    contained: tuple[bool, ...]

    @property
    def differs(self) -> bool:
        return len(set(self.contained)) > 1


@dataclass(frozen=True, slots=True)
class Need:
    """What the variants take of an ingredient that the pantry has too little of for one of them, grams."""

    ingredient: str
    have: float
    need: tuple[float, ...]

    @property
    def missing(self) -> tuple[float, ...]:
        return tuple(max(0.0, need - self.have) for need in self.need)


def compared(kitchen: Kitchen, formulas: Sequence[Formula]) -> tuple[Measured, ...]:
    """Formulas measured for a comparison, each by its own book formula. Raises InputProblem for one without flour."""
    return tuple(measure(kitchen, formula) for formula in formulas)


def levels_against_first(variants: Sequence[Measured]) -> tuple[tuple[Level, ...], ...]:
    """The readings of every variant, each set against the first variant's."""
    return tuple(levels(variant, variants[0]) for variant in variants)


def aligned_lines(variants: Sequence[Measured]) -> tuple[AlignedLine, ...]:
    """Every line of the variants, stage by stage; a line that the first has not stands after what it follows."""
    tables = [_by_stage(variant.formula) for variant in variants]
    flour = [variant.amount("flour") for variant in variants]
    rows = []
    for stage in _merged([list(table) for table in tables]):
        for key in _merged([list(table.get(stage, {})) for table in tables]):
            grams = tuple(table.get(stage, {}).get(key) for table in tables)
            percent = tuple(None if g is None else 100.0 * g / f for g, f in zip(grams, flour, strict=True))
            rows.append(AlignedLine(stage, key[0], key[1], grams, percent))
    return tuple(rows)


def _by_stage(formula: Formula) -> dict[str, dict[Key, float]]:
    """Grams by stage and line; the same thing written twice in a stage is added up."""
    table: dict[str, dict[Key, float]] = {}
    for line in formula.lines:
        stage = table.setdefault(line.stage, {})
        key = (line.ingredient, line.hydration)
        stage[key] = stage.get(key, 0.0) + line.grams
    return table


def _merged(orders: Sequence[Sequence[Item]]) -> list[Item]:
    """One order out of several: the first's; what only others have stands after what it follows, or replaces, there."""
    merged: list[Item] = []
    for order in orders:
        place = 0
        for item in order:
            if item in merged:
                place = merged.index(item) + 1
                continue
            while place < len(merged) and merged[place] not in order:
                place += 1
            merged.insert(place, item)
            place += 1
    return merged


def allergen_table(variants: Sequence[Measured]) -> tuple[Allergen, ...]:
    """Every allergen group that some variant contains; those in which they differ come first."""
    contained = [set(allergens(variant)) for variant in variants]
    groups = sorted(set[str]().union(*contained))
    found = [Allergen(group, tuple(group in each for each in contained)) for group in groups]
    return tuple(sorted(found, key=lambda row: (not row.differs, row.group)))


def needs(variants: Sequence[Measured], pantry: Pantry) -> tuple[Need, ...]:
    """What must be bought for at least one of the variants, in the order of the formulas; water is never bought."""
    names = _merged([[line.ingredient for line in variant.formula.lines] for variant in variants])
    found = []
    for name in dict.fromkeys(names):
        if name == WATER:
            continue
        need = Need(name, pantry.grams_of(name), tuple(grams_of(variant.formula, name) for variant in variants))
        if any(need.missing):
            found.append(need)
    return tuple(found)


def grams_of(formula: Formula, ingredient: str) -> float:
    """Grams of an ingredient in all lines of a formula."""
    return math.fsum(line.grams for line in formula.lines if line.ingredient == ingredient)


def cost(formula: Formula, pantry: Pantry) -> float | None:
    """What the ingredients cost by the pantry's prices, in its money; None where one of them has no price."""
    total, without = priced(formula, pantry)
    return None if without else total


def priced(formula: Formula, pantry: Pantry) -> tuple[float, tuple[str, ...]]:
    """What the ingredients with a price cost, and those without one."""
    total, without = 0.0, []
    for line in formula.lines:
        price = pantry.price_of(line.ingredient)
        if line.ingredient == WATER or line.grams == 0:
            continue
        if price is None:
            without.append(line.ingredient)
        else:
            total += line.grams / 1000.0 * price
    return total, tuple(dict.fromkeys(without))


def shifts_between(before: Formula, after: Formula) -> dict[str, float]:
    """Grams by which each ingredient changed, to a millionth; nothing for one that stayed."""
    sums: dict[str, float] = {}
    for sign, formula in ((1.0, after), (-1.0, before)):
        for line in formula.lines:
            sums[line.ingredient] = sums.get(line.ingredient, 0.0) + sign * line.grams
    shifts = {name: round(grams, 6) for name, grams in sums.items()}
    return {name: grams for name, grams in shifts.items() if grams}


def price_change(before: Formula, after: Formula, pantry: Pantry) -> float | None:
    """By how much a formula costs more than another; None where something that differs has no price."""
    total = 0.0
    for name, more in shifts_between(before, after).items():
        if name == WATER:
            continue
        price = pantry.price_of(name)
        if price is None:
            return None
        total += more / 1000.0 * price
    return total


def short_names(names: Sequence[str]) -> tuple[str, ...]:
    """Names without the words that all of them begin with; a name that would be empty stays whole."""
    if len(set(names)) < 2:
        return tuple(names)
    words = [name.replace(",", " ,").split() for name in names]
    common = 0
    while all(len(each) > common for each in words) and len({each[common] for each in words}) == 1:
        common += 1
    rest = [" ".join(each[common:]).replace(" ,", ",").lstrip(", ") for each in words]
    return tuple(short or name for short, name in zip(rest, names, strict=True))
