"""The dough in time: what sourdough bacteria, sourdough yeast and bakers' yeast make of a dough, hour by hour.

One integrator for every living stage: sourdough, poolish, sponge, biga, old dough, first rise, a night in the
fridge, final proof. State: lactic and acetic acid (mmol per kg dough), bacteria X (10^9 per g of dough), sourdough
yeast (10^7 per g of dough), bakers' yeast Y (% of flour as fresh), gas (mL per 100 g flour).

    dX/dt   = 0.66/h · gL(T) · CPM(pH; 3.75, 5.3, 6.9) · (1 − X/6) · (1 − salt/4) · X      [µ M: Gänzle 1998; rest F/A]
    dLac/dt = 4.0 · gL(T) · clip(pH − 3.45, 0, 1) · (1 − salt/4) · X       [F to one wheat sourdough, PMC6950244]
    dAce    = r · dLac, r = 0.21 + 0.12 · rye share, less by 8 % a degree above 30 °C      [F; direction Brandt 2004]
    dS/dt   = 0.42/h · gS(T) · (1 − undissociated acetic/150 mM) · (1 − S/8) · S           [µ M, temperatures P; cap F]
    dY/dt   = 0.17/h · g(T) · (1 − Y/2.8) · min(1, t/2 h) · Y        [F to +88 % in 6 h from 0.5 %, little from 2 %]
    gas     = 86 · [E(Y) + S·w] · pace · min(1, t/0.25 h) + 24.45 mL for each mmol of lactic acid made
    yeast's acids = (10 + 12·(ash − 0.55)) · (1 − exp(−gas/0.08)) meq per kg flour, gas of bakers' yeast in mol/kg [A]
    (a culture's own acids are in r above); w, what a cell of a culture makes against one of pressed yeast, is more in
    the cold and falls above 30 °C (culture_pace.WILD_GAS_BY_C) [A]
    flour's own bacteria: 0.5 mmol lactic per kg flour and hour · 2^((T − 27)/7), where the culture makes less, none of
    them from 50 °C    [A]

Bacteria and sourdough yeast take their first hour (bacteria already working: half an hour) to get going [A]. pH is
that of the slurry of section 3, moved on by one Newton step each time step. Two-step Adams–Bashforth, ten minutes
a step and more later: halving the step changes pH by less than 0.01 and gas by less than 1 %.

Spread: acids of yeast ±40 %, absolute pH ±0.4, times ±30 %: differences of dose and warmth are better known.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from adapter.dough.models.bubbles import Bubbles
from adapter.dough.models.course import Course, Living, Medium, Moment
from adapter.dough.models.culture_pace import (
    BACTERIA_PH,
    acid_pace,
    bacteria_salt,
    bacteria_warmth,
    bakers_yeast_growth,
    cardinal_ph,
    gas_warmth,
    sourdough_yeast_gas,
    sourdough_yeast_warmth,
)
from adapter.dough.models.growing_acids import GrowingAcids
from adapter.dough.models.leavening import GAS_ML_PER_MMOL
from adapter.dough.models.warmth import Warmth
from adapter.dough.models.yeast import MOST_ACETIC_MM, effective_yeast

BACTERIA_GROWTH_PER_H = 0.66
MOST_BACTERIA_E9_PER_G = 6.0
LACTIC_PER_E9_AND_H = 4.0
LEAST_PH, FULL_PACE_ABOVE = 3.45, 1.0
ACETIC_RATIO, ACETIC_RATIO_RYE = 0.21, 0.12
ACETIC_FALL_FROM_C, ACETIC_FALL_PER_C = 30.0, 0.08
YEAST_GROWTH_PER_H = 0.42
MOST_YEAST_E7_PER_G = 8.0
BAKERS_YEAST_GROWTH_PER_H = 0.17
MOST_BAKERS_YEAST_PERCENT = 2.8
NEW_STAGE_H, WORKING_H = 1.0, 0.5
BAKERS_YEAST_WAKES_H, GAS_WAKES_H = 2.0, 0.25
YEAST_ACID_GAS_MOL = 0.08
OWN_BACTERIA_MMOL, OWN_BACTERIA_C, OWN_BACTERIA_DOUBLING_C = 0.5, 27.0, 7.0
OWN_BACTERIA_FALL_FROM_C, OWN_BACTERIA_END_C = 42.0, 50.0
FRESH_CELLS_E7 = 1000.0
"""10^7 cells in a gram of fresh yeast."""

FIRST_STEP_H, LONGEST_STEP_H, STEP_GROWTH = 1.0 / 6.0, 0.5, 1.0 / 12.0
LONGEST_H = 240.0


def ripen(
    medium: Medium,
    living: Living,
    warmth: Warmth,
    hours: float,
    until: tuple[Bubbles, float] | None = None,
    at_least_h: float = 0.0,
    finest_h: float = FIRST_STEP_H,
) -> Course:
    """Follow a dough for so many hours, or until it has risen so far (`until`: bubbles and rise) and `at_least_h`.

    `finest_h` is the first step. Raises ValueError for hours below zero or beyond ten days.
    """
    if not 0.0 <= hours <= LONGEST_H:
        raise ValueError(f"a stage of {hours:g} h is not possible: 0 to {LONGEST_H:g} h")
    run = _Run(medium, living, warmth)
    needed, t_c = math.inf, math.nan
    while run.hours < hours - 1e-12:
        step = min(max(finest_h, run.hours * STEP_GROWTH), LONGEST_STEP_H, hours - run.hours)
        run.step(step)
        if until is not None and run.hours >= at_least_h:
            if run.t_c != t_c:
                t_c = run.t_c
                needed = until[0].gas_needed(until[1], t_c)
            if run.gas_ml >= needed:
                break
    return Course(medium, tuple(run.moments), tuple(run.rates))


class _Run:
    """One integration: two-step Adams–Bashforth with uneven steps, the first by Heun.

    What grows is held by its logarithmic rate, so that nothing alive ever falls below zero. Getting going is taken
    out of the slopes and integrated exactly (`awake_hours`): its corner would cost accuracy just where a dough begins
    to rise. Written out number by number, since a preview waits for it.
    """

    def __init__(self, medium: Medium, living: Living, warmth: Warmth) -> None:
        self.medium, self.warmth = medium, warmth
        self.hours, self.t_c = 0.0, warmth(0.0)
        self.bacteria = max(living.bacteria, 0.0)
        self.wild = max(living.sourdough_yeast, 0.0)
        self.yeast = max(living.bakers_yeast, 0.0)
        self.lactic = self.acetic = self.gas = self.wild_gas = self.bacteria_gas = self.yeast_meq = 0.0
        self.culture_wakes_h = WORKING_H if medium.working else NEW_STAGE_H
        self.salt = bacteria_salt(medium.salt_percent) * medium.bacteria_pace
        self.acetic_ratio = ACETIC_RATIO + ACETIC_RATIO_RYE * medium.rye_share
        self.wild_percent = 100.0 * 1000.0 / medium.flour_g / FRESH_CELLS_E7 * medium.wild_pace
        self.gas_per_lactic = GAS_ML_PER_MMOL * 100.0 / medium.flour_g
        self.most_meq = medium.yeast_acid_meq
        self.acids = GrowingAcids(
            medium.species, medium.amounts_mmol, medium.fixed_charge_mmol, medium.slurry_litres, medium.water_g
        )
        self.moments: list[Moment] = []
        self.rates: list[float] = []
        self._warm()
        self.now = self._slopes()
        self.before, self.last_step = self.now, 0.0
        self._note()

    @property
    def gas_ml(self) -> float:
        return self.gas + self.wild_gas + self.bacteria_gas

    def step(self, step: float) -> None:
        now, before = self.now, self.before
        if self.last_step:
            weight = 0.5 * step / self.last_step
            self._move([n + weight * (n - b) for n, b in zip(now, before, strict=True)], step)
        else:
            start = (self.bacteria, self.wild, self.yeast)
            self._move(now, step)
            ahead = self._slopes()
            self.bacteria, self.wild, self.yeast = start
            self.lactic = self.acetic = self.gas = self.wild_gas = self.bacteria_gas = 0.0
            self.hours -= step
            self._move([0.5 * (n + a) for n, a in zip(now, ahead, strict=True)], step)
        self.before, self.last_step = now, step
        self.now = self._slopes()
        self._note()

    def _move(self, slopes: Sequence[float], step: float) -> None:
        growth, wild, yeast, lactic, acetic, own_lactic, gas, wild_gas = slopes
        begin, end = self.hours, self.hours + step
        gas_h = awake_hours(end, GAS_WAKES_H) - awake_hours(begin, GAS_WAKES_H)
        if self.bacteria or self.wild:
            culture_h = awake_hours(end, self.culture_wakes_h) - awake_hours(begin, self.culture_wakes_h)
            self.bacteria *= math.exp(growth * culture_h)
            self.wild *= math.exp(wild * culture_h)
            self.lactic += max(lactic * culture_h, own_lactic * step)
            self.acetic += acetic * culture_h
            self.wild_gas += wild_gas * gas_h
            self.bacteria_gas += lactic * culture_h * self.gas_per_lactic
        else:
            self.lactic += own_lactic * step
        if self.yeast:
            yeast_h = awake_hours(end, BAKERS_YEAST_WAKES_H) - awake_hours(begin, BAKERS_YEAST_WAKES_H)
            self.yeast *= math.exp(yeast * yeast_h)
            self.gas += gas * gas_h
            self.yeast_meq = yeast_meq(self.most_meq, self.gas)
        self.hours = end
        t_c = self.warmth(end)
        if t_c != self.t_c:
            self.t_c = t_c
            self._warm()
        self.acids.follow(self.lactic, self.acetic, self.yeast_meq)

    def _warm(self) -> None:
        """What depends on nothing but the warmth."""
        t_c, medium = self.t_c, self.medium
        self.bacteria_pace = 0.0
        if self.bacteria:
            self.bacteria_pace = self.salt * bacteria_warmth(t_c, medium.warm_bacteria)
        self.acetic_share = self.acetic_ratio
        if t_c > ACETIC_FALL_FROM_C:
            self.acetic_share *= max(1.0 - ACETIC_FALL_PER_C * (t_c - ACETIC_FALL_FROM_C), 0.0)
        self.own_pace = 0.0
        if medium.own_bacteria:
            doublings = (min(t_c, OWN_BACTERIA_END_C) - OWN_BACTERIA_C) / OWN_BACTERIA_DOUBLING_C
            alive = (OWN_BACTERIA_END_C - t_c) / (OWN_BACTERIA_END_C - OWN_BACTERIA_FALL_FROM_C)
            pace = OWN_BACTERIA_MMOL * medium.flour_g / 1000.0 * math.exp(math.log(2.0) * doublings)
            self.own_pace = pace * min(max(alive, 0.0), 1.0)
        self.gas_pace = medium.gas_ml * medium.pace * gas_warmth(t_c) if self.yeast else 0.0
        self.wild_pace = medium.gas_ml * medium.pace * sourdough_yeast_gas(t_c) if self.wild else 0.0
        self.wild_growth = YEAST_GROWTH_PER_H * sourdough_yeast_warmth(t_c) if self.wild else 0.0
        self.yeast_growth = BAKERS_YEAST_GROWTH_PER_H * bakers_yeast_growth(t_c) if self.yeast else 0.0

    def _slopes(self) -> tuple[float, ...]:
        """Wide awake: growth per hour of the three that live; mmol of lactic and acetic acid of the culture and of
        lactic acid of the flour's own bacteria; mL per 100 g flour of gas of bakers' and of sourdough yeast.
        """
        ph = self.acids.ph
        bacteria, wild, yeast = self.bacteria, self.wild, self.yeast
        acid_left = min(max(ph - LEAST_PH, 0.0), FULL_PACE_ABOVE)
        growth = lactic = wild_growth = yeast_growth = gas = wild_gas = 0.0
        if bacteria:
            room = 1.0 - bacteria / MOST_BACTERIA_E9_PER_G
            growth = BACTERIA_GROWTH_PER_H * self.bacteria_pace * cardinal_ph(ph, *BACTERIA_PH) * room
            lactic = LACTIC_PER_E9_AND_H * self.bacteria_pace * acid_left * bacteria
        if wild or yeast:
            stifling = self.acids.undissociated_acetic_mm()
            pace = acid_pace(ph, stifling)
            gas, wild_gas = self.gas_pace * pace, self.wild_pace * pace
            if wild:
                room = 1.0 - wild / MOST_YEAST_E7_PER_G
                wild_growth = self.wild_growth * max(1.0 - stifling / MOST_ACETIC_MM, 0.0) * room
            if yeast:
                yeast_growth = self.yeast_growth * max(1.0 - yeast / MOST_BAKERS_YEAST_PERCENT, 0.0)
        return (
            growth,
            wild_growth,
            yeast_growth,
            lactic,
            lactic * self.acetic_share,
            self.own_pace * acid_left,
            gas * effective_yeast(yeast),
            wild_gas * wild * self.wild_percent,
        )

    def _note(self) -> None:
        now = self.now
        self.rates.append(
            (now[6] + now[7]) * min(1.0, self.hours / GAS_WAKES_H)
            + now[3] * self.gas_per_lactic * min(1.0, self.hours / self.culture_wakes_h)
        )
        self.moments.append(
            Moment(
                self.hours,
                self.t_c,
                self.acids.ph,
                Living(self.bacteria, self.wild, self.yeast),
                self.lactic,
                self.acetic,
                self.yeast_meq,
                self.gas,
                self.wild_gas,
                self.bacteria_gas,
            )
        )


def yeast_meq(most_meq: float, gas_ml: float) -> float:
    """meq of acid per kg of dough that bakers' yeast has made beside so much gas, mL per 100 g flour."""
    gas_mol = gas_ml * 10.0 / 1000.0 / GAS_ML_PER_MMOL
    return most_meq * -math.expm1(-gas_mol / YEAST_ACID_GAS_MOL)


def awake_hours(hours: float, wakes_h: float) -> float:
    """∫ min(1, t/wakes) dt from mixing: hours that count as worked."""
    return 0.5 * hours * hours / wakes_h if hours < wakes_h else hours - 0.5 * wakes_h
