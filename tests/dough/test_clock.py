"""Clock times of a bake, worked by hand from round hours: forward, back, around the night, and what is past."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import pytest

from adapter.dough.bake.clock import (
    HEAT,
    INTO_OVEN,
    SHAPE_AT_ONCE,
    Durations,
    TimedStep,
    clock_plan,
    is_night,
    nights_in,
    off_the_night,
)
from adapter.dough.bake.proofing import off_night_note
from adapter.dough.tables.work_steps import MIX, SHAPE, WorkStep
from adapter.formula.problems import InputProblem

BUILD, SOAK, OUT, SLICE = "build the sourdough", "soak", "out of the oven", "may be sliced"
WORK = (
    WorkStep(BUILD, "sourdough", None, 14.0, "A", "trial"),
    WorkStep(SOAK, None, "seeds", 8.0, "A", "trial"),
    WorkStep(MIX, None, None, 0.5, "A", "trial"),
    WorkStep(SHAPE, None, None, 0.25, "A", "trial"),
)
"""Mixing half an hour, shaping a quarter; with a proof of 2, a bake of 1 and a wait of 4 h it is 7¾ h to the slice."""
USUAL = Durations(2.0, 1.0, 4.0)
NOW = datetime(2026, 11, 24, 9, 7, 31)


def at(clock: str, day: int = 24) -> datetime:
    hour, minute = clock.split(":")
    return datetime(2026, 11, day, int(hour), int(minute))


def plan(durations: Durations = USUAL, now: datetime = NOW, **when: datetime) -> list[tuple[str, str]]:
    return told(clock_plan(["dough"], [], durations, WORK, now, **when))


def told(steps: list[TimedStep]) -> list[tuple[str, str]]:
    return [(f"{step.at:%d %H:%M}", step.step) for step in steps]


STEPS = [MIX, SHAPE, HEAT, INTO_OVEN, OUT, SLICE]


@pytest.mark.parametrize(
    ("now", "when", "times"),
    [
        (NOW, {}, ["09:15", "09:45", "11:15", "12:00", "13:00", "17:00"]),
        (at("09:15"), {}, ["09:15", "09:45", "11:15", "12:00", "13:00", "17:00"]),
        (at("09:16"), {}, ["09:30", "10:00", "11:30", "12:15", "13:15", "17:15"]),
        (NOW, {"start": at("09:07")}, ["09:07", "09:35", "11:05", "11:50", "12:50", "16:50"]),
        (NOW, {"start": at("09:08")}, ["09:08", "09:40", "11:10", "11:55", "12:55", "16:55"]),
        (NOW, {"ready": at("17:58")}, ["10:15", "10:45", "12:15", "13:00", "14:00", "17:58"]),
    ],
)
def test_steps_follow_each_other_by_their_hours(now: datetime, when: dict[str, datetime], times: list[str]) -> None:
    """From the next quarter, or from a time that is named, or back from one; told to five minutes but for that one."""
    assert plan(now=now, **when) == [(f"24 {time}", step) for time, step in zip(times, STEPS, strict=True)]


def test_hours_are_told_to_the_nearest_five_minutes() -> None:
    """A proof of 2 h 2 min and one of 2 h 3 min; what is more than a minute's seconds does not matter."""
    for minutes, in_oven in ((2.0, "12:00"), (2.6, "12:05"), (-2.6, "11:55")):
        found = plan(Durations(2.0 + minutes / 60.0, 1.0, 4.0))
        assert found[3] == (f"24 {in_oven}", INTO_OVEN) and found[0] == ("24 09:15", MIX)
    last = datetime(9999, 12, 31, 23, 58, 40)
    assert clock_plan(["dough"], [], USUAL, WORK, last - timedelta(hours=9), ready=last)[-1].at == last
    late = clock_plan(["dough"], [], Durations(2.0, 1.0, 0.01), WORK, last - timedelta(hours=9), ready=last)
    assert (late[-2].at, late[-2].step) == (datetime(9999, 12, 31, 23, 55), OUT), "nothing is told beyond the calendar"


