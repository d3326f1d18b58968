"""The proof in a bake plan: hours and curve in this place, the stages before it, and a night in the fridge."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial

from adapter.dough.bake.clock import INTO_OVEN, NIGHT, SHORTEST_WAIT_H, TimedStep, is_night
from adapter.dough.bake.cold_night import LAST_WARM_H, ColdNight, clock_asks_for_it, cold_night, warm_hours
from adapter.dough.bake.mending import rise_remedy
from adapter.dough.bake.note import Note
from adapter.dough.bake.span import Span
from adapter.dough.bake.stages import MOST_RISE_PERCENT, StageRow
from adapter.dough.models.oven import START_RANGE_C
from adapter.dough.models.proof import Rise
from adapter.dough.models.warmth import Place, mean_warmth
from adapter.dough.readings.kitchen import GAS_SPREAD
from adapter.dough.readings.measured import Measured
from adapter.dough.tables.work_steps import MIX

NEVER_RISES = (
    "This dough does not rise within {days}: there is no yeast and no sourdough in it, or it is too cold, too hot, "
    "too sour or too sweet for them."
)
RISES_IN_OVEN = (
    "Soda and powder raise it: it needs no proof and no warmth. Have the oven hot, mix shortly and bake at once, "
    "before the gas has gone."
)
DRIFT_TO_ROOM_H = 1.5
"""Time constant with which the dough's temperature goes over to that of the place where it proves [A]."""
LEAST_PROOF_SPREAD = 0.08
"""No log makes a proof surer than this: the eye that says "risen" stays [A]."""
CURVE_POINTS = 49


def at_temperature(rise: Rise, temperature_c: float) -> Rise:
    """The same dough proving at another temperature, all the time."""
    return replace(rise, temperature_c=temperature_c, dough_c=None, spells=())


def rise_over(measured: Measured, place_c: float, dough_c: float, rise_percent: float) -> Rise:
    """The rise of a dough of its own temperature that proves in a place, going over to its warmth."""
    rise = replace(measured.rise, rise_fraction=rise_percent / 100.0)
    return replace(rise, temperature_c=place_c, dough_c=dough_c, spells=(), tau_h=DRIFT_TO_ROOM_H)


def mean_temperature(rise: Rise, hours: float) -> float:
    """°C of a dough, averaged over so many hours of its proof."""
    if not math.isfinite(hours) or hours <= 0.0:
        return rise.temperature_c
    start_c = rise.temperature_c if rise.dough_c is None else rise.dough_c
    spells = rise.spells or (Place(math.inf, rise.temperature_c),)
    return mean_warmth(start_c, spells, rise.tau_h, hours)


def proof_of(measured: Measured, rise: Rise) -> Span:
    """Hours to the rise, with the dough going over from its own temperature to that of its places."""
    hours = rise.hours()
    relative = _proof_spread(measured)
    return Span(hours * max(1.0 - relative, 0.3), hours, hours * (1.0 + relative))


def _proof_spread(measured: Measured) -> float:
    """Half-width of the proof, relative: that of the rise time, less what the bake log has learned of the gas rate."""
    usual = measured.value("rise_time")
    relative = 0.3
    if math.isfinite(usual) and usual > 0.0:
        relative = measured.spread("rise_time") / usual
    learned = GAS_SPREAD**2 - measured.kitchen.calibration.gas_spread**2
    return math.sqrt(max(relative**2 - learned, LEAST_PROOF_SPREAD**2))


def rises_in_oven(measured: Measured) -> bool:
    """Whether soda or powder raises it and nothing else does: mixed as cold as it comes, and baked at once."""
    return not math.isfinite(measured.value("rise_time")) and measured.gas_mmol > 0.0


def baked_from_c(rise: Rise, place_c: float) -> float:
    """°C of the dough as it goes into the oven: that of its place, or at the end of the hours planned for it."""
    low, high = START_RANGE_C
    return place_c if rise.stated_h is None else min(max(rise.warmth()(rise.stated_h), low), high)


