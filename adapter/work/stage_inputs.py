"""The inputs of a formula's stages: how long and how warm each stands, and what it takes to be ripe in time."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from adapter.dough.bake.ripe_by import ripe_by, with_starter
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.stage_uses import kind_of_stage
from adapter.files.stage_tables import LONGEST_STAGE_H, STAGE_RANGE_C
from adapter.formula.model import LIVING_KINDS, Amount, Formula, StagePlan, Step
from adapter.formula.problems import InputProblem
from adapter.words.clock_times import number_typed
from adapter.words.measures_typing import degrees_typed
from adapter.words.stage_report import ripe_by_text
from adapter.words.stage_typing import ripe_typed, stage_typed
from adapter.work.day_choices import FIELD, FIELDS, THERE, Choices, Field

HOURS, WARMTH, RIPE, STARTER = "hours", "warmth", "ripe", "starter"
_MARK = "/"


def day_fields(measured: Measured) -> tuple[Field, ...]:
    """Every input of the day for a formula: those of every bake, and those of the stages that live."""
    formula = measured.formula
    fields = list(FIELDS)
    for stage in living_stages(formula):
        fields += [
            Field(stage_key(HOURS, stage), stage, "h", 0.5, f"How long the {stage} stands before mixing.", why="clock"),
            Field(
                stage_key(WARMTH, stage),
                "  stands at",
                "°C",
                1.0,
                f"How warm the {stage} stands. With a fridge between: type 2 h 26, 10 h 6 into its hours.",
                why="clock",
            ),
            Field(
                stage_key(RIPE, stage),
                "  ripe after",
                "h",
                0.0,
                f"When the {stage} is ripe. Type two of three, such as by 07:00 at 24, at 24 with 8 %, or in 12 h with "
                "8 %: what is left out is worked out; by 07:00 at 24 with 8 % says when to set it.",
                why="clock",
            ),
        ]
        if starter_percent(measured, stage) is not None:
            hint = f"Ripe starter in % of the whole {stage}; its flour and water give way."
            fields.append(Field(stage_key(STARTER, stage), "  starter", "%", 1.0, hint, True, "clock"))
    if _has_culture(measured):
        fields.append(THERE)
    return tuple(fields)


def living_stages(formula: Formula) -> tuple[str, ...]:
    """Stages that ferment before they go into the dough."""
    return tuple(stage for stage in formula.stages() if kind_of_stage(formula, stage) in LIVING_KINDS)


def stage_key(what: str, stage: str) -> str:
    return f"{what}{_MARK}{stage}"


def stage_of_key(key: str) -> str:
    """The stage that an input belongs to; empty for those of the whole bake."""
    return key.partition(_MARK)[2]


def what_of_key(key: str) -> str:
    return key.partition(_MARK)[0] if _MARK in key else ""


def field_of(key: str, measured: Measured) -> Field:
    return FIELD.get(key) or next(each for each in day_fields(measured) if each.key == key)


def plan_of(stage: str, formula: Formula, choices: Choices) -> StagePlan | None:
    """Hours and warmth of a stage: the day's, else the formula's."""
    return choices.stage(stage) or formula.plan_of(stage)


def with_stages(formula: Formula, choices: Choices) -> Formula:
    """The formula with the day's hours and warmth of its stages."""
    there = formula.stages()
    for plan in choices.stages:
        if plan.name in there:
            formula = formula.with_plan(plan)
    return formula


