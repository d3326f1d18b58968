"""A formula on its way from bowl to slice on one day: each part is worked out when it is first asked for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cached_property

from adapter.dough.bake.clock import SHORTEST_WAIT_H, Durations, TimedStep, clock_plan, is_night, off_the_night
from adapter.dough.bake.cold_night import ColdNight
from adapter.dough.bake.filling import filled_tin, told
from adapter.dough.bake.inputs import BakeInputs, check_day, chosen
from adapter.dough.bake.mending import stage_notes
from adapter.dough.bake.mixing import Mixing, mixing_plan, unwarmed_c
from adapter.dough.bake.note import Note
from adapter.dough.bake.proofing import (
    baked_from_c,
    moves_of,
    night_note,
    night_offered,
    off_night_note,
    proof_of,
    rise_notes,
    rise_over,
    rises_in_oven,
    stage_starts,
)
from adapter.dough.bake.ripe_by import builds_from
from adapter.dough.bake.span import Span
from adapter.dough.bake.stages import SOURDOUGH, StageRow, stage_rows
from adapter.dough.bake.yeast_lines import with_yeast, yeast_g
from adapter.dough.models.oven import Loaf, bake_minutes
from adapter.dough.models.proof import Rise
from adapter.dough.readings.living import mixed_c
from adapter.dough.readings.loaf import loaf_of
from adapter.dough.readings.measured import Measured
from adapter.dough.tables.loaf_classes import LoafClass
from adapter.dough.tables.work_steps import MIX

LONGEST_BUILD_H = 36.0


class Day:
    """What was set for the day, else what the formula or its class of loaf says, and what follows from it.

    In a `hurry` builds of a starter are as quick as they come, and a night in the fridge is sought whatever the clock
    says. Raises InputProblem as `bake_plan` does.
    """

    def __init__(self, measured: Measured, inputs: BakeInputs, now: datetime, hurry: bool = False) -> None:
        self.measured, self.inputs, self.now, self.hurry = measured, inputs, now, hurry
        self.place_c = chosen(inputs.proof_c, measured.rise.temperature_c)
        self.rise_percent = chosen(inputs.rise_percent, 100.0 * measured.rise.rise_fraction)
        self.oven_c = chosen(inputs.oven_c, measured.conditions.oven_c)
        self.core_c = chosen(inputs.core_c, measured.conditions.core_c)
        check_day(self.place_c, self.rise_percent, self.core_c)
        self.spells = measured.rise.spells if inputs.proof_c is None else ()
        self.in_oven = rises_in_oven(measured)
        self.tin_volume_l, self.tin_fill, self.tin_suits_g, self._tin_notes = filled_tin(measured, self.rise_percent)

    # --- the dough -------------------------------------------------------------------------------

    @cached_property
    def mixing(self) -> Mixing:
        temperatures = self.inputs.temperatures
        if self.in_oven:
            usual_c = round(unwarmed_c(self.measured, temperatures), 1)
        else:
            usual_c = mixed_c(self.spells, self.place_c)
        wanted_c = chosen(self.inputs.wanted_dough_c, usual_c)
        return told(lambda: mixing_plan(self.measured, wanted_c, temperatures), self.measured.formula.name)

    @cached_property
    def rise(self) -> Rise:
        rise = rise_over(self.measured, self.place_c, self.mixing.dough_c, self.rise_percent)
        return replace(rise, spells=self.spells, tau_h=self.measured.rise.tau_h) if self.spells else rise

    @cached_property
    def proof_h(self) -> Span:
        return proof_of(self.measured, self.rise)

    @property
    def hours_of_proof(self) -> float:
        """Hours on the clock: those planned, else those of the rise; none where soda raises it in the oven."""
        if self.rise.stated_h is not None:
            return self.rise.stated_h
        untimed = not math.isfinite(self.proof_h.value) and self.measured.gas_mmol > 0.0
        return 0.0 if untimed else self.proof_h.value

    # --- the oven --------------------------------------------------------------------------------

    @cached_property
    def start_c(self) -> float:
        return self.mixing.dough_c if self.in_oven else baked_from_c(self.rise, self.place_c)

    @cached_property
    def loaf(self) -> Loaf:
        return risen_loaf(self.measured, self.rise_percent)

    @cached_property
    def bake_min(self) -> Span:
        kitchen = self.measured.kitchen.calibration
        minutes = told(
            lambda: bake_minutes(
                self.loaf,
                self.oven_c,
                self.core_c,
                self.start_c,
                oven_factor=kitchen.oven_factor,
                spread=kitchen.oven_spread,
            ),
            self.measured.formula.name,
        )
        return Span(minutes.low, minutes.value, minutes.high)

    @cached_property
    def loaf_class(self) -> LoafClass:
        return self.measured.class_of(self.bake_min.value / 60.0)

    # --- stages and clock ------------------------------------------------------------------------

    @cached_property
    def _stages(self) -> tuple[StageRow, ...]:
        return stage_rows(self.measured, self.rise, self.proof_h)

    @cached_property
    def _builds(self) -> tuple[StageRow, ...]:
        """The builds from the starter there is, within the hours left (a day and a half at most) and off the night."""
        inputs = self.inputs
        if inputs.there_g is None:
            return ()
        settings = [step for _, step in stage_starts(self.measured, ())]
        unbuilt = self._clock(self._stages, frozenset({SOURDOUGH}))
        needed = next((step.at for step in unbuilt if step.step in (*settings, MIX)), None)
        hours = None
        if inputs.ready is not None and not self.hurry:
            there_h = ((needed or inputs.ready) - self.now).total_seconds() / 3600.0 - SHORTEST_WAIT_H
            hours = min(max(there_h, 0.0), LONGEST_BUILD_H)

        def in_the_night(whole_h: float, at_h: Sequence[float]) -> int:
            begin = inputs.start or self.now
            if inputs.ready is not None and needed is not None:
                begin = needed - timedelta(hours=whole_h)
            return sum(is_night(begin + timedelta(hours=hours)) for hours in at_h)

        return builds_from(self.measured, inputs.there_g, hours, inputs.temperatures.room_c, in_the_night)

    @property
    def rows(self) -> tuple[StageRow, ...]:
        """The stages, after the builds of their starter."""
        return (*self._builds, *self._stages)

    @cached_property
    def steps(self) -> list[TimedStep]:
        return self._clock(self.rows)

    def _clock(self, rows: Sequence[StageRow], built: frozenset[str] = frozenset()) -> list[TimedStep]:
        formula, kitchen = self.measured.formula, self.measured.kitchen
        wait_h = self.loaf_class.wait_h
        durations = Durations(
            self.hours_of_proof,
            self.bake_min.value / 60.0,
            wait_h.low,
            stage_starts(self.measured, rows),
            moves_of(self.rise),
            wait_h.high,
            built.union(row.kind for row in rows),
        )
        kinds = (kind for line in formula.lines for kind in kitchen.catalogue.get(line.ingredient).kinds)
        inputs = self.inputs
        return clock_plan(formula.stages(), kinds, durations, kitchen.steps, self.now, inputs.start, inputs.ready)

    @cached_property
    def night(self) -> ColdNight | None:
        """The night in the fridge that fits; one that asks for other yeast only where the dough has some to change."""
        measured, fridge_c = self.measured, self.inputs.temperatures.fridge_c
        by_clock = self.inputs.ready is not None
        night = night_offered(measured, self.rise, self.steps, fridge_c, by_clock, self.now, self.hurry)
        if night is None or night.yeast_percent is None:
            return night
        other = with_yeast(measured, measured.formula, night.yeast_percent)
        return night if other is not None and other != measured.formula else None

    @cached_property
    def off_night(self) -> timedelta | None:
        return off_the_night(self.steps, self.now, self.inputs.ready is not None)

    # --- what to say of it -----------------------------------------------------------------------

    def notes(self) -> list[Note]:
        measured, liquid = self.measured, self.mixing.liquid
        notes = list(self._tin_notes)
        if not liquid.reachable:
            notes.append(Note("liquid", " ".join(part for part in (liquid.note, self.mixing.hint) if part)))
        notes += rise_notes(measured, self.rise, self.proof_h, yeast_g(measured))
        if self.inputs.there_g is not None and not self._builds:
            notes.append(Note("stage", f"{self.inputs.there_g:g} g of culture are enough: no build is needed."))
        if self.night is not None and not self.hurry:
            notes.append(self._night_note(self.night))
        if self.off_night is not None:
            notes.append(off_night_note(self.steps, self.off_night, self.inputs.ready is not None))
        return [*notes, *stage_notes(measured, self.rows)]

    def _night_note(self, night: ColdNight) -> Note:
        formula = self.measured.formula
        other = None
        if night.yeast_percent is not None:
            other = with_yeast(self.measured, formula, night.yeast_percent)
        return night_note(night, yeast_g(self.measured, formula), yeast_g(self.measured, other or formula))


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
