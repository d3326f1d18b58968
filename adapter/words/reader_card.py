"""What a card tells its readers, as plain data: what to weigh, how and when, what was changed, what to expect.

Markdown, text and HTML are written from it, so that all three say the same.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from adapter.dough.allergens import allergens, cautions_of
from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.plan import bake_plan
from adapter.dough.models.oven import BakeTime, bake_minutes
from adapter.dough.readings.levels import Level, level
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import CARD_KEYS, label
from adapter.formula.model import Formula, Line, Step, Tin
from adapter.formula.problems import InputProblem
from adapter.swaps.request import LINE_HOLD
from adapter.words.clock_times import day_text
from adapter.words.cupboard_units import both_degrees, cups_of
from adapter.words.offer_words import step_text, tin_text
from adapter.words.recipe_times import told_bake, told_minutes
from adapter.words.text_report import change_text, figure_text, grams_text
from adapter.words.timetable import TimetableRow

HOW_SURE = (
    "± is how far the true value may lie from the one given, in about 95 of 100 cases: table figures and model "
    "together. How two versions of a loaf differ is known far better than where either lies."
)
EACH_ALONE = (
    "Each of these is worked out for this formula as it stands, water and yeast included. Take one of them; "
    "of two at once nobody has worked out the sum."
)
GRAMS_COUNT = "Where cups, spoons or pieces are named, the grams count: no two people fill a cup alike."
NO_CHANGE = "as in the book formula"
OVEN_STEP_F = 5.0
ANY_DAY = datetime(2001, 1, 1, 6)
"""The times of a card are hours from the first step, so that any morning will do to plan them from."""
FIVE_MIN = 5
_NUMBERED = re.compile(r"\d{1,2}[.):]\s|[-*•·]\s")
_ENDS = (".", "!", "?", ":", ")")
LEAST_WRAPPED = 50
"""A line shorter than this was ended by who wrote it, where the next begins with a capital [A]."""


@dataclass(frozen=True, slots=True)
class CardLine:
    """One thing to weigh. `cups` is empty where they are not asked for or nobody knows them."""

    name: str
    grams: str
    percent: str
    cups: str
    note: str


@dataclass(frozen=True, slots=True)
class CardStage:
    name: str
    lines: tuple[CardLine, ...]


@dataclass(frozen=True, slots=True)
class CardReading:
    """A reading in words; `steps` is its change in what a baker notices, None where there is no book formula."""

    label: str
    value: str
    spread: str
    usual: str
    book: str
    change: str
    steps: float | None
    clear: bool


@dataclass(frozen=True, slots=True)
class CardTime:
    """A step of the work, hours after the first one; `clock` where the day and its hour are known."""

    after_h: float
    step: str
    clock: datetime | None = None

    @property
    def at(self) -> str:
        minutes = round(self.after_h * 60)
        return f"{minutes // 60} h {minutes % 60:02d}" if minutes % 60 else f"{minutes // 60} h"

    @property
    def when(self) -> str:
        """ "Sat 09:00" where it is known, else "after 2 h 30"."""
        return f"after {self.at}" if self.clock is None else f"{day_text(self.clock)} {self.clock:%H:%M}"


@dataclass(frozen=True, slots=True)
class ReaderCard:
    name: str
    summary: str
    credit: str
    changes: tuple[str, ...]
    difference: str
    stages: tuple[CardStage, ...]
    has_cups: bool
    method: tuple[str, ...]
    baking: tuple[tuple[str, str], ...]
    times: tuple[CardTime, ...]
    readings: tuple[CardReading, ...]
    on_purpose: tuple[str, ...]
    allergens: tuple[str, ...]
    allergen_changes: tuple[str, ...]
    cautions: tuple[str, ...]
    options: tuple[str, ...] = field(default=())


def reader_card(
    measured: Measured,
    options: Sequence[str] = (),
    reasons: Mapping[str, str] | None = None,
    cautions: Sequence[str] | None = None,
    cups: bool = False,
    day: Sequence[TimetableRow] = (),
) -> ReaderCard:
    """The card of a formula.

    `options` are sentences for readers who lack something; `reasons` says of a rule, by its id, what it does;
    `cautions` are those of the bake plan (None: by the kitchen's table); `cups` adds cups and spoons to the grams;
    `day` is the timetable of a day that is planned: the card then tells clock times.
    """
    formula = measured.formula
    adapted = formula.adapted
    now, before = allergens(measured), allergens(measured.book)
    levels = [level(measured, measured.book, key) for key in CARD_KEYS]
    return ReaderCard(
        name=formula.name,
        summary=f"{tin_text(measured, warns=False)}; {grams_text(measured.amount('mass'))} g of dough with "
        f"{grams_text(measured.amount('flour'))} g of flour.",
        credit="" if adapted is None else adapted.origin,
        changes=() if adapted is None else tuple(_step(step, reasons or {}) for step in adapted.steps),
        difference="" if adapted is None else _difference(levels),
        stages=_stages(measured, cups),
        has_cups=cups or any(line.amount for line in formula.lines),
        method=steps_of(formula),
        baking=tuple(_baking(measured)),
        times=_clock_times(day) if day else _times(measured),
        readings=tuple(_reading(measured, each) for each in levels),
        on_purpose=tuple(f"{each.label} lies outside on purpose: {each.reason}" for each in levels if _meant(each)),
        allergens=tuple(now),
        allergen_changes=tuple(_allergen_changes(now, before)),
        cautions=tuple(cautions_of(measured) if cautions is None else cautions),
        options=tuple(options),
    )


def steps_of(formula: Formula) -> tuple[str, ...]:
    """The steps of a formula's note: a line that ends no sentence goes on in the next, unless that begins a step."""
    steps: list[str] = []
    before = ""
    for line in map(str.strip, formula.note.split("\n")):
        ended = not before or before.endswith(_ENDS) or (len(before) < LEAST_WRAPPED and line[:1].isupper())
        if line and steps and not ended and not _NUMBERED.match(line):
            steps[-1] += f" {line}"
        else:
            steps.append(line)
        before = line
    return tuple(step for step in steps if step)


def _meant(each: Level) -> bool:
    return bool(each.side and each.reason)


def _step(step: Step, reasons: Mapping[str, str]) -> str:
    extra = []
    if step.kind == "swap":
        moved = [(item.ingredient, grams_text(item.grams, True)) for item in step.moved]
        extra += [f"{name} {grams} g" for name, grams in moved if grams != "0"]
    if step.share_percent < 100:
        extra.append(f"{step.share_percent:g} % of it")
    if step.holds:
        extra.append("held: " + ", ".join(label(hold.removeprefix(LINE_HOLD)) for hold in step.holds))
    text = step_text(step) + (f" ({', '.join(extra)})" if extra else "")
    reason = reasons.get(step.rule or "", "")
    return f"{text}. {reason}" if reason else text


def _difference(levels: Sequence[Level]) -> str:
    clear = [change_text(each.key, each.change) for each in levels if each.clear and abs(each.steps) > 1]
    if not clear:
        return "Against the book formula nothing changes that a baker would notice."
    return f"Against the book formula: {', '.join(clear)}. The rest stays within what a baker notices."


def _stages(measured: Measured, cups: bool) -> tuple[CardStage, ...]:
    """The lines as they stand in the formula, those that follow each other in one stage together."""
    flour = measured.amount("flour")
    stages: list[tuple[str, list[CardLine]]] = []
    for line in measured.formula.lines:
        if not stages or stages[-1][0] != line.stage:
            stages.append((line.stage, []))
        ingredient = measured.kitchen.catalogue.ingredients.get(line.ingredient)
        told = cups_of(line.grams, ingredient) if cups else ""
        percent = f"{100.0 * line.grams / flour:.1f}"
        stages[-1][1].append(CardLine(_name(line), grams_text(line.grams), percent, told, line.note))
    return tuple(CardStage(name, tuple(lines)) for name, lines in stages)


def _name(line: Line) -> str:
    name = line.ingredient if line.hydration is None else f"{line.ingredient} ({line.hydration:g} % water)"
    return f"{name} ({line.amount})" if line.amount else name


def minutes_in_oven(measured: Measured) -> float | None:
    """About how long it takes in the oven; None where the loaf is none that can be baked so."""
    time = _bake_time(measured)
    return None if time is None else time.value


def _bake_time(measured: Measured) -> BakeTime | None:
    conditions, calibration = measured.conditions, measured.kitchen.calibration
    try:
        return bake_minutes(
            measured.loaf,
            conditions.oven_c,
            conditions.core_c,
            conditions.start_c,
            oven_factor=calibration.oven_factor,
            spread=calibration.oven_spread,
        )
    except ValueError:
        return None


def _minutes(measured: Measured) -> str:
    time, told = _bake_time(measured), told_minutes(measured.formula.note)
    said = [] if time is None else [f"about {time.value:.0f} min, {time.low:.0f} to {time.high:.0f}"]
    said += [] if told is None else [told_bake(told)]
    return f" ({'; '.join(said)})" if said else ""


def _baking(measured: Measured) -> list[tuple[str, str]]:
    """Tin, proof, oven and what comes after, each under its word."""
    formula, rise, conditions = measured.formula, measured.rise, measured.conditions
    told = [("Tin", tin_measures(formula.tin))] if formula.tin is not None else []
    hours = measured.reading("rise_time")
    time = (
        f"about {figure_text('rise_time', hours.value)} h (± {figure_text('rise_time', hours.spread)} h)"
        if math.isfinite(hours.value)
        else "no time can be given, as nothing in it raises it"
    )
    risen = f"until it stands {100 * rise.rise_fraction:.0f} % higher, {time}"
    told.append(("Proof", f"at {both_degrees(rise.temperature_c)} {risen}"))
    told.append(
        (
            "Oven",
            f"{both_degrees(conditions.oven_c, OVEN_STEP_F)}, until the core has {both_degrees(conditions.core_c)}; "
            f"the thermometer in the core decides, not the clock{_minutes(measured)}",
        )
    )
    after = measured.loaf_class
    told.append(
        (
            "After",
            f"{after.name}; wait {after.wait_h.low:g} to {after.wait_h.high:g} h before the first slice; "
            f"it keeps {after.keeps_d.low:g} to {after.keeps_d.high:g} days",
        )
    )
    assumed = [
        name
        for name, value in (
            ("proof temperature", formula.proof.temperature_c),
            ("rise", formula.proof.rise_percent),
            ("oven", formula.bake.oven_c),
            ("core", formula.bake.core_c),
        )
        if value is None
    ]
    if assumed:
        told.append(("Not in the formula, but usual for this kind of loaf", ", ".join(assumed)))
    return told


def _times(measured: Measured) -> tuple[CardTime, ...]:
    """The steps of the work in hours after the first, to five minutes; none where no plan can be made."""
    try:
        steps = bake_plan(measured, BakeInputs(), ANY_DAY).plan
    except (InputProblem, ValueError):
        return ()
    return tuple(CardTime(_five_minutes(step.at - steps[0].at), step.step) for step in steps)


def _clock_times(day: Sequence[TimetableRow]) -> tuple[CardTime, ...]:
    return tuple(CardTime(_five_minutes(row.at - day[0].at), row.do, row.at) for row in day)


def _five_minutes(time: timedelta) -> float:
    """Hours, to five minutes."""
    return round(time.total_seconds() / 60 / FIVE_MIN) * FIVE_MIN / 60


def tin_measures(tin: Tin) -> str:
    top = f"{_cm(tin.top_length_m)} × {_cm(tin.top_width_m)}"
    bottom = f"{_cm(tin.bottom_length_m)} × {_cm(tin.bottom_width_m)}"
    lid = "with its lid" if tin.lidded else "open"
    if top == bottom:
        return f"{top} × {_cm(tin.height_m)} cm inside, {lid}"
    return f"{top} cm at the rim, {bottom} cm at the base, {_cm(tin.height_m)} cm high inside, {lid}"


def _cm(metres: float) -> str:
    return f"{metres * 100:.3g}"


def _reading(measured: Measured, each: Level) -> CardReading:
    is_variant = measured.book is not measured
    unit = f" {each.unit}" if each.unit else ""
    return CardReading(
        each.label,
        f"{_figure(each.key, each.now)}{unit}",
        _spread(each.key, measured.spread(each.key)),
        _band(each),
        _figure(each.key, each.book) if is_variant else "",
        _change(each) if is_variant else "",
        each.steps if is_variant else None,
        each.clear,
    )


def _band(each: Level) -> str:
    if each.band is None:
        return ""
    side = {-1: " (below)", 0: "", 1: " (above)"}[each.side]
    return f"{each.band.low:g}–{each.band.high:g}{side}"


def _change(each: Level) -> str:
    change = _figure(each.key, each.change, signed=True)
    if each.change == 0 or _is_zero(change):
        return NO_CHANGE
    return f"{change}, {each.word}" if each.word else change


def _spread(key: str, spread: float) -> str:
    """A half-width; one too small for the digits that are shown is no zero."""
    text = _figure(key, spread)
    if not _is_zero(text):
        return text
    return f"< {text[:-1]}1" if spread > 0 else ""


def _is_zero(text: str) -> bool:
    return not any(digit in text for digit in "123456789") and any(digit == "0" for digit in text)


def _figure(key: str, value: float, signed: bool = False) -> str:
    return figure_text(key, value if math.isfinite(value) else None, signed)


def _allergen_changes(now: Sequence[str], before: Sequence[str]) -> list[str]:
    more = [group for group in now if group not in before]
    less = [group for group in before if group not in now]
    told = [f"More than the book formula: {', '.join(more)}"] if more else []
    return told + ([f"No longer in it, unlike the book formula: {', '.join(less)}"] if less else [])
