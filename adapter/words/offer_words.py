"""An offer and a formula in words: what comes in, what gives, what cannot be kept, what is missing."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from math import isfinite

from adapter.dough.models.proof import unrisen_density
from adapter.dough.models.tin import fill_of_tin, fill_warning
from adapter.dough.readings.levels import NO_CLEAR_CHANGE, Level
from adapter.dough.readings.loaf import tin_volume_l
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import label
from adapter.formula.model import Amount, Formula, Line, Step
from adapter.formula.pantry import Pantry
from adapter.swaps.balance import WATER, Unmet
from adapter.swaps.offer import Offer
from adapter.swaps.yeast import yeast_grams, yeast_lines
from adapter.words.freshness import first_date, freshness, freshness_sentence
from adapter.words.text_report import LEFT_OUT, change_text, figure_text, rise_text
from adapter.words.units import METRIC, Units

MANY_LINES = 3
"""A step that moves more lines than these is a scaling, and told by its weight."""

TOLD_SALT_G = 0.1
"""Salt in a line that is no salt is told from here on: what a kitchen scale can weigh."""
MOST_SALTY = 2

NOTHING_GIVES = "nothing to notice"
OK, NONE = "ok", "none"


def into_text(offer: Offer, units: Units = METRIC) -> str:
    """What comes in and what moves for it: "yoghurt 248 g + water 58 g, salt −1 g". Yeast is told apart."""
    return "".join(into_parts(offer, units))


def into_parts(offer: Offer, units: Units = METRIC) -> tuple[str, ...]:
    """The same in parts that can be left out from the end."""
    arrivals = [units.named(amount) for amount in offer.into]
    moved = [amount for amount in offer.moved if not _is_yeast(offer, amount.ingredient)]
    if not arrivals:
        return (LEFT_OUT, *(f", {units.named(amount, signed=True)}" for amount in moved))
    arrivals += [units.named(amount) for amount in moved if amount.grams > 0 and amount.ingredient == WATER]
    rest = [
        f", {units.named(amount, signed=True)}" for amount in moved if amount.grams < 0 or amount.ingredient != WATER
    ]
    return (arrivals[0], *(f" + {arrival}" for arrival in arrivals[1:]), *rest)


def out_text(offer: Offer, units: Units = METRIC) -> str:
    """What goes out: "kefir 310 g + wheat bran 60 g"."""
    return units.listed(offer.out) or "nothing"


def _is_yeast(offer: Offer, name: str) -> bool:
    return offer.after.kitchen.catalogue.fresh_yeast(name) > 0


def gives_text(offer: Offer) -> str:
    """What gives against the bench now by more than a baker notices, largest first."""
    return "".join(gives_parts(offer))


def gives_parts(offer: Offer) -> tuple[str, ...]:
    """The same in parts that can be left out from the end."""
    parts = [change_text(key, offer.after.value(key) - offer.before.value(key)) for key, _ in offer.gives]
    return (parts[0], *(f", {part}" for part in parts[1:])) if parts else (NOTHING_GIVES,)


def unmet_sentences(offer: Offer) -> list[str]:
    """What was held or to be kept and is not, and what is too much for the tongue, each as a sentence."""
    return [*taste_sentences(offer.over_taste), *(unmet_sentence(unmet) for unmet in offer.missed)]


def taste_sentences(over: Iterable[tuple[str, float, float]]) -> list[str]:
    """What is tasted in the dose it takes: ingredient, % of flour, and beyond how much that is."""
    return [
        f"{name}, {percent:.1f} % of the flour: beyond about {most:g} % the bread tastes of it."
        for name, percent, most in over
    ]


def unmet_sentence(unmet: Unmet) -> str:
    word = "cannot be held" if unmet.held else "cannot be kept quite"
    text = change_text(unmet.key, unmet.by).removeprefix(label(unmet.key)).strip()
    return f"{label(unmet.key)} {word}: it would change by {text}."


def yeast_text(before: Measured, after: Measured, units: Units = METRIC) -> str:
    """How the yeast follows: "yeast 9 → 10 g"; empty where it does not change."""
    first, second = yeast_grams(before), yeast_grams(after)
    if abs(first - second) < 0.05:
        return ""
    kinds = {
        each.formula.lines[place].ingredient
        for each in (before, after)
        for place in yeast_lines(each.formula, each.kitchen.catalogue)
    }
    return f"yeast {units.change(first, second, kinds.pop() if len(kinds) == 1 else '')}"


def allergens_text(offer: Offer) -> str:
    """Allergens that the swap brings in or takes out; empty where there are none."""
    parts = []
    if offer.allergens_added:
        parts.append("brings in " + ", ".join(offer.allergens_added))
    if offer.allergens_removed:
        parts.append("takes out " + ", ".join(offer.allergens_removed))
    return "; ".join(parts)


def allergens_short(offer: Offer) -> str:
    """The same where room is short: "+ milk, − gluten (barley)"."""
    parts = ["+ " + group for group in offer.allergens_added] + ["− " + group for group in offer.allergens_removed]
    return ", ".join(parts)


def step_text(step: Step, units: Units = METRIC) -> str:
    """A recorded step in words: "kefir 310 g → yoghurt 248 g", "water −12 g"."""
    if step.kind == "pantry":
        gone = [*step.out, *(Amount(item.ingredient, -item.grams) for item in step.moved if item.grams < 0)]
        come = [*step.into, *(item for item in step.moved if item.grams > 0)]
        return "several swaps at once: " + " → ".join(units.listed(amounts) or "nothing" for amounts in (gone, come))
    if step.kind == "swap":
        return f"{units.listed(step.out) or 'nothing'} → {units.listed(step.into) or LEFT_OUT}"
    if step.out:
        return f"{units.listed(step.out)} struck out"
    if step.into:
        return f"{units.listed(step.into)} put in"
    if len(step.moved) > MANY_LINES:
        return f"scaled by {units.amount(sum(amount.grams for amount in step.moved), signed=True)}"
    return ", ".join(units.named(amount, signed=True) for amount in step.moved)


def short_text(short: Iterable[Amount], units: Units = METRIC) -> str:
    """What is missing in the pantry: "short of kefir 200 g"; empty where nothing is."""
    listed = units.listed(short, ", ")
    return f"short of {listed}" if listed else ""


def stock_text(
    pantry: Pantry | None, formula: Formula, ingredient: str, today: date | None = None, units: Units = METRIC
) -> str:
    """The pantry's word on an ingredient of a formula: "ok", "none", or what there is when it is too little.

    What is enough but past its date, or near it, is told by that: "past", "2 days".
    """
    if pantry is None or ingredient == WATER:
        return ""
    need = sum(line.grams for line in formula.lines if line.ingredient == ingredient)
    have = pantry.grams_of(ingredient)
    if have >= need:
        return freshness(first_date(pantry, ingredient), today or date.today()) or OK
    return NONE if have <= 0 else units.amount(have, ingredient)


def fill_of(measured: Measured) -> float | None:
    """How full the baked loaf makes its tin (1 is full); None without a tin, infinite where it does not go in."""
    tin = measured.formula.tin
    if tin is None:
        return None
    rise = measured.rise
    try:
        return fill_of_tin(
            measured.amount("mass") / measured.formula.pieces,
            tin_volume_l(tin),
            unrisen_density(rise.rye_share),
            1.0 + rise.rise_fraction,
            measured.loaf_class.spring.middle,
        )
    except ValueError:
        return float("inf")


def tin_text(measured: Measured, warns: bool = True) -> str:
    """The tins and how full they will be: "1 tin 2.2 L, 96 % full"; pieces where there is no tin.

    A sign warns of a tin too full or too empty, where there is no room for a sentence that does.
    """
    formula = measured.formula
    pieces = formula.pieces
    fill = fill_of(measured)
    if formula.tin is None or fill is None:
        return f"{pieces} pieces" if pieces > 1 else "1 loaf"
    volume = tin_volume_l(formula.tin)
    tins = f"{pieces} tins" if pieces > 1 else "1 tin"
    state = "too small" if fill == float("inf") else f"{100.0 * fill:.0f} % full"
    if warns and fill != float("inf") and fill_warning(fill, formula.tin.lidded):
        state += " !"
    return f"{tins} {volume:.1f} L, {state}"


Sentence = tuple[str, bool]
"""A sentence, and whether it warns."""


def offer_sentences(offer: Offer, pantry: Pantry | None, units: Units = METRIC) -> list[Sentence]:
    """What is to be said of an offer before it is taken."""
    share = f" · {offer.share_percent:g} % of it" if offer.share_percent < 100 else ""
    new_time = rise_text(offer.before.value("rise_time"), offer.after.value("rise_time"))
    swap = f"{out_text(offer, units)} → {into_text(offer, units)}{share}"
    parts = [swap, yeast_text(offer.before, offer.after, units), new_time]
    if offer.allergens_removed:
        parts.append("takes out " + ", ".join(offer.allergens_removed))
    said: list[Sentence] = [(" · ".join(part for part in parts if part), False)]
    said += [(sentence, True) for sentence in unmet_sentences(offer)]
    warnings = ["brings in " + ", ".join(offer.allergens_added)] if offer.allergens_added else []
    missing = short_text(offer.short(pantry), units) if pantry is not None else ""
    said.append((" · ".join([*warnings, *([missing] if missing else [])]), True))
    if offer.rule is not None:
        said.append((units.told(offer.rule.notice), False))
    return [sentence for sentence in said if sentence[0]]


def level_sentences(level: Level, measured: Measured) -> list[Sentence]:
    """What is to be said of a reading: how sure, how far from the book formula, where it usually lies."""
    reading = measured.reading(level.key)
    unit = f" {level.unit}" if level.unit else ""
    first = f"{level.label} {_figure(level.key, level.now)}{unit} ± {_figure(level.key, reading.spread)}"
    if level.change:
        moved = f"{_figure(level.key, level.change, True)} ± {_figure(level.key, level.spread)} against the book"
        first += f" · {moved}" if level.clear else f" · {NO_CLEAR_CHANGE} ({moved})"
    tolerance = measured.kitchen.tolerances.get(level.key)
    if tolerance:
        first += f" · a baker notices {tolerance.value:g} {tolerance.unit}"
    said: list[Sentence] = [(first, False)]
    if level.band is not None:
        place = {-1: "below what is usual", 0: "as is usual", 1: "above what is usual"}[level.side]
        reason = f": {level.reason}" if level.side and level.reason else ""
        band = f"{place} for {level.band.style} bread, {level.band.low:g} to {level.band.high:g}{unit}{reason}"
        said.append((band[0].upper() + band[1:], level.side != 0))
    if level.key in ("salt", "label_salt"):
        said.insert(1, (_salt_told_apart(measured), False))
    said.append((reading.basis, False))
    return said


def salt_in(measured: Measured, place: int) -> float:
    """Grams of kitchen salt in a line: all of salt itself, what milk, butter or olives bring of others."""
    line = measured.formula.lines[place]
    ingredient = measured.kitchen.catalogue.get(line.ingredient)
    share = ingredient.property("kitchen_salt") if "kitchen_salt" in ingredient.properties else 1.0
    return line.grams * ingredient.figure("salt") / 100.0 * share


def _salt_told_apart(measured: Measured) -> str:
    """Salt that is weighed in, and salt that comes with something else."""
    lines = measured.formula.lines
    catalogue = measured.kitchen.catalogue
    weighed = sum(line.grams for line in lines if "salt" in catalogue.get(line.ingredient).kinds)
    brought: dict[str, float] = {}
    for place, line in enumerate(lines):
        salt = salt_in(measured, place)
        if "salt" not in catalogue.get(line.ingredient).kinds and salt >= TOLD_SALT_G:
            brought[line.ingredient] = brought.get(line.ingredient, 0.0) + salt
    names = sorted(brought, key=lambda name: -brought[name])[:MOST_SALTY]
    told = f" · with other things {sum(brought.values()):.1f} g, most in {', '.join(names)}" if names else ""
    return f"weighed in as salt {weighed:.1f} g{told}"


def line_sentences(measured: Measured, place: int, pantry: Pantry | None, units: Units = METRIC) -> list[Sentence]:
    """What is to be said of a line: its weight and share, its allergens, its note, its stock."""
    line = measured.formula.lines[place]
    ingredient = measured.kitchen.catalogue.get(line.ingredient)
    percent = 100.0 * line.grams / measured.amount("flour")
    written = f" ({line.amount})" if line.amount else ""
    parts = [f"{_weighed(line, units)}{written}, {percent:.1f} % of the flour"]
    if line.hydration is not None:
        parts.append(f"{line.hydration:g} % water")
    if line.temperature_c is not None:
        parts.append(units.told(f"goes in at {line.temperature_c:g} °C"))
    if ingredient.allergens:
        parts.append("contains " + ", ".join(ingredient.allergens))
    stock = stock_text(pantry, measured.formula, line.ingredient, units=units)
    dated = "" if pantry is None else freshness_sentence(first_date(pantry, line.ingredient), date.today())
    if stock:
        have = 0.0 if pantry is None else pantry.grams_of(line.ingredient)
        is_short = have < sum(each.grams for each in measured.formula.lines if each.ingredient == line.ingredient)
        parts.append(f"{stock} in stock" if stock == NONE else f"only {stock} in stock" if is_short else "in stock")
    salt = salt_in(measured, place)
    if "salt" not in ingredient.kinds and salt >= TOLD_SALT_G:
        parts.append(f"brings {salt:.1f} g of salt")
    if ingredient.overrides:
        parts.append("own figures: " + ", ".join(ingredient.overrides))
    return [(" · ".join(parts), False), (dated, True), (line.note, False)]


def begun_sentences(formula: Formula, place: int | None, units: Units = METRIC) -> list[Sentence]:
    """What is to be said while a formula has no flour: of its line, and how it goes on."""
    said: list[Sentence] = []
    if place is not None:
        line = formula.lines[place]
        written = f" ({line.amount})" if line.amount else ""
        said.append((f"{_weighed(line, units)}{written}", False))
    said.append(("a puts in a line, whole (500 g bread flour, 2 cups milk, 3 eggs) or by its name", False))
    return said


def _weighed(line: Line, units: Units) -> str:
    """A line with its amount; with its grams, too, where cups stand for them: those are about."""
    told = units.named(Amount(line.ingredient, line.grams))
    grams = METRIC.amount(line.grams)
    return told if told.endswith(f" {grams}") else f"{told} = {grams}"


def _figure(key: str, value: float, signed: bool = False) -> str:
    return figure_text(key, value if isfinite(value) else None, signed)
