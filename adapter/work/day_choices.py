"""What can be set for the day of a bake: the inputs, the choices made in them, and those as plain data and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.mixing import Temperatures
from adapter.formula.model import Spell, StagePlan
from adapter.words.clock_times import number_typed, ready_time, start_time
from adapter.words.measures_typing import degrees_typed, weight_typed

LONGEST_DAY = timedelta(days=3)
"""A plan that began longer ago is over."""
BY_HAND, BY_MACHINE = "by hand", "by machine"
USUAL_PLACES = Temperatures()
NO_NIGHT, NIGHT = "no", "yes"
CLOCK_STEP = timedelta(minutes=15)
LIKE_SWITCHES = {"by_machine": (BY_HAND, BY_MACHINE), "cold_night": (NO_NIGHT, NIGHT)}
"""Inputs that are one thing or the other."""


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
    Field(
        "cold_night",
        "cold night",
        "",
        0.0,
        "The dough proves over a night in the fridge: some time warm, then cold, then an hour warm again.",
        why="proof",
    ),
    Field("start", "start at", "", 0.0, "When the work begins: 09:00, or Sat 09:00.", why="clock"),
    Field("ready", "sliced by", "", 0.0, "When it is to be sliced: Sat 08:00, or 2027-01-30 08:00.", why="clock"),
)
THERE = Field(
    "there_g",
    "ripe starter",
    "g",
    5.0,
    "Ripe starter that stands in the fridge. If the formula needs more, the clock says how it is fed to become that.",
    why="clock",
)
FIELD = {each.key: each for each in (*FIELDS, THERE)}
PLACES = ("room_c", "fridge_c", "tap_c")
CLOCK = ("start", "ready")


@dataclass(frozen=True, slots=True)
class Choices:
    """What is set. None: as the formula or its class of loaf has it. `chosen_at` is when a clock time was set.

    `stages` are hours and warmth of stages for this day, `there_g` the ripe starter that is there.
    """

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
    cold_night: bool = False
    there_g: float | None = None
    stages: tuple[StagePlan, ...] = ()

    def inputs(self) -> BakeInputs:
        """For a formula that has the day's hours of its stages already (stage_inputs.with_stages)."""
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
            cold_night=self.cold_night,
            there_g=self.there_g,
        )

    def stage(self, name: str) -> StagePlan | None:
        """The day's plan of a stage; None where the formula's own counts."""
        return next((plan for plan in self.stages if plan.name == name), None)

    def with_stage(self, name: str, plan: StagePlan | None) -> Choices:
        others = tuple(old for old in self.stages if old.name != name)
        return replace(self, stages=others if plan is None else (*others, plan))

    def for_another_loaf(self) -> Choices:
        """The kitchen stays as it is; what was set for one loaf does not count for another."""
        return Choices(self.room_c, self.fridge_c, self.tap_c, self.by_machine)

    def is_set(self, key: str) -> bool:
        usual = getattr(USUAL, key, None)
        return key not in ("rise_h", "pieces", "dough_g") and getattr(self, key, None) != usual


USUAL = Choices()


def chosen(choices: Choices, key: str, text: str, now: datetime) -> Choices:
    """The choices with one input as typed; an empty text goes back to what is usual. Raises InputProblem."""
    typed = text.strip()
    if not typed:
        usual: dict[str, Any] = {key: getattr(USUAL, key)}
        cleared = replace(choices, **usual)
        return replace(cleared, chosen_at=now if cleared.start or cleared.ready else None)
    if key in LIKE_SWITCHES:
        switched: dict[str, Any] = {key: typed == LIKE_SWITCHES[key][1]}
        return replace(choices, **switched)
    if key == "start":
        return replace(choices, start=start_time(typed, now), ready=None, chosen_at=now)
    if key == "ready":
        return replace(choices, ready=ready_time(typed, now), start=None, chosen_at=now)
    right = "a number, such as 27 or 27.5"
    field = FIELD[key]
    if field.unit == "°C":
        value = degrees_typed(typed, f"a temperature of the {field.label}", right)
    else:
        value = (weight_typed if field.unit == "g" else number_typed)(typed, field.label, right)
    number: dict[str, Any] = {key: value}
    return replace(choices, **number)


# ---------------------------------------------------------------- kept with a piece of work

_NUMBERS = ("wanted_c", "proof_c", "rise_percent", "oven_c", "core_c", "there_g")
_TIMES = ("start", "ready", "chosen_at")


def choices_to_data(choices: Choices) -> dict[str, Any]:
    """What was set for the loaf, as dicts, lists, texts and numbers; empty where nothing was set.

    The kitchen is no part of it: it is the same for every loaf.
    """
    data: dict[str, Any] = {key: getattr(choices, key) for key in _NUMBERS if getattr(choices, key) is not None}
    data |= {key: getattr(choices, key).isoformat() for key in _TIMES if getattr(choices, key) is not None}
    if choices.cold_night:
        data["cold_night"] = True
    if choices.stages:
        data["stages"] = [
            [plan.name, plan.kind, plan.hours, plan.temperature_c, [[at.hours, at.temperature_c] for at in plan.spells]]
            for plan in choices.stages
        ]
    return data


def choices_from_data(data: Mapping[str, Any], kitchen: Choices, now: datetime) -> Choices:
    """The choices again, in a kitchen as it is. Clock times that have gone by are left out, and so is all of what is
    damaged.
    """
    try:
        given: dict[str, Any] = {key: float(data[key]) for key in _NUMBERS if key in data}
        given |= {key: datetime.fromisoformat(data[key]).replace(tzinfo=None) for key in _TIMES if key in data}
        given["cold_night"] = data.get("cold_night") is True
        given["stages"] = tuple(_stage(item) for item in data.get("stages", ()))
    except (TypeError, ValueError, KeyError):
        return kitchen.for_another_loaf()
    gone_by = given.get("ready", now) < now or given.get("start", now) < now - LONGEST_DAY
    if gone_by:
        given = {key: value for key, value in given.items() if key not in _TIMES}
    return replace(kitchen.for_another_loaf(), **given)


def _stage(item: Any) -> StagePlan:
    name, kind, hours, degrees, spells = item
    return StagePlan(
        str(name),
        None if kind is None else str(kind),
        None if hours is None else float(hours),
        None if degrees is None else float(degrees),
        tuple(Spell(float(at), float(warmth)) for at, warmth in spells),
    )
