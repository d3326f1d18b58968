"""The proof of a dough that is much like one already followed, in closed form: for a list of many swaps.

Its gas and acids are those of the proof before, each scaled with what makes it: bakers' yeast with what it is worth
and its pace, a culture with its cells. Where the two are not much alike the proof is followed hour by hour after all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from adapter.dough.models.course import Living, Moment
from adapter.dough.models.proof import Rise
from adapter.dough.models.ripening import yeast_meq
from adapter.dough.models.yeast import effective_yeast

MOST_SCALED = 1.25
"""What makes gas or acid may differ by this factor, else the proof is followed [A]."""
MOST_LATER = 0.1
"""The rise may come sooner or later by this part of its hours, else the proof is followed [A]."""


@dataclass(frozen=True, slots=True)
class NearRise(Rise):
    """A dough just mixed, read by the proof of another one that it is much like."""

    before: Rise | None = None
    _near: dict[str, Scaled | None] = field(default_factory=dict, init=False, repr=False, compare=False, hash=False)

    @property
    def scaled(self) -> Scaled | None:
        """The proof before, scaled to this dough; None where they are not alike enough."""
        if "rise" not in self._near:
            self._near["rise"] = None if self.before is None else scaled(self, self.before)
        return self._near["rise"]

    @property
    def is_followed(self) -> bool:
        return self.scaled is None

    def hours(self) -> float:
        near = self.scaled
        return Rise.hours(self) if near is None else near.hours

    def at_bake(self) -> Moment | None:
        near = self.scaled
        return Rise.at_bake(self) if near is None else near.moment(self, Rise.souring_hours(self))

    def rate(self, hours: float) -> float:
        near = self.scaled
        if near is None or hours != near.hours:
            return Rise.rate(self, hours)
        return self._mean_rate(hours, near.temperature_c)


@dataclass(frozen=True, slots=True)
class Scaled:
    """A proof followed before, with the factors by which bakers' yeast, wild yeast and bacteria do more or less."""

    before: Rise
    hours: float
    temperature_c: float
    bakers: float
    wild: float
    bacteria: float

    def moment(self, rise: Rise, hours: float) -> Moment | None:
        """How the dough stands for which the proof was scaled."""
        if hours <= 0.0:
            return None
        then, living = self.before.course().at(hours), rise.living
        culture = self.bacteria
        if not living.bacteria:  # then it is the flour's own
            culture = rise.medium.flour_g / self.before.medium.flour_g
        gas_ml = then.bakers_gas_ml * self.bakers
        return Moment(
            then.hours,
            then.temperature_c,
            then.ph,
            Living(
                then.living.bacteria * self.bacteria,
                then.living.sourdough_yeast * self.wild,
                then.living.bakers_yeast * _ratio(living.bakers_yeast, self.before.living.bakers_yeast),
            ),
            then.lactic * culture,
            then.acetic * culture,
            yeast_meq(rise.medium.yeast_acid_meq, gas_ml),
            gas_ml,
            then.wild_gas_ml * self.wild,
            then.bacteria_gas_ml * self.bacteria,
        )


def scaled(rise: Rise, before: Rise) -> Scaled | None:
    """The proof before as a measure for this one; None where the two are not much alike."""
    if not (rise.is_alive and before.is_alive) or not math.isfinite(before.hours()):
        return None
    own, old = rise.living, before.living
    wild = _ratio(own.sourdough_yeast, old.sourdough_yeast)
    bacteria = _ratio(own.bacteria, old.bacteria)
    worth = _ratio(effective_yeast(own.bakers_yeast), effective_yeast(old.bakers_yeast))
    pace = rise.pace_beside(before)
    if not all(1.0 / MOST_SCALED <= factor <= MOST_SCALED for factor in (wild, bacteria, worth * pace)):
        return None
    hours = before.hours()
    course = before.course()
    then = course.at(hours)
    thinner = before.medium.flour_g / rise.medium.flour_g  # cells and acids are per kg of dough, gas per 100 g flour
    gas_ml = (
        then.bakers_gas_ml * worth * pace
        + then.wild_gas_ml * wild * pace * thinner
        + then.bacteria_gas_ml * bacteria * thinner
    )
    needed = rise.bubbles.gas_needed(rise.rise_fraction, then.temperature_c)
    per_hour = course.rate_at(hours) * gas_ml / then.gas_ml
    later = (needed - gas_ml) / per_hour
    if abs(later) > MOST_LATER * hours:
        return None
    return Scaled(before, hours + later, then.temperature_c, worth * pace, wild, bacteria)


def _ratio(now: float, before: float) -> float:
    """1 where there is none of it in both; infinite where it is new."""
    if before > 0.0:
        return now / before
    return math.inf if now > 0.0 else 1.0
