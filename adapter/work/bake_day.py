"""The day's inputs of the Bake screen: what can be set, what is typed, and the plan that comes of it. No widgets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, NamedTuple

from adapter.dough.bake.plan import BakePlan, bake_plan, day_in_formula
from adapter.dough.bake.proofing import rise_over
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.model import Formula, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import Bench
from adapter.swaps.scaling import scaled, with_rise_in
from adapter.words.clock_times import hours_typed, number_typed
from adapter.words.measures_typing import weight_typed
from adapter.work.day_choices import Choices, choices_from_data, chosen
from adapter.work.stage_inputs import (
    RIPE,
    STARTER,
    field_of,
    made_ripe,
    moved_lines,
    stage_chosen,
    stage_of_key,
    what_of_key,
    with_share,
    with_stages,
)


class Fault(NamedTuple):
    """What was typed and cannot be, and the one line that says so."""

    text: str
    said: str


class Outcome(NamedTuple):
    """What an input would make of the page: the choices, the formula with its step (or None), and the plan.

    `measured` is the formula with the day's hours of its stages; `said` is more to be told than the step.
    """

    choices: Choices
    changed: tuple[Formula, Step] | None
    measured: Measured
    plan: BakePlan
    said: str = ""


@dataclass
class BakeDay:
    """The inputs as they stand, and the last plan that worked.

    `faults` are inputs that were taken and cannot be; `problem` says why the formula itself gives no plan,
    and `problem_key` is the input that it comes from, where that is known.
    """

    choices: Choices = field(default_factory=Choices)
    loaf: str = ""
    faults: dict[str, Fault] = field(default_factory=dict)
    problem: str = ""
    problem_key: str | None = None
    measured: Measured | None = None
    plan: BakePlan | None = None

    def open(self, loaf: str, kept: Mapping[str, Any], now: datetime) -> None:
        """Turn to a loaf: what was set for another is put aside, what was kept for this one is taken up again."""
        if loaf != self.loaf:
            self.choices = choices_from_data(kept, self.choices, now)
            self.faults, self.problem, self.plan, self.measured = {}, "", None, None
            self.loaf = loaf

    def work_out(self, bench: Bench, now: datetime) -> bool:
        """The plan for the formula as it is; whether there is one. Where there is none, the last good one stays."""
        measured = with_day(bench.now, self.choices)
        try:
            self.plan = self._plan(measured, self.choices, now)
        except InputProblem as problem:
            self.problem, self.problem_key = _sentence(problem), problem.about
            return False
        self.measured, self.problem = measured, ""
        return True

    def look_at(self, key: str, text: str, bench: Bench, now: datetime) -> Outcome:
        """What the page would be with an input. Raises InputProblem; nothing is changed."""
        choices, changed, said = self._changed(key, text, bench, now)
        measured = bench.now if changed is None else measure(bench.kitchen, changed[0])
        measured = with_day(measured, choices)
        return Outcome(choices, changed, measured, self._plan(measured, choices, now), said)

    def take(self, key: str, text: str, bench: Bench, now: datetime) -> Outcome | None:
        """Take an input; None where it cannot be, and `faults` says why. The bench is left to the caller."""
        self.faults.pop(key, None)
        try:
            outcome = self.look_at(key, text, bench, now)
        except InputProblem as problem:
            said = _sentence(problem)
            if self.problem and said == self.problem:
                self.choices = self._changed(key, text, bench, now)[0]
            else:
                self.faults[key] = Fault(text, said)
            return None
        self.choices, self.plan, self.measured, self.problem = outcome.choices, outcome.plan, outcome.measured, ""
        self._try_faults_again(bench, now)
        return outcome

    def _try_faults_again(self, bench: Bench, now: datetime) -> None:
        """An input that could not be may be possible now that another one has changed."""
        for key, fault in list(self.faults.items()):
            if field_of(key, bench.now).recorded or what_of_key(key) == RIPE:
                continue
            try:
                outcome = self.look_at(key, fault.text, bench, now)
            except InputProblem as problem:
                self.faults[key] = Fault(fault.text, _sentence(problem))
            else:
                del self.faults[key]
                self.choices, self.plan, self.measured = outcome.choices, outcome.plan, outcome.measured

    def _plan(self, measured: Measured, choices: Choices, now: datetime) -> BakePlan:
        """The plan; a clock time that was set counts from the moment it was set, so that a plan begun stays one."""
        moment = choices.chosen_at or now
        return bake_plan(measured, choices.inputs(), moment)

    def _changed(
        self, key: str, text: str, bench: Bench, now: datetime
    ) -> tuple[Choices, tuple[Formula, Step] | None, str]:
        if what_of_key(key) == RIPE and text.strip():
            made = made_ripe(bench.now, self.choices, key, text, now)
            return made.choices, made.changed, made.said
        if what_of_key(key) == STARTER:
            return self.choices, with_share(bench.now, key, text), ""
        if stage_of_key(key):
            return stage_chosen(self.choices, key, text, bench.formula), None, ""
        if field_of(key, bench.now).recorded:
            return self.choices, self._recorded(key, text, bench, now), ""
        return chosen(self.choices, key, text, now), None, ""

    def _recorded(self, key: str, text: str, bench: Bench, now: datetime) -> tuple[Formula, Step]:
        formula = bench.formula
        if key == "pieces":
            count = number_typed(text, "a number of pieces", "such as 2")
            if count != int(count) or not 1 <= count <= 1000:
                raise InputProblem(f"{count:g} pieces cannot be", right="1 to 1000, whole ones")
            return scaled(formula, formula.dough_grams() / formula.pieces * count, int(count))
        if key == "dough_g":
            return scaled(formula, weight_typed(text, "a weight", "grams, such as 1750"))
        hours = hours_typed(text)
        if hours <= 0:
            raise InputProblem(f"a rise in {hours:g} h cannot be", right="0.3 to 48 h")
        measured = with_day(bench.now, self.choices)
        plan = self._plan(measured, self.choices, now)
        rise = rise_over(measured, plan.place_c, plan.mixing.dough_c, plan.rise_percent)
        return with_rise_in(bench.now, hours, rise)


def day_kept(day: BakeDay, bench: Bench) -> Choices | None:
    """Put what is set for the day into the formula on the bench: what is left to be set then; None for no change.

    Weights that change by it (the yeast of a cold night) are a step; hours, proof and oven need none.
    """
    if day.plan is None:
        return None
    planned = day_in_formula(day.plan, day.choices.inputs())
    if planned == bench.formula:
        return None
    moved = moved_lines(bench.formula, planned)
    if moved:
        bench.work = bench.work.with_variant(bench.work.variant.then(planned, Step("amount", moved=moved)))
    else:
        bench.rewrite(planned)
    return replace(day.choices, stages=(), cold_night=False, proof_c=None, rise_percent=None, oven_c=None, core_c=None)


def with_day(measured: Measured, choices: Choices) -> Measured:
    """The formula with the day's hours and warmth of its stages, read; itself where none are set."""
    planned = with_stages(measured.formula, choices)
    return measured if planned == measured.formula else measure(measured.kitchen, planned, measured.book)


def _sentence(problem: InputProblem) -> str:
    """The line without where it stands: it is shown at its field."""
    return f"{problem.what} ({problem.right})" if problem.right else problem.what
