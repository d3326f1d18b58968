"""From dough to slice: temperature, tin, proof, oven, waiting and the clock, for one variant on one day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from adapter.dough.allergens import cautions_of
from adapter.dough.bake.clock import TimedStep
from adapter.dough.bake.cold_night import ColdNight
from adapter.dough.bake.day import Day
from adapter.dough.bake.inputs import BakeInputs, chosen
from adapter.dough.bake.mixing import Mixing
from adapter.dough.bake.note import Note
from adapter.dough.bake.proofing import CURVE_POINTS, mean_temperature, rise_curve
from adapter.dough.bake.span import Span
from adapter.dough.bake.stages import StageRow
from adapter.dough.bake.yeast_lines import with_yeast, yeast_g
from adapter.dough.models.oven import Loaf, core_curve, heating_rate_c_per_min
from adapter.dough.models.proof import Rise
from adapter.dough.readings import starch
from adapter.dough.readings.kitchen import Calibration
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.tables.loaf_classes import LoafClass, Range
from adapter.dough.tables.work_steps import WorkStep
from adapter.formula.model import DEFAULT_STAGE, Bake, Formula, Proof, Spell, StagePlan
from adapter.formula.problems import InputProblem

MOST_LATER_H = 24.0
"""How much later than asked for a loaf is tried, to say when a night in the fridge would fit."""


@dataclass(frozen=True, slots=True)
class BakePlan:
    """Everything of the Bake screen. Grams, °C, hours, minutes; curves are (hours, % risen) and (minutes, °C).

    `proof_c` is the dough's mean temperature while it proves, `place_c` that of the place; `rise` is that proof,
    and `start_c` how warm the dough goes into the oven. `loaf` is the risen loaf
    as it goes into the oven; `heating_c_per_min` is how fast its crumb warms, which `starch_attack` follows. Moved by
    `off_night`, the whole plan would ask for no work in the night; None where it asks for none, or nothing helps.
    `formula` is what is baked, with the day's hours and the night in the fridge.
    """

    mixing: Mixing
    dough_g: float
    piece_g: float
    pieces: int
    yeast_g: float
    tin_volume_l: float | None
    tin_fill: float | None
    tin_suits_g: float | None
    proof_h: Span
    proof_c: float
    place_c: float
    rise: Rise
    start_c: float
    rise_percent: float
    loaf: Loaf
    bake_min: Span
    oven_c: float
    core_c: float
    heating_c_per_min: float
    starch_attack: float
    loaf_class: LoafClass
    loss_percent: Range
    wait_h: Range
    keeps_d: Range
    rise_curve: tuple[tuple[float, float], ...]
    core_curve: tuple[tuple[float, float], ...]
    plan: tuple[TimedStep, ...]
    work: tuple[WorkStep, ...]
    notes: tuple[Note, ...]
    cautions: tuple[str, ...]
    calibration: Calibration
    stages: tuple[StageRow, ...] = ()
    cold_night: ColdNight | None = None
    off_night: timedelta | None = None
    formula: Formula | None = None


def bake_plan(
    measured: Measured,
    inputs: BakeInputs,
    now: datetime,
) -> BakePlan:
    """Plan the bake of a formula. `now` is the present: no step may lie before it.

    Raises InputProblem for temperatures that cannot be, a tin smaller than the dough, a core or an oven out of
    range, and times in the past.
    """
    if inputs.stages:
        planned = measured.formula
        for stage in inputs.stages:
            planned = planned.with_plan(stage)
        if planned != measured.formula:
            measured = measure(measured.kitchen, planned, measured.book)
    if inputs.cold_night:
        return _with_cold_night(measured, inputs, now)
    return _plan_of(Day(measured, inputs, now))


def day_in_formula(plan: BakePlan, inputs: BakeInputs) -> Formula:
    """The formula that was planned with the day in it: its stages, and the proof and oven that were planned with.

    What was usual for the class of loaf is written down too: who keeps a day wants the next one alike.
    """
    assert plan.formula is not None
    place_c = chosen(inputs.proof_c, chosen(plan.formula.proof.temperature_c, plan.place_c))
    proof, bake = Proof(place_c, plan.rise_percent), Bake(plan.oven_c, plan.core_c)
    return replace(plan.formula, proof=proof, bake=bake)


def _with_cold_night(measured: Measured, inputs: BakeInputs, now: datetime) -> BakePlan:
    """The plan with the night in the fridge that the plan without it offers."""
    day = _after_a_night(measured, inputs, now)
    if day is None:
        raise _no_night(measured, inputs, now)
    return _plan_of(day)


def _after_a_night(measured: Measured, inputs: BakeInputs, now: datetime) -> Day | None:
    """The day after a night in the fridge; None where no night fits, or the builds do not fit before it."""
    night = Day(measured, inputs, now, hurry=True).night
    if night is None:
        return None
    stage = measured.formula.stages()[-1] if DEFAULT_STAGE not in measured.formula.stages() else DEFAULT_STAGE
    spells = tuple(Spell(round(spell.hours, 2), spell.temperature_c) for spell in night.spells)
    planned = measured.formula.with_plan(StagePlan(stage, "dough", None, None, spells))
    if night.yeast_percent is not None:
        planned = with_yeast(measured, planned, night.yeast_percent) or planned
    cold = measure(measured.kitchen, planned, measured.book)
    try:
        day = Day(cold, replace(inputs, proof_c=None), now)
        return day if day.steps else None
    except InputProblem:
        return None


def _no_night(measured: Measured, inputs: BakeInputs, now: datetime) -> InputProblem:
    """Why no night in the fridge fits, and from what time to be sliced by one would."""
    where, ready = f"formula {measured.formula.name!r}", inputs.ready

    def fits(later_h: float) -> bool:
        assert ready is not None
        return _after_a_night(measured, replace(inputs, ready=ready + timedelta(hours=later_h)), now) is not None

    if ready is None or not fits(MOST_LATER_H):
        return InputProblem(
            "no night of 8 to 16 h in the fridge raises this dough just so far",
            where=where,
            right="more or less of what raises it, a warmer or cooler proof, or another rise",
        )
    low, high = 0.0, MOST_LATER_H
    while high - low > 0.5:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if fits(middle) else (middle, high)
    earliest = ready + timedelta(hours=high)
    return InputProblem(
        f"no night in the fridge fits before {ready:%Y-%m-%d %H:%M}: there is too little time",
        where=where,
        right=f"to be sliced by {earliest:%Y-%m-%d %H:%M} or later",
    )


def _plan_of(day: Day) -> BakePlan:
    """The whole plan, curves too."""
    measured, loaf_class = day.measured, day.loaf_class
    factor = measured.kitchen.calibration.oven_factor
    heating = heating_rate_c_per_min(day.loaf, day.oven_c, day.start_c, oven_factor=factor)
    core = core_curve(day.loaf, day.oven_c, day.core_c, day.start_c, CURVE_POINTS, oven_factor=factor)
    return BakePlan(
        mixing=day.mixing,
        dough_g=measured.amount("mass"),
        piece_g=measured.amount("mass") / measured.formula.pieces,
        pieces=measured.formula.pieces,
        yeast_g=yeast_g(measured),
        tin_volume_l=day.tin_volume_l,
        tin_fill=day.tin_fill,
        tin_suits_g=day.tin_suits_g,
        proof_h=day.proof_h,
        proof_c=mean_temperature(day.rise, day.rise.stated_h or day.proof_h.value),
        place_c=day.place_c,
        rise=day.rise,
        start_c=day.start_c,
        rise_percent=day.rise_percent,
        loaf=day.loaf,
        bake_min=day.bake_min,
        oven_c=day.oven_c,
        core_c=day.core_c,
        heating_c_per_min=heating,
        # The same as the reading where oven and loaf are the formula's own.
        starch_attack=starch.index_of(starch.inputs_of(measured), heating, day.core_c),
        loaf_class=loaf_class,
        loss_percent=loaf_class.loss_percent,
        wait_h=loaf_class.wait_h,
        keeps_d=loaf_class.keeps_d,
        rise_curve=rise_curve(day.rise, day.proof_h.value),
        core_curve=tuple(core),
        plan=tuple(day.steps),
        work=measured.kitchen.steps,
        notes=tuple(day.notes()),
        cautions=tuple(cautions_of(measured)),
        calibration=measured.kitchen.calibration,
        stages=day.rows,
        cold_night=day.night,
        off_night=day.off_night,
        formula=measured.formula,
    )
