"""What to change where a plan does not come out: a stage that is young or past when it is used, a dough not up in time.

Each remedy is sought by itself, all else as planned. Stages are mended in the order of the work, each by its hours,
so that what is said of a build holds once the build before it is ripe.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from adapter.dough.bake.cold_night import MOST_YEAST_PERCENT
from adapter.dough.bake.note import Note
from adapter.dough.bake.stages import StageRow, ripe_hours, ripe_of
from adapter.dough.models.proof import Rise
from adapter.dough.models.ripening import GAS_WAKES_H
from adapter.dough.models.warmth import Place
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.living import COLDEST_DOUGH_C, LivingStage
from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula, StagePlan

MOST_MORE_H = 24.0
FACTORS = (0.02, 20.0)
"""How much less and more starter than planned is tried."""
_ROUNDS = 8


def stage_notes(measured: Measured, rows: tuple[StageRow, ...]) -> list[Note]:
    """A sentence for each stage that is not ripe when its hours are over: how much longer, how warm, what starter."""
    kitchen, formula = measured.kitchen, measured.formula
    off = {row.stage for row in rows if row.kind != "dough" and row.state != "ripe"}
    written = formula.stages()
    said: list[str] = []
    idle = [
        f"The stage {plan.name!r} is planned but has no lines: name it at lines, or leave it out."
        for plan in formula.plans
        if plan.name not in written
    ]
    for name in [stage.plan.name for stage in measured.stages if stage.plan.name in off]:
        stage = _stage(kitchen, formula, name)
        ripe = ripe_of(stage)
        if ripe is None:
            warm = _warmth(kitchen, formula, stage)
            way = f"at {warm} °C it would be in time" if warm else "it takes a warmer place or more starter"
            said.append(f"The {name} does not ripen within four days: {way}.")
            continue
        if ripe.low <= stage.hours <= ripe.high:
            said.append(f"With that the {name} is ripe in its {stage.hours:.1f} h.")
            continue
        if _is_too_warm(stage):
            warmest = stage.ripens.warmest_c
            said.append(
                f"The {name} stands warmer than a usual sourdough likes: above {warmest:g} °C it sours slower again "
                "and loses its yeast. A short sour at 35 °C takes a starter that was bred so (short sour starter)."
            )
        state = "still young" if stage.hours < ripe.low else "past its best"
        ways = [_longer(ripe.value - stage.hours), *_others(kitchen, formula, stage)]
        begin = "With that the" if said else "The"
        said.append(f"{begin} {name} is {state} after its {stage.hours:.1f} h: give it {', or '.join(ways)}.")
        formula = formula.with_plan(_lasting(stage, ripe.value))
    return [Note("stage", text) for text in (*idle, *said)]


def rise_remedy(rise: Rise, yeast_g: float) -> str:
    """How a dough with planned hours is up just when they are over; in general words where nothing definite helps."""
    stated = rise.stated_h
    assert stated is not None
    wanted = rise.rise_fraction
    ways = []
    spells = rise.spells
    warm = max(range(len(spells)), key=lambda place: spells[place].temperature_c)
    if spells[warm].temperature_c < COLDEST_DOUGH_C < rise.temperature_c:
        warm, spells = 0, (Place(0.0, rise.temperature_c), *spells)

    def risen(more_h: float) -> float:
        place = replace(spells[warm], hours=spells[warm].hours + more_h)
        end = replace(rise, spells=(*spells[:warm], place, *spells[warm + 1 :])).over(stated + more_h).end
        return rise.bubbles.rise(end.gas_ml, end.temperature_c)

    low, high = (0.0, MOST_MORE_H) if risen(0.0) < wanted else (-spells[warm].hours, 0.0)
    if risen(low) < wanted <= risen(high):
        more_h = _least(lambda hours: risen(hours) >= wanted, low, high)
        ways.append(f"{_longer(more_h)} at {spells[warm].temperature_c:g} °C")
    yeast = rise.living.bakers_yeast
    if yeast > 0.0 and yeast_g > 0.0 and stated > GAS_WAKES_H:
        percent = rise.yeast_for(stated)
        now, then = _grams(yeast_g), _grams(yeast_g * percent / yeast)
        if 0.0 < percent <= MOST_YEAST_PERCENT and then != now:
            ways.append(f"{then} g yeast instead of {now} g")
    return ", or ".join(ways)


def _stage(kitchen: Kitchen, formula: Formula, name: str) -> LivingStage:
    return next(stage for stage in kitchen.follower.stages(formula) if stage.plan.name == name)


def _is_too_warm(stage: LivingStage) -> bool:
    """Whether a usual culture stands, all its time, warmer than is quickest for it."""
    usual = stage.start.bacteria > 0.0 and stage.course.medium.warm_bacteria < 0.5
    return usual and all(place.temperature_c > stage.ripens.warmest_c + 2.0 for place in stage.spells)


def _lasting(stage: LivingStage, hours: float) -> StagePlan:
    """The stage's plan with other hours, spent in its last place."""
    plan = stage.plan
    if not plan.spells:
        return replace(plan, hours=hours)
    last = plan.spells[-1]
    kept = replace(last, hours=max(last.hours + hours - stage.hours, 0.1))
    return replace(plan, spells=(*plan.spells[:-1], kept))


