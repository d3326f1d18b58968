"""The rise: yeast, the pace at which it makes gas, and how long the dough takes."""

from __future__ import annotations

import math

from adapter.dough.models import culture_pace, ripening, yeast
from adapter.dough.models.acidity import mean_charge
from adapter.dough.models.proof import Rise, unrisen_density
from adapter.dough.readings.reading import Brought, Dough, LinearReading, Parameter, Reading, Terms, Working
from adapter.dough.readings.totals import SUGARS

UNTIL_IT_RISES = "gas made in the hours = gas needed,  gas made = ∫ rate · [E(Y) + S] · G dt + gas of the bacteria"
RISE_SYMBOLS = (
    "rate: mL of gas an hour from 1 g of fresh yeast to 100 g of flour; Y: yeast, % of flour as fresh; E(Y): what that "
    "dose is worth, since more of it works less each; S: what the sourdough's own yeast is worth, % of flour; G: what "
    "warmth, pH, salt and sugar leave of the rate, 1 at its best; t: hours"
)
"""The formula of the rise time, and what its symbols stand for."""

PROOF_INPUTS = (
    "mass", "flour", "dry_flour", "water", "yeast", "grown_yeast", "cells", "bacteria", "warm_bacteria", "rye", "salt",
    "gluten", "flour_ash", "free_sugar", "fed_sugar", *SUGARS, "alcohol", "acetic",
)  # fmt: skip
"""The totals that the proof hangs on, beside fixed charge, acids and buffers; acetic acid hinders yeast by itself."""
PROOF_STEP, LEAST_STEP = 1e-4, 1e-9
"""How much more of each is tried: a part of what there is, at least so many g or mmol."""


def proof_gradients(dough: Dough) -> tuple[list[float], list[float]]:
    """Change of the hours of rise, and of the gas rate, per unit of each total of the dough as it is mixed.

    The proof is followed anew with a little more of each. Of the acids and buffers two are enough: a fixed charge, and
    the one whose charge changes most while the dough rises; any other is a sum of those two, by its charge at the
    beginning and at the end.
    """
    layout, mixed, rise = dough.layout, dough.mixed, dough.rise
    hours, rates = [0.0] * len(mixed), [0.0] * len(mixed)
    if not math.isfinite(rise.hours()):
        return hours, rates
    first, rate = _pace_to_rise(rise)

    def follow(place: int, step: float) -> None:
        more = list(mixed)
        more[place] += step
        later, faster = _pace_to_rise(dough.rise_of(more))
        if math.isfinite(later):
            hours[place], rates[place] = (later - first) / step, (faster - rate) / step

    places = [layout.index[key] for key in PROOF_INPUTS]
    for place in places:
        if mixed[place]:
            follow(place, max(PROOF_STEP * mixed[place], LEAST_STEP))
    fixed, little_acid = layout.index["fixed_charge"], PROOF_STEP * 0.01 * dough.amount("flour")
    follow(fixed, little_acid)
    course = rise.to_rise()
    ends = course.moments[0].ph, course.at(first).ph
    charges = {
        place: (mean_charge(kind.pkas, ends[0]), mean_charge(kind.pkas, ends[1]))
        for place, kind in enumerate(layout.species, start=layout.first_species)
        if mixed[place] and place not in places
    }
    if not charges:
        return hours, rates
    basis = max(charges, key=lambda place: abs(charges[place][0] - charges[place][1]))
    change = charges[basis][0] - charges[basis][1]
    if change:
        follow(basis, little_acid)
    for place, (start, end) in charges.items():
        if place == basis:
            continue
        alike = (start - end) / change if change else 0.0
        steady = start - alike * charges[basis][0]
        hours[place] = alike * hours[basis] - steady * hours[fixed]
        rates[place] = alike * rates[basis] - steady * rates[fixed]
    return hours, rates


def _pace_to_rise(rise: Rise) -> tuple[float, float]:
    """Hours to the rise, and mL of gas per hour and 100 g flour until then."""
    course = rise.to_rise()
    hours = course.hours_to_rise(rise.bubbles, rise.rise_fraction)
    gas_ml = rise.bubbles.gas_needed(rise.rise_fraction, course.at(hours).temperature_c)
    worked = ripening.awake_hours(hours, ripening.GAS_WAKES_H)
    return hours, gas_ml / worked if 0.0 < worked < math.inf else 0.0


def _brings(dough: Dough) -> Brought:
    fresh, cells = dough.layout.index["yeast"], dough.layout.index["cells"]
    worth = culture_pace.WILD_GAS
    return Brought("g as fresh yeast", lambda vector: vector[fresh] + worth * vector[cells])


