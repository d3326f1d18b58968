"""The proof of a dough: how far it has risen when, and how much yeast raises it in time (see ripening.py)."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from adapter.dough.models.acidity import mean_charge, solve_ph
from adapter.dough.models.bubbles import Bubbles
from adapter.dough.models.course import NOTHING_MADE, Course, Living, Made, Medium, Moment, acids_made, with_made
from adapter.dough.models.culture_pace import acid_pace
from adapter.dough.models.ripening import GAS_WAKES_H, LONGEST_H, awake_hours, ripen
from adapter.dough.models.warmth import Place, Warmth, places, steady
from adapter.dough.models.yeast import effective_yeast, yeast_for_effect

LONGEST_RISE_H, LONGEST_COLD_RISE_H = 48.0, 240.0
WAITED_LONGER_BELOW_C, TWICE_AS_LONG_C = 20.0, 6.5
"""Hours after which a dough that has not risen is said not to rise: twice as many each 6.5 °C colder [A]."""
SOURING_H = 6.0
"""A proof whose hours nobody stated counts at most so long for its acids: a dough that hardly rises is not sour [A]."""

WHEAT_DENSITY, RYE_DENSITY = 1.12, 1.17

Paced = tuple[Made | None, float]
"""A pace of yeast, behind the acids made for which it holds."""
RiseParts = tuple[float, float, Medium, Living, Bubbles, tuple[Place, ...], float | None, float]
"""What a Rise is made of, in its order."""

_SAME_YEAST = 1e-9
_MOST_YEAST_PERCENT = 1e4


def unrisen_density(rye_share: float) -> float:
    """Density of the dough before it rises, g/mL: rye 1.15–1.20 [CP], wheat 1.12 [A], by rye share (0 to 1)."""
    return WHEAT_DENSITY + (RYE_DENSITY - WHEAT_DENSITY) * rye_share


def _ratio(now: float, before: float) -> float:
    return now / before if before > 0.0 else 1.0


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
    _hours: dict[str, float] = field(default_factory=dict, init=False, repr=False, compare=False, hash=False)
    _ends: dict[str, Moment | None] = field(default_factory=dict, init=False, repr=False, compare=False, hash=False)
    _paces: dict[str, Paced] = field(default_factory=dict, init=False, repr=False, compare=False, hash=False)

    @property
    def is_followed(self) -> bool:
        """Whether this proof is followed hour by hour, not read by that of another dough (see near_rise.py)."""
        return True

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

    @property
    def longest_h(self) -> float:
        """Hours for which a rise is waited for, in the place where the dough stands in the end."""
        last_c = self.spells[-1].temperature_c if self.spells else self.temperature_c
        colder: float = 2.0 ** (max(WAITED_LONGER_BELOW_C - last_c, 0.0) / TWICE_AS_LONG_C)
        return min(LONGEST_RISE_H * colder, LONGEST_COLD_RISE_H)

    def warmth(self) -> Warmth:
        if self.spells:
            start_c = self.spells[0].temperature_c if self.dough_c is None else self.dough_c
            return places(start_c, self.spells, self.tau_h)
        if self.dough_c is None or self.tau_h <= 0.0:
            return steady(self.temperature_c)
        return places(self.dough_c, [Place(math.inf, self.temperature_c)], self.tau_h)

    def course(self) -> Course:
        """The dough from mixing until it has risen, two days at most (in the cold ten), and all the hours planned."""
        found = self._kept.get("rise")
        if found is None:
            stated = self.stated_h or 0.0
            until = (self.bubbles, self.rise_fraction)
            longest = max(self.longest_h, stated)
            found = ripen(self.medium, self.living, self.warmth(), longest, until, stated)
            self._kept["rise"] = found
        return found

    def to_rise(self) -> Course:
        """The dough from mixing until it has risen, two days at most (in the cold ten), however long it is to stand."""
        if self.stated_h is None:
            return self.course()
        until = (self.bubbles, self.rise_fraction)
        return ripen(self.medium, self.living, self.warmth(), self.longest_h, until)

    def over(self, hours: float) -> Course:
        """The dough followed for just so many hours, ten days at most."""
        return ripen(self.medium, self.living, self.warmth(), min(hours, LONGEST_H))

    def hours(self) -> float:
        """Time to the rise; infinite where no gas is made or it would take more than two days, in the cold ten."""
        if not self.is_alive:
            return math.inf
        found = self._hours.get("rise")
        if found is None:
            found = self._hours["rise"] = self.course().hours_to_rise(self.bubbles, self.rise_fraction)
        return found

    def gas_needed(self) -> float:
        """mL CO2 per 100 g flour that the rise takes, at the temperature of the place."""
        return self.bubbles.gas_needed(self.rise_fraction, self.temperature_c)

    def rate(self, hours: float) -> float:
        """mL CO2 per hour and 100 g flour, averaged over a proof of so many hours; its waking counts half."""
        if not self.is_alive or not awake_hours(max(hours, 0.0), GAS_WAKES_H):  # a square of next to no time is zero
            return 0.0
        if hours == self.hours():
            return self._mean_rate(hours, self.course().at(hours).temperature_c)
        course = self.course()
        moment = course.at(hours) if hours <= course.end.hours else self.over(hours).end
        return moment.gas_ml / awake_hours(hours, GAS_WAKES_H)

    def _mean_rate(self, hours: float, temperature_c: float) -> float:
        return self.bubbles.gas_needed(self.rise_fraction, temperature_c) / awake_hours(hours, GAS_WAKES_H)

    def souring_hours(self) -> float:
        """Hours of proof that count for the dough's acids: those planned, else those of the rise, 6 at most [A].

        A dough that does not rise at all counts the less of them, the less it rises, so that a dough
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
        if "bake" not in self._ends:
            hours = self.souring_hours()
            self._ends["bake"] = None if hours <= 0.0 else self.course().at(hours)
        return self._ends["bake"]

    def yeast_like(self, before: Rise, hours: float) -> float:
        """Fresh yeast in % of flour with which this dough rises in the hours that another one took, in closed form.

        E(Y2) = [N2 − other gas · g2/g1 · S2/S1] / [gas of yeast / E(Y1) · g2/g1]: what each gas needs and makes goes
        with the pace by salt, sugar and acid, and with the cells. Nothing changed gives exactly the same.
        """
        if self.medium == before.medium and self.living == before.living and self.bubbles == before.bubbles:
            return self.yeast_percent
        moment = before.course().at(hours)
        if moment.bakers_gas_ml <= 0.0:
            return self.yeast_near(hours)
        pace = self.pace_beside(before)
        wild = _ratio(
            self.living.sourdough_yeast / self.medium.flour_g, before.living.sourdough_yeast / before.medium.flour_g
        )
        bacteria = _ratio(self.living.bacteria / self.medium.flour_g, before.living.bacteria / before.medium.flour_g)
        needed = self.bubbles.gas_needed(self.rise_fraction, moment.temperature_c)
        needed -= moment.wild_gas_ml * pace * wild + moment.bacteria_gas_ml * bacteria
        per_worth = moment.bakers_gas_ml / effective_yeast(before.yeast_percent) * pace
        if per_worth <= 0.0:  # yeast does not work here, however much there is of it
            return self.yeast_percent
        return yeast_for_effect(max(needed / per_worth, 0.0))

    def pace_beside(self, before: Rise) -> float:
        """Pace of the yeast against that in another dough, in the mean of beginning and end of the proof.

        What acids there are at its end is scaled from the other dough.
        """
        if self.medium == before.medium:
            return 1.0
        then = before.at_bake() or before.course().moments[0]
        bacteria = _ratio(self.living.bacteria, before.living.bacteria)
        yeast_meq = then.yeast_meq * _ratio(self.medium.yeast_acid_meq, before.medium.yeast_acid_meq)
        own = acids_made(then.lactic * bacteria, then.acetic * bacteria, yeast_meq)
        start, end = before.course().moments[0].ph, then.ph
        first = self._pace_now(None, start) / before._pace_now(None, start)
        return 0.5 * (first + self._pace_now(own, end) / before._pace_now(then.made(), end))

    def _pace_now(self, made: Made | None, near_ph: float) -> float:
        """Pace of the yeast by salt, sugar, pH and acetic acid, with so much acid made in the dough; pH about that."""
        key = "start" if made is None else "end"
        found = self._paces.get(key)
        if found is None or found[0] != made:
            medium = self.medium
            amounts, charge = with_made(medium, made or NOTHING_MADE)
            ph = solve_ph(amounts, medium.species, charge, medium.slurry_litres, near_ph)
            acetic = sum(
                [
                    amount * (1.0 - mean_charge(kind.pkas, ph))
                    for kind, amount in zip(medium.species, amounts, strict=True)
                    if kind.name == "acetic"
                ]
            )
            found = self._paces[key] = (made, medium.pace * acid_pace(ph, acetic * 1000.0 / medium.water_g))
        return found[1]

    def yeast_near(self, hours: float) -> float:
        """Fresh yeast in % of flour that raises this dough in about so many hours, without following another proof.

        What its own proof shows of the gas by then is split by who made it; that of bakers' yeast goes with what the
        yeast is worth. Exact where yeast neither grows nor crowds and the hours are its own; for a list of many swaps.
        """
        course = self.course()
        moment = course.at(hours)
        missing_h = max(hours - moment.hours, 0.0)
        share = moment.bakers_gas_ml / moment.gas_ml if moment.gas_ml > 0.0 else 0.0
        gas_ml = moment.gas_ml + missing_h * course.rates[-1]
        by_bakers = share * gas_ml
        needed = self.bubbles.gas_needed(self.rise_fraction, moment.temperature_c) - (gas_ml - by_bakers)
        if by_bakers <= 0.0:
            return self.yeast_for(hours)
        return yeast_for_effect(max(effective_yeast(self.yeast_percent) * needed / by_bakers, 0.0))

    def yeast_for(self, hours: float) -> float:
        """Fresh yeast in % of flour that raises this dough in so many hours; 0 where its own is enough.

        Gas at that hour is sought by the secant in what the yeast is worth. Raises ValueError where salt or sugar let
        no yeast work; where it is too cold, too hot or too sour for any, it is what there is.
        """
        if not hours > GAS_WAKES_H:
            raise ValueError(f"no dough rises within {GAS_WAKES_H:g} h; {hours:g} h was asked for")
        if not self.medium.pace > 0.0:
            raise ValueError("yeast does not work in this dough")

        def short(percent: float) -> float:
            end = self._with_yeast(percent).over(hours).end
            return end.gas_ml - self.bubbles.gas_needed(self.rise_fraction, end.temperature_c)

        without = short(0.0)
        if without >= 0.0:
            return 0.0
        last, last_short = 0.0, without
        effect = effective_yeast(self.living.bakers_yeast or 0.5)
        for _ in range(40):
            missing = short(yeast_for_effect(effect))
            if missing == last_short or abs(effect - last) < _SAME_YEAST:
                break
            step = missing * (effect - last) / (missing - last_short)
            last, last_short = effect, missing
            effect = min(max(effect - step, 0.0), _MOST_YEAST_PERCENT)
            if abs(step) < _SAME_YEAST * max(effect, 1.0):
                break
        return yeast_for_effect(effect)

    def _with_yeast(self, percent: float) -> Rise:
        return replace(self, living=self.living._replace(bakers_yeast=percent))
