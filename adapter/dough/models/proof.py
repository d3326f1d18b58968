"""The proof of a formula: how much gas it needs, how fast its yeast works, how long the rise takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from adapter.dough.models.yeast import (
    GAS_ML_PER_H_PER_G,
    effective_yeast,
    gas_needed_ml,
    own_yeast_of_sourdough,
    percent_for_time,
    rise_hours,
)

LONGEST_RISE_H = 48.0
WHEAT_RETENTION, RYE_RETENTION = 0.90, 0.55
WHEAT_DENSITY, RYE_DENSITY = 1.12, 1.17


def retention(rye_share: float) -> float:
    """Share of the gas that stays: wheat 0.9, coarse rye 0.45–0.65 [M], in between by rye share (0 to 1) [A]."""
    return WHEAT_RETENTION + (RYE_RETENTION - WHEAT_RETENTION) * rye_share


def unrisen_density(rye_share: float) -> float:
    """Density of the dough before it rises, g/mL: rye 1.15–1.20 [CP], wheat 1.12 [A], by rye share (0 to 1)."""
    return WHEAT_DENSITY + (RYE_DENSITY - WHEAT_DENSITY) * rye_share


@dataclass(frozen=True, slots=True)
class Rise:
    """A proof's conditions; the dough's own numbers are per 100 g flour.

    `activity` is the pace of its yeast against the reference dough, `cells` its sourdough's yeast in 10^10.
    """

    temperature_c: float
    rise_fraction: float
    dough: float
    water: float
    rye_share: float
    yeast_percent: float
    cells: float
    activity: float
    gas_ml: float = GAS_ML_PER_H_PER_G

    def gas_needed(self) -> float:
        """mL CO2 per 100 g flour that the rise takes."""
        return gas_needed_ml(
            self.dough,
            unrisen_density(self.rye_share),
            self.rise_fraction,
            retention(self.rye_share),
            self.water,
            self.temperature_c,
        )

    def own_yeast(self, hours: float) -> float:
        """What the sourdough's yeast is worth over so many hours, in % fresh yeast."""
        return own_yeast_of_sourdough(self.cells * 1e10, 1.0, hours) if self.cells else 0.0

    def rate(self, hours: float) -> float:
        """mL CO2 per hour and 100 g flour, averaged over a proof of so many hours."""
        return self.gas_ml * (effective_yeast(self.yeast_percent) + self.own_yeast(hours)) * self.activity

    def hours(self) -> float:
        """Time to the rise; infinite where no gas is made or it would take more than two days.

        The sourdough's yeast grows while the dough rises, so the time stands on both sides: the one time is found
        by bisection, since gas made grows and gas needed does not.
        """
        needed = self.gas_needed()
        if not self.cells:
            hours = rise_hours(needed, self.rate(0.0))
            return hours if hours <= LONGEST_RISE_H else math.inf
        if rise_hours(needed, self.rate(LONGEST_RISE_H)) > LONGEST_RISE_H:
            return math.inf
        low, high = 0.0, LONGEST_RISE_H
        for _ in range(80):
            middle = 0.5 * (low + high)
            if rise_hours(needed, self.rate(middle)) > middle:
                low = middle
            else:
                high = middle
            if high - low < 1e-14 * high:
                break
        return high

    def yeast_for(self, hours: float) -> float:
        """Fresh yeast in % of flour that raises this dough in so many hours; 0 where its own is enough."""
        return percent_for_time(hours, self.gas_needed(), self.activity, self.own_yeast(hours), self.gas_ml)
