"""The proof of a dough: how far it has risen when, and how much yeast raises it in time (see ripening.py)."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from adapter.dough.models.bubbles import Bubbles
from adapter.dough.models.ripening import GAS_WAKES_H, Course, Living, Medium, Moment, awake_hours, ripen
from adapter.dough.models.warmth import Place, Warmth, places, steady
from adapter.dough.models.yeast import effective_yeast, yeast_for_effect

LONGEST_RISE_H = 48.0
SOURING_H = 6.0
"""A proof whose hours nobody stated counts at most so long for its acids: a dough that hardly rises is not sour [A]."""

WHEAT_DENSITY, RYE_DENSITY = 1.12, 1.17

_SAME_YEAST = 1e-9
_MOST_YEAST_PERCENT = 1e4


def unrisen_density(rye_share: float) -> float:
    """Density of the dough before it rises, g/mL: rye 1.15–1.20 [CP], wheat 1.12 [A], by rye share (0 to 1)."""
    return WHEAT_DENSITY + (RYE_DENSITY - WHEAT_DENSITY) * rye_share


@dataclass(frozen=True, slots=True)
class Rise:
    """A dough just mixed, and where it rises: a place of one temperature, or the spells that were planned for it.

    `dough_c` is its own temperature at the start (None: that of the place), `tau_h` how slowly it goes over.
    """

    temperature_c: float
    rise_fraction: float
    medium: Medium
    living: Living
    bubbles: Bubbles
    spells: tuple[Place, ...] = ()
    dough_c: float | None = None
    tau_h: float = 0.0
    _kept: dict[str, Course] = field(default_factory=dict, init=False, repr=False, compare=False, hash=False)

    @property
    def yeast_percent(self) -> float:
        return self.living.bakers_yeast

    @property
    def rye_share(self) -> float:
        return self.medium.rye_share

    @property
    def gas_ml(self) -> float:
        """mL CO2 per hour and g of fresh yeast, as this kitchen's log has it."""
        return self.medium.gas_ml

    @property
    def is_alive(self) -> bool:
        """Whether anything in this dough makes gas."""
        living = self.living
        makes_gas = living.bakers_yeast > 0.0 or living.sourdough_yeast > 0.0
        return makes_gas and self.medium.pace > 0.0 and self.medium.gas_ml > 0.0

    @property
    def stated_h(self) -> float | None:
        """Hours that were planned for it; None where nobody said."""
        return sum(spell.hours for spell in self.spells) if self.spells else None

    def warmth(self) -> Warmth:
        if self.spells:
            start_c = self.spells[0].temperature_c if self.dough_c is None else self.dough_c
            return places(start_c, self.spells, self.tau_h)
        if self.dough_c is None or self.tau_h <= 0.0:
            return steady(self.temperature_c)
        return places(self.dough_c, [Place(math.inf, self.temperature_c)], self.tau_h)

    def course(self) -> Course:
        """The dough from mixing until it has risen, two days at most, and all the hours planned for it."""
        found = self._kept.get("rise")
        if found is None:
            stated = self.stated_h or 0.0
            until = (self.bubbles, self.rise_fraction)
            longest = max(LONGEST_RISE_H, stated)
            found = ripen(self.medium, self.living, self.warmth(), longest, until, stated)
            self._kept["rise"] = found
        return found

    def to_rise(self) -> Course:
        """The dough from mixing until it has risen, two days at most, however long it is planned to stand."""
        if self.stated_h is None:
            return self.course()
        until = (self.bubbles, self.rise_fraction)
        return ripen(self.medium, self.living, self.warmth(), LONGEST_RISE_H, until)

    def over(self, hours: float) -> Course:
        """The dough followed for just so many hours."""
        return ripen(self.medium, self.living, self.warmth(), hours)

    def hours(self) -> float:
        """Time to the rise; infinite where no gas is made or it would take more than two days."""
        if not self.is_alive:
            return math.inf
        return self.course().hours_to_rise(self.bubbles, self.rise_fraction)

    def gas_needed(self) -> float:
        """mL CO2 per 100 g flour that the rise takes, at the temperature of the place."""
        return self.bubbles.gas_needed(self.rise_fraction, self.temperature_c)

    def rate(self, hours: float) -> float:
        """mL CO2 per hour and 100 g flour, averaged over a proof of so many hours; its waking counts half."""
        if not self.is_alive or hours <= 0.0:
            return 0.0
        if hours == self.hours():
            t_c = self.course().at(hours).temperature_c
            return self.bubbles.gas_needed(self.rise_fraction, t_c) / awake_hours(hours, GAS_WAKES_H)
        course = self.course()
        moment = course.at(hours) if hours <= course.end.hours else self.over(hours).end
        return moment.gas_ml / awake_hours(hours, GAS_WAKES_H)

    def souring_hours(self) -> float:
        """Hours of proof that count for the dough's acids: those planned, else those of the rise, 6 at most [A].

        A dough that does not rise within two days counts the less of them, the less it rises, so that a dough
        without yeast, which nobody proofs, stays as it is.
        """
        stated = self.stated_h
        if stated is not None:
            return stated
        if not self.is_alive:
            return 0.0
        hours = self.hours()
        if math.isfinite(hours):
            return min(hours, SOURING_H)
        risen = self.bubbles.rise(self.course().end.gas_ml, self.temperature_c)
        return SOURING_H * min(risen / self.rise_fraction, 1.0) if self.rise_fraction > 0.0 else 0.0

    def at_bake(self) -> Moment | None:
        """The dough at the end of its proof; None where nothing has happened to it."""
        hours = self.souring_hours()
        if hours <= 0.0:
            return None
        return self.course().at(hours)

    def yeast_for(self, hours: float, refined: bool = True) -> float:
        """Fresh yeast in % of flour that raises this dough in so many hours; 0 where its own is enough.

        Gas at that hour is sought by the secant in what the yeast is worth. Without `refined` the first step is
        taken: exact where the yeast neither grows nor crowds. Raises ValueError where yeast does not work.
        """
        if not hours > 0.0:
            raise ValueError(f"no dough rises within {hours:g} h")
        if not self.medium.pace > 0.0:
            raise ValueError("yeast does not work in this dough")
        percent = self.living.bakers_yeast or 0.5

        def short(percent: float) -> float:
            end = self._with_yeast(percent).over(hours).end
            return end.gas_ml - self.bubbles.gas_needed(self.rise_fraction, end.temperature_c)

        without = short(0.0)
        if without >= 0.0:
            return 0.0
        last, last_short = 0.0, without
        effect = effective_yeast(percent)
        for _ in range(40):
            missing = short(yeast_for_effect(effect))
            if missing == last_short or abs(effect - last) < _SAME_YEAST:
                break
            step = missing * (effect - last) / (missing - last_short)
            last, last_short = effect, missing
            effect = min(max(effect - step, 0.0), _MOST_YEAST_PERCENT)
            if not refined or abs(step) < _SAME_YEAST * max(effect, 1.0):
                break
        return yeast_for_effect(effect)

    def _with_yeast(self, percent: float) -> Rise:
        return replace(self, living=replace(self.living, bakers_yeast=percent))
