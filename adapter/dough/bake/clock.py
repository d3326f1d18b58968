"""Clock times of a bake: forward from the start of the work, or back from when the loaf is to be sliced.

Times carry no zone: an hour of dough is an hour of dough, whatever the law does to the clock that night. They are told
to five minutes: nobody stands by the dough with a stopwatch. A time that was asked for stays as it was asked for.
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
TOLD_TO_MIN = 5
SHORTEST_WAIT_H = 0.1
"""What begins in so much is not told as past, though times are told to five minutes."""
NIGHT = (23, 5)
"""From which hour to which nobody wants to stand in the kitchen [A]."""
FARTHEST_SHIFT_H = 24.0
HEAT = "heat the oven"
SHAPE_AT_ONCE = "shape, and bake at once"
INTO_OVEN = "into the oven"


@dataclass(frozen=True, slots=True)
class TimedStep:
    at: datetime
    step: str


@dataclass(frozen=True, slots=True)
class Durations:
    """Hours that the dough itself takes.

    `stages` are the living stages with the hours before mixing at which each is set, `moves` the dough's own ways from
    place to place with the hours after mixing; kinds of stage that are followed need no step of the table. The loaf
    waits `wait_h` at least before it is sliced, and is at its best until `longest_wait_h`.
    """

    proof_h: float
    bake_h: float
    wait_h: float
    stages: tuple[tuple[float, str], ...] = ()
    moves: tuple[tuple[float, str], ...] = ()
    longest_wait_h: float | None = None
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
    """The steps in their order, to five minutes; none for a dough that never rises.

    With `ready` the last step falls on it, and the loaf waits longer, as far as it may, where that keeps work out of
    the night; else the first falls on `start`, or on the next quarter of an hour.
    Raises InputProblem for a start, or a beginning, that lies before `now`.
    """
    if not math.isfinite(durations.proof_h):
        return []
    offsets = _offsets(stages, set(kinds), durations, work)
    mix_at = _mix_time(now, start, ready, offsets[0][0], offsets[-1][0])
    plan = _timed(offsets, mix_at, start, ready)
    if ready is not None and nights_in(plan):
        plan = _waiting_longer(plan, offsets, mix_at, durations, now, ready)
    return plan


def _timed(
    offsets: Sequence[tuple[float, str]], mix_at: datetime, start: datetime | None, ready: datetime | None
) -> list[TimedStep]:
    plan = [TimedStep(_told(mix_at + timedelta(hours=offset)), step) for offset, step in offsets]
    if start is not None:
        plan[0] = TimedStep(start, plan[0].step)
    if ready is not None:
        plan[-1] = TimedStep(ready, plan[-1].step)
    return plan


def _waiting_longer(
    plan: list[TimedStep],
    offsets: list[tuple[float, str]],
    mix_at: datetime,
    durations: Durations,
    now: datetime,
    ready: datetime,
) -> list[TimedStep]:
    """The plan begun earlier, the loaf waiting longer, with as little work in the night as the longest wait allows."""
    best, fewest = plan, nights_in(plan)
    spare_min = 60.0 * ((durations.longest_wait_h or durations.wait_h) - durations.wait_h)
    for earlier in range(TOLD_TO_MIN, int(round(spare_min, 6)) + 1, TOLD_TO_MIN):
        begun = mix_at - timedelta(minutes=earlier)
        if begun + timedelta(hours=offsets[0][0]) < now.replace(second=0, microsecond=0):
            break
        tried = _timed(offsets, begun, None, ready)
        if nights_in(tried) < fewest:
            best, fewest = tried, nights_in(tried)
    return best


def is_night(at: datetime) -> bool:
    late, early = NIGHT
    return at.hour >= late or at.hour < early


def nights_in(plan: Sequence[TimedStep]) -> int:
    """How many steps of the work fall into the night; a loaf that only waits to be sliced asks for nobody."""
    return sum(is_night(step.at) for step in plan[:-1])


def off_the_night(plan: Sequence[TimedStep], now: datetime, by_ready: bool) -> timedelta | None:
    """How much later (or earlier, where a time to be sliced by is set) all of it would have to be for no work at night.

    The nearest such time within a day; None where nothing falls into the night, or nothing within a day is better.
    """
    if not nights_in(plan):
        return None
    for minutes in range(NEXT_QUARTER_MIN, int(60 * FARTHEST_SHIFT_H), NEXT_QUARTER_MIN):
        for shift in (timedelta(minutes=minutes), timedelta(minutes=-minutes)):
            if shift < timedelta() and (not by_ready or plan[0].at + shift < now):
                continue
            if not any(is_night(step.at + shift) for step in plan[:-1]):
                return shift
    return None


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
    heat = in_oven - PREHEAT_H
    at_once = durations.proof_h <= 0.0
    return [
        *sorted(
            [
                *((-at_h, name) for at_h, name in before),
                *([(heat, HEAT)] if at_once else []),
                (0.0, MIX),
                (shape, SHAPE_AT_ONCE if at_once else SHAPE),
                *((hours[MIX] + at_h, name) for at_h, name in durations.moves if at_h > 0.0),
                *([] if at_once else [(max(heat, hours[MIX]), HEAT)]),
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
        earliest = _told(now + timedelta(hours=sliced_h - first_h, minutes=0.5 * TOLD_TO_MIN))
        raise InputProblem(
            f"sliced by {ready:%Y-%m-%d %H:%M} would have begun at {began:%Y-%m-%d %H:%M}, which is past",
            right=f"the earliest is {earliest:%Y-%m-%d %H:%M}",
        )
    return mix_at


def _told(at: datetime) -> datetime:
    """To the nearest five minutes; at the end of the calendar, to those before."""
    if at > datetime.max.replace(tzinfo=at.tzinfo) - timedelta(minutes=TOLD_TO_MIN):
        return at.replace(minute=at.minute - at.minute % TOLD_TO_MIN, second=0, microsecond=0)
    whole = at.replace(second=0, microsecond=0) - timedelta(minutes=at.minute % TOLD_TO_MIN)
    return whole + timedelta(minutes=TOLD_TO_MIN) * round((at - whole) / timedelta(minutes=TOLD_TO_MIN))
