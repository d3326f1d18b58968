"""From dough to slice: temperature, tin, proof, oven, waiting and the clock, for one variant on one day."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import TypeVar

from adapter.dough.baking import tin_volume_l
from adapter.dough.cautions import Caution, cautions_for
from adapter.dough.keeping import LoafClass, Range, choose_class
from adapter.dough.mixing import Mixing, Temperatures, mixing_plan
from adapter.dough.oven import BakeTime, bake_minutes, core_curve
from adapter.dough.proof import Rise, retention, unrisen_density
from adapter.dough.readings import Measured
from adapter.dough.tin import dough_for_tin, fill_of_tin, fill_warning
from adapter.dough.work_steps import MIX, SHAPE, WorkStep, shipped_work_steps
from adapter.dough.yeast_pace import LAG_H, activity
from adapter.formula.problems import InputProblem

T = TypeVar("T")

DRIFT_TO_ROOM_H = 1.5
"""Time constant with which the dough's temperature goes over to that of the place where it proves [A]."""

PREHEAT_H = 0.75
CURVE_POINTS = 49
PROOF_RANGE_C = (4.0, 47.0)


@dataclass(frozen=True, slots=True)
class BakeInputs:
    """What the baker sets for the day. None: what the formula says, or its class of loaf."""

    temperatures: Temperatures = field(default_factory=Temperatures)
    wanted_dough_c: float | None = None
    proof_c: float | None = None
    rise_percent: float | None = None
    oven_c: float | None = None
    core_c: float | None = None
    start: datetime | None = None
    ready: datetime | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """A number with the range it is shown with."""

    low: float
    value: float
    high: float


@dataclass(frozen=True, slots=True)
class TimedStep:
    at: datetime
    step: str


