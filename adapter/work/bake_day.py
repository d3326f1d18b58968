"""The day's inputs of the Bake screen: what can be set, what is typed, and the plan that comes of it. No widgets."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from adapter.dough.bake.mixing import Temperatures
from adapter.dough.bake.plan import BakeInputs, BakePlan, bake_plan
from adapter.dough.bake.proofing import rise_over
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.model import Formula, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import Bench
from adapter.swaps.scaling import scaled, with_rise_in
from adapter.words.clock_times import hours_typed, number_typed, ready_time, start_time

BY_HAND, BY_MACHINE = "by hand", "by machine"
USUAL_PLACES = Temperatures()
CLOCK_STEP = timedelta(minutes=15)


class Field(NamedTuple):
    """One input. `step` is what ← and → change it by; `recorded` ones change the formula, as a step of the variant."""

    key: str
    label: str
    unit: str
    step: float
    hint: str
    recorded: bool = False
    why: str = "liquid"


FIELDS = (
    Field("room_c", "room", "°C", 1.0, "Where flour, water of the soaker and sourdough stand."),
    Field("fridge_c", "fridge, cellar", "°C", 1.0, "Where milk, kefir, yoghurt and yeast stand."),
    Field("tap_c", "tap water", "°C", 1.0, "As cold as it runs; ice is worked out from it."),
    Field("by_machine", "mixed", "", 0.0, "A machine warms the dough, hands hardly do."),
    Field("wanted_c", "wanted dough", "°C", 0.5, "Temperature of the dough when it is mixed."),
    Field(
        "proof_c", "proof place", "°C", 1.0, "Where the dough rises; it goes over to that in some hours.", why="proof"
    ),
    Field("rise_percent", "rise", "%", 5.0, "How far it is to rise before it goes into the oven.", why="proof"),
    Field("oven_c", "oven", "°C", 5.0, "What the oven really has where the loaf stands.", why="bake"),
    Field("core_c", "core", "°C", 0.5, "In the middle of the loaf when it is done.", why="bake"),
    Field("rise_h", "rises in", "h", 0.25, "Type a time: the yeast that this takes is put in.", True, "yeast"),
    Field("pieces", "pieces", "", 1.0, "Loaves or rolls of the same weight as now.", True, "dough_g"),
    Field("dough_g", "all dough", "g", 50.0, "Every line is scaled, rounded to the scale.", True, "dough_g"),
    Field("start", "start at", "", 0.0, "When the work begins: 09:00, or Sat 09:00.", why="clock"),
    Field("ready", "sliced by", "", 0.0, "When it is to be sliced: Sat 08:00, or 2027-01-30 08:00.", why="clock"),
)
FIELD = {each.key: each for each in FIELDS}
PLACES = ("room_c", "fridge_c", "tap_c")
CLOCK = ("start", "ready")


@dataclass(frozen=True, slots=True)
class Choices:
    """What is set. None: as the formula or its class of loaf has it. `chosen_at` is when a clock time was set."""

    room_c: float = USUAL_PLACES.room_c
    fridge_c: float = USUAL_PLACES.fridge_c
    tap_c: float = USUAL_PLACES.tap_c
    by_machine: bool = False
    wanted_c: float | None = None
    proof_c: float | None = None
    rise_percent: float | None = None
    oven_c: float | None = None
    core_c: float | None = None
    start: datetime | None = None
    ready: datetime | None = None
    chosen_at: datetime | None = None

    def inputs(self) -> BakeInputs:
        places = Temperatures(self.room_c, self.fridge_c, tap_c=self.tap_c, by_machine=self.by_machine)
        return BakeInputs(
            places,
            self.wanted_c,
            self.proof_c,
            self.rise_percent,
            self.oven_c,
            self.core_c,
            self.start,
            self.ready,
        )

    def for_another_loaf(self) -> Choices:
        """The kitchen stays as it is; what was set for one loaf does not count for another."""
        return Choices(self.room_c, self.fridge_c, self.tap_c, self.by_machine)

    def is_set(self, key: str) -> bool:
        usual = getattr(USUAL, key, None)
        return key not in ("rise_h", "pieces", "dough_g") and getattr(self, key) != usual


USUAL = Choices()


class Fault(NamedTuple):
    """What was typed and cannot be, and the one line that says so."""

    text: str
    said: str


class Outcome(NamedTuple):
    """What an input would make of the page: the choices, the formula with its step (or None), and the plan."""

    choices: Choices
    changed: tuple[Formula, Step] | None
    measured: Measured
    plan: BakePlan


@dataclass
class BakeDay:
    """The inputs as they stand, and the last plan that worked.

    `faults` are inputs that were taken and cannot be; `problem` says why the formula itself gives no plan.
    """

    choices: Choices = field(default_factory=Choices)
    loaf: str = ""
    faults: dict[str, Fault] = field(default_factory=dict)
    problem: str = ""
    measured: Measured | None = None
    plan: BakePlan | None = None

    def open(self, loaf: str) -> None:
        """Turn to a loaf, by its name: what was set for another is put aside."""
        if loaf != self.loaf:
            self.choices = self.choices.for_another_loaf()
            self.faults, self.problem, self.plan, self.measured = {}, "", None, None
            self.loaf = loaf

    def work_out(self, bench: Bench, now: datetime) -> bool:
        """The plan for the formula as it is; whether there is one. Where there is none, the last good one stays."""
        try:
            self.plan = self._plan(bench.now, self.choices, now)
        except InputProblem as problem:
            self.problem = _sentence(problem)
            return False
        self.measured, self.problem = bench.now, ""
        return True

    def look_at(self, key: str, text: str, bench: Bench, now: datetime) -> Outcome:
        """What the page would be with an input. Raises InputProblem; nothing is changed."""
        choices, changed = self._changed(key, text, bench, now)
        measured = bench.now if changed is None else measure(bench.kitchen, changed[0])
        return Outcome(choices, changed, measured, self._plan(measured, choices, now))

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
            if FIELD[key].recorded:
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

    def _changed(self, key: str, text: str, bench: Bench, now: datetime) -> tuple[Choices, tuple[Formula, Step] | None]:
        if FIELD[key].recorded:
            return self.choices, self._recorded(key, text, bench, now)
        return chosen(self.choices, key, text, now), None

    def _recorded(self, key: str, text: str, bench: Bench, now: datetime) -> tuple[Formula, Step]:
        formula = bench.formula
        if key == "pieces":
            count = number_typed(text, "a number of pieces", "such as 2")
            if count != int(count) or not 1 <= count <= 1000:
                raise InputProblem(f"{count:g} pieces cannot be", right="1 to 1000, whole ones")
            return scaled(formula, formula.dough_grams() / formula.pieces * count, int(count))
        if key == "dough_g":
            return scaled(formula, number_typed(text, "a weight", "grams, such as 1750"))
        hours = hours_typed(text)
        if hours <= 0:
            raise InputProblem(f"a rise in {hours:g} h cannot be", right="0.3 to 48 h")
        plan = self._plan(bench.now, self.choices, now)
        rise = rise_over(bench.now, plan.place_c, plan.mixing.dough_c, plan.rise_percent)
        return with_rise_in(bench.now, hours, rise)


def chosen(choices: Choices, key: str, text: str, now: datetime) -> Choices:
    """The choices with one input as typed; an empty text goes back to what is usual. Raises InputProblem."""
    typed = text.strip()
    if not typed:
        usual: dict[str, Any] = {key: getattr(USUAL, key)}
        cleared = replace(choices, **usual)
        return replace(cleared, chosen_at=now if cleared.start or cleared.ready else None)
    if key == "by_machine":
        return replace(choices, by_machine=typed == BY_MACHINE)
    if key == "start":
        return replace(choices, start=start_time(typed, now), ready=None, chosen_at=now)
    if key == "ready":
        return replace(choices, ready=ready_time(typed, now), start=None, chosen_at=now)
    what = f"a temperature of the {FIELD[key].label}" if FIELD[key].unit == "°C" else FIELD[key].label
    number: dict[str, Any] = {key: number_typed(typed, what, "a number, such as 27 or 27.5")}
    return replace(choices, **number)


def _sentence(problem: InputProblem) -> str:
    """The line without where it stands: it is shown at its field."""
    return f"{problem.what} ({problem.right})" if problem.right else problem.what
