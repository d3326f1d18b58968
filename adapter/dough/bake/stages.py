"""The living stages of a bake: how sour and how high each stands at the end of its hours, and when it is ripe.

Ripe is a habit of bakers, not a constant of nature: stage_kinds.toml says at what pH or rise. No stage is shown higher
than its kind can stand. The dough itself is ready when it has risen as far as the formula asks. Nothing below a screen:
everything here is plain data.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from adapter.dough.bake.span import Span
from adapter.dough.models.bubbles import Bubbles
from adapter.dough.models.course import Course, Moment
from adapter.dough.models.proof import Rise
from adapter.dough.models.warmth import Place
from adapter.dough.readings.living import LivingStage, dough_plan
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.stage_uses import kind_of_stage
from adapter.dough.tables.stage_kinds import StageKind
from adapter.formula.model import Amount

SOURDOUGH = "sourdough"
MOST_RISE_PERCENT = 400.0
"""No dough is told to stand higher: long before it falls back."""
LONGEST_WAIT_H = 96.0
RIPE_BACTERIA_E9 = 4.0
USABLE_OF_PEAK = 100.0 / 115.0
"""Share of its peak from which a sourdough may be used [A]."""
MUCH_STARTER = 0.25
"""From this share of ripe culture on, a sour is a build, taken for what it raises; below, the less, the more for its
acid [A]: full sours of a third stand 3 to 4 h, sours of a twentieth 15 to 24 h (glossaries of the German trade)."""
CURVE_POINTS = 61


@dataclass(frozen=True, slots=True)
class StageStep:
    """Something to do for a stage: `at_h` hours after its start, in words and with what is weighed in."""

    at_h: float
    do: str
    amounts: tuple[Amount, ...] = ()


@dataclass(frozen=True, slots=True)
class StageRow:
    """One stage on the Bake page. `ripe_h` counts from the start of the stage; None where it never ripens.

    `feeds` is the stage that builds end in. `curve` is (hours, pH, % risen), to beyond its hours and beyond ripeness;
    `past_h` is when it is past its best.
    """

    stage: str
    kind: str
    hours: float
    spells: tuple[Place, ...]
    ph: float
    tta: float
    rise_percent: float
    ripe_h: Span | None
    steps: tuple[StageStep, ...]
    curve: tuple[tuple[float, float, float], ...]
    grams: float
    feeds: str | None = None

    @property
    def temperature_c(self) -> float:
        """Mean °C of the places it stands in, by their hours."""
        hours = sum(spell.hours for spell in self.spells)
        return sum(spell.hours * spell.temperature_c for spell in self.spells) / hours

    @property
    def past_h(self) -> float | None:
        return self.ripe_h.high if self.ripe_h and math.isfinite(self.ripe_h.high) else None

    @property
    def state(self) -> str:
        """How it stands at the end of its hours: young, ripe or past."""
        if self.ripe_h is None or self.hours < self.ripe_h.low:
            return "young"
        return "ripe" if self.hours <= self.ripe_h.high else "past"


def stage_rows(measured: Measured, rise: Rise | None = None, proof_h: Span | None = None) -> tuple[StageRow, ...]:
    """Every stage that has hours, in the order of the work; the dough itself last.

    `rise` and `proof_h` are the proof of the day; None: as the formula has it.
    """
    rows = [_row(measured, stage) for stage in measured.stages]
    dough = _dough_row(measured, rise or measured.rise, proof_h or _own_proof(measured))
    return (*rows, dough) if dough is not None else tuple(rows)


def ripe_hours(kind: StageKind, course: Course, bubbles: Bubbles) -> Span | None:
    """When a stage of this kind is ripe, and from when to when it may be used; None where its course is too short."""

    def risen(percent: float) -> float:
        return _crossing(course, lambda moment: _percent(bubbles, moment), 1.0, percent)

    first, best, last = _ripe_by_ph(kind, course, risen) if kind.ripe_ph else map(risen, kind.ripe_rise)
    return Span(first, best, last) if math.isfinite(best) else None


def _ripe_by_ph(kind: StageKind, course: Course, risen: Callable[[float], float]) -> tuple[float, float, float]:
    """By its pH; at its peak it may be used less sour, and is at its best so the sooner, the more starter it had."""

    def sour(ph: float) -> float:
        return _crossing(course, lambda moment: moment.ph, -1.0, -ph)

    first, best, last = kind.ripe_ph
    starter = course.moments[0].living.bacteria / RIPE_BACTERIA_E9
    raised = best + (kind.raised_ph - best) * min(starter / MUCH_STARTER, 1.0)
    sour_h = sour(best)
    return (
        max(sour(first), min(risen(USABLE_OF_PEAK * kind.peak_rise), sour_h)),
        min(sour_h, max(sour(raised), risen(kind.peak_rise))),
        sour(last),
    )


def ripe_of(stage: LivingStage) -> Span | None:
    """When a followed stage is ripe, left standing as long as that takes, four days at most."""
    return ripe_hours(stage.ripens, stage.beyond(LONGEST_WAIT_H), stage.bubbles)


def _row(measured: Measured, stage: LivingStage) -> StageRow:
    end = stage.end
    beyond = stage.beyond(LONGEST_WAIT_H)
    ripe = ripe_hours(stage.ripens, beyond, stage.bubbles)
    return StageRow(
        stage.plan.name,
        stage.kind,
        stage.hours,
        stage.spells,
        end.ph,
        stage.course.tta(end),
        risen_percent(stage, end),
        ripe,
        (StageStep(0.0, _how_to_start(stage), _ingoing(measured, stage)),),
        _curve(beyond, stage.bubbles, stage.hours, ripe, _highest_percent(stage)),
        stage.totals[measured.layout.index["mass"]],
    )


def _own_proof(measured: Measured) -> Span:
    value = measured.value("rise_time")
    spread = measured.spread("rise_time") if math.isfinite(value) else 0.0
    return Span(max(value - spread, 0.0), value, value + spread)


def _dough_row(measured: Measured, rise: Rise, proof_h: Span) -> StageRow | None:
    plan = dough_plan(measured.formula)
    if plan is None or not rise.spells or not rise.is_alive:
        return None
    hours = rise.stated_h or 0.0
    course = rise.course()
    end = course.at(hours)
    ripe = proof_h if math.isfinite(proof_h.value) else None
    return StageRow(
        plan.name,
        kind_of_stage(measured.formula, plan.name),
        hours,
        rise.spells,
        end.ph,
        course.tta(end),
        min(_percent(rise.bubbles, end), MOST_RISE_PERCENT),
        ripe,
        tuple(_moves(rise.spells)),
        _curve(rise.over(1.2 * hours), rise.bubbles, hours, ripe, MOST_RISE_PERCENT),
        measured.amount("mass"),
    )


def _moves(spells: tuple[Place, ...]) -> list[StageStep]:
    """From place to place."""
    steps, at_h = [], 0.0
    for spell in spells:
        steps.append(StageStep(at_h, f"{spell.hours:.3g} h at {spell.temperature_c:g} °C"))
        at_h += spell.hours
    return steps


def _how_to_start(stage: LivingStage) -> str:
    if stage.fed_from is not None:
        return f"feed the {stage.fed_from}"
    return "mix, and let it stand"


def _ingoing(measured: Measured, stage: LivingStage) -> tuple[Amount, ...]:
    fed = [Amount(stage.fed_from, stage.fed_g)] if stage.fed_from is not None else []
    lines = [line for line in measured.formula.lines if line.stage == stage.plan.name and line.grams > 0]
    return (*fed, *(Amount(line.ingredient, line.grams) for line in lines))


def risen_percent(stage: LivingStage, moment: Moment) -> float:
    """How high a stage stands at a moment, no higher than its kind can."""
    return min(_percent(stage.bubbles, moment), _highest_percent(stage))


def _highest_percent(stage: LivingStage) -> float:
    return stage.ripens.highest_percent(stage.bubbles.retention)


def _percent(bubbles: Bubbles, moment: Moment) -> float:
    return 100.0 * bubbles.rise(moment.gas_ml, moment.temperature_c)


def _curve(
    course: Course, bubbles: Bubbles, hours: float, ripe: Span | None, most: float = math.inf
) -> tuple[tuple[float, float, float], ...]:
    past = ripe.high if ripe is not None and math.isfinite(ripe.high) else hours
    last = min(1.15 * max(hours, past), course.end.hours)
    points = []
    for number in range(CURVE_POINTS):
        moment = course.at(last * number / (CURVE_POINTS - 1))
        points.append((moment.hours, moment.ph, min(_percent(bubbles, moment), most)))
    return tuple(points)


def _crossing(course: Course, of: Callable[[Moment], float], sign: float, wanted: float) -> float:
    """Hours at which sign x something first reaches what is wanted, straight between the steps; infinite if never."""
    before: tuple[float, float] | None = None
    for moment in course.moments:
        value = sign * of(moment)
        if value >= wanted:
            if before is None or value == before[1]:
                return moment.hours
            part = (wanted - before[1]) / (value - before[1])
            return before[0] + part * (moment.hours - before[0])
        before = (moment.hours, value)
    return math.inf
