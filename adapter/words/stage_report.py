"""The living stages of a bake as plain data and as text: the same numbers for the screen, for JSON and for people."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Literal

from adapter.dough.bake.ripe_by import RipeBy
from adapter.dough.bake.span import Span
from adapter.dough.bake.stages import SOURDOUGH, StageRow, StageStep
from adapter.dough.readings.stage_uses import kind_of_stage
from adapter.dough.tables.stage_kinds import StageKind
from adapter.words.bake_data import PlaceData, SpanData, StageData, StageStepData
from adapter.words.reports import amounts_data, finite, number
from adapter.words.text_report import NOTHING, amounts_text
from adapter.words.units import METRIC, Units

RipeState = Literal["", "young", "ripe", "past it", "never"]


def stage_data(row: StageRow) -> StageData:
    """One stage: one warmth as a number, several as a list, as in a formula file."""
    spells: list[PlaceData] = [
        {"hours": finite(spell.hours), "temperature_c": finite(spell.temperature_c)} for spell in row.spells
    ]
    return {
        "stage": row.stage,
        "kind": row.kind,
        "hours": finite(row.hours),
        "temperature_c": spells[0]["temperature_c"] if len(spells) == 1 else spells,
        "ph": finite(row.ph),
        "tta": finite(row.tta),
        "rise_percent": finite(row.rise_percent),
        "ripe_h": None if row.ripe_h is None else span_data(row.ripe_h),
        "steps": [_step(step) for step in row.steps],
    }


def span_data(span: Span) -> SpanData:
    return {"low": number(span.low), "value": number(span.value), "high": number(span.high)}


def _step(step: StageStep) -> StageStepData:
    return {"at_h": finite(step.at_h), "do": step.do, "amounts": amounts_data(step.amounts)}


def stages_text(stages: Sequence[StageData], units: Units = METRIC) -> list[str]:
    """The stages for people: a line each, and what is to be done for it."""
    lines = []
    for stage in stages:
        warmth = stage["temperature_c"]
        if isinstance(warmth, list):
            places = ", then ".join(_place(spell, units) for spell in warmth)
        else:
            places = units.temperature(warmth)
        lines.append(
            f"{stage['stage']} ({stage['kind']}): {stage['hours']:.1f} h at {places}; then pH {stage['ph']:.1f}, "
            f"TTA {stage['tta']:.1f}, risen by {stage['rise_percent']:.0f} %; {ripe_text(stage)}"
        )
        for step in stage["steps"]:
            amounts = amounts_text(step["amounts"], units.amount, ", ")
            if amounts or len(stage["steps"]) > 1:
                at = f"after {step['at_h']:.3g} h: " if step["at_h"] else ""
                lines.append(f"  {at}{units.told(step['do'])}" + (f": {amounts}" if amounts else ""))
    return lines


def stage_in_short(stage: StageData) -> tuple[str, str]:
    """A stage in a row: how it stands at the end of its hours, and when it is ripe."""
    stands = f"pH {stage['ph']:.1f}, +{stage['rise_percent']:.0f} %"
    return stands, ripe_text(stage)


def ripe_state(stage: StageData) -> RipeState:
    """How a stage stands at the end of its hours: never ripe, young, ripe, past it; empty for a dough that gets up."""
    ripe = stage["ripe_h"]
    if ripe is None:
        return "never"
    if stage["kind"] == "dough":
        return ""
    if stage["hours"] < (ripe["low"] or 0.0):
        return "young"
    return "past it" if ripe["high"] is not None and stage["hours"] > ripe["high"] else "ripe"


def ripe_text(stage: StageData) -> str:
    """When it is ripe, and how it stands at the end of its hours."""
    ripe, is_dough, state = stage["ripe_h"], stage["kind"] == "dough", ripe_state(stage)
    if ripe is None:
        return "not up within its time" if is_dough else "not ripe within four days"
    word = "up" if is_dough else "ripe"
    span = f"{word} at {_hours(ripe['value'])} h ({_hours(ripe['low'])} to {_hours(ripe['high'])})"
    return f"{span}: {'young still' if state == 'young' else state}" if state else span


def _hours(value: float | None) -> str:
    return NOTHING if value is None else f"{value:.1f}"


def _place(spell: PlaceData, units: Units) -> str:
    return f"{units.temperature(spell['temperature_c'])} ({spell['hours']:.3g} h)"


def ripe_by_text(found: RipeBy, stage: str, set_at: datetime | None = None) -> str:
    """One line: how the stage is ripe in time, and when it is to be set where that is later than now."""
    share = f"{found.starter_percent:.1f}" if found.starter_percent >= 1.0 else f"{found.starter_percent:.2g}"
    what = "starter" if kind_of_stage(found.formula, stage) == SOURDOUGH else "fresh yeast on its flour"
    when = "" if set_at is None else f" Set it at {set_at:%H:%M}."
    return (
        f"{stage}: {share} % {what} at {found.temperature_c:.1f} °C is ripe in "
        f"{found.hours:.1f} h ({found.ripe_h.low:.1f} to {found.ripe_h.high:.1f}).{when}"
    )


def ripe_habit(kind: StageKind) -> str:
    """When bakers call a stage of this kind ripe, by its own row of stage_kinds.toml."""
    return f"Bakers call a stage of this kind ({kind.name}) ripe {_ripe_when(kind)}: a habit, no constant of nature."


def _ripe_when(kind: StageKind) -> str:
    if kind.ripe_ph:
        first, best, last = (f"{ph:.2f}".removesuffix("0") for ph in kind.ripe_ph)
        raised = f", one with much starter at its peak, about pH {kind.raised_ph:g}" if kind.peak_rise else ""
        return f"at about pH {best} ({first} to {last}){raised}"
    early, height, late = kind.ripe_rise
    falls = "and before it falls" if late <= kind.most_rise else "or has begun to fall"
    return f"when it has risen by about {height:g} % ({early:g} to {late:g}) {falls}"