def _longer(more_h: float) -> str:
    return f"{abs(more_h):.1f} h {'more' if more_h > 0 else 'less'}"


def _others(kitchen: Kitchen, formula: Formula, stage: LivingStage) -> list[str]:
    """The warmth or the starter with which it is ripe in its hours, where there is one."""
    warm, starter = _warmth(kitchen, formula, stage), _starter(kitchen, formula, stage)
    return [*([f"{warm} °C"] if warm else []), *([starter] if starter else [])]


def _warmth(kitchen: Kitchen, formula: Formula, stage: LivingStage) -> int | None:
    """The coolest whole °C at which it is ripe in its hours; None for several places, or where none does it."""
    plan, limits = stage.plan, stage.ripens
    if plan.spells:
        return None

    def ripe(degrees: float) -> bool:
        return _is_ripe(
            _stage(kitchen, formula.with_plan(replace(plan, temperature_c=float(round(degrees)))), plan.name)
        )

    low, high = limits.coldest_c, limits.warmest_c
    if ripe(low) or not ripe(high):
        return None
    found = round(_least(ripe, low, high))
    return found if found != round(stage.spells[0].temperature_c) else None


def _starter(kitchen: Kitchen, formula: Formula, stage: LivingStage) -> str | None:
    """The culture, or the yeast, among its lines with which it is ripe in its hours; None where it brings none."""
    catalogue, name = kitchen.catalogue, stage.plan.name
    lines = formula.lines
    cultures = [
        place
        for place, line in enumerate(lines)
        if line.stage == name
        and line.grams > 0
        and (catalogue.get(line.ingredient).preferment or catalogue.fresh_yeast(line.ingredient) > 0)
    ]
    if len(cultures) != 1:
        return None
    (place,) = cultures
    grams = lines[place].grams

    def ripe(power: float) -> bool:
        changed = lines[place].with_grams(grams * power)
        return _is_ripe(_stage(kitchen, formula.with_lines((*lines[:place], changed, *lines[place + 1 :])), name))

    if ripe(FACTORS[0]) or not ripe(FACTORS[1]):
        return None
    low, high = (1.0, FACTORS[1]) if not ripe(1.0) else (FACTORS[0], 1.0)
    found = _least(ripe, low, high)
    return f"{_grams(grams * found)} g {lines[place].ingredient} instead of {_grams(grams)} g"


def _is_ripe(stage: LivingStage) -> bool:
    """Whether it is at its best, or beyond, when its hours are over."""
    return ripe_hours(stage.ripens, stage.course, stage.bubbles) is not None


def _least(holds: Callable[[float], bool], low: float, high: float) -> float:
    """The least number for which it holds, between one for which it does not and one for which it does."""
    for _ in range(_ROUNDS):
        middle = (low * high) ** 0.5 if low > 0.0 else 0.5 * (low + high)
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def _grams(grams: float) -> str:
    return f"{grams:.0f}" if grams >= 10.0 else f"{grams:.2g}"
