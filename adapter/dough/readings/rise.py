"""The rise: yeast, the pace at which it makes gas, and how long the dough takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from adapter.dough.models import yeast
from adapter.dough.models.proof import LONGEST_RISE_H, Rise, retention, unrisen_density
from adapter.dough.readings import water_activity
from adapter.dough.readings.acidity import acetic_mm
from adapter.dough.readings.reading import Brought, Dough, LinearReading, Parameter, Reading, Terms, Working
from adapter.dough.readings.slopes import chain, partials, placed, ratio_gradient, scaled

UNTIL_IT_RISES = f"hours = {yeast.LAG_H:g} + gas needed / (gas rate · [E(yeast) + S] · G)"
"""The formula of the rise time, in symbols."""


def rise_of(dough: Dough, osmotic: float, temperature_c: float, rise_fraction: float, gas_ml: float) -> Rise:
    """The proof of a dough, with the water activity that its yeast feels."""
    ph = dough.values["ph"]
    inputs = (
        _per_flour(dough, "mass"),
        _per_flour(dough, "water"),
        dough.values["yeast"],
        _per_flour(dough, "cells"),
        dough.values["rye_share"] / 100.0,
        ph,
        osmotic,
        acetic_mm(dough, ph),
    )
    return _rise(inputs, temperature_c, rise_fraction, gas_ml)


def _per_flour(dough: Dough, name: str) -> float:
    return 100.0 * dough.amount(name) / dough.amount("flour")


def _rise(inputs: Sequence[float], temperature_c: float, rise_fraction: float, gas_ml: float) -> Rise:
    dough, water, percent, cells, rye, ph, osmotic, acetic = inputs
    return Rise(
        temperature_c,
        rise_fraction,
        dough,
        water,
        min(max(rye, 0.0), 1.0),
        max(percent, 0.0),
        max(cells, 0.0),
        yeast.activity(temperature_c, ph, osmotic, max(acetic, 0.0)),
        gas_ml,
    )


def _gradient_of(dough: Dough, of: Callable[[Rise], float]) -> list[float]:
    """Gradient of something that hangs on the rise alone."""
    rise, ph = dough.rise, dough.values["ph"]
    aw_inputs = water_activity.inputs_of(dough)
    inputs = [
        rise.dough,
        rise.water,
        rise.yeast_percent,
        rise.cells,
        rise.rye_share,
        ph,
        water_activity.of_yeast(aw_inputs),
        acetic_mm(dough, ph),
    ]
    slopes = partials(lambda at: of(_rise(at, rise.temperature_c, rise.rise_fraction, rise.gas_ml)), inputs)
    acetic_per_ph = (acetic_mm(dough, ph + 1e-4) - acetic_mm(dough, ph - 1e-4)) / 2e-4
    acetic = scaled(dough, "ph", acetic_per_ph)
    if dough.amount("acetic") > 0:
        acetic[dough.layout.index["acetic"]] += acetic_mm(dough, ph) / dough.amount("acetic")
    if dough.amount("water") > 0:
        acetic[dough.layout.index["water"]] -= acetic_mm(dough, ph) / dough.amount("water")
    return chain(
        slopes,
        (
            ratio_gradient(dough, "mass", 100.0),
            ratio_gradient(dough, "water", 100.0),
            dough.gradient("yeast"),
            ratio_gradient(dough, "cells", 100.0),
            scaled(dough, "rye_share", 0.01),
            dough.gradient("ph"),
            placed(dough, water_activity.INPUTS, partials(water_activity.of_yeast, aw_inputs)),
            acetic,
        ),
    )


def _rate_gradient(dough: Dough) -> list[float]:
    """Change of the gas rate per unit of each total; a longer rise lets a sourdough's yeast grow further."""
    return _gradient_of(dough, lambda rise: rise.rate(min(rise.hours(), LONGEST_RISE_H)))


def _brings(dough: Dough) -> Brought:
    fresh, cells = dough.layout.index["yeast"], dough.layout.index["cells"]
    return Brought("g as fresh yeast", lambda vector: vector[fresh] + vector[cells])


def _working(dough: Dough, symbols: str, *more: str) -> Working:
    rise = dough.rise
    own_yeast = rise.own_yeast(min(dough.values["rise_time"], 4.0))
    steps = (
        f"gas that the rise of {100 * rise.rise_fraction:.0f} % takes: {rise.gas_needed():.0f} mL per 100 g flour",
        f"yeast {rise.yeast_percent:.2f} % of flour as fresh; sourdough's own worth {own_yeast:.2f} %",
        f"pace of the yeast at {rise.temperature_c:g} °C in this dough against the reference: {rise.activity:.2f}",
        f"gas made: {dough.rate:.0f} mL per hour and 100 g flour",
        *more,
    )
    return Working(symbols, steps, _parameters(dough))


