"""How a reading changes with each of the totals: exact where that is easy, central differences where it is not."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from adapter.dough.models.acidity import charge_slope, mean_charge
from adapter.dough.readings.linear import dot
from adapter.dough.readings.totals import SLURRY_LITRES_PER_G

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured

AW_SUGARS = ("glucose", "fructose", "sucrose", "maltose", "lactose", "galactose", "polyols", "dextrins")
AW_INPUTS = (*AW_SUGARS, "salt", "alcohol", "water", "dry_flour")
PROOF_INPUTS = (
    "mass", "flour", "dry_flour", "water", "yeast", "cells", "bacteria", "rye", "salt", "free_sugar", "fed_sugar",
    "gluten", "fixed_charge",
)  # fmt: skip
PROOF_STEP = 1e-4


def gradient(measured: Measured, key: str) -> list[float]:
    """Change of a reading per unit of each total; KeyError for a key that is neither reading nor quantity."""
    if key in measured.kitchen.quantities:
        return measured.kitchen.quantities[key].gradient(measured.totals)
    if not math.isfinite(measured.values[key]):
        return [0.0] * len(measured.totals)
    if key == "ph":
        return _ph_gradient(measured)
    if key == "water_activity":
        inputs = [measured.amount(name) for name in AW_INPUTS]
        return _placed(measured, AW_INPUTS, _partials(measured.aw_value, inputs))
    if key == "starch_attack":
        return _chain(
            _partials(measured.starch_value, measured.starch_inputs()),
            (
                _scaled(measured, "rye_share", 0.01),
                _ratio_gradient(measured, "liquefaction", 1.0),
                measured.gradient("ph"),
            ),
        )
    if key == "rise_time":
        return measured.proof_gradients[0]
    if key == "leavening_gas":
        return [0.0] * len(measured.totals)
    if key == "pace":
        return [part / measured.book.rate for part in rate_gradient(measured)]
    raise KeyError(key)


def rate_gradient(measured: Measured) -> list[float]:
    """Change of the gas rate per unit of each total; a longer rise lets a sourdough's yeast grow further."""
    return measured.proof_gradients[1]


def _ph_gradient(measured: Measured) -> list[float]:
    ph = measured.values["ph"]
    layout = measured.layout
    slope = charge_slope(measured.totals[layout.first_species :], layout.species, ph, measured.slurry_litres)
    gradient = [0.0] * len(measured.totals)
    for place, kind in enumerate(layout.species, start=layout.first_species):
        gradient[place] = -mean_charge(kind.pkas, ph) / slope
    gradient[layout.index["fixed_charge"]] = 1.0 / slope
    water_charge = 1000.0 * (10.0 ** (ph - 14.0) - 10.0**-ph)
    gradient[layout.index["mass"]] = -SLURRY_LITRES_PER_G * water_charge / slope
    gradient[layout.index["water"]] = -water_charge / 1000.0 / slope
    return gradient


def proof_gradients(measured: Measured) -> tuple[list[float], list[float]]:
    """Change of the hours of rise, and of the gas rate, per unit of each total of the dough as it is mixed.

    Worked out once: the proof is followed anew with a little more of each. Acids and buffers work through the pH at
    the start, so one step of the fixed charge serves them all.
    """
    layout, mixed = measured.layout, measured.mixed
    size = len(mixed)
    if not math.isfinite(measured.values["rise_time"]):
        return [0.0] * size, [0.0] * size
    hours, rates = [0.0] * size, [0.0] * size
    first = measured.rise.hours()
    rate = measured.rise.rate(first)
    for key in PROOF_INPUTS:
        place = layout.index[key]
        scale = measured.amount("flour") if key != "fixed_charge" else measured.amount("mass") / 10.0
        step = PROOF_STEP * max(abs(mixed[place]), 0.01 * scale)
        more = list(mixed)
        more[place] += step
        rise = measured.rise_of(more)
        later = rise.hours()
        if math.isfinite(later):
            hours[place] = (later - first) / step
            rates[place] = (rise.rate(later) - rate) / step
    ph = measured.rise.course().moments[0].ph
    fixed = layout.index["fixed_charge"]
    for place, kind in enumerate(layout.species, start=layout.first_species):
        if mixed[place]:
            taken = mean_charge(kind.pkas, ph)
            hours[place], rates[place] = -taken * hours[fixed], -taken * rates[fixed]
    return hours, rates


def _scaled(measured: Measured, key: str, factor: float) -> list[float]:
    return [factor * part for part in measured.gradient(key)]


def _ratio_gradient(measured: Measured, key: str, scale: float) -> list[float]:
    flour = measured.amount("flour")
    gradient = [0.0] * len(measured.totals)
    gradient[measured.layout.index[key]] += scale / flour
    gradient[measured.layout.index["flour"]] -= scale * measured.amount(key) / flour**2
    return gradient


def _placed(measured: Measured, names: Sequence[str], parts: Sequence[float]) -> list[float]:
    gradient = [0.0] * len(measured.totals)
    for name, part in zip(names, parts, strict=True):
        gradient[measured.layout.index[name]] = part
    return gradient


def _partials(function: Callable[[Sequence[float]], float], inputs: Sequence[float]) -> list[float]:
    """Central differences of a smooth function; a step of a millionth of the input, at least a ten-millionth."""
    partials = []
    for place, value in enumerate(inputs):
        step = max(1e-5 * abs(value), 1e-6)
        up, down = list(inputs), list(inputs)
        up[place], down[place] = value + step, value - step
        partials.append((function(up) - function(down)) / (2.0 * step))
    return partials


def _chain(partials: Sequence[float], gradients: Sequence[Sequence[float]]) -> list[float]:
    return [dot(partials, column) for column in zip(*gradients, strict=True)]