def test_what_is_set_before_the_dough() -> None:
    """14 h and 8 h before mixing; a stage that is followed has its own hours in the place of the table's."""
    found = clock_plan(["sourdough", "dough"], ["flour", "seeds"], USUAL, WORK, NOW)
    assert told(found) == [
        ("24 09:15", BUILD), ("24 15:15", SOAK), ("24 23:15", MIX), ("24 23:45", SHAPE), ("25 01:15", HEAT),
        ("25 02:00", INTO_OVEN), ("25 03:00", OUT), ("25 07:00", SLICE),
    ]  # fmt: skip
    always = (*WORK, WorkStep("sweep", None, None, 1.0, "A", "trial"))
    assert told(clock_plan(["dough"], [], USUAL, always, NOW))[:2] == [("24 09:15", "sweep"), ("24 10:15", MIX)]
    followed = Durations(2.0, 1.0, 4.0, stages=((10.0, "set the sourdough"),), followed_kinds=frozenset(["sourdough"]))
    steps = clock_plan(["sourdough", "dough"], [], followed, WORK, NOW)
    assert told(steps)[:2] == [("24 09:15", "set the sourdough"), ("24 19:15", MIX)]


def test_the_dough_goes_from_place_to_place() -> None:
    """Shaped before the last place; what it does as soon as it is mixed is no step of its own; the oven in time."""
    moves = ((0.0, "into the warmth"), (1.0, "into the cold"), (9.0, "into the warmth again"))
    found = plan(Durations(10.0, 1.0, 4.0, moves=moves))
    assert found == [
        ("24 09:15", MIX), ("24 10:45", "into the cold"), ("24 18:45", SHAPE), ("24 18:45", "into the warmth again"),
        ("24 19:15", HEAT), ("24 20:00", INTO_OVEN), ("24 21:00", OUT), ("25 01:00", SLICE),
    ]  # fmt: skip
    assert plan(Durations(10.0, 1.0, 4.0, moves=moves[:1]))[1] == ("24 09:45", SHAPE)
    quick = plan(Durations(0.25, 1.0, 4.0))
    assert quick[1:4] == [("24 09:45", SHAPE), ("24 09:45", HEAT), ("24 10:15", INTO_OVEN)], "no sooner than mixed"


def test_a_dough_that_soda_raises_finds_the_oven_hot_and_one_that_nothing_raises_has_no_plan() -> None:
    assert plan(Durations(0.0, 1.0, 4.0)) == [
        ("24 09:15", HEAT), ("24 09:15", MIX), ("24 09:45", SHAPE_AT_ONCE), ("24 10:00", INTO_OVEN), ("24 11:00", OUT),
        ("24 15:00", SLICE),
    ]  # fmt: skip
    assert plan(Durations(math.inf, 1.0, 4.0)) == []


# --- what is past ---------------------------------------------------------------------------------


def test_this_minute_is_not_past() -> None:
    for when in ({"start": at("09:06")}, {"ready": at("09:07")}, {"ready": NOW}):
        with pytest.raises(InputProblem, match=r"2026-11-24 09:0[67] is past") as caught:
            plan(**when)
        assert caught.value.right == "a time after 2026-11-24 09:07"
    assert plan(ready=at("16:52"))[-1] == ("24 16:52", SLICE), "begun at 09:07, within the minute that it is"
    with pytest.raises(InputProblem) as caught:
        plan(ready=at("16:51"))
    assert "sliced by 2026-11-24 16:51 would have begun at 2026-11-24 09:06, which is past" in str(caught.value)
    assert caught.value.right == "the earliest is 2026-11-24 16:55"
    assert plan(ready=at("16:55"))[0] == ("24 09:10", MIX)


# --- the night ------------------------------------------------------------------------------------


def test_the_night_is_from_eleven_to_five() -> None:
    hours = {clock: is_night(at(clock)) for clock in ("22:59", "23:00", "00:00", "04:59", "05:00", "12:00")}
    assert [clock for clock, night in hours.items() if night] == ["23:00", "00:00", "04:59"]
    steps = [TimedStep(at(clock), clock) for clock in ("22:00", "23:30", "04:00", "23:45")]
    assert nights_in(steps) == 2, "a loaf that waits to be sliced asks for nobody"


