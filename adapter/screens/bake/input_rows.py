"""The inputs of the Bake screen as rows, and the sentences that belong to what is highlighted."""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING

from adapter.screens.bake.fields import NUMBER_SIGNS, FieldRow
from adapter.words.clock_times import day_text, moment_text
from adapter.words.text_report import NOTHING
from adapter.work.bake_day import BY_HAND, BY_MACHINE, CLOCK, FIELD, FIELDS, PLACES, BakeDay, Field

if TYPE_CHECKING:
    from adapter.dough.bake.plan import BakePlan
    from adapter.formula.model import Formula

AMOUNTS = ("pieces", "dough_g")
HOURS_SIGNS = NUMBER_SIGNS + ": hmin"


def field_rows(day: BakeDay, plan: BakePlan | None, formula: Formula, now: datetime) -> list[FieldRow]:
    """Every input with its value as the plan has it, and its fault where there is one."""
    return [_row(each, day, plan, formula, now) for each in FIELDS]


def _row(each: Field, day: BakeDay, plan: BakePlan | None, formula: Formula, now: datetime) -> FieldRow:
    value, printed = _value(each.key, day, plan, formula, now)
    typed = "" if each.key in CLOCK else HOURS_SIGNS if each.key == "rise_h" else NUMBER_SIGNS
    fault = day.faults.get(each.key)
    said = fault.said if fault is not None else ""
    if fault is not None:
        value = printed = fault.text
    elif each.key == "dough_g" and "tin is too small" in day.problem:
        said = day.problem
    return FieldRow(
        each.key,
        each.label,
        printed,
        each.unit,
        _note(each, day, formula),
        day.choices.is_set(each.key),
        said,
        typed,
        each.key == "by_machine",
        value,
    )


def _value(key: str, day: BakeDay, plan: BakePlan | None, formula: Formula, now: datetime) -> tuple[str, str]:
    """An input's value to be edited, and as it is shown."""
    choices = day.choices
    if key in PLACES:
        text = f"{getattr(choices, key):g}"
    elif key == "by_machine":
        text = BY_MACHINE if choices.by_machine else BY_HAND
    elif key == "pieces":
        text = str(formula.pieces if plan is None else plan.pieces)
    elif key == "dough_g":
        text = f"{formula.dough_grams() if plan is None else plan.dough_g:.0f}"
    elif plan is None:
        chosen = getattr(choices, key, None)
        text = f"{chosen:g}" if isinstance(chosen, float) else NOTHING
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
        text = f"{numbers[key]:g}"
    return text, text


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
        return "a step"
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
    return {"wanted_c": "as proof", "start": "follows", "ready": "follows"}.get(each.key, "usual")


def field_sentences(key: str, day: BakeDay, typing: bool) -> list[tuple[str, bool]]:
    """What there is to say of an input: its fault, what it is, and the keys."""
    each = FIELD[key]
    fault = day.faults.get(key)
    said = [(fault.said, True)] if fault is not None else []
    if day.problem:
        said.append((f"{day.problem}. The page shows the last plan that worked.", True))
    keys = "Enter takes it · Esc leaves it" if typing else _keys(each, day.choices.is_set(key))
    if each.recorded and typing:
        keys = "Enter makes it a step of the variant, which u undoes · Esc leaves it"
    return [*said, (each.hint, False), (keys, False)]


def _keys(each: Field, is_set: bool) -> str:
    if each.key == "by_machine":
        return "← → changes it"
    by = "a quarter of an hour" if each.key in CLOCK else f"{each.step:g} {each.unit}".strip()
    back = " · Backspace goes back to what is usual" if is_set else ""
    return f"Type over it, or ← → by {by}{back}"