def rise_curve(rise: Rise, until_h: float) -> tuple[tuple[float, float], ...]:
    """(hours, % risen) from mixing to a fifth beyond the wanted rise; empty where nothing rises."""
    stated_h = rise.stated_h if rise.is_alive and rise.stated_h is not None else 0.0
    last = 1.2 * (max(until_h, stated_h) if math.isfinite(until_h) else stated_h)
    if last <= 0.0:
        return ()
    course = rise.over(last)
    last = course.end.hours
    points = []
    for number in range(CURVE_POINTS):
        hours = last * number / (CURVE_POINTS - 1)
        points.append((hours, 100.0 * rise.bubbles.rise(course.gas_at(hours), course.at(hours).temperature_c)))
    return tuple(points)


def rise_notes(measured: Measured, rise: Rise, proof_h: Span, yeast_g: float) -> list[Note]:
    """What is to be said of a dough that does not rise as it is asked to."""
    stated = rise.stated_h
    if stated is not None and rise.is_alive:
        end = rise.course().at(stated)
        risen = min(100.0 * rise.bubbles.rise(end.gas_ml, end.temperature_c), MOST_RISE_PERCENT)
        wanted = 100.0 * rise.rise_fraction
        if abs(risen - wanted) <= 0.2 * wanted:
            return []
        remedy = rise_remedy(rise, yeast_g)
        if risen > wanted:
            more = f"it is up before{': ' + remedy if remedy else ''}"
        else:
            more = f"give it {remedy or 'longer, or warmer'}"
        most = "more than " if risen == MOST_RISE_PERCENT else ""
        after = f"After the {stated:.1f} h planned the dough has risen by {most}{risen:.0f} %, not {wanted:.0f} %"
        return [Note("rise", f"{after}: {more}.")]
    if math.isfinite(proof_h.value):
        return []
    if measured.gas_mmol > 0.0:
        return [Note("rises in the oven", RISES_IN_OVEN)]
    days = round(rise.longest_h / 24.0)
    return [Note("never rises", NEVER_RISES.format(days="two days" if days == 2 else f"{days} days"))]


def stage_starts(measured: Measured, rows: Sequence[StageRow]) -> tuple[tuple[float, str], ...]:
    """Hours before mixing at which each living stage is set and each build fed, and what is done then."""
    starts: dict[str, float] = {}
    fed = {stage.fed_from: stage for stage in measured.stages if stage.fed_from is not None}
    for stage in reversed(measured.stages):
        after = fed.get(stage.plan.name)
        starts[stage.plan.name] = stage.hours + (starts[after.plan.name] if after is not None else 0.0)
    found = [(starts[stage.plan.name], f"set the {stage.plan.name}") for stage in measured.stages]
    for row in rows:
        if row.feeds is not None:
            begin = starts.get(row.feeds, 0.0) + row.hours
            found += [(begin - step.at_h, f"feed the sourdough, {step.do}") for step in row.steps]
    return tuple(found)


def moves_of(rise: Rise) -> tuple[tuple[float, str], ...]:
    """When the dough goes to another place, hours from the end of mixing."""
    moves, at_h = [], 0.0
    for number, spell in enumerate(rise.spells):
        colder = number and spell.temperature_c < rise.spells[number - 1].temperature_c
        where = "into the cold" if colder else "into the warmth"
        moves.append((at_h, f"{where}, {spell.temperature_c:g} °C for {spell.hours:.1f} h"))
        at_h += spell.hours
    return tuple(moves)


