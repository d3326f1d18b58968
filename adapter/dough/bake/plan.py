"""From dough to slice: temperature, tin, proof, oven, waiting and the clock, for one variant on one day."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from adapter.dough.allergens import cautions_of
from adapter.dough.bake.clock import Durations, TimedStep, clock_plan, is_night, off_the_night
from adapter.dough.bake.cold_night import ColdNight
from adapter.dough.bake.filling import filled_tin, told
from adapter.dough.bake.mending import stage_notes
from adapter.dough.bake.mixing import Mixing, Temperatures, mixing_plan, unwarmed_c
from adapter.dough.bake.note import Note
from adapter.dough.bake.proofing import (
    CURVE_POINTS,
    baked_from_c,
    mean_temperature,
    moves_of,
    night_note,
    night_offered,
    off_night_note,
    proof_of,
    rise_curve,
    rise_notes,
    rise_over,
    rises_in_oven,
    stage_starts,
)
from adapter.dough.bake.ripe_by import builds_from
from adapter.dough.bake.span import Span
from adapter.dough.bake.stages import SOURDOUGH, StageRow, stage_rows
from adapter.dough.models.oven import HOTTEST_CORE_C, Loaf, bake_minutes, core_curve, heating_rate_c_per_min
from adapter.dough.models.proof import Rise
from adapter.dough.readings import starch
from adapter.dough.readings.kitchen import Calibration
from adapter.dough.readings.living import mixed_c
from adapter.dough.readings.loaf import loaf_of
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.tables.loaf_classes import LoafClass, Range
from adapter.dough.tables.work_steps import MIX, WorkStep
from adapter.formula.model import DEFAULT_STAGE, Bake, Formula, Line, Proof, Spell, StagePlan
from adapter.formula.problems import InputProblem

LONGEST_BUILD_H = 36.0
SHORTEST_WAIT_H = 0.1
"""The first feeding is not before now, though times are told to five minutes."""
MOST_LATER_H = 24.0
"""How much later than asked for a loaf is tried, to say when a night in the fridge would fit."""
PROOF_RANGE_C = (4.0, 47.0)
RAW_BELOW_C = 80.0
"""A core cooler than this has not set; loaves are done at 94 °C and more [A]."""


@dataclass(frozen=True, slots=True)
class BakeInputs:
    """What the baker sets for the day. None: what the formula says, or its class of loaf.

    `stages` are the day's hours and warmth in place of the formula's; `cold_night` takes the night in the fridge that
    `BakePlan.cold_night` offers; `there_g` is ripe culture in the fridge, from which what is needed is built up.
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
    return _planned(measured, inputs, now)


def day_in_formula(plan: BakePlan, inputs: BakeInputs) -> Formula:
    """The formula that was planned with what was set for the day in it: stages, proof and oven, so that it is saved."""
    assert plan.formula is not None
    formula = plan.formula
    proof, bake = formula.proof, formula.bake
    if inputs.proof_c is not None or inputs.rise_percent is not None:
        proof = Proof(_own(inputs.proof_c, proof.temperature_c), _own(inputs.rise_percent, proof.rise_percent))
    if inputs.oven_c is not None or inputs.core_c is not None:
        bake = Bake(_own(inputs.oven_c, bake.oven_c), _own(inputs.core_c, bake.core_c))
    return replace(formula, proof=proof, bake=bake)


def _own(set_: float | None, said: float | None) -> float | None:
    return said if set_ is None else set_


def _with_cold_night(measured: Measured, inputs: BakeInputs, now: datetime) -> BakePlan:
    """The plan with the night in the fridge that the plan without it offers."""
    found = _night_plan(measured, inputs, now)
    if found is None:
        raise _no_night(measured, inputs, now)
    return found()


def _night_plan(measured: Measured, inputs: BakeInputs, now: datetime) -> Callable[[], BakePlan] | None:
    """What makes the plan with a night in the fridge; None where no night fits, or the builds do not fit before it."""
    night, _ = _prepared(measured, replace(inputs, cold_night=False), now, offer_always=True)
    if night is None:
        return None
    stage = measured.formula.stages()[-1] if DEFAULT_STAGE not in measured.formula.stages() else DEFAULT_STAGE
    spells = tuple(Spell(round(spell.hours, 2), spell.temperature_c) for spell in night.spells)
    planned = measured.formula.with_plan(StagePlan(stage, "dough", None, None, spells))
    if night.yeast_percent is not None:
        planned = _with_yeast(measured, planned, night.yeast_percent) or planned
    cold = measure(measured.kitchen, planned, measured.book)
    try:
        return _prepared(cold, replace(inputs, cold_night=False, proof_c=None), now)[1]
    except InputProblem:
        return None


