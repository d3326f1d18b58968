"""Starch attack: how far the grain's own amylase can break the crumb down in this loaf and oven."""

from __future__ import annotations

from collections.abc import Sequence

from adapter.dough.models.oven import STARCH_FROM_C, STARCH_TO_C
from adapter.dough.models.starch_attack import (
    HALF_LIFE_MIN,
    REFERENCE_FALLING_NUMBER_S,
    REFERENCE_HEATING_C_PER_MIN,
    REFERENCE_PH,
    RYE_GELATINISES_C,
    WHEAT_GELATINISES_C,
    falling_number_of,
    starch_attack_index,
)
from adapter.dough.readings.reading import Brought, Dough, Parameter, Reading, Working
from adapter.dough.readings.slopes import chain, partials, ratio_gradient, scaled


def inputs_of(dough: Dough) -> list[float]:
    """Rye share (0 to 1), liquefaction number of all flour, pH."""
    return [dough.value("rye_share") / 100.0, dough.amount("liquefaction") / dough.amount("flour"), dough.value("ph")]


def index_of(inputs: Sequence[float], heating_c_per_min: float, core_c: float) -> float:
    """The index of a crumb that warms at such a rate to such a core."""
    rye, liquefaction, ph = inputs
    return starch_attack_index(min(max(rye, 0.0), 1.0), max(liquefaction, 0.0), ph, heating_c_per_min, core_c)


class StarchAttack(Reading):
    def value(self, dough: Dough) -> float:
        return index_of(inputs_of(dough), dough.heating_c_per_min, dough.conditions.core_c)

    def gradient(self, dough: Dough) -> list[float]:
        heating, core_c = dough.heating_c_per_min, dough.conditions.core_c
        rye, liquefaction, ph = inputs_of(dough)

        def index(inputs: Sequence[float]) -> float:
            return index_of((inputs[0], liquefaction, inputs[1]), heating, core_c)

        by_rye, by_ph = partials(index, (rye, ph))
        by_liquefaction = index_of((rye, 1.0, ph), heating, core_c)  # the index is in proportion to it
        return chain(
            (by_rye, by_liquefaction, by_ph),
            (scaled(dough, "rye_share", 0.01), ratio_gradient(dough, "liquefaction", 1.0), dough.gradient("ph")),
        )

    def brings(self, dough: Dough) -> Brought:
        place = dough.layout.index["liquefaction"]
        return Brought("g × liquefaction", lambda vector: vector[place])

    def working(self, dough: Dough) -> Working:
        liquefaction = dough.amount("liquefaction") / dough.amount("flour")
        enzymes = "no enzymes"
        if liquefaction > 0:
            seconds = falling_number_of(liquefaction)
            enzymes = f"liquefaction number of all flour {liquefaction:.0f} (falling number {seconds:.0f} s)"
        steps = (
            enzymes,
            f"pH {dough.value('ph'):.2f}, rye {dough.value('rye_share'):.0f} % of the flour",
            f"crumb warms by {dough.heating_c_per_min:.2f} °C a minute between {STARCH_FROM_C:g} and "
            f"{STARCH_TO_C:g} °C, to {dough.conditions.core_c:g} °C",
        )
        reference = (
            f"pure rye, falling number {REFERENCE_FALLING_NUMBER_S:g}, pH {REFERENCE_PH:g}, "
            f"{REFERENCE_HEATING_C_PER_MIN:g} °C/min"
        )
        gelatinises = f"rye {RYE_GELATINISES_C:g}, wheat {WHEAT_GELATINISES_C:g}"
        parameters = (
            Parameter("index 100", reference, "A", "the reference dough, chosen here"),
            Parameter("amylase fastest at pH", f"{REFERENCE_PH:g}", "P", "published: 5.5–5.7"),
            Parameter("starch gelatinises, °C", gelatinises, "A", "rye 55–70 °C from memory"),
            Parameter(
                "amylase half-life at 75 °C, min", f"{HALF_LIFE_MIN:g}", "A", "destroyed at 75–85 °C, from memory"
            ),
        )
        symbols = "starch attack = 100 · I / I_ref,  I = ∫ enzyme · alive · gelatinised starch · f(pH) · k(T) dt"
        meaning = (
            "I: the sum over the bake; I_ref: the same for the reference dough; enzyme: what the falling numbers tell; "
            "alive: share of it not yet destroyed by heat; f(pH) and k(T): how pH and warmth T suit it; t: time"
        )
        return Working(symbols, steps, parameters, meaning)


READINGS = (
    StarchAttack(
        key="starch_attack",
        basis="work of amylase on gelatinised starch while the crumb heats; for ranking only",
        tag="A",
        unit="index",
        short_unit="",
        decimals=0,
        claim="For ranking variants only: no number is safe or unsafe, and low is not simply good.",
    ),
)