def _working(dough: Dough, symbols: str, meaning: str, *more: str) -> Working:
    rise = dough.rise
    if not rise.is_alive:
        return Working(symbols, ("nothing in this dough makes gas as it stands", *more), _parameters(dough), meaning)
    hours = dough.value("rise_time")
    moment = rise.course().at(hours)
    own = 100.0 * culture_pace.WILD_GAS * dough.amount("cells") / dough.amount("flour")
    steps = (
        f"gas that the rise of {100 * rise.rise_fraction:.0f} % takes: {rise.gas_needed():.0f} mL per 100 g flour",
        f"yeast {rise.yeast_percent:.2f} % of flour as fresh; sourdough's own worth {own:.2f} % at the start",
        f"what salt and sugar leave of the yeast's speed, against the reference dough: {rise.medium.pace:.2f}",
        f"gas made by then: {moment.yeast_gas_ml:.0f} mL by yeast, {moment.bacteria_gas_ml:.0f} mL by bacteria",
        f"{dough.rate:.0f} mL per hour and 100 g flour in the mean, while it wakes ({ripening.GAS_WAKES_H:g} h) "
        f"counted half; pH {rise.course().moments[0].ph:.1f} to {moment.ph:.1f}",
        *more,
    )
    return Working(symbols, steps, _parameters(dough), meaning)


def _parameters(dough: Dough) -> tuple[Parameter, ...]:
    rise, bakes = dough.rise, dough.logged_rises
    fitted = f"fitted to published gas rates, {culture_pace.REFERENCE_C:g} °C"
    lowest, best, highest = culture_pace.GAS_C
    cardinal_ph = f"{yeast.LOWEST_PH:.1f} / {yeast.BEST_PH:.1f} / {yeast.HIGHEST_PH:.1f}"
    retained = "0.35 + 0.055 × gluten, rye not below 0.55"
    return (
        Parameter(
            "gas rate, mL/h per g",
            f"{rise.gas_ml:.0f}",
            "own" if bakes else "F",
            f"{bakes} bakes of this kitchen's log" if bakes else fitted,
        ),
        Parameter("gas of a sourdough yeast cell / pressed", f"{culture_pace.WILD_GAS:g}", "F", "textbook rises"),
        Parameter(
            "first gas after, h", f"{ripening.GAS_WAKES_H:g}", "M", "its speed grows to full over it; from memory"
        ),
        Parameter("retention of gas", f"{rise.bubbles.retention:.2f}", "M", retained),
        Parameter("air folded in, share of the dough", f"{rise.bubbles.air:.2f}", "A", "kneaded 0.06, rye 0.03"),
        Parameter("density of the dough, g/mL", f"{unrisen_density(rise.rye_share):.2f}", "CP", "rye 1.15–1.20"),
        Parameter(
            "gas making: coldest / best / warmest °C",
            f"{lowest:g} / {best:g} / {highest:g}",
            "F",
            "Rosso model, fitted",
        ),
        Parameter(
            "gas making: lowest / best / highest pH", cardinal_ph, "F", "grows 2.5–8.0, Praphailong & Fleet 1997"
        ),
        Parameter("least water activity", f"{yeast.LEAST_WATER_ACTIVITY:g}", "F", "0.86–0.91"),
    )


class Pace(Reading):
    """Gas made per hour, against the book formula."""

    def value(self, dough: Dough) -> float:
        book = dough.book
        if dough.rate == book.rate:
            return 1.0
        return dough.rate / book.rate if book.rate > 0 else math.inf

    def gradient(self, dough: Dough) -> list[float]:
        against = dough.book.rate
        return [part / against if against > 0.0 else 0.0 for part in dough.proof_gradients[1]]

    def spread_terms(self, dough: Dough) -> Terms:
        """What dough and book share cancels, and the book itself is 1 without a doubt."""
        book = dough.book
        if book is dough or not math.isfinite(dough.value(self.key)) or book.rate <= 0:
            return ()
        own, against = 1.0 / book.rate, -dough.rate / book.rate**2
        return [(own, dough, dough.proof_gradients[1]), (against, book, book.proof_gradients[1])]

    def doubtful(self, value: float) -> float:
        return value - 1.0  # the book's own pace is 1 without a doubt

    def brings(self, dough: Dough) -> Brought:
        return _brings(dough)

    def working(self, dough: Dough) -> Working:
        book = f"book: {dough.book.rate:.0f} mL per hour and 100 g flour"
        return _working(dough, "yeast speed = gas made here / gas made in the book formula", "", book)


class RiseTime(Reading):
    """Hours from mixing to the rise that the formula asks for."""

    def value(self, dough: Dough) -> float:
        return dough.rise.hours()

    def gradient(self, dough: Dough) -> list[float]:
        return dough.proof_gradients[0]

    def brings(self, dough: Dough) -> Brought:
        return _brings(dough)

    def working(self, dough: Dough) -> Working:
        return _working(dough, UNTIL_IT_RISES, RISE_SYMBOLS)


READINGS = (
    LinearReading(key="yeast", top={"yeast": 1.0}, basis="yeast as fresh yeast / flour", tag="CP", on_card=True),
    Pace(
        key="pace",
        basis="gas made per hour and flour / that of the book formula",
        tag="F",
        label="yeast speed",
        unit="× book",
        short_unit="×",
        change_unit="",
        decimals=2,
        moved=("slower", "faster"),
        claim="Differences between variants are far better known than the hours themselves.",
    ),
    RiseTime(
        key="rise_time",
        basis="hours until the gas made is the gas that the rise takes",
        tag="F",
        unit="h",
        short_unit="h",
        moved=("shorter", "longer"),
        claim="One observed rise makes it this kitchen's own; the dough itself decides.",
        on_card=True,
    ),
)