def _with_yeast(measured: Measured, formula: Formula, percent: float) -> Formula | None:
    """The formula with so much fresh yeast, % of flour, by the lines of the dough alone: a preferment stays as it is.

    None where the preferment brings more than that, or the dough has no yeast of its own to change.
    """
    catalogue, followed = measured.kitchen.catalogue, {stage.plan.name for stage in measured.stages}
    own = [line for line in formula.lines if line.stage not in followed and _is_yeast(measured, line)]
    own_g = sum(line.grams * catalogue.fresh_yeast(line.ingredient) for line in own)
    wanted_g = own_g + (percent - measured.rise.yeast_percent) / 100.0 * measured.amount("flour")
    if not own_g > 0.0 or wanted_g < 0.0:
        return None
    return formula.with_lines(
        line.with_grams(round(line.grams * wanted_g / own_g, 1)) if line in own else line for line in formula.lines
    )


def _is_yeast(measured: Measured, line: Line) -> bool:
    return measured.kitchen.catalogue.fresh_yeast(line.ingredient) > 0.0


def _no_night(measured: Measured, inputs: BakeInputs, now: datetime) -> InputProblem:
    """Why no night in the fridge fits, and from what time to be sliced by one would."""
    where, ready = f"formula {measured.formula.name!r}", inputs.ready

    def fits(later_h: float) -> bool:
        assert ready is not None
        try:
            return _night_plan(measured, replace(inputs, ready=ready + timedelta(hours=later_h)), now) is not None
        except InputProblem:
            return False

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


def _planned(measured: Measured, inputs: BakeInputs, now: datetime) -> BakePlan:
    return _prepared(measured, inputs, now)[1]()


def _prepared(
    measured: Measured, inputs: BakeInputs, now: datetime, offer_always: bool = False
) -> tuple[ColdNight | None, Callable[[], BakePlan]]:
    """The night in the fridge that fits, if any, and what makes the whole plan of it: curves cost their time."""
    formula = measured.formula
    place_c = _chosen(inputs.proof_c, measured.rise.temperature_c)
    rise_percent = _chosen(inputs.rise_percent, 100.0 * measured.rise.rise_fraction)
    oven_c = _chosen(inputs.oven_c, measured.conditions.oven_c)
    core_c = _chosen(inputs.core_c, measured.conditions.core_c)
    _check_inputs(place_c, rise_percent, core_c)
    spells = measured.rise.spells if inputs.proof_c is None else ()
    in_oven = rises_in_oven(measured)
    usual_c = round(unwarmed_c(measured, inputs.temperatures), 1) if in_oven else mixed_c(spells, place_c)
    wanted_c = _chosen(inputs.wanted_dough_c, usual_c)
    mixing = told(lambda: mixing_plan(measured, wanted_c, inputs.temperatures), formula.name)
    rise = rise_over(measured, place_c, mixing.dough_c, rise_percent)
    if spells:
        rise = replace(rise, spells=spells, tau_h=measured.rise.tau_h)
    proof_h = proof_of(measured, rise)
    mean_c = mean_temperature(rise, rise.stated_h or proof_h.value)
    start_c = mixing.dough_c if in_oven else baked_from_c(rise, place_c)
    loaf = risen_loaf(measured, rise_percent)
    kitchen = measured.kitchen.calibration
    factor = kitchen.oven_factor
    bake = told(
        lambda: bake_minutes(loaf, oven_c, core_c, start_c, oven_factor=factor, spread=kitchen.oven_spread),
        formula.name,
    )
    heating = heating_rate_c_per_min(loaf, oven_c, start_c, oven_factor=factor)
    loaf_class = measured.class_of(bake.value / 60.0)
    volume, fill, suits, notes = filled_tin(measured, rise_percent)
    if not mixing.liquid.reachable:
        notes.append(Note("liquid", " ".join(part for part in (mixing.liquid.note, mixing.hint) if part)))
    notes += rise_notes(measured, rise, proof_h, _yeast_g(measured))
    work = measured.kitchen.steps
    rows = stage_rows(measured, rise, proof_h)

    def clock(rows: tuple[StageRow, ...], built: frozenset[str] = frozenset()) -> list[TimedStep]:
        durations = Durations(
            _hours_of_proof(measured, rise, proof_h),
            bake.value / 60.0,
            loaf_class.wait_h.low,
            stage_starts(measured, rows),
            moves_of(rise),
            loaf_class.wait_h.high,
            built.union(row.kind for row in rows),
        )
        kinds = (kind for line in formula.lines for kind in measured.kitchen.catalogue.get(line.ingredient).kinds)
        return clock_plan(formula.stages(), kinds, durations, work, now, inputs.start, inputs.ready)

    if inputs.there_g is not None:
        built = _built_up(measured, inputs, now, clock(rows, frozenset({SOURDOUGH})), hurry=offer_always)
        rows = (*built, *rows)
        if not built:
            notes.append(Note("stage", f"{inputs.there_g:g} g of culture are enough: no build is needed."))
    plan = clock(rows)
    night = night_offered(
        measured, rise, plan, inputs.temperatures.fridge_c, inputs.ready is not None, now, offer_always
    )
    other = formula
    if night is not None and night.yeast_percent is not None:
        other = _with_yeast(measured, formula, night.yeast_percent) or formula
        night = None if other is formula else night
    if night is not None and not offer_always:
        notes.append(night_note(night, _yeast_g(measured, formula), _yeast_g(measured, other)))
    shift = off_the_night(plan, now, inputs.ready is not None)
    if shift is not None:
        notes.append(off_night_note(plan, shift, inputs.ready is not None))

    def whole() -> BakePlan:
        return BakePlan(
            mixing=mixing,
            dough_g=measured.amount("mass"),
            piece_g=measured.amount("mass") / formula.pieces,
            pieces=formula.pieces,
            yeast_g=_yeast_g(measured),
            tin_volume_l=volume,
            tin_fill=fill,
            tin_suits_g=suits,
            proof_h=proof_h,
            proof_c=mean_c,
            place_c=place_c,
            rise=rise,
            start_c=start_c,
            rise_percent=rise_percent,
            loaf=loaf,
            bake_min=Span(bake.low, bake.value, bake.high),
            oven_c=oven_c,
            core_c=core_c,
            heating_c_per_min=heating,
            starch_attack=_starch_attack(measured, heating, core_c),
            loaf_class=loaf_class,
            loss_percent=loaf_class.loss_percent,
            wait_h=loaf_class.wait_h,
            keeps_d=loaf_class.keeps_d,
            rise_curve=rise_curve(rise, proof_h.value),
            core_curve=tuple(core_curve(loaf, oven_c, start_c, core_c, CURVE_POINTS, oven_factor=factor)),
            plan=tuple(plan),
            work=work,
            notes=(*notes, *stage_notes(measured, rows)),
            cautions=tuple(cautions_of(measured)),
            calibration=kitchen,
            stages=rows,
            cold_night=night,
            off_night=shift,
            formula=formula,
        )

    return night, whole