READY = at("07:45", 25)
"""With the least wait it is mixed at midnight: into the oven at 02:45, five steps at night. Begun at 20:10, so that the
loaf waits 3 h 50 min longer, it goes into the oven at 22:55, and only takes somebody to take it out."""


@pytest.mark.parametrize(
    ("now", "longest_wait_h", "mixed"),
    [
        (at("20:10"), 9.0, "24 20:10"),
        (at("20:10") + timedelta(seconds=59), 9.0, "24 20:10"),
        (at("20:11"), 9.0, "24 20:55"),
        (at("12:00"), 4.0 + 230.0 / 60.0, "24 20:10"),
        (at("12:00"), 4.0 + 229.0 / 60.0, "24 20:55"),
        (at("12:00"), 5.0, "24 23:00"),
        (at("12:00"), 5.0 + 5.0 / 60.0, "24 22:55"),
        (at("12:00"), None, "25 00:00"),
    ],
)
def test_the_loaf_waits_as_little_longer_as_spares_most_of_the_night(
    now: datetime, longest_wait_h: float | None, mixed: str
) -> None:
    """At 20:55 the oven is lit before eleven, at 22:55 the dough is mixed; an hour earlier nothing is spared."""
    found = plan(Durations(2.0, 1.0, 4.0, longest_wait_h=longest_wait_h), now, ready=READY)
    spared = {"24 23:00": "25 00:00"}
    assert found[0] == (spared.get(mixed, mixed), MIX) and found[-1] == ("25 07:45", SLICE)


def steps_at(*clocks: str) -> list[TimedStep]:
    """Work at these times, and a slice at noon of the day after."""
    return [*(TimedStep(at(clock), clock) for clock in clocks), TimedStep(at("12:00", 25), SLICE)]


def minutes(shift: timedelta | None) -> float | None:
    return None if shift is None else shift / timedelta(minutes=1)


def test_how_much_later_or_earlier_there_is_no_work_at_night() -> None:
    """The nearer of both; earlier only where the end is set and the beginning is not past. By hand."""
    early, late = steps_at("03:30", "09:00"), steps_at("12:00", "23:20")
    assert [minutes(off_the_night(early, at("00:00"), by)) for by in (True, False)] == [90, 90]
    assert minutes(off_the_night(late, at("08:00"), True)) == -30
    assert minutes(off_the_night(late, at("08:00"), False)) == 345, "05:05, after the night"
    assert minutes(off_the_night(late, at("11:30"), True)) == -30
    assert minutes(off_the_night(late, at("11:31"), True)) == 345
    assert off_the_night(steps_at("05:00", "22:59"), at("00:00"), True) is None, "nothing to better"


def test_the_nearest_time_is_sought_through_a_whole_day_and_there_may_be_none() -> None:
    """Work of 17¾ h with no six hours free fits between five and eleven alone; steps every six hours fit nowhere."""
    long = steps_at("05:15", "10:00", "15:00", "19:00", "23:00")
    assert minutes(off_the_night(long, at("00:00"), False)) == 23 * 60 + 45
    assert minutes(off_the_night(long, at("00:00"), True)) == -15
    assert off_the_night(steps_at("05:00", "11:00", "17:00", "23:00"), at("00:00"), True) is None


def test_what_is_said_of_work_at_night() -> None:
    """The first step at night, how many more, and from when on, or by when, there would be none."""
    steps = steps_at("20:00", "23:10", "01:30")
    one = [TimedStep(at("20:00"), MIX), TimedStep(at("23:10"), SHAPE), TimedStep(at("06:00", 25), SLICE)]
    quiet = "it asks for no work between 23:00 and 05:00."
    assert off_night_note(steps, timedelta(hours=10), False).text == (
        f'"23:10" at 23:10 and 1 more fall into the night. Begun Wed 06:00, {quiet}'
    )
    assert off_night_note(one, timedelta(minutes=-15), True).text == (
        f'"{SHAPE}" at 23:10 falls into the night. Sliced by Wed 05:45, {quiet}'
    )