def night_offered(
    measured: Measured,
    rise: Rise,
    plan: list[TimedStep],
    fridge_c: float,
    timed: bool,
    now: datetime,
    always: bool,
) -> ColdNight | None:
    """A night in the fridge for the hours there are, where the clock asks for it and the dough is up by then."""
    if rise.spells or not plan or not (always or clock_asks_for_it(plan, now, timed)):
        return None
    grams = measured.amount("mass") / measured.formula.pieces
    lengths = _night_hours(plan, rise, timed, now)
    best: tuple[float, int] = (math.inf, 0)
    chosen: ColdNight | None = None

    def at_night(number: int, *warm_h: float) -> tuple[int, int]:
        """How much is to be done at night in one of these lengths, the first of equals before the others."""
        return _moves_at_night(plan, rise, lengths[number], warm_h, timed), number

    def is_better(number: int, warm_h: float) -> bool:
        return at_night(number, warm_h) < best

    # A night costs a dozen proofs: those that cannot be better than what is found are left out.
    for fewest in sorted(at_night(number, *warm_hours(hours)) for number, hours in enumerate(lengths)):
        if best <= fewest:
            break
        number = fewest[1]
        night = cold_night(rise, lengths[number], fridge_c, grams, partial(is_better, number))
        if night is not None:
            best, chosen = at_night(number, night.spells[0].hours), night
    return chosen


def _moves_at_night(plan: list[TimedStep], rise: Rise, hours: float, warm_h: Sequence[float], timed: bool) -> int:
    """How much of the work of so many hours falls into the night: mixing, into the cold and out of it, into the oven.

    Into the cold it goes after so many warm hours, or between two ends less than a day apart: it counts where both are
    at night.
    """
    mixed, in_oven = (next(step.at for step in plan if step.step == name) for name in (MIX, INTO_OVEN))
    bench = in_oven - mixed - timedelta(hours=rise.hours())
    if timed:
        mixed = in_oven - bench - timedelta(hours=hours)
    begin = mixed + bench
    times = (mixed, begin + timedelta(hours=hours - LAST_WARM_H), begin + timedelta(hours=hours))
    into_cold = all(is_night(begin + timedelta(hours=end)) for end in warm_h)
    return sum(map(is_night, times)) + into_cold


def _night_hours(plan: list[TimedStep], rise: Rise, timed: bool, now: datetime) -> list[float]:
    """Lengths of proof to try: the time there is until the oven where that is set, else a night's."""
    if timed:
        spare_h = max((plan[0].at - now).total_seconds() / 3600.0 - SHORTEST_WAIT_H, 0.0)
        there_h = rise.hours() + spare_h
        return [hours for hours in (12.0, 10.0, 14.0, 8.0, 16.0) if hours <= there_h] or [there_h]
    return [12.0, 14.0, 10.0, 16.0, 8.0]


def night_note(night: ColdNight, yeast_g: float, other_g: float) -> Note:
    """The night that fits, and the grams of yeast that it takes where they are other than the formula's."""
    warm, cold, last = night.spells
    yeast = "" if night.yeast_percent is None else f", with {other_g:.2g} g yeast instead of {yeast_g:.2g} g"
    return Note(
        "night",
        f"A night in the fridge fits: {warm.hours:.1f} h at {warm.temperature_c:g} °C, {cold.hours:.1f} h at "
        f"{cold.temperature_c:g} °C, {last.hours:.0f} h warm again; then risen by {night.rise_percent:.0f} %{yeast}.",
    )


DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def off_night_note(plan: Sequence[TimedStep], shift: timedelta, by_ready: bool) -> Note:
    """What falls into the night, and what is proposed: another time to begin, or to be sliced by."""
    late, early = NIGHT
    first = next(step for step in plan[:-1] if is_night(step.at))
    others = sum(is_night(step.at) for step in plan[:-1]) - 1
    falls = f"and {others} more fall" if others else "falls"
    moved = (plan[-1] if by_ready else plan[0]).at + shift
    way = "Sliced by" if by_ready else "Begun"
    return Note(
        "night",
        f'"{first.step}" at {first.at:%H:%M} {falls} into the night. {way} {DAYS[moved.weekday()]} {moved:%H:%M}, '
        f"it asks for no work between {late:02d}:00 and {early:02d}:00.",
    )
