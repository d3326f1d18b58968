"""A night in the fridge: how long the dough stands warm first, so that it is up when it goes into the oven.

Offered when the clock asks for it: when the work between mixing and oven would fall into the night, or more time is
left than the dough needs. Warm, then cold, then an hour in the warmth while the oven heats; the warm part is sought.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from adapter.dough.bake.clock import INTO_OVEN, TimedStep, is_night
from adapter.dough.models.crossing import crossing
from adapter.dough.models.proof import Rise
from adapter.dough.models.warmth import Place, cooling_hours
from adapter.dough.tables.work_steps import MIX

LEAST_COLD_H, MOST_COLD_H = 6.0, 36.0
LEAST_WARM_H, USUAL_WARM_H, LAST_WARM_H = 0.25, 0.5, 1.0
MOST_YEAST_PERCENT = 5.0
NEAR_ENOUGH_H = 0.005
"""The warm hours are sought to this, and told in steps of five minutes."""


@dataclass(frozen=True, slots=True)
class ColdNight:
    """Warm hours, cold hours and an hour warm again, the rise they give, and the pH of the dough by then.

    `yeast_percent` is the fresh yeast that it takes, in % of flour; None where the dough's own fits.
    """

    spells: tuple[Place, ...]
    rise_percent: float
    ph: float
    yeast_percent: float | None = None

    @property
    def hours(self) -> float:
        return sum(spell.hours for spell in self.spells)


def warm_hours(hours: float) -> tuple[float, float]:
    """How long the dough may stand warm before the cold, least and most, in a night of so many hours."""
    return LEAST_WARM_H, hours - LAST_WARM_H - LEAST_COLD_H


def cold_night(
    rise: Rise, hours: float, fridge_c: float, dough_g: float, suits: Callable[[float], bool] = lambda warm_h: True
) -> ColdNight | None:
    """The dough brought over so many hours with a night in the fridge; None where that cannot raise it just so far, or
    its warm hours do not suit.

    `rise` is the proof as it would be without: its place is the warm one.
    """
    if not rise.is_alive or not math.isfinite(rise.hours()):
        return None
    tau_h = cooling_hours(dough_g)

    def night(warm_h: float) -> Rise:
        cold_h = hours - warm_h - LAST_WARM_H
        warm = rise.temperature_c
        spells = (Place(warm_h, warm), Place(cold_h, fridge_c), Place(LAST_WARM_H, warm))
        return replace(rise, spells=spells, tau_h=tau_h, dough_c=warm if rise.dough_c is None else rise.dough_c)

    def beyond(warm_h: float) -> float:
        end = night(warm_h).over(hours).end
        return rise.bubbles.rise(end.gas_ml, end.temperature_c) - rise.rise_fraction

    low, high = warm_hours(hours)
    if not low < high or hours > MOST_COLD_H:
        return None
    least, most = beyond(low), beyond(high)
    if not least <= 0.0 <= most:
        warm_h = min(USUAL_WARM_H, high)
        return _with_other_yeast(night(warm_h), hours) if suits(warm_h) else None
    warm_h = round(crossing(beyond, low, high, least, most, NEAR_ENOUGH_H) * 12.0) / 12.0
    if not suits(warm_h):
        return None
    chosen = night(warm_h)
    end = chosen.over(hours).end
    return ColdNight(chosen.spells, 100.0 * rise.bubbles.rise(end.gas_ml, end.temperature_c), end.ph)


def _with_other_yeast(night: Rise, hours: float) -> ColdNight | None:
    """The same night with as much yeast as it takes; None for a dough that rises by its sourdough, or too far by it."""
    if night.living.bakers_yeast <= 0.0:
        return None
    percent = night.yeast_for(hours)
    if not 0.0 < percent <= MOST_YEAST_PERCENT:
        return None
    changed = replace(night, living=night.living._replace(bakers_yeast=percent))
    end = changed.over(hours).end
    return ColdNight(night.spells, 100.0 * night.bubbles.rise(end.gas_ml, end.temperature_c), end.ph, percent)


def clock_asks_for_it(plan: Sequence[TimedStep], now: datetime, is_timed: bool) -> bool:
    """Whether work between mixing and oven would fall into the night, or the start is a night's rest away."""
    mixed = next((step.at for step in plan if step.step == MIX), None)
    in_oven = next((step.at for step in plan if step.step == INTO_OVEN), None)
    if mixed is None or in_oven is None:
        return False
    at_night = any(mixed <= step.at <= in_oven and is_night(step.at) for step in plan)
    return at_night or (is_timed and (mixed - now).total_seconds() / 3600.0 >= LEAST_COLD_H + 2.0)
