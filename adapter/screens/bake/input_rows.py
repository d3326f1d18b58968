"""The inputs of the Bake screen as rows, and the sentences that belong to what is highlighted."""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING

from adapter.screens.bake.fields import NUMBER_SIGNS, FieldRow
from adapter.words.clock_times import day_text, moment_text
from adapter.words.text_report import NOTHING
from adapter.work.day_choices import CLOCK, FIELD, LIKE_SWITCHES, PLACES, Field
from adapter.work.stage_inputs import (
    HOURS,
    RIPE,
    STARTER,
    WARMTH,
    day_fields,
    field_of,
    plan_of,
    stage_of_key,
    starter_percent,
    what_of_key,
)

if TYPE_CHECKING:
    from adapter.dough.bake.plan import BakePlan
    from adapter.dough.readings.measured import Measured
    from adapter.formula.model import Formula
    from adapter.words.units import Units
    from adapter.work.bake_day import BakeDay

NEW_GRAMS = "new grams"
"""Of an input that changes the formula, and not only the day."""
AMOUNTS = ("pieces", "dough_g")
HOURS_SIGNS = NUMBER_SIGNS + ": hmin"
SIGNS = {"°C": NUMBER_SIGNS + " °CFcf", "g": NUMBER_SIGNS + " goz"}
"""What may be typed into an input of a unit."""


def field_rows(day: BakeDay, plan: BakePlan | None, measured: Measured, now: datetime, units: Units) -> list[FieldRow]:
    """Every input with its value as the plan has it, and its fault where there is one."""
    return [_row(each, day, plan, measured, now, units) for each in day_fields(measured)]


def _row(each: Field, day: BakeDay, plan: BakePlan | None, measured: Measured, now: datetime, units: Units) -> FieldRow:
    formula = measured.formula
    if stage_of_key(each.key):
        return _stage_row(each, day, plan, measured, units)
    value, printed = _value(each.key, day, plan, formula, now, units)
    typed = "" if each.key in CLOCK else HOURS_SIGNS if each.key == "rise_h" else SIGNS.get(each.unit, NUMBER_SIGNS)
    fault = day.faults.get(each.key)
    said = units.told(fault.said) if fault is not None else ""
    if fault is not None:
        value = printed = _as_typed(fault.text, each, units)
    elif day.problem and each.key == day.problem_key:
        said = units.told(day.problem)
    return FieldRow(
        each.key,
        each.label,
        printed,
        shown_unit(each, units),
        _note(each, day, formula),
        day.choices.is_set(each.key),
        said,
        typed,
        each.key in LIKE_SWITCHES,
        value,
    )


def _stage_row(each: Field, day: BakeDay, plan: BakePlan | None, measured: Measured, units: Units) -> FieldRow:
    """A stage's hours, its warmth, or when it is ripe."""
    stage, what = stage_of_key(each.key), what_of_key(each.key)
    planned = plan_of(stage, measured.formula, day.choices)
    hours = planned.total_hours if planned is not None else None
    row = next((row for row in plan.stages if row.stage == stage), None) if plan is not None else None
    is_set = day.choices.stage(stage) is not None
    edited = note = ""
    value = NOTHING
    if what == HOURS:
        note = "set" if is_set else "written" if hours is not None else "taken as ripe"
        value = NOTHING if hours is None else f"{hours:.4g}"
        if planned is not None and planned.spells:
            edited = ", ".join(
                f"{spell.hours:g} h {units.degree_text(spell.temperature_c)}" for spell in planned.spells
            )
    elif what == WARMTH:
        value = NOTHING if row is None else units.degree_text(float(f"{row.temperature_c:.3g}"))
        note = "on average" if planned is not None and planned.spells else ""
    elif what == STARTER:
        percent = starter_percent(measured, stage)
        value, note = NOTHING if percent is None else f"{percent:.3g}", NEW_GRAMS
    else:
        value = NOTHING if row is None or row.ripe_h is None else f"{row.ripe_h.value:.1f}"
        note = "" if row is None else {"young": "young still", "past": "past it"}.get(row.state, "ripe")
    fault = day.faults.get(each.key)
    if fault is not None:
        value = edited = _as_typed(fault.text, each, units)
    said = units.told(fault.said) if fault is not None else ""
    strong = is_set and what in (HOURS, WARMTH)
    typed = SIGNS.get(each.unit, NUMBER_SIGNS) if what in (WARMTH, STARTER) else ""
    return FieldRow(each.key, each.label, value, shown_unit(each, units), note, strong, said, typed, False, edited)


def shown_step(each: Field, units: Units) -> float:
    """A step of an input in the unit that is shown."""
    steps = {"°C": units.degree_step, "g": units.weight_step}
    return steps[each.unit](each.step) if each.unit in steps else each.step