def _parameters(dough: Dough) -> tuple[Parameter, ...]:
    rise, bakes = dough.rise, dough.logged_rises
    fitted = f"fitted to published gas rates, {yeast.REFERENCE_C:g} °C"
    cardinal_c = f"{yeast.GAS_LOWEST_C:g} / {yeast.GAS_BEST_C:g} / {yeast.GAS_HIGHEST_C:g}"
    cardinal_ph = f"{yeast.LOWEST_PH:.1f} / {yeast.BEST_PH:.1f} / {yeast.HIGHEST_PH:.1f}"
    return (
        Parameter(
            "gas rate, mL/h per g",
            f"{rise.gas_ml:.0f}",
            "own" if bakes else "F",
            f"{bakes} bakes of this kitchen's log" if bakes else fitted,
        ),
        Parameter("lag, h", f"{yeast.LAG_H:g}", "M", "textbook, from memory"),
        Parameter("retention of gas", f"{retention(rise.rye_share):.2f}", "M", "coarse rye 0.45–0.65, wheat 0.9"),
        Parameter("density of the dough, g/mL", f"{unrisen_density(rise.rye_share):.2f}", "CP", "rye 1.15–1.20"),
        Parameter("temperatures of gas making, °C", cardinal_c, "F", "Rosso model fitted to Q10 2.1 from 20 to 30 °C"),
        Parameter("pH of gas making", cardinal_ph, "F", "grows 2.5–8.0, Praphailong & Fleet 1997"),
        Parameter("least water activity", f"{yeast.LEAST_WATER_ACTIVITY:g}", "F", "0.86–0.91"),
    )


@dataclass(frozen=True, kw_only=True)
class Pace(Reading):
    """Gas made per hour, against the book formula."""

    def value(self, dough: Dough) -> float:
        book = dough.book
        if dough.rate == book.rate:
            return 1.0
        return dough.rate / book.rate if book.rate > 0 else math.inf

    def gradient(self, dough: Dough) -> list[float]:
        return [part / dough.book.rate for part in _rate_gradient(dough)]

    def spread_terms(self, dough: Dough) -> Terms:
        """What dough and book share cancels, and the book itself is 1 without a doubt."""
        book = dough.book
        if book is dough or not math.isfinite(dough.values[self.key]) or book.rate <= 0:
            return ()
        own, against = 1.0 / book.rate, -dough.rate / book.rate**2
        return [(own, dough, _rate_gradient(dough)), (against, book, _rate_gradient(book))]

    def doubtful(self, value: float) -> float:
        return value - 1.0  # the book's own pace is 1 without a doubt

    def brings(self, dough: Dough) -> Brought:
        return _brings(dough)

    def working(self, dough: Dough) -> Working:
        book = f"book: {dough.book.rate:.0f} mL per hour and 100 g flour"
        return _working(dough, "pace = gas made here / gas made in the book formula", book)


@dataclass(frozen=True, kw_only=True)
class RiseTime(Reading):
    """Hours from mixing to the rise that the formula asks for."""

    def value(self, dough: Dough) -> float:
        return dough.rise.hours()

    def gradient(self, dough: Dough) -> list[float]:
        return _gradient_of(dough, Rise.hours)

    def brings(self, dough: Dough) -> Brought:
        return _brings(dough)

    def working(self, dough: Dough) -> Working:
        return _working(dough, UNTIL_IT_RISES)


READINGS = (
    LinearReading(key="yeast", top={"yeast": 1.0}, basis="yeast as fresh yeast / flour", tag="CP", on_card=True),
    Pace(
        key="pace",
        basis="gas made per hour and flour / that of the book formula",
        tag="F",
        label="yeast pace",
        unit="x book",
        short_unit="x",
        change_unit="",
        decimals=2,
        claim="Differences between variants are far better known than the hours themselves.",
    ),
    RiseTime(
        key="rise_time",
        basis=f"{yeast.LAG_H:g} h + gas that the rise takes / gas made per hour",
        tag="F",
        unit="h",
        short_unit="h",
        claim="One observed rise makes it this kitchen's own; the dough itself decides.",
        on_card=True,
    ),
)
