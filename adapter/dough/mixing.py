"""The bowl: every line with its own temperature, and the water that brings the dough to the wanted one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from adapter.dough.heat import (
    DRY_FLOUR,
    FRICTION_BY_HAND_C,
    FRICTION_BY_MACHINE_C,
    ICE_MELTING_KJ_PER_KG,
    HeatLine,
    LiquidPlan,
    dough_temperature,
    liquid_temperature,
    mixing_heat_kj,
    rule_of_factors,
    specific_heat,
    why_they_differ,
)
from adapter.dough.readings import Measured
from adapter.formula.model import Line

CARBOHYDRATES = (
    "glucose", "fructose", "sucrose", "maltose", "lactose", "galactose", "dextrins", "polyols", "starch", "other",
    "organic_acids", "alcohol",
)  # fmt: skip
SOUGHT_KIND = "water"
EARLIER_STAGES = ("sourdough", "soak", "scald")
"""Water of these stages is in the dough already, at the room's temperature, when the rest is mixed."""


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
    """The liquid to take, what the dough comes to, and the rule of factors beside it."""

    wanted_c: float
    liquid: LiquidPlan
    dough_c: float
    rule_c: float
    why_rule_differs: str
    lines: tuple[HeatLine, ...]


def mixing_plan(measured: Measured, wanted_c: float, temperatures: Temperatures) -> Mixing:
    """How warm to take the water of a formula. Raises ValueError for temperatures that cannot be."""
    lines = tuple(_heat_line(measured, line, temperatures) for line in measured.formula.lines if line.grams > 0)
    flour_g = measured.amount("flour") - measured.amount("prefermented")
    mixing = mixing_heat_kj(measured.amount("mass"), temperatures.by_machine)
    plan = liquid_temperature(lines, wanted_c, flour_g, mixing, tap_c=temperatures.tap_c)
    sourdough = [line for line in lines if line.name.endswith("sourdough")]
    flour = [line.temperature_c for line in lines if line.is_flour] or [temperatures.room_c]
    factors = [sum(flour) / len(flour), temperatures.room_c, *(line.temperature_c for line in sourdough[:1])]
    friction = FRICTION_BY_MACHINE_C if temperatures.by_machine else FRICTION_BY_HAND_C
    rule = rule_of_factors(wanted_c, factors, friction)
    why = ""
    if plan.balance_c is not None:
        why = why_they_differ(lines, wanted_c, plan.balance_c, rule, len(factors))
    return Mixing(wanted_c, plan, _reached(lines, plan, wanted_c, flour_g, mixing), rule, why, lines)


def _reached(lines: tuple[HeatLine, ...], plan: LiquidPlan, wanted_c: float, flour_g: float, mixing_kj: float) -> float:
    """What the dough comes to: as wanted where the liquid can do it, else with the liquid (and ice) at its limit."""
    if plan.liquid_temperature_c is None:
        return dough_temperature(lines, flour_g, mixing_kj)
    if plan.reachable:
        return wanted_c
    liquid_g = sum(line.grams for line in lines if line.is_liquid)
    liquid_c = sum(line.kj_per_k for line in lines if line.is_liquid) / liquid_g * 1000.0
    cooled = plan.ice_g * (ICE_MELTING_KJ_PER_KG + liquid_c * plan.liquid_temperature_c) / (liquid_g * liquid_c)
    worth_c = plan.liquid_temperature_c - cooled
    return dough_temperature(
        [replace(line, temperature_c=worth_c) if line.is_liquid else line for line in lines], flour_g, mixing_kj
    )


def _heat_line(measured: Measured, line: Line, temperatures: Temperatures) -> HeatLine:
    ingredient = measured.kitchen.catalogue.get(line.ingredient)
    own = temperatures.of_store(ingredient.stored)
    if ingredient.preferment:
        own = temperatures.room_c
    is_flour = ingredient.property("flour") > 0
    earlier = line.stage.casefold().startswith(EARLIER_STAGES)
    return HeatLine(
        line.ingredient,
        line.grams,
        line_specific_heat(measured, line),
        (temperatures.room_c if earlier else own) if line.temperature_c is None else line.temperature_c,
        SOUGHT_KIND in ingredient.kinds and not earlier and line.temperature_c is None,
        is_flour and not earlier,
    )


def line_specific_heat(measured: Measured, line: Line) -> float:
    """kJ/(kg K) of a line at 20 °C: flour as from the bag, a sourdough by its flour and water, else by parts."""
    composer = measured.kitchen.composer
    vector = composer.vector(line, False)
    parts: Mapping[str, float] = dict(zip(composer.layout.keys, vector, strict=True))
    ingredient = measured.kitchen.catalogue.get(line.ingredient)
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
