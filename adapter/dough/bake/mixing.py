"""The bowl: every line with its own temperature, and the water that brings the dough to the wanted one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from adapter.dough.models.heat import (
    DRY_FLOUR,
    FRICTION_BY_HAND_C,
    FRICTION_BY_MACHINE_C,
    HeatLine,
    LiquidPlan,
    dough_temperature,
    liquid_temperature,
    mixing_heat_kj,
    rule_of_factors,
    specific_heat,
    why_they_differ,
)
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.stage_uses import kind_of_stage
from adapter.formula.model import Line

CARBOHYDRATES = (
    "glucose", "fructose", "sucrose", "maltose", "lactose", "galactose", "dextrins", "polyols", "starch", "other",
    "organic_acids", "alcohol",
)  # fmt: skip
SOUGHT_KIND = "water"
PLACES: Mapping[str, tuple[str, float, float]] = {
    "room_c": ("a room", -10.0, 50.0),
    "fridge_c": ("a fridge or cellar", -5.0, 25.0),
    "freezer_c": ("a freezer", -30.0, 0.0),
    "tap_c": ("tap water", 0.0, 45.0),
}
"""What a place may have, °C."""
LIQUID_KIND = "liquid"
LEAST_POURED_G = 0.01
LEAST_GAIN_C = 0.5
"""A liquid that warms the dough by less is not worth warming [A]."""
WARMEST_CULTURED_C = 40.0
"""Warmer than this a cultured milk curdles in the pot [CP]."""


@dataclass(frozen=True, slots=True)
class Temperatures:
    """Where things stand, °C, and how the dough is mixed."""

    room_c: float = 20.0
    fridge_c: float = 6.0
    freezer_c: float = -18.0
    tap_c: float = 12.0
    by_machine: bool = False

    def of_store(self, stored: str) -> float:
        return {"fridge": self.fridge_c, "freezer": self.freezer_c}.get(stored, self.room_c)


@dataclass(frozen=True, slots=True)
class Mixing:
    """The liquid to take, what the dough comes to, and the rule of factors beside it.

    `rule_factors_c` are the temperatures the rule counts besides the liquid's, `rule_friction_c` its allowance for
    mixing. `hint` names a liquid that can be warmed where water cannot do it; empty where none is needed.
    """

    wanted_c: float
    liquid: LiquidPlan
    dough_c: float
    rule_c: float
    why_rule_differs: str
    lines: tuple[HeatLine, ...]
    flour_g: float
    mixing_kj: float
    rule_factors_c: tuple[float, ...]
    rule_friction_c: float
    hint: str


def mixing_plan(measured: Measured, wanted_c: float, temperatures: Temperatures) -> Mixing:
    """How warm to take the water of a formula. Raises ValueError for temperatures that cannot be."""
    for name, (place, low, high) in PLACES.items():
        value = getattr(temperatures, name)
        if not low <= value <= high:
            raise ValueError(f"{place} at {value:g} °C is not possible: between {low:g} and {high:g} °C")
    poured = _poured(measured)
    lines = tuple(_heat_line(measured, line, temperatures) for line in poured)
    flour_g = measured.amount("flour") - measured.amount("prefermented")
    mixing_kj = mixing_heat_kj(measured.amount("mass"), temperatures.by_machine)
    plan = liquid_temperature(lines, wanted_c, flour_g, mixing_kj, tap_c=temperatures.tap_c)
    is_culture = [measured.kitchen.catalogue.get(line.ingredient).preferment for line in poured]
    sourdough = [line for line, culture in zip(lines, is_culture, strict=True) if culture]
    flour = [line.temperature_c for line in lines if line.is_flour] or [temperatures.room_c]
    factors = (sum(flour) / len(flour), temperatures.room_c, *(line.temperature_c for line in sourdough[:1]))
    friction = FRICTION_BY_MACHINE_C if temperatures.by_machine else FRICTION_BY_HAND_C
    rule = rule_of_factors(wanted_c, factors, friction)
    why = ""
    if plan.balance_c is not None:
        why = why_they_differ(lines, wanted_c, plan.balance_c, rule, len(factors))
    hint = "" if plan.reachable else _warmed_instead(measured, poured, lines, wanted_c, plan.dough_c)
    return Mixing(wanted_c, plan, plan.dough_c, rule, why, lines, flour_g, mixing_kj, factors, friction, hint)


def unwarmed_c(measured: Measured, temperatures: Temperatures) -> float:
    """°C of the dough with its water as it comes from the tap."""
    lines = [
        replace(line, temperature_c=temperatures.tap_c) if line.is_liquid else line
        for line in (_heat_line(measured, line, temperatures) for line in _poured(measured))
    ]
    flour_g = measured.amount("flour") - measured.amount("prefermented")
    return dough_temperature(lines, flour_g, mixing_heat_kj(measured.amount("mass"), temperatures.by_machine))


def _poured(measured: Measured) -> list[Line]:
    """The lines that bring warmth into the dough; less than a scale could ever show brings none."""
    return [line for line in measured.formula.lines if line.grams >= LEAST_POURED_G]


def _warmed_instead(
    measured: Measured, poured: Sequence[Line], lines: Sequence[HeatLine], wanted_c: float, dough_c: float
) -> str:
    """The coldest liquid beside the water that, warmed, brings what is missing; else the one that brings most of it."""
    missing_c = wanted_c - dough_c
    if missing_c <= 0.0:
        return ""
    catalogue = measured.kitchen.catalogue
    capacity = sum(line.kj_per_k for line in lines)
    enough, partly = [], []
    for written, line in zip(poured, lines, strict=True):
        needed_c = line.temperature_c + missing_c * capacity / line.kj_per_k
        pourable = LIQUID_KIND in catalogue.get(written.ingredient).kinds and not _is_earlier(measured, written)
        if not pourable or line.is_liquid:
            continue
        if needed_c <= WARMEST_CULTURED_C:
            enough.append((line.temperature_c, -line.grams, line, needed_c))
        gain_c = line.kj_per_k * (WARMEST_CULTURED_C - line.temperature_c) / capacity
        if gain_c >= LEAST_GAIN_C:
            partly.append((gain_c, line.name, line))
    if enough:
        _, _, line, needed_c = min(enough, key=lambda item: item[:2])
        return f"Or warm the {line.name} ({line.grams:.0f} g) from {line.temperature_c:.0f} to {needed_c:.0f} °C."
    if not partly:
        return ""
    gain_c, _, line = max(partly, key=lambda item: item[:2])
    return (
        f"Warm the {line.name} ({line.grams:.0f} g) from {line.temperature_c:.0f} to {WARMEST_CULTURED_C:.0f} °C: "
        f"the dough then comes to {dough_c + gain_c:.1f} °C."
    )


def _heat_line(measured: Measured, line: Line, temperatures: Temperatures) -> HeatLine:
    ingredient = measured.kitchen.catalogue.get(line.ingredient)
    own = temperatures.of_store(ingredient.stored)
    if ingredient.preferment:
        own = temperatures.room_c
    is_flour = ingredient.property("flour") > 0
    earlier = _is_earlier(measured, line)
    return HeatLine(
        line.ingredient,
        line.grams,
        line_specific_heat(measured, line),
        (_stood_c(measured, line, temperatures) if earlier else own)
        if line.temperature_c is None
        else line.temperature_c,
        SOUGHT_KIND in ingredient.kinds and not earlier and line.temperature_c is None,
        is_flour and not earlier,
    )


def _is_earlier(measured: Measured, line: Line) -> bool:
    """Water of a stage that stood before, soaker or preferment, is in the dough already when the rest is mixed."""
    return kind_of_stage(measured.formula, line.stage) != "dough"


def _stood_c(measured: Measured, line: Line, temperatures: Temperatures) -> float:
    """°C of a stage when the dough is mixed: of the place where it stood last, else of the room."""
    plan = measured.formula.plan_of(line.stage)
    if plan is None:
        return temperatures.room_c
    stood_c = plan.spells[-1].temperature_c if plan.spells else plan.temperature_c
    return temperatures.room_c if stood_c is None else stood_c


def line_specific_heat(measured: Measured, line: Line) -> float:
    """kJ/(kg K) of a line at 20 °C: the table's own, flour as from the bag, a sourdough or anything else by its parts.

    Crystals hold less heat than what is dissolved, so sugar and salt have theirs in the table.
    """
    composer = measured.kitchen.composer
    vector = composer.vector(line)
    parts: Mapping[str, float] = dict(zip(composer.layout.keys, vector, strict=True))
    ingredient = measured.kitchen.catalogue.get(line.ingredient)
    if "specific_heat" in ingredient.properties:
        return ingredient.property("specific_heat")
    if ingredient.preferment:
        water = 1.0 / (1.0 + 100.0 / (ingredient.preferment.hydration if line.hydration is None else line.hydration))
        return (1.0 - water) * DRY_FLOUR + water * specific_heat({"water": 1.0}, 20.0)
    if parts["flour"] >= 0.99:
        return DRY_FLOUR
    composition = {
        "water": parts["water"],
        "protein": parts["protein"],
        "fat": parts["fat"],
        "carbohydrate": sum(parts[key] for key in CARBOHYDRATES),
        "fibre": parts["fibre"],
        "ash": parts["ash"],
    }
    return specific_heat(composition, 20.0)
