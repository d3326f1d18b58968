"""From dough to slice: temperature, tin, proof, oven, waiting and the clock, for one variant on one day."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TypeVar

from adapter.dough.allergens import cautions_of
from adapter.dough.bake.clock import Durations, TimedStep, clock_plan
from adapter.dough.bake.mixing import Mixing, Temperatures, mixing_plan
from adapter.dough.bake.span import Span
from adapter.dough.models.oven import HOTTEST_CORE_C, Loaf, bake_minutes, core_curve, heating_rate_c_per_min
from adapter.dough.models.proof import Rise, unrisen_density
from adapter.dough.models.tin import dough_for_tin, fill_of_tin, fill_warning
from adapter.dough.readings import starch
from adapter.dough.readings.kitchen import GAS_SPREAD, Calibration
from adapter.dough.readings.loaf import loaf_of, tin_volume_l
from adapter.dough.readings.measured import Measured
from adapter.dough.tables.loaf_classes import LoafClass, Range
from adapter.dough.tables.work_steps import WorkStep
from adapter.formula.problems import InputProblem

T = TypeVar("T")

DRIFT_TO_ROOM_H = 1.5
"""Time constant with which the dough's temperature goes over to that of the place where it proves [A]."""

CURVE_POINTS = 49
MEAN_STEPS = 48
USUAL_FILL = 0.93
"""How full a tin is wanted where the class of loaf does not say [CP]."""
LEAST_PROOF_SPREAD = 0.08
"""No log makes a proof surer than this: the eye that says "risen" stays [A]."""
PROOF_RANGE_C = (4.0, 47.0)
RAW_BELOW_C = 80.0
"""A core cooler than this has not set; loaves are done at 94 °C and more [A]."""
NEVER_RISES = (
    "This dough does not rise within two days: there is no yeast and no sourdough in it, or it is too cold, too hot, "
    "too sour or too sweet for them."
)


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
class BakePlan:
    """Everything of the Bake screen. Grams, °C, hours, minutes; curves are (hours, % risen) and (minutes, °C).

    `proof_c` is the dough's mean temperature while it proves, `place_c` that of the place. `loaf` is the risen loaf
    as it goes into the oven; `heating_c_per_min` is how fast its crumb warms, which `starch_attack` follows.
    """

    mixing: Mixing
    dough_g: float
    piece_g: float
    pieces: int
    yeast_g: float
    tin_volume_l: float | None
    tin_fill: float | None
    tin_suits_g: float | None
    proof_h: Span
    proof_c: float
    place_c: float
    rise_percent: float
    loaf: Loaf
    bake_min: Span
    oven_c: float
    core_c: float
    heating_c_per_min: float
    starch_attack: float
    loaf_class: LoafClass
    loss_percent: Range
    wait_h: Range
    keeps_d: Range
    rise_curve: tuple[tuple[float, float], ...]
    core_curve: tuple[tuple[float, float], ...]
    plan: tuple[TimedStep, ...]
    work: tuple[WorkStep, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    calibration: Calibration


def bake_plan(
    measured: Measured,
    inputs: BakeInputs,
    now: datetime,
) -> BakePlan:
    """Plan the bake of a formula. `now` is the present: no step may lie before it.

    Raises InputProblem for temperatures that cannot be, a tin smaller than the dough, a core or an oven out of
    range, and times in the past.
    """
    formula = measured.formula
    formula = measured.formula
    place_c = _chosen(inputs.proof_c, measured.rise.temperature_c)
    rise_percent = _chosen(inputs.rise_percent, 100.0 * measured.rise.rise_fraction)
    oven_c = _chosen(inputs.oven_c, measured.conditions.oven_c)
    core_c = _chosen(inputs.core_c, measured.conditions.core_c)
    _check_inputs(place_c, rise_percent, core_c)
    wanted_c = _chosen(inputs.wanted_dough_c, place_c)
    mixing = _said(lambda: mixing_plan(measured, wanted_c, inputs.temperatures), formula.name)
    rise = rise_over(measured, place_c, mixing.dough_c, rise_percent)
    if measured.rise.spells and inputs.proof_c is None:
        rise = replace(rise, spells=measured.rise.spells, tau_h=measured.rise.tau_h)
    proof_h = _proof(measured, rise)
    mean_c = mean_temperature(rise, rise.stated_h or proof_h.value)
    loaf = risen_loaf(measured, rise_percent)
    kitchen = measured.kitchen.calibration
    factor = kitchen.oven_factor
    bake = _said(
        lambda: bake_minutes(loaf, oven_c, core_c, place_c, oven_factor=factor, spread=kitchen.oven_spread),
        formula.name,
    )
    heating = heating_rate_c_per_min(loaf, oven_c, place_c, oven_factor=factor)
    loaf_class = measured.class_of(bake.value / 60.0)
    volume, fill, suits, notes = _tin(measured, rise_percent)
    if not mixing.liquid.reachable:
        notes.append(" ".join(part for part in (mixing.liquid.note, mixing.hint) if part))
    if not math.isfinite(proof_h.value):
        notes.append(NEVER_RISES)
    work = measured.kitchen.steps
    durations = Durations(proof_h.value, bake.value / 60.0, loaf_class.wait_h.low)
    return BakePlan(
        mixing=mixing,
        dough_g=measured.amount("mass"),
        piece_g=measured.amount("mass") / formula.pieces,
        pieces=formula.pieces,
        yeast_g=_yeast_g(measured),
        tin_volume_l=volume,
        tin_fill=fill,
        tin_suits_g=suits,
        proof_h=proof_h,
        proof_c=mean_c,
        place_c=place_c,
        rise_percent=rise_percent,
        loaf=loaf,
        bake_min=Span(bake.low, bake.value, bake.high),
        oven_c=oven_c,
        core_c=core_c,
        heating_c_per_min=heating,
        starch_attack=_starch_attack(measured, heating, core_c),
        loaf_class=loaf_class,
        loss_percent=loaf_class.loss_percent,
        wait_h=loaf_class.wait_h,
        keeps_d=loaf_class.keeps_d,
        rise_curve=rise_curve(rise, proof_h.value),
        core_curve=tuple(core_curve(loaf, oven_c, place_c, core_c, CURVE_POINTS, oven_factor=factor)),
        plan=tuple(
            clock_plan(
                formula.stages(),
                (kind for line in formula.lines for kind in measured.kitchen.catalogue.get(line.ingredient).kinds),
                durations,
                work,
                now,
                inputs.start,
                inputs.ready,
            )
        ),
        work=work,
        notes=tuple(notes),
        cautions=tuple(cautions_of(measured)),
        calibration=kitchen,
    )


def _chosen(own: float | None, usual: float) -> float:
    return usual if own is None else own


def _said(work: Callable[[], T], name: str) -> T:
    """Run a calculation whose ValueError is a sentence for the baker."""
    try:
        return work()
    except ValueError as fault:
        raise InputProblem(str(fault), where=f"formula {name!r}") from None


def _check_inputs(proof_c: float, rise_percent: float, core_c: float) -> None:
    low, high = PROOF_RANGE_C
    if not low <= proof_c <= high:
        raise InputProblem(f"a proof at {proof_c:g} °C is not possible", right=f"{low:g} to {high:g} °C")
    if not 1 <= rise_percent <= 400:
        raise InputProblem(f"a rise of {rise_percent:g} % is not possible", right="1 to 400 %")
    if core_c < RAW_BELOW_C:
        right = f"{RAW_BELOW_C:g} to {HOTTEST_CORE_C:g} °C"
        raise InputProblem(f"a core of {core_c:g} °C is raw dough", right=right)


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
    warmth = rise.warmth()
    return sum(warmth(hours * (step + 0.5) / MEAN_STEPS) for step in range(MEAN_STEPS)) / MEAN_STEPS


def _proof(measured: Measured, rise: Rise) -> Span:
    """Hours to the rise, with the dough going over from its own temperature to that of its places."""
    hours = rise.hours()
    relative = _proof_spread(measured)
    return Span(hours * max(1.0 - relative, 0.3), hours, hours * (1.0 + relative))


def _proof_spread(measured: Measured) -> float:
    """Half-width of the proof, relative: that of the rise time, less what the bake log has learned of the gas rate."""
    usual = measured.values["rise_time"]
    relative = 0.3
    if math.isfinite(usual) and usual > 0.0:
        relative = measured.spread("rise_time") / usual
    learned = GAS_SPREAD**2 - measured.kitchen.calibration.gas_spread**2
    return math.sqrt(max(relative**2 - learned, LEAST_PROOF_SPREAD**2))


def rise_curve(rise: Rise, until_h: float) -> tuple[tuple[float, float], ...]:
    """(hours, % risen) from mixing to a fifth beyond the wanted rise; empty where nothing rises."""
    if not math.isfinite(until_h) or until_h <= 0.0:
        return ()
    last = 1.2 * max(until_h, rise.stated_h or 0.0)
    course = rise.over(last)
    points = []
    for number in range(CURVE_POINTS):
        moment = course.at(last * number / (CURVE_POINTS - 1))
        points.append((moment.hours, 100.0 * rise.bubbles.rise(moment.gas_ml, moment.temperature_c)))
    return tuple(points)


def risen_loaf(measured: Measured, rise_percent: float) -> Loaf:
    """One loaf as it goes into the oven after such a rise; under a lid no higher than the tin."""
    return loaf_of(
        measured.formula,
        measured.amount("mass"),
        measured.rise.rye_share,
        measured.loaf_class,
        rise_percent / 100.0,
    )


def _starch_attack(measured: Measured, heating: float, core_c: float) -> float:
    """The index for the day's oven and loaf; the same as the reading where these are the formula's own."""
    return starch.index_of(starch.inputs_of(measured), heating, core_c)


def _yeast_g(measured: Measured) -> float:
    """Grams of yeast of every kind, as it is weighed."""
    catalogue = measured.kitchen.catalogue
    lines = measured.formula.lines
    return sum(line.grams for line in lines if catalogue.get(line.ingredient).property("yeast") > 0)


def tin_suits_g(measured: Measured, rise_percent: float) -> float | None:
    """Grams of dough that suit one tin of the formula after such a rise; None without a tin."""
    tin = measured.formula.tin
    if tin is None:
        return None
    loaf_class = measured.loaf_class
    wanted = loaf_class.fill.middle if loaf_class.fill else USUAL_FILL
    rise, density = 1.0 + rise_percent / 100.0, unrisen_density(measured.rise.rye_share)
    return _said(
        lambda: dough_for_tin(tin_volume_l(tin), wanted, density, rise, loaf_class.spring.middle),
        measured.formula.name,
    )


def _tin(measured: Measured, rise_percent: float) -> tuple[float | None, float | None, float | None, list[str]]:
    """Litres, fill, grams of dough that suit one tin, and what to say of it."""
    tin, suits = measured.formula.tin, tin_suits_g(measured, rise_percent)
    if tin is None or suits is None:
        return None, None, None, []
    density = unrisen_density(measured.rise.rye_share)
    rise, spring = 1.0 + rise_percent / 100.0, measured.loaf_class.spring.middle
    piece = measured.amount("mass") / measured.formula.pieces
    volume = tin_volume_l(tin)
    fill = _said(lambda: fill_of_tin(piece, volume, density, rise, spring), measured.formula.name)
    warning = fill_warning(fill, tin.lidded)
    return volume, fill, suits, [f"{warning} {suits:.0f} g of dough a tin would suit."] if warning else []
