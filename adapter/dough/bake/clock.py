"""Clock times of a bake: forward from the start of the work, or back from when the loaf is to be sliced.

Times carry no zone: an hour of dough is an hour of dough, whatever the law does to the clock that night.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from adapter.dough.tables.work_steps import MIX, SHAPE, WorkStep
from adapter.formula.problems import InputProblem

PREHEAT_H = 0.75
"""How long before the loaf goes in the oven is lit [CP]."""
NEXT_QUARTER_MIN = 15
INTO_OVEN = "into the oven"


@dataclass(frozen=True, slots=True)
class TimedStep:
    at: datetime
    step: str


@dataclass(frozen=True, slots=True)
class Durations:
    """Hours that the dough itself takes.

    `stages` are the living stages with the hours before mixing at which each is set, `moves` the dough's own ways from
    place to place with the hours after mixing; kinds of stage that are followed need no step of the table.
    """

    proof_h: float
    bake_h: float
    wait_h: float
    stages: tuple[tuple[float, str], ...] = ()
    moves: tuple[tuple[float, str], ...] = ()
    followed_kinds: frozenset[str] = frozenset()


def clock_plan(
    stages: Collection[str],
    kinds: Iterable[str],
    durations: Durations,
    work: Sequence[WorkStep],
    now: datetime,
    start: datetime | None = None,
    ready: datetime | None = None,
) -> list[TimedStep]:
    """The steps in their order, to the minute; none for a dough that never rises.

    With `ready` the last step falls on it; else the first falls on `start`, or on the next quarter of an hour.
    Raises InputProblem for a start, or a beginning, that lies before `now`.
    """
    if not math.isfinite(durations.proof_h):
        return []
    offsets = _offsets(stages, set(kinds), durations, work)
    mix_at = _mix_time(now, start, ready, offsets[0][0], offsets[-1][0])
    return [TimedStep(_minute(mix_at + timedelta(hours=offset)), step) for offset, step in offsets]


def _offsets(
    stages: Collection[str], kinds: set[str], durations: Durations, work: Sequence[WorkStep]
) -> list[tuple[float, str]]:
    """Hours from the start of mixing, and the step, in their order."""
    hours = {step.name: step.hours for step in work}
    early = [
        step
        for step in work
        if step.name not in (MIX, SHAPE)
        and step.applies(stages, kinds)
        and (step.stage or step.kind) not in durations.followed_kinds
    ]
    before = [*((step.hours, step.name) for step in early), *durations.stages]
    shape = hours[MIX] + (durations.moves[-1][0] if len(durations.moves) > 1 else 0.0)
    in_oven = hours[MIX] + hours[SHAPE] + durations.proof_h
    out = in_oven + durations.bake_h
    return [
        *((-at_h, name) for at_h, name in sorted(before, key=lambda step: -step[0])),
        (0.0, MIX),
        *sorted(
            [
                *((hours[MIX] + at_h, name) for at_h, name in durations.moves if at_h > 0.0),
                (shape, SHAPE),
                (max(in_oven - PREHEAT_H, hours[MIX]), "heat the oven"),
            ],
            key=lambda step: step[0],
        ),
        (in_oven, INTO_OVEN),
        (out, "out of the oven"),
        (out + durations.wait_h, "may be sliced"),
    ]


def _mix_time(
    now: datetime, start: datetime | None, ready: datetime | None, first_h: float, sliced_h: float
) -> datetime:
    present = now.replace(second=0, microsecond=0)
    if ready is not None:
        return _mix_time_back(now, present, ready, first_h, sliced_h)
    if start is None:
        start = present + timedelta(minutes=-present.minute % NEXT_QUARTER_MIN)
    elif start < present:
        raise InputProblem(f"{start:%Y-%m-%d %H:%M} is past", right=f"a time after {now:%Y-%m-%d %H:%M}")
    return start - timedelta(hours=first_h)


def _mix_time_back(now: datetime, present: datetime, ready: datetime, first_h: float, sliced_h: float) -> datetime:
    if ready <= now:
        raise InputProblem(f"{ready:%Y-%m-%d %H:%M} is past", right=f"a time after {now:%Y-%m-%d %H:%M}")
    mix_at = ready - timedelta(hours=sliced_h)
    began = mix_at + timedelta(hours=first_h)
    if began < present:
        earliest = _minute(now + timedelta(hours=sliced_h - first_h, minutes=1))
        raise InputProblem(
            f"sliced by {ready:%Y-%m-%d %H:%M} would have begun at {began:%Y-%m-%d %H:%M}, which is past",
            right=f"the earliest is {earliest:%Y-%m-%d %H:%M}",
        )
    return mix_at


def _minute(at: datetime) -> datetime:
    return (at + timedelta(seconds=30)).replace(second=0, microsecond=0)