def _hours_of_proof(measured: Measured, rise: Rise, proof_h: Span) -> float:
    """Hours on the clock: those planned, else those of the rise; none where soda raises it in the oven."""
    if rise.stated_h is not None:
        return rise.stated_h
    return 0.0 if not math.isfinite(proof_h.value) and measured.gas_mmol > 0.0 else proof_h.value


def _settings(measured: Measured) -> tuple[str, ...]:
    """What the plan calls the setting of each stage that is followed."""
    return tuple(step for _, step in stage_starts(measured, ()))


def _built_up(
    measured: Measured, inputs: BakeInputs, now: datetime, plan: Sequence[TimedStep], hurry: bool
) -> tuple[StageRow, ...]:
    """The builds from the starter there is, within the hours left (a day and a half at most) and off the night.

    `plan` are the steps without them. In a hurry they are as quick as they come: a night in the fridge wants the time.
    """
    assert inputs.there_g is not None
    hours = None
    needed = next((step.at for step in plan if step.step in (*_settings(measured), MIX)), None)
    if inputs.ready is not None and not hurry:
        there_h = ((needed or inputs.ready) - now).total_seconds() / 3600.0 - SHORTEST_WAIT_H
        hours = min(max(there_h, 0.0), LONGEST_BUILD_H)

    def in_the_night(whole_h: float, at_h: Sequence[float]) -> int:
        begin = inputs.start or now
        if inputs.ready is not None and needed is not None:
            begin = needed - timedelta(hours=whole_h)
        return sum(is_night(begin + timedelta(hours=hours)) for hours in at_h)

    return builds_from(measured, inputs.there_g, hours, inputs.temperatures.room_c, in_the_night)


def _chosen(own: float | None, usual: float) -> float:
    return usual if own is None else own


def _check_inputs(proof_c: float, rise_percent: float, core_c: float) -> None:
    low, high = PROOF_RANGE_C
    if not low <= proof_c <= high:
        raise InputProblem(f"a proof at {proof_c:g} °C is not possible", right=f"{low:g} to {high:g} °C")
    if not 1 <= rise_percent <= 400:
        raise InputProblem(f"a rise of {rise_percent:g} % is not possible", right="1 to 400 %")
    if core_c < RAW_BELOW_C:
        right = f"{RAW_BELOW_C:g} to {HOTTEST_CORE_C:g} °C"
        raise InputProblem(f"a core of {core_c:g} °C is raw dough", right=right)


def risen_loaf(measured: Measured, rise_percent: float) -> Loaf:
    """One loaf as it goes into the oven after such a rise; under a lid no higher than the tin."""
    return loaf_of(
        measured.formula,
        measured.amount("mass"),
        measured.rise.rye_share,
        measured.loaf_class,
        rise_percent / 100.0,
        measured.sugar_fat,
    )


def _starch_attack(measured: Measured, heating: float, core_c: float) -> float:
    """The index for the day's oven and loaf; the same as the reading where these are the formula's own."""
    return starch.index_of(starch.inputs_of(measured), heating, core_c)


def _yeast_g(measured: Measured, formula: Formula | None = None) -> float:
    """Grams of yeast of every kind, as it is weighed."""
    return sum(line.grams for line in (formula or measured.formula).lines if _is_yeast(measured, line))
