"""The rise: yeast, the pace at which it makes gas, and how long the dough takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from adapter.dough.models import culture_pace, ripening, yeast
from adapter.dough.models.acidity import mean_charge
from adapter.dough.models.proof import unrisen_density
from adapter.dough.readings.reading import Brought, Dough, LinearReading, Parameter, Reading, Terms, Working

UNTIL_IT_RISES = "gas made in hours = gas needed,  gas made = ∫ rate · [E(yeast) + S] · G dt + gas of the bacteria"
"""The formula of the rise time, in symbols."""

PROOF_INPUTS = (
    "mass", "flour", "dry_flour", "water", "yeast", "cells", "bacteria", "rye", "salt", "free_sugar", "fed_sugar",
    "gluten", "fixed_charge",
)  # fmt: skip
"""The totals that the proof hangs on; acids and buffers work through the fixed charge."""
PROOF_STEP = 1e-4


def proof_gradients(dough: Dough) -> tuple[list[float], list[float]]:
    """Change of the hours of rise, and of the gas rate, per unit of each total of the dough as it is mixed.

    The proof is followed anew with a little more of each. Acids and buffers work through the pH at the start, so one
    step of the fixed charge serves them all.
    """
    layout, mixed, rise = dough.layout, dough.mixed, dough.rise
    hours, rates = [0.0] * len(mixed), [0.0] * len(mixed)
    first = rise.hours()
    if not math.isfinite(first):
        return hours, rates
    rate = rise.rate(first)
    for key in PROOF_INPUTS:
        place = layout.index[key]
        step = PROOF_STEP * max(abs(mixed[place]), 0.01 * dough.amount("flour"))
        more = list(mixed)
        more[place] += step
        fuller = dough.rise_of(more)
        later = fuller.hours()
        if math.isfinite(later):
            hours[place] = (later - first) / step
            rates[place] = (fuller.rate(later) - rate) / step
    ph, fixed = rise.course().moments[0].ph, layout.index["fixed_charge"]
    for place, kind in enumerate(layout.species, start=layout.first_species):
        if mixed[place]:
            taken = mean_charge(kind.pkas, ph)
            hours[place], rates[place] = -taken * hours[fixed], -taken * rates[fixed]
    return hours, rates


def _brings(dough: Dough) -> Brought:
    fresh, cells = dough.layout.index["yeast"], dough.layout.index["cells"]
    return Brought("g as fresh yeast", lambda vector: vector[fresh] + vector[cells])


def _working(dough: Dough, symbols: str, *more: str) -> Working:
    rise = dough.rise
    if not rise.is_alive:
        return Working(symbols, ("nothing in this dough makes gas as it stands", *more), _parameters(dough))
    hours = dough.values["rise_time"]
    moment = rise.course().at(hours)
    own = 100.0 * dough.amount("cells") / dough.amount("flour")
    steps = (
        f"gas that the rise of {100 * rise.rise_fraction:.0f} % takes: {rise.gas_needed():.0f} mL per 100 g flour",
        f"yeast {rise.yeast_percent:.2f} % of flour as fresh; sourdough's own worth {own:.2f} % at the start",
        f"what salt and sugar leave of its pace against the reference dough: {rise.medium.pace:.2f}",
        f"gas made by then: {moment.yeast_gas_ml:.0f} mL by yeast, {moment.bacteria_gas_ml:.0f} mL by bacteria",
        f"{dough.rate:.0f} mL per hour and 100 g flour in the mean; pH {rise.course().moments[0].ph:.1f} to "
        f"{moment.ph:.1f}",
        *more,
    )
    return Working(symbols, steps, _parameters(dough))


def _parameters(dough: Dough) -> tuple[Parameter, ...]:
    rise, bakes = dough.rise, dough.logged_rises
    fitted = f"fitted to published gas rates, {culture_pace.REFERENCE_C:g} °C"
    lowest, best, highest = culture_pace.GAS_C
    cardinal_ph = f"{yeast.LOWEST_PH:.1f} / {yeast.BEST_PH:.1f} / {yeast.HIGHEST_PH:.1f}"
    retained = "0.35 + 0.055 x gluten, rye not below 0.55"
    return (
        Parameter(
            "gas rate, mL/h per g",
            f"{rise.gas_ml:.0f}",
            "own" if bakes else "F",
            f"{bakes} bakes of this kitchen's log" if bakes else fitted,
        ),
        Parameter("first gas after, h", f"{ripening.GAS_WAKES_H:g}", "M", "pace grows to full over it; from memory"),
        Parameter("retention of gas", f"{rise.bubbles.retention:.2f}", "M", retained),
        Parameter("air folded in, share of the dough", f"{rise.bubbles.air:.2f}", "A", "kneaded 0.06, rye 0.03"),
        Parameter("density of the dough, g/mL", f"{unrisen_density(rise.rye_share):.2f}", "CP", "rye 1.15–1.20"),
        Parameter("temperatures of gas making, °C", f"{lowest:g} / {best:g} / {highest:g}", "F", "Rosso model, fitted"),
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
        return [part / dough.book.rate for part in dough.proof_gradients[1]]

    def spread_terms(self, dough: Dough) -> Terms:
        """What dough and book share cancels, and the book itself is 1 without a doubt."""
        book = dough.book
        if book is dough or not math.isfinite(dough.values[self.key]) or book.rate <= 0:
            return ()
        own, against = 1.0 / book.rate, -dough.rate / book.rate**2
        return [(own, dough, dough.proof_gradients[1]), (against, book, book.proof_gradients[1])]

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
        return dough.proof_gradients[0]

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
        basis="hours until the gas made is the gas that the rise takes",
        tag="F",
        unit="h",
        short_unit="h",
        claim="One observed rise makes it this kitchen's own; the dough itself decides.",
        on_card=True,
    ),
)
