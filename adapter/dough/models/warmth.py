"""How warm a dough is over time: in one place, in several one after the other, or on its way to a new one.

A dough that is put into other surroundings goes over to their temperature,

    T = Ts + (T0 − Ts)·e^(−t/τ),     τ = 1 h for 500 g, 2 h for 1 kg, 3 h for 2 kg of dough in a fridge     [A]

so a big dough still works for hours after it went into the cold. Hours and °C.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import accumulate

Warmth = Callable[[float], float]
"""°C of the dough after so many hours."""


@dataclass(frozen=True, slots=True)
class Place:
    """Some hours in surroundings of one temperature."""

    hours: float
    temperature_c: float


def cooling_hours(dough_g: float) -> float:
    """τ: hours in which a dough goes 63 % of the way to the temperature around it [A].

    1 h at 500 g, 2 h at 1 kg, 3 h at 2 kg, straight in the logarithm of the weight between and beyond, at
    least a quarter of an hour. A bowl in a fridge; a thin piece on a sheet is quicker.

    >>> cooling_hours(500.0), cooling_hours(2000.0)
    (1.0, 3.0)
    """
    if not dough_g > 0.0:
        raise ValueError(f"a dough weighs something, not {dough_g:g} g")
    return max(1.0 + math.log2(dough_g / 500.0), 0.25)


def steady(temperature_c: float) -> Warmth:
    """A dough that stays as warm as it is."""
    return lambda _: temperature_c


def places(start_c: float, spells: Sequence[Place], tau_h: float) -> Warmth:
    """A dough of `start_c` that is taken through several places, going over to each with the time constant τ.

    After the last place's hours it stays there. τ of zero changes at once.
    """
    if not spells:
        return steady(start_c)
    ends = list(accumulate(spell.hours for spell in spells))
    begins = [0.0, *ends[:-1]]
    entering = [start_c]
    for spell in spells[:-1]:
        entering.append(_relaxed(entering[-1], spell.temperature_c, spell.hours, tau_h))

    def at(hours: float) -> float:
        place = min(bisect_right(ends, hours), len(spells) - 1)
        return _relaxed(entering[place], spells[place].temperature_c, hours - begins[place], tau_h)

    return at


def mean_warmth(start_c: float, spells: Sequence[Place], tau_h: float, hours: float) -> float:
    """°C averaged over so many hours of `places`: place + (entering − place)·(τ/t)·(1 − e^(−t/τ)) in each."""
    if not spells or hours <= 0.0:
        return start_c
    area, begin, entering = 0.0, 0.0, start_c
    for number, spell in enumerate(spells):
        last = number == len(spells) - 1
        there = hours - begin if last else min(spell.hours, hours - begin)
        if there <= 0.0:
            break
        left = -math.expm1(-there / tau_h) * tau_h if tau_h > 0.0 else 0.0
        area += spell.temperature_c * there + (entering - spell.temperature_c) * left
        entering = _relaxed(entering, spell.temperature_c, there, tau_h)
        begin += there
    return area / hours


def _relaxed(from_c: float, to_c: float, hours: float, tau_h: float) -> float:
    if tau_h <= 0.0:
        return to_c
    return to_c + (from_c - to_c) * math.exp(-hours / tau_h)