def shown_unit(each: Field, units: Units) -> str:
    return {"°C": units.degrees, "g": units.weight}.get(each.unit, each.unit)


def _as_typed(text: str, each: Field, units: Units) -> str:
    """What was typed and cannot be, without the unit that stands beside it."""
    return text.removesuffix(f" {shown_unit(each, units)}")


def _value(
    key: str, day: BakeDay, plan: BakePlan | None, formula: Formula, now: datetime, units: Units
) -> tuple[str, str]:
    """An input's value to be edited, and as it is shown."""
    choices = day.choices
    if key in PLACES:
        text = units.degree_text(getattr(choices, key))
    elif key in LIKE_SWITCHES:
        text = LIKE_SWITCHES[key][1 if getattr(choices, key) else 0]
    elif key == "there_g":
        text = NOTHING if choices.there_g is None else units.weight_number(choices.there_g)
    elif key == "pieces":
        text = str(formula.pieces if plan is None else plan.pieces)
    elif key == "dough_g":
        text = units.weight_number(formula.dough_grams() if plan is None else plan.dough_g, 0)
    elif plan is None:
        chosen = getattr(choices, key, None)
        text = _number_text(key, chosen, units) if isinstance(chosen, float) else NOTHING
    elif key in CLOCK:
        return _clock_value(key, day, plan, now)
    elif key == "rise_h":
        hours = plan.proof_h.value
        text = f"{hours:.1f}" if math.isfinite(hours) else NOTHING
    else:
        numbers = {
            "wanted_c": plan.mixing.wanted_c,
            "proof_c": plan.place_c,
            "rise_percent": plan.rise_percent,
            "oven_c": plan.oven_c,
            "core_c": plan.core_c,
        }
        text = _number_text(key, numbers[key], units)
    return text, text


def _number_text(key: str, value: float, units: Units) -> str:
    return units.degree_text(value) if FIELD[key].unit == "°C" else f"{value:g}"


def _clock_value(key: str, day: BakeDay, plan: BakePlan, now: datetime) -> tuple[str, str]:
    chosen = day.choices.start if key == "start" else day.choices.ready
    if chosen is None and not plan.plan:
        return "", NOTHING
    at = chosen or (plan.plan[0].at if key == "start" else plan.plan[-1].at)
    days = (at.date() - now.date()).days
    shown = f"{day_text(at)} {at:%H:%M}" if 0 <= days < 7 else f"{at:%m-%d %H:%M}"
    return moment_text(at, now), shown


def _note(each: Field, day: BakeDay, formula: Formula) -> str:
    if each.recorded:
        return NEW_GRAMS
    if each.key == "cold_night" and not day.choices.cold_night:
        return "offered" if day.plan is not None and day.plan.cold_night is not None else ""
    if each.key == "there_g" and day.choices.there_g is None:
        return "enough"
    if day.choices.is_set(each.key):
        return "set"
    written = {
        "proof_c": formula.proof.temperature_c,
        "rise_percent": formula.proof.rise_percent,
        "oven_c": formula.bake.oven_c,
        "core_c": formula.bake.core_c,
    }
    if each.key in written:
        return "by class" if written[each.key] is None else "written"
    return {"wanted_c": "as its place", "start": "follows", "ready": "follows"}.get(each.key, "usual")


def field_sentences(key: str, day: BakeDay, measured: Measured, typing: bool, units: Units) -> list[tuple[str, bool]]:
    """What there is to say of an input: its fault, what it is, and the keys."""
    each = field_of(key, measured)
    fault = day.faults.get(key)
    said = [(units.told(fault.said), True)] if fault is not None else []
    if day.problem:
        said.append((f"{units.told(day.problem)}. The page shows the last plan that worked.", True))
    keys = "Enter takes it · Esc leaves it" if typing else _keys(each, _is_set(key, day), units)
    if each.recorded and typing:
        keys = "Enter makes it a step of the variant, which u undoes · Esc leaves it"
    return [*said, (units.told(each.hint), False), (keys, False)]


def _is_set(key: str, day: BakeDay) -> bool:
    stage = stage_of_key(key)
    return day.choices.stage(stage) is not None if stage else day.choices.is_set(key)


def _keys(each: Field, is_set: bool, units: Units) -> str:
    if each.key in LIKE_SWITCHES:
        return "← → changes it"
    if what_of_key(each.key) == RIPE:
        return "Type over it; u undoes it where grams change"
    by = (
        "a quarter of an hour"
        if each.key in CLOCK
        else f"{shown_step(each, units):g} {shown_unit(each, units)}".strip()
    )
    back = " · Backspace goes back to what is usual" if is_set else ""
    return f"Type over it, or ← → by {by}{back}"
