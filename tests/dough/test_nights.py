"""Which night in the fridge is offered: against every length tried in turn, its work counted by the clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from adapter.dough.bake.clock import INTO_OVEN, TimedStep, off_the_night
from adapter.dough.bake.cold_night import ColdNight, cold_night
from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.plan import bake_plan
from adapter.dough.bake.proofing import night_offered, rise_over
from adapter.dough.models.proof import Rise
from adapter.dough.readings.measured import Measured
from adapter.dough.tables.work_steps import MIX
from adapter.formula.model import Proof

NOW = datetime(2026, 11, 24, 8, 0)
BENCH_H = 0.75
FRIDGE_C = 5.0
LENGTHS = (12.0, 14.0, 10.0, 16.0, 8.0)
LENGTHS_TIMED = (12.0, 10.0, 14.0, 8.0, 16.0)


@pytest.fixture(scope="module")
def dough(read: Callable[..., Measured]) -> Measured:
    return read(
        {"white wheat flour": 1000, "water": 640, "salt": 20, "fresh yeast": 6}, proof=Proof(25.0, 80.0), pieces=2
    )


@pytest.fixture(scope="module")
def rise(dough: Measured) -> Rise:
    return rise_over(dough, 25.0, 24.0, 80.0)


def work_at_night(night: ColdNight, mixed: datetime, timed_oven: datetime | None) -> int:
    """Mixing, into the cold, out of it and into the oven: how much of it between eleven and five."""
    if timed_oven is not None:
        mixed = timed_oven - timedelta(hours=BENCH_H + night.hours)
    begin = mixed + timedelta(hours=BENCH_H)
    warm, cold, _ = night.spells
    after = (0.0, warm.hours, warm.hours + cold.hours, night.hours)
    times = [mixed, *(begin + timedelta(hours=hours) for hours in after[1:])]
    return sum(at.hour >= 23 or at.hour < 5 for at in times)


@pytest.mark.parametrize("timed", [False, True])
def test_the_night_with_least_work_at_night_is_offered(dough: Measured, rise: Rise, timed: bool) -> None:
    """Of equals the first as bakers prefer them: twelve hours, then what is nearest to it; not longer than there is."""
    chosen = set()
    nights = {hours: cold_night(rise, hours, FRIDGE_C, dough.amount("mass") / 2) for hours in LENGTHS}
    for start_h in range(1, 40, 3):
        mixed = NOW + timedelta(hours=start_h)
        in_oven = mixed + timedelta(hours=BENCH_H + rise.hours())
        plan = [TimedStep(mixed, MIX), TimedStep(in_oven, INTO_OVEN)]
        there_h = rise.hours() + start_h - 0.1 if timed else 99.0
        lengths = [hours for hours in (LENGTHS_TIMED if timed else LENGTHS) if hours <= there_h]
        tried = [nights[hours] for hours in lengths] or [cold_night(rise, there_h, FRIDGE_C, dough.amount("mass") / 2)]
        fitting = [night for night in tried if night is not None]
        best = min(fitting, key=lambda night: work_at_night(night, mixed, in_oven if timed else None), default=None)
        offered = night_offered(dough, rise, plan, FRIDGE_C, timed, NOW, always=True)
        assert offered == best, start_h
        chosen.add(None if best is None else best.hours)
    assert len(chosen) >= 3, chosen


def test_no_night_is_offered_where_nobody_asks_for_one(dough: Measured, rise: Rise) -> None:
    """In the forenoon, or without a plan; and where the dough has its own places."""
    plan = [TimedStep(NOW, MIX), TimedStep(NOW + timedelta(hours=4), INTO_OVEN)]
    assert night_offered(dough, rise, plan, FRIDGE_C, False, NOW, always=False) is None
    assert night_offered(dough, rise, [], FRIDGE_C, False, NOW, always=True) is None
    night = night_offered(dough, rise, plan, FRIDGE_C, False, NOW, always=True)
    assert night is not None
    spelled = replace(rise, spells=night.spells)
    assert night_offered(dough, spelled, plan, FRIDGE_C, False, NOW, always=True) is None


def timed(*hours: float) -> list[TimedStep]:
    """Steps at these hours of 24 November; the last is the slicing, which asks for nobody."""
    return [TimedStep(datetime(2026, 11, 24) + timedelta(hours=at_h), str(at_h)) for at_h in hours]


def moved_h(plan: list[TimedStep], now: datetime = datetime(2026, 11, 20), by_ready: bool = True) -> float | None:
    shift = off_the_night(plan, now, by_ready)
    return None if shift is None else shift.total_seconds() / 3600.0


def test_a_plan_is_moved_to_the_nearest_time_without_work_at_night() -> None:
    """From eleven to five nobody works; by a quarter of an hour at a time, within a day, and not into the past."""
    assert moved_h(timed(9.0, 22.75, 26.0)) is None, "nothing to do at night"
    assert moved_h(timed(22.0, 23.0, 26.0)) == -0.25
    assert moved_h(timed(22.0, 23.0, 26.0), by_ready=False) == 7.0, "begun as soon as said: only later"
    assert moved_h(timed(4.0, 9.0, 12.0)) == 1.0
    assert moved_h(timed(10.5, 13.5, 16.5, 19.5, 22.5, 25.5, 27.5, 30.0), by_ready=False) == 18.5, (
        "seventeen hours of work begin at five"
    )
    assert moved_h(timed(22.0, 23.0, 26.0), datetime(2026, 11, 24, 21, 45)) == -0.25
    assert moved_h(timed(22.0, 23.0, 26.0), datetime(2026, 11, 24, 21, 46)) == 7.0, "earlier would be past"
    assert moved_h(timed(0.0, 5.0, 11.0, 17.0, 23.0, 30.0)) is None, "a step every six hours has one at night"
    assert moved_h(timed(0.0, 6.0, 12.0, 17.5, 23.5, 30.0)) is None


def test_a_plan_for_the_evening_says_which_night_fits(dough: Measured) -> None:
    now = datetime(2026, 11, 24, 19, 0)
    plan = bake_plan(dough, BakeInputs(), now)
    assert plan.cold_night is not None
    warm, cold, _ = plan.cold_night.spells
    (told,) = [note.text for note in plan.notes if note.text.startswith("A night in the fridge fits")]
    assert f"{warm.hours:.1f} h at {warm.temperature_c:g} °C, {cold.hours:.1f} h at 6 °C, 1 h warm again" in told
    noon = bake_plan(dough, BakeInputs(), datetime(2026, 11, 24, 8, 0))
    assert noon.cold_night is None and not any("fridge" in note.text for note in noon.notes)
