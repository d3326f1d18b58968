"""The timetable of a bake: what is done when, with what is weighed in; as rows and as a text to print or send."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from textwrap import wrap

from adapter.dough.bake.plan import BakePlan
from adapter.dough.bake.stages import StageStep
from adapter.words.clock_times import day_text
from adapter.words.text_report import grams_text

WIDTH = 76
_BESIDE = 25


@dataclass(frozen=True, slots=True)
class TimetableRow:
    """One thing to do. `amounts` is what is weighed in for it, in words; empty where that stands in the formula."""

    at: datetime
    do: str
    amounts: str = ""


def timetable(plan: BakePlan) -> tuple[TimetableRow, ...]:
    """The steps of a plan in their order; none for a dough that does not rise."""
    weighed = {f"set the {row.stage}": row.steps[0] for row in plan.stages if row.steps and row.feeds is None}
    weighed |= {f"feed the sourdough, {step.do}": step for row in plan.stages if row.feeds for step in row.steps}
    return tuple(TimetableRow(step.at, step.step, _amounts(weighed.get(step.step))) for step in plan.plan)


def _amounts(step: StageStep | None) -> str:
    parts = step.amounts if step is not None else ()
    return ", ".join(f"{grams_text(part.grams)} g {part.ingredient}" for part in parts)


def timetable_text(name: str, rows: Sequence[TimetableRow]) -> str:
    """The timetable as plain text: the day where it changes, the time, what to do, and what to weigh under it."""
    lines, day = [name, "=" * min(len(name), WIDTH), ""], None
    for row in rows:
        on = f"{day_text(row.at)} {row.at:%Y-%m-%d}" if row.at.date() != day else ""
        day = row.at.date()
        first, *more = wrap(row.do, WIDTH - _BESIDE) or [""]
        lines.append(f"{on:<14}  {row.at:%H:%M}    {first}")
        more += wrap(row.amounts, WIDTH - _BESIDE)
        lines += [f"{'':<{_BESIDE}}{line}" for line in more]
    return "\n".join(lines) + "\n"
