"""A card for readers, in Markdown: what to weigh, what was changed and why, what to expect and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from adapter.dough.allergens import allergens, cautions_of
from adapter.dough.models.oven import bake_minutes
from adapter.dough.readings.levels import Level, level
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import CARD_KEYS
from adapter.exports.form import FormulaForm
from adapter.exports.markdown import escaped, escaped_block, table
from adapter.formula.model import Line, Step, Tin
from adapter.words.offer_words import change_text, step_text, tin_text
from adapter.words.text_report import figure_text, grams_text

HOW_SURE = (
    "± is how far the true value may lie from the one given, in about 95 of 100 cases: table figures and model "
    "together. How two versions of a loaf differ is known far better than where either lies."
)
NO_CHANGE = "as in the book formula"


def card(
    measured: Measured,
    options: Sequence[str] = (),
    reasons: Mapping[str, str] | None = None,
    cautions: Sequence[str] | None = None,
) -> str:
    """The card of a formula.

    `options` are sentences for readers who lack something; `reasons` says of a rule, by its id, what it does;
    `cautions` are those of the bake plan (None: by the kitchen's table).
    """
    formula = measured.formula
    parts = [
        [f"# {escaped(formula.name)}"],
        [_summary(measured)],
        *_changes(measured, reasons or {}),
        ["## What to weigh", "", *_lines(measured)],
        *([["## How", "", escaped_block(formula.note)]] if formula.note else []),
        ["## Tin, proof and oven", "", *_baking(measured)],
        ["## What to expect", "", *_readings(measured), "", HOW_SURE],
        ["## Allergens", "", *_allergens(measured)],
    ]
    said = cautions_of(measured) if cautions is None else cautions
    if said:
        parts.append(["## Mind", "", *(f"- {escaped(text)}" for text in said)])
    if options:
        parts.append(["## If you lack something too", "", *(f"- {escaped(text)}" for text in options)])
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def _summary(measured: Measured) -> str:
    dough, flour = measured.amount("mass"), measured.amount("flour")
    return f"{escaped(tin_text(measured))}; {grams_text(dough)} g of dough with {grams_text(flour)} g of flour."


def _changes(measured: Measured, reasons: Mapping[str, str]) -> list[list[str]]:
    """What was changed from which formula, step by step, and what came of it."""
    adapted = measured.formula.adapted
    if adapted is None:
        return []
    part = ["## What was changed", "", f"Adapted from the book formula *{escaped(adapted.origin)}*."]
    if adapted.steps:
        part += ["", *(f"{number}. {_step(step, reasons)}" for number, step in enumerate(adapted.steps, start=1))]
    return [part, [_difference(measured)]]


def _step(step: Step, reasons: Mapping[str, str]) -> str:
    text = escaped(step_text(step))
    extra = []
    if step.kind == "swap":
        extra += [f"{escaped(item.ingredient)} {grams_text(item.grams, True)} g" for item in step.moved]
    if step.share_percent < 100:
        extra.append(f"{step.share_percent:g} % of it")
    if step.holds:
        extra.append("held: " + escaped(", ".join(step.holds)))
    text += f" ({', '.join(extra)})" if extra else ""
    reason = reasons.get(step.rule or "", "")
    return f"{text}. {escaped(reason)}" if reason else text


def _difference(measured: Measured) -> str:
    levels = [level(measured, measured.book, key) for key in CARD_KEYS]
    clear = [change_text(found.key, found.change) for found in levels if found.clear and abs(found.steps) > 1]
    if not clear:
        return "Against the book formula nothing changes that a baker would notice."
    return f"Against the book formula: {escaped(', '.join(clear))}. The rest stays within what a baker notices."


def _lines(measured: Measured) -> list[str]:
    flour = measured.amount("flour")
    rows = [
        [
            escaped(line.stage),
            escaped(_name(line)),
            grams_text(line.grams),
            f"{100.0 * line.grams / flour:.1f}",
            escaped(line.note),
        ]
        for line in measured.formula.lines
    ]
    shown = table(("stage", "ingredient", "g", "% of flour", ""), rows, (2, 3))
    if any(line.amount for line in measured.formula.lines):
        shown += ["", "Where cups or spoons are named, the grams count: no two people fill a cup alike."]
    return shown


def _name(line: Line) -> str:
    name = line.ingredient if line.hydration is None else f"{line.ingredient} ({line.hydration:g} % water)"
    return f"{name} ({line.amount})" if line.amount else name


def _minutes(measured: Measured) -> str:
    """About how long it takes in the oven; nothing where the loaf is none that can be baked so."""
    conditions, calibration = measured.conditions, measured.kitchen.calibration
    try:
        time = bake_minutes(
            measured.loaf,
            conditions.oven_c,
            conditions.core_c,
            conditions.start_c,
            oven_factor=calibration.oven_factor,
            spread=calibration.oven_spread,
        )
    except ValueError:
        return ""
    return f" (about {time.value:.0f} min, {time.low:.0f} to {time.high:.0f})"


def _baking(measured: Measured) -> list[str]:
    formula, rise, conditions = measured.formula, measured.rise, measured.conditions
    shown = [f"- Tin: {_tin(formula.tin)}"] if formula.tin is not None else []
    hours = measured.reading("rise_time")
    time = (
        f"about {figure_text('rise_time', hours.value)} h (± {figure_text('rise_time', hours.spread)} h)"
        if math.isfinite(hours.value)
        else "no time can be given, as nothing in it raises it"
    )
    shown.append(
        f"- Proof: at {rise.temperature_c:.0f} °C until it stands {100 * rise.rise_fraction:.0f} % higher, {time}"
    )
    shown.append(
        f"- Oven: {conditions.oven_c:.0f} °C, until the core has {conditions.core_c:.0f} °C; "
        f"the thermometer in the core decides, not the clock{_minutes(measured)}"
    )
    after = measured.loaf_class
    shown.append(
        f"- After: {after.name}; wait {after.wait_h.low:g} to {after.wait_h.high:g} h before the first slice; "
        f"it keeps {after.keeps_d.low:g} to {after.keeps_d.high:g} days"
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
        shown.append(f"- Not in the formula, but usual for this kind of loaf: {', '.join(assumed)}")
    return shown


def _tin(tin: Tin) -> str:
    top = f"{_cm(tin.top_length_m)} × {_cm(tin.top_width_m)}"
    bottom = f"{_cm(tin.bottom_length_m)} × {_cm(tin.bottom_width_m)}"
    lid = "with its lid" if tin.lidded else "open"
    if top == bottom:
        return f"{top} × {_cm(tin.height_m)} cm inside, {lid}"
    return f"{top} cm at the rim, {bottom} cm at the base, {_cm(tin.height_m)} cm high inside, {lid}"


def _cm(metres: float) -> str:
    return f"{metres * 100:.3g}"


def _readings(measured: Measured) -> list[str]:
    is_variant = measured.book is not measured
    heads = ["reading", "value", "±", "usual", *(["book", "change"] if is_variant else [])]
    rows = []
    for key in CARD_KEYS:
        found = level(measured, measured.book, key)
        reading = measured.reading(key)
        unit = f" {found.unit}" if found.unit else ""
        row = [found.label, f"{_figure(key, found.now)}{unit}", _spread(key, reading.spread), _band(found)]
        rows.append([*row, *([_figure(key, found.book), _change(found)] if is_variant else [])])
    shown = table(heads, rows, (1, 2, 4))
    outside = [found for key in CARD_KEYS if (found := level(measured, measured.book, key)).side and found.reason]
    if outside:
        shown += ["", *(f"- {found.label} lies outside on purpose: {escaped(found.reason)}" for found in outside)]
    return shown


def _band(found: Level) -> str:
    if found.band is None:
        return ""
    side = {-1: " (below)", 0: "", 1: " (above)"}[found.side]
    return f"{found.band.low:g}–{found.band.high:g}{side}"


def _change(found: Level) -> str:
    change = _figure(found.key, found.change, signed=True)
    if found.change == 0 or _is_zero(change):
        return NO_CHANGE
    return f"{change}, {found.word}" if found.word else change


def _spread(key: str, spread: float) -> str:
    """A half-width; one too small for the digits that are shown is no zero."""
    text = _figure(key, spread)
    if not _is_zero(text):
        return text
    return f"< {text[:-1]}1" if spread > 0 else "–"


def _is_zero(text: str) -> bool:
    return not any(digit in text for digit in "123456789") and any(digit == "0" for digit in text)


def _figure(key: str, value: float, signed: bool = False) -> str:
    return figure_text(key, value if math.isfinite(value) else None, signed)


def _allergens(measured: Measured) -> list[str]:
    now, before = allergens(measured), allergens(measured.book)
    shown = ["Contains " + escaped(", ".join(now)) + "." if now else "None of the groups that must be named."]
    for word, groups in (
        ("More than the book formula", [group for group in now if group not in before]),
        ("No longer in it, unlike the book formula", [group for group in before if group not in now]),
    ):
        if groups:
            shown.append(f"**{word}: {escaped(', '.join(groups))}.**")
    return ["  \n".join(shown), "", "The packets' own labels come first."]


FORM = FormulaForm(
    ".md",
    "card for readers",
    2,
    lambda measured, told: card(measured, told.options, told.reasons),
    for_readers=True,
)
