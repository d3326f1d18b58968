"""What a baker sets for the day of a bake, and within what it can be."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import TypeVar

from adapter.dough.bake.mixing import Temperatures
from adapter.dough.models.oven import HOTTEST_CORE_C
from adapter.formula.model import StagePlan
from adapter.formula.problems import InputProblem

T = TypeVar("T")

PROOF_RANGE_C = (4.0, 47.0)
RAW_BELOW_C = 80.0
"""A core cooler than this has not set; loaves are done at 94 °C and more [A]."""


@dataclass(frozen=True, slots=True)
class BakeInputs:
    """What the baker sets for the day. None: what the formula says, or its class of loaf.

    `stages` are the day's hours and warmth in place of the formula's; `cold_night` takes the night in the fridge that
    the plan offers; `there_g` is ripe culture in the fridge, from which what is needed is built up.
    """

    temperatures: Temperatures = field(default_factory=Temperatures)
    wanted_dough_c: float | None = None
    proof_c: float | None = None
    rise_percent: float | None = None
    oven_c: float | None = None
    core_c: float | None = None
    start: datetime | None = None
    ready: datetime | None = None
    stages: tuple[StagePlan, ...] = ()
    cold_night: bool = False
    there_g: float | None = None


def chosen(own: float | None, usual: T) -> float | T:
    """What was set, else the usual."""
    return usual if own is None else own


def check_day(proof_c: float, rise_percent: float, core_c: float) -> None:
    low, high = PROOF_RANGE_C
    if not low <= proof_c <= high:
        raise InputProblem(f"a proof at {proof_c:g} °C is not possible", right=f"{low:g} to {high:g} °C")
    if not 1 <= rise_percent <= 400:
        raise InputProblem(f"a rise of {rise_percent:g} % is not possible", right="1 to 400 %")
    if core_c < RAW_BELOW_C:
        right = f"{RAW_BELOW_C:g} to {HOTTEST_CORE_C:g} °C"
        raise InputProblem(f"a core of {core_c:g} °C is raw dough", right=right)