def stage_chosen(choices: Choices, key: str, text: str, formula: Formula) -> Choices:
    """The choices with a stage's hours or warmth as typed; an empty text goes back to the formula's. InputProblem."""
    stage, what, typed = stage_of_key(key), what_of_key(key), text.strip()
    if not typed:
        return choices.with_stage(stage, None)
    old = plan_of(stage, formula, choices) or StagePlan(stage, kind_of_stage(formula, stage))
    if what == WARMTH:
        low, high = STAGE_RANGE_C
        degrees = degrees_typed(typed, f"a temperature of the {stage}", "a number, such as 24")
        if not low <= degrees <= high:
            raise InputProblem(f"{degrees:g} °C cannot be", right=f"{low:g} to {high:g} °C")
        if old.total_hours is None:
            raise InputProblem(f"the {stage} has no hours yet", right="its hours first")
        return choices.with_stage(stage, replace(old, hours=old.total_hours, temperature_c=degrees, spells=()))
    if " " in typed or "h" in typed.casefold():
        found = stage_typed(f"{stage}: {typed}", formula)
        return choices.with_stage(stage, replace(found, kind=old.kind))
    hours = number_typed(typed, "a number of hours", "such as 14, or 2 h 26, 10 h 6")
    if not 0.0 < hours <= LONGEST_STAGE_H:
        raise InputProblem(f"{hours:g} h cannot be", right=f"above 0, up to {LONGEST_STAGE_H:g} h")
    return choices.with_stage(stage, replace(old, hours=hours, spells=()))


@dataclass(frozen=True, slots=True)
class MadeRipe:
    """A stage made ripe in time: the choices, the formula and its step where grams change, and a line to say it."""

    choices: Choices
    changed: tuple[Formula, Step] | None
    said: str


def made_ripe(measured: Measured, choices: Choices, key: str, text: str, now: datetime) -> MadeRipe:
    """What is typed for a stage to be ripe: two of time, warmth and starter. Raises InputProblem."""
    stage, formula = stage_of_key(key), with_stages(measured.formula, choices)
    wish = ripe_typed(f"{stage} {text.strip()}", formula, now)
    found = ripe_by(measured.kitchen, formula, stage, wish.hours, wish.temperature_c, wish.starter_percent)
    set_at = wish.set_at(found.hours, now)
    if text.casefold().lstrip().startswith("by ") and choices.ready is None:
        choices = replace(choices, start=set_at or now.replace(second=0, microsecond=0), chosen_at=now)
    said = ripe_by_text(found, stage, set_at)
    moved = moved_lines(measured.formula, found.formula)
    planned = found.formula.plan_of(stage)
    if not moved:
        return MadeRipe(choices.with_stage(stage, planned), None, said)
    grams = measured.formula.with_lines(found.formula.lines)
    if planned is not None:
        grams = grams.with_plan(planned)
    return MadeRipe(choices.with_stage(stage, None), (grams, Step("amount", moved=moved)), said)


def with_share(measured: Measured, key: str, text: str) -> tuple[Formula, Step]:
    """The formula with so much starter in a stage, in % of the stage, and the step of it. Raises InputProblem."""
    percent = number_typed(text, "a share of starter", "% of the stage, such as 8")
    changed = with_starter(measured.kitchen, measured.formula, stage_of_key(key), percent)
    return changed, Step("amount", moved=moved_lines(measured.formula, changed))


def moved_lines(formula: Formula, changed: Formula) -> tuple[Amount, ...]:
    """The lines of a formula that weigh otherwise in another with the same lines, and by how much."""
    return tuple(
        Amount(old.ingredient, new.grams - old.grams)
        for old, new in zip(formula.lines, changed.lines, strict=True)
        if new.grams != old.grams
    )


def starter_percent(measured: Measured, stage: str) -> float | None:
    """Ripe culture in % of a stage; None where there is none among its lines."""
    catalogue = measured.kitchen.catalogue
    lines = [line for line in measured.formula.lines if line.stage == stage]
    culture = sum(line.grams for line in lines if catalogue.get(line.ingredient).preferment is not None)
    whole = sum(line.grams for line in lines)
    return 100.0 * culture / whole if 0.0 < culture < whole else None


def _has_culture(measured: Measured) -> bool:
    catalogue = measured.kitchen.catalogue
    return any(catalogue.get(line.ingredient).preferment is not None for line in measured.formula.lines)
