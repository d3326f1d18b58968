"""How a reading changes with each of the totals: exact where that is easy, central differences where it is not."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from adapter.dough.models.acidity import charge_slope, mean_charge
from adapter.dough.models.proof import LONGEST_RISE_H, Rise
from adapter.dough.readings.linear import dot
from adapter.dough.readings.totals import SLURRY_LITRES_PER_G

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured

AW_SUGARS = ("glucose", "fructose", "sucrose", "maltose", "lactose")
AW_INPUTS = (*AW_SUGARS, "salt", "alcohol", "water", "dry_flour")


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
        return _rise_gradient(measured, lambda rise: rise.hours())
    if key == "pace":
        return [part / measured.book.rate for part in rate_gradient(measured)]
    raise KeyError(key)


def rate_gradient(measured: Measured) -> list[float]:
    """Change of the gas rate per unit of each total; a longer rise lets a sourdough's yeast grow further."""
    return _rise_gradient(measured, lambda rise: rise.rate(min(rise.hours(), LONGEST_RISE_H)))


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


def _rise_gradient(measured: Measured, of: Callable[[Rise], float]) -> list[float]:
    rise = measured.rise
    ph = measured.values["ph"]
    aw_inputs = [measured.amount(name) for name in AW_INPUTS]
    inputs = [
        rise.dough,
        rise.water,
        rise.yeast_percent,
        rise.cells,
        rise.rye_share,
        ph,
        measured.osmotic_value(aw_inputs),
        measured.acetic_mm(ph),
    ]
    partials = _partials(lambda values: of(measured.rise_of(values, rise.temperature_c, rise.rise_fraction)), inputs)
    acetic_per_ph = (measured.acetic_mm(ph + 1e-4) - measured.acetic_mm(ph - 1e-4)) / 2e-4
    acetic = [acetic_per_ph * part for part in measured.gradient("ph")]
    if measured.amount("acetic") > 0:
        acetic[measured.layout.index["acetic"]] += measured.acetic_mm(ph) / measured.amount("acetic")
    if measured.amount("water") > 0:
        acetic[measured.layout.index["water"]] -= measured.acetic_mm(ph) / measured.amount("water")
    return _chain(
        partials,
        (
            _ratio_gradient(measured, "mass", 100.0),
            _ratio_gradient(measured, "water", 100.0),
            measured.gradient("yeast"),
            _ratio_gradient(measured, "cells", 100.0),
            _scaled(measured, "rye_share", 0.01),
            measured.gradient("ph"),
            _placed(measured, AW_INPUTS, _partials(measured.osmotic_value, aw_inputs)),
            acetic,
        ),
    )


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
