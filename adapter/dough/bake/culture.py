"""What a measured stage says of this kitchen's culture: how much faster than the model it sours and rises.

The stage is followed anew with another pace until it has the pH (or TTA) that was measured, and until it peaks when it
did. A peak is taken as the height at which such a stage is ripe by its rise, or has peaked (stage_kinds.toml); a kind
that says neither at PEAK_RISE [A].
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from adapter.dough.models.course import Course, Medium
from adapter.dough.models.culture_pace import WILD_GAS
from adapter.dough.models.ripening import ripen
from adapter.dough.models.warmth import steady
from adapter.dough.models.yeast import GAS_ML_PER_H_PER_G
from adapter.dough.readings.living import LivingStage
from adapter.dough.readings.measured import Measured
from adapter.formula.problems import InputProblem

PEAK_RISE = 1.15
LEAST_FACTOR, MOST_FACTOR = 0.1, 10.0
_ROUNDS = 40


def stage_of(measured: Measured, name: str) -> LivingStage:
    """The followed stage of that name. Raises InputProblem."""
    found = next((stage for stage in measured.stages if stage.plan.name == name), None)
    if found is None:
        known = ", ".join(stage.plan.name for stage in measured.stages)
        raise InputProblem(
            f"{name!r} is no stage with hours", right=f"one of {known}" if known else f'hours in [stage."{name}"]'
        )
    return found


def souring_factor(
    stage: LivingStage, hours: float, temperature_c: float | None, ph: float | None, tta: float | None
) -> float | None:
    """Pace of the bacteria against the model by a measured pH, TTA or both; None where neither was measured."""
    logs = []
    if ph is not None:
        logs.append(_log_factor(stage, temperature_c, hours, _bacteria, lambda course: ph - course.end.ph))
    if tta is not None:
        logs.append(_log_factor(stage, temperature_c, hours, _bacteria, lambda course: course.tta(course.end) - tta))
    return math.exp(sum(logs) / len(logs)) if logs else None


def raising_factor(stage: LivingStage, peak_h: float, temperature_c: float | None) -> float:
    """Pace of the culture's yeast (of bakers' yeast, where there is no other) against the model by its time to peak."""

    kind = stage.ripens
    peak = (kind.ripe_rise[1] if kind.ripe_rise else kind.peak_rise) / 100.0 or PEAK_RISE

    def beyond(course: Course) -> float:
        return stage.bubbles.rise(course.end.gas_ml, course.end.temperature_c) - peak

    faster = _wild if stage.start.sourdough_yeast > 0.0 else _bakers
    return math.exp(_log_factor(stage, temperature_c, peak_h, faster, beyond))


def _bacteria(medium: Medium, factor: float) -> Medium:
    return replace(medium, bacteria_pace=factor, wild_pace=WILD_GAS)


def _wild(medium: Medium, factor: float) -> Medium:
    return replace(medium, wild_pace=WILD_GAS * factor)


def _bakers(medium: Medium, factor: float) -> Medium:
    return replace(medium, gas_ml=GAS_ML_PER_H_PER_G * factor)


def _log_factor(
    stage: LivingStage,
    temperature_c: float | None,
    hours: float,
    faster: Callable[[Medium, float], Medium],
    beyond: Callable[[Course], float],
) -> float:
    """Logarithm of the pace at which something that grows with the pace just meets what was measured."""
    warmth = stage.warmth if temperature_c is None else steady(temperature_c)
    low, high = math.log(LEAST_FACTOR), math.log(MOST_FACTOR)
    for _ in range(_ROUNDS):
        middle = 0.5 * (low + high)
        course = ripen(faster(stage.course.medium, math.exp(middle)), stage.start, warmth, hours)
        if beyond(course) < 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
