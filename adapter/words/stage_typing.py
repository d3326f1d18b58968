"""Stages as a baker types them: "sourdough: 14 h 24 °C", "dough: 1 h 26, 12 h 5", "sourdough by 07:00 at 24"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from adapter.files.stage_tables import LONGEST_STAGE_H, STAGE_RANGE_C
from adapter.formula.model import Formula, Spell, StagePlan
from adapter.formula.plain_text import clean, shown
from adapter.formula.problems import InputProblem
from adapter.words.clock_times import ready_time
from adapter.words.measures_typing import degrees_typed

_WARMTH = r"-?\d+(?:[.,]\d+)?\s*(?:°?\s*[CF])?"
_SPELL = re.compile(rf"(\d+(?:[.,]\d+)?)\s*h\s*(?:at|@)?\s*({_WARMTH})?\s*\Z", re.IGNORECASE)
_RIPE = re.compile(
    r"(?P<stage>.+?)"
    r"(?:\s+(?:by\s+(?P<by>.+?)|in\s+(?P<in>\d+(?:[.,]\d+)?)\s*h))?"
    rf"(?:\s+at\s+(?P<at>{_WARMTH}))?"
    r"(?:\s+with\s+(?P<with>\d+(?:[.,]\d+)?)\s*%?)?\s*\Z",
    re.IGNORECASE,
)
STAGE_RIGHT = 'such as "sourdough: 14 h 24" or "dough: 1 h 26, 12 h 5"'
RIPE_RIGHT = 'two of three, such as "sourdough by 07:00 at 24" or "sourdough in 12 h with 8 %"'
"""All three only with a clock time: then it is when to set the stage that is sought."""


@dataclass(frozen=True, slots=True)
class RipeWish:
    """A stage to be ripe: hours from now, °C and starter in %; what is sought is None.

    `by` is the clock time of a wish that gives all three: what is sought is when to set the stage.
    """

    stage: str
    hours: float | None
    temperature_c: float | None
    starter_percent: float | None
    by: datetime | None = None

    def set_at(self, hours: float, now: datetime) -> datetime | None:
        """When to set the stage that takes so many hours; None where it is set now. Raises InputProblem if past."""
        if self.by is None:
            return None
        left_h = (self.by - now).total_seconds() / 3600.0
        if hours > left_h:
            raise InputProblem(
                f"{self.starter_percent:g} % at {self.temperature_c:g} °C is ripe after {hours:.1f} h, and there are "
                f"only {left_h:.1f} h",
                right="leave out the warmth or the starter, and it is worked out",
            )
        at = self.by - timedelta(hours=hours)
        told = at.replace(minute=at.minute - at.minute % 5, second=0, microsecond=0)
        return max(told, now.replace(second=0, microsecond=0))


def stage_typed(text: str, formula: Formula) -> StagePlan:
    """Hours and warmth of a stage of this formula. Raises InputProblem."""
    name, colon, rest = text.rpartition(":")
    if not colon:
        raise InputProblem(f"{shown(text)} is no stage with its hours", right=STAGE_RIGHT)
    stage = stage_named(name, formula)
    spells: list[tuple[float, float | None]] = []
    for part in re.split(r"\s*(?:,\s+|;|\bthen\b)\s*", rest.strip()):
        found = _SPELL.match(part.strip())
        if found is None:
            raise InputProblem(f"{shown(part) or 'nothing'} is no time and warmth", right=STAGE_RIGHT)
        hours = _number(found[1])
        degrees = None if found[2] is None else _degrees(found[2])
        low, high = STAGE_RANGE_C
        if not 0.0 < hours <= LONGEST_STAGE_H or (degrees is not None and not low <= degrees <= high):
            raise InputProblem(f"{shown(part)} cannot be", right=f"up to {LONGEST_STAGE_H:g} h, {low:g} to {high:g} °C")
        spells.append((hours, degrees))
    old = formula.plan_of(stage)
    kind = old.kind if old is not None else None
    if len(spells) == 1:
        return StagePlan(stage, kind, spells[0][0], spells[0][1])
    if any(degrees is None for _, degrees in spells):
        raise InputProblem("each of several times needs its warmth", right=STAGE_RIGHT)
    return StagePlan(stage, kind, None, None, tuple(Spell(hours, degrees or 0.0) for hours, degrees in spells))


def ripe_typed(text: str, formula: Formula, now: datetime) -> RipeWish:
    """A stage that is to be ripe, with two of time, warmth and starter. Raises InputProblem."""
    found = _RIPE.match(text.strip())
    if found is None:
        raise InputProblem(f"{shown(text)} names no stage", right=RIPE_RIGHT)
    hours = None if found["in"] is None else _number(found["in"])
    by = None if found["by"] is None else ready_time(found["by"], now)
    if by is not None:
        hours = (by - now).total_seconds() / 3600.0
    if hours is not None and not 0.0 < hours <= LONGEST_STAGE_H:
        raise InputProblem(f"{shown(text)}: the time is past or too far", right=f"up to {LONGEST_STAGE_H:g} h from now")
    degrees = None if found["at"] is None else _degrees(found["at"])
    starter = None if found["with"] is None else _number(found["with"])
    if by is not None and degrees is not None and starter is not None:
        return RipeWish(stage_named(found["stage"], formula), None, degrees, starter, by)
    if [hours, degrees, starter].count(None) != 1:
        raise InputProblem("of time, warmth and starter two are given and the third is sought", right=RIPE_RIGHT)
    return RipeWish(stage_named(found["stage"], formula), hours, degrees, starter)


def stage_named(text: str, formula: Formula) -> str:
    """The stage of the formula that is meant: its name, or the beginning of it where only one begins so."""
    name = clean(text).casefold()
    stages = formula.stages()
    exact = [stage for stage in stages if stage.casefold() == name]
    found = exact or [stage for stage in stages if name and stage.casefold().startswith(name)]
    if len(found) != 1:
        raise InputProblem(f"{shown(text.strip()) or 'nothing'} is no stage", right="one of " + ", ".join(stages))
    return found[0]


def _degrees(text: str) -> float:
    return degrees_typed(text, "a warmth", "such as 24, or 75 F")


def _number(text: str) -> float:
    return float(text.replace(",", "."))