@dataclass(frozen=True, slots=True)
class BakePlan:
    """Everything of the Bake screen. Grams, °C, hours, minutes; curves are (hours, % risen) and (minutes, °C)."""

    mixing: Mixing
    dough_g: float
    piece_g: float
    tin_volume_l: float | None
    tin_fill: float | None
    tin_suits_g: float | None
    proof_h: Span
    proof_c: float
    rise_percent: float
    bake_min: Span
    oven_c: float
    core_c: float
    loaf_class: LoafClass
    loss_percent: Range
    wait_h: Range
    keeps_d: Range
    rise_curve: tuple[tuple[float, float], ...]
    core_curve: tuple[tuple[float, float], ...]
    plan: tuple[TimedStep, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def bake_plan(
    measured: Measured,
    inputs: BakeInputs,
    now: datetime,
    steps: Sequence[WorkStep] | None = None,
    cautions: Sequence[Caution] | None = None,
) -> BakePlan:
    """Plan the bake of a formula. `now` is the present: no step may lie before it.

    Raises InputProblem for temperatures that cannot be, a tin smaller than the dough, a core or an oven out of
    range, and times in the past.
    """
    formula = measured.formula
    proof_c = _chosen(inputs.proof_c, measured.rise.temperature_c)
    rise_percent = _chosen(inputs.rise_percent, 100.0 * measured.rise.rise_fraction)
    oven_c = _chosen(inputs.oven_c, measured.conditions.oven_c)
    core_c = _chosen(inputs.core_c, measured.conditions.core_c)
    wanted_c = _chosen(inputs.wanted_dough_c, proof_c)
    _check_inputs(proof_c, rise_percent)
    mixing = _said(lambda: mixing_plan(measured, wanted_c, inputs.temperatures), formula.name)
    rise = replace(measured.rise, temperature_c=proof_c, rise_fraction=rise_percent / 100.0)
    proof_h, mean_c = _proof(measured, rise, mixing.dough_c)
    loaf = replace(measured.loaf, height_m=_risen_height(measured, rise_percent))
    factor = measured.kitchen.calibration.oven_factor
    spread = measured.kitchen.calibration.oven_spread
    bake = _said(lambda: bake_minutes(loaf, oven_c, core_c, proof_c, oven_factor=factor, spread=spread), formula.name)
    curve = core_curve(loaf, oven_c, proof_c, core_c, CURVE_POINTS, oven_factor=factor)
    loaf_class = _class(measured, bake)
    volume, fill, suits, notes = _tin(measured, rise_percent)
    if not mixing.liquid.reachable:
        notes.append(mixing.liquid.note)
    if not math.isfinite(proof_h.value):
        notes.append("Nothing raises this dough: there is no yeast and no sourdough in it, or they do not work here.")
    plan = _clock(measured, inputs, now, proof_h, bake, loaf_class, steps or shipped_work_steps())
    return BakePlan(
        mixing,
        measured.amount("mass"),
        measured.amount("mass") / formula.pieces,
        volume,
        fill,
        suits,
        proof_h,
        mean_c,
        rise_percent,
        Span(bake.low, bake.value, bake.high),
        oven_c,
        core_c,
        loaf_class,
        loaf_class.loss_percent,
        loaf_class.wait_h,
        loaf_class.keeps_d,
        rise_curve(measured, replace(rise, temperature_c=mean_c), proof_h.value),
        tuple(curve),
        tuple(plan),
        tuple(notes),
        tuple(_cautions(measured, cautions)),
    )


def _chosen(own: float | None, usual: float) -> float:
    return usual if own is None else own


def _said(work: Callable[[], T], name: str) -> T:
    """Run a calculation whose ValueError is a sentence for the baker."""
    try:
        return work()
    except ValueError as fault:
        raise InputProblem(str(fault), where=f"formula {name!r}") from None


def _check_inputs(proof_c: float, rise_percent: float) -> None:
    low, high = PROOF_RANGE_C
    if not low <= proof_c <= high:
        raise InputProblem(f"a proof at {proof_c:g} °C is not possible", right=f"{low:g} to {high:g} °C")
    if not 1 <= rise_percent <= 400:
        raise InputProblem(f"a rise of {rise_percent:g} % is not possible", right="1 to 400 %")


def at_temperature(measured: Measured, rise: Rise, temperature_c: float) -> Rise:
    """The same dough proving at another temperature."""
    ph = measured.values["ph"]
    pace = activity(temperature_c, ph, measured.osmotic_activity, measured.acetic_mm(ph))
    return replace(rise, temperature_c=temperature_c, activity=pace)


def _proof(measured: Measured, rise: Rise, dough_c: float) -> tuple[Span, float]:
    """Hours to the rise, with the dough going over from its own temperature to the room's; and its mean on the way."""
    mean_c = rise.temperature_c
    hours = at_temperature(measured, rise, mean_c).hours()
    for _ in range(30):
        if not math.isfinite(hours):
            break
        left = DRIFT_TO_ROOM_H / hours * -math.expm1(-hours / DRIFT_TO_ROOM_H)
        mean_c = rise.temperature_c + (dough_c - rise.temperature_c) * left
        mean_c = min(max(mean_c, PROOF_RANGE_C[0] + 0.1), PROOF_RANGE_C[1])
        again = at_temperature(measured, rise, mean_c).hours()
        if abs(again - hours) < 1e-9:
            break
        hours = 0.5 * (hours + again) if math.isfinite(again) else again
    usual = measured.values["rise_time"]
    relative = measured.spread("rise_time") / usual if math.isfinite(usual) and usual > 0 else 0.3
    return Span(hours * max(1.0 - relative, 0.3), hours, hours * (1.0 + relative)), mean_c


def rise_curve(measured: Measured, rise: Rise, until_h: float) -> tuple[tuple[float, float], ...]:
    """(hours, % risen) from mixing to a fifth beyond the wanted rise; empty where nothing rises."""
    if not math.isfinite(until_h):
        return ()
    rise = at_temperature(measured, rise, rise.temperature_c)
    held = retention(rise.rye_share) * unrisen_density(rise.rye_share) / rise.dough
    dissolved = replace(rise, rise_fraction=0.0).gas_needed()
    points = []
    for number in range(CURVE_POINTS):
        hours = 1.2 * until_h * number / (CURVE_POINTS - 1)
        gas = rise.rate(hours) * max(hours - LAG_H, 0.0)
        points.append((hours, 100.0 * max(gas - dissolved, 0.0) * held))
    return tuple(points)


def _risen_height(measured: Measured, rise_percent: float) -> float:
    loaf = measured.loaf
    tin = measured.formula.tin
    height = loaf.height_m * (100.0 + rise_percent) / (100.0 * (1.0 + measured.rise.rise_fraction))
    return min(height, tin.height_m) if tin and tin.lidded else height


def _class(measured: Measured, bake: BakeTime) -> LoafClass:
    """The class of loaf, now that it is known how long it bakes."""
    tin = measured.formula.tin
    return choose_class(
        min(max(measured.book.values["rye_share"], 0.0), 100.0),
        tin is not None and tin.lidded,
        tin is not None,
        bake.value / 60.0,
        measured.book.amount("mass") / measured.formula.pieces,
        measured.book.values["sugar"] + measured.book.values["fat"],
        measured.kitchen.classes,
    )


def _tin(measured: Measured, rise_percent: float) -> tuple[float | None, float | None, float | None, list[str]]:
    """Litres, fill, grams of dough that suit one tin, and what to say of it."""
    tin = measured.formula.tin
    if tin is None:
        return None, None, None, []
    loaf_class = measured.loaf_class
    density = unrisen_density(measured.rise.rye_share)
    rise, spring = 1.0 + rise_percent / 100.0, loaf_class.spring.middle
    piece = measured.amount("mass") / measured.formula.pieces
    volume = _said(lambda: tin_volume_l(tin), measured.formula.name)
    fill = _said(lambda: fill_of_tin(piece, volume, density, rise, spring), measured.formula.name)
    wanted = loaf_class.fill.middle if loaf_class.fill else 0.93
    suits = dough_for_tin(volume, wanted, density, rise, spring)
    warning = fill_warning(fill, tin.lidded)
    return volume, fill, suits, [f"{warning} {suits:.0f} g of dough a tin would suit."] if warning else []


def _clock(
    measured: Measured,
    inputs: BakeInputs,
    now: datetime,
    proof_h: Span,
    bake: BakeTime,
    loaf_class: LoafClass,
    work: Sequence[WorkStep],
) -> list[TimedStep]:
    """Clock times: forward from the first step's start, or back from when the loaf is to be sliced."""
    if not math.isfinite(proof_h.value):
        return []
    formula = measured.formula
    kinds = {kind for line in formula.lines for kind in measured.kitchen.catalogue.get(line.ingredient).kinds}
    hours = {step.name: step.hours for step in work}
    early = [step for step in work if step.name not in (MIX, SHAPE) and step.applies(formula.stages(), kinds)]
    offsets = [(-step.hours, step.name) for step in sorted(early, key=lambda step: -step.hours)]
    shaped = hours[MIX] + hours[SHAPE]
    in_oven = shaped + proof_h.value
    out = in_oven + bake.value / 60.0
    offsets += [
        (0.0, "mix"),
        (hours[MIX], "shape and put to proof"),
        (max(in_oven - PREHEAT_H, hours[MIX]), "heat the oven"),
        (in_oven, "into the oven"),
        (out, "out of the oven"),
        (out + loaf_class.wait_h.low, "may be sliced"),
    ]
    first = min(offset for offset, _ in offsets)
    mix_at = _mix_time(inputs, now, first, out + loaf_class.wait_h.low)
    return [TimedStep(_minute(mix_at + timedelta(hours=offset)), step) for offset, step in offsets]


def _mix_time(inputs: BakeInputs, now: datetime, first_h: float, sliced_h: float) -> datetime:
    present = now.replace(second=0, microsecond=0)
    if inputs.ready is not None:
        if inputs.ready <= now:
            raise InputProblem(f"{inputs.ready:%Y-%m-%d %H:%M} is past", right=f"a time after {now:%Y-%m-%d %H:%M}")
        mix_at = inputs.ready - timedelta(hours=sliced_h)
        if mix_at + timedelta(hours=first_h) < present:
            earliest = _minute(now + timedelta(hours=sliced_h - first_h, minutes=1))
            began = mix_at + timedelta(hours=first_h)
            raise InputProblem(
                f"sliced by {inputs.ready:%Y-%m-%d %H:%M} would have begun at {began:%Y-%m-%d %H:%M}, which is past",
                right=f"the earliest is {earliest:%Y-%m-%d %H:%M}",
            )
        return mix_at
    start = inputs.start
    if start is None:
        start = present + timedelta(minutes=-present.minute % 15)
    elif start < present:
        raise InputProblem(f"{start:%Y-%m-%d %H:%M} is past", right=f"a time after {now:%Y-%m-%d %H:%M}")
    return start - timedelta(hours=first_h)


def _minute(at: datetime) -> datetime:
    return (at + timedelta(seconds=30)).replace(second=0, microsecond=0)


def _cautions(measured: Measured, table: Sequence[Caution] | None) -> list[str]:
    catalogue = measured.kitchen.catalogue
    flour = measured.amount("flour")
    names: list[str] = []
    kinds: set[str] = set()
    allergens: set[str] = set()
    percents: dict[str, float] = {}
    for line in measured.formula.lines:
        if line.grams <= 0:
            continue
        ingredient = catalogue.get(line.ingredient)
        names.append(ingredient.name)
        kinds |= ingredient.kinds
        allergens |= set(ingredient.allergens)
        for name in (ingredient.name, *ingredient.kinds):
            percents[name] = percents.get(name, 0.0) + 100.0 * line.grams / flour
    return cautions_for(names, kinds, allergens, percents, table)
