"""What is said of a comparison: of one reading, line, allergen or purchase of one variant against the first."""

from __future__ import annotations

from functools import partial
from math import isfinite

from adapter.dough.readings.levels import NO_CLEAR_CHANGE, Level
from adapter.dough.readings.measured import Measured
from adapter.files.log_file import Bake
from adapter.formula.pantry import Pantry
from adapter.swaps.comparison import AlignedLine, Allergen, Need
from adapter.words.offer_words import Sentence, step_text
from adapter.words.text_report import figure_text
from adapter.words.units import METRIC, Units

CLEAR_SIGN, UNCLEAR_SIGN, SAME_SIGN = "!", "~", "≈"
AS_GOOD_AS_SAME = "nearly the same"
SIGNS = {CLEAR_SIGN: "clear", UNCLEAR_SIGN: NO_CLEAR_CHANGE, SAME_SIGN: AS_GOOD_AS_SAME}
"""What each sign of a reading says, where its word has no room."""


def change_word(level: Level) -> str:
    """How a reading stands against the first variant's, in words; empty where both are the same."""
    if not level.change:
        return ""
    if _is_too_small_to_see(level):
        return AS_GOOD_AS_SAME
    if not level.clear:
        return NO_CLEAR_CHANGE
    return level.word or f"slightly {level.direction}"


def change_sign(level: Level) -> str:
    """The same in one character."""
    if not level.change:
        return ""
    if _is_too_small_to_see(level):
        return SAME_SIGN
    return CLEAR_SIGN if level.clear else UNCLEAR_SIGN


def _is_too_small_to_see(level: Level) -> bool:
    """Whether a change and its spread are nothing in the decimals that are shown."""
    nothing = figure_text(level.key, 0.0)
    shown = (figure_text(level.key, abs(_known(level.change))), figure_text(level.key, _known(level.spread)))
    return shown == (nothing, nothing)


def _known(value: float) -> float:
    return value if isfinite(value) else 1e9


def reading_sentences(measured: Measured, level: Level, first: str) -> list[Sentence]:
    """A reading of one variant, against the first, which is called `first`."""
    reading = measured.reading(level.key)
    unit = f" {level.unit}" if level.unit else ""
    text = f"{level.label} {_figure(level.key, level.now)}{unit} ± {_figure(level.key, reading.spread)}"
    if level.change:
        moved = f"{_figure(level.key, level.change, True)} ± {_figure(level.key, level.spread)} against {first}"
        text += f" · {moved}: {change_word(level)}"
    tolerance = measured.kitchen.tolerances.get(level.key)
    if tolerance:
        text += f" · a baker notices {tolerance.value:g} {tolerance.unit}"
    said: list[Sentence] = [(text, False)]
    if level.band is not None and level.side:
        place = "below" if level.side < 0 else "above"
        reason = f": {level.reason}" if level.reason else ""
        usual = f"{level.band.low:g} to {level.band.high:g}{unit}"
        said.append((f"{place} what is usual for {level.band.style} bread, {usual}{reason}", True))
    return said


def line_sentences(
    measured: Measured, line: AlignedLine, column: int, first: str, units: Units = METRIC
) -> list[Sentence]:
    """A line of one variant, against the first."""
    grams, percent, before = line.grams[column], line.percent[column], line.grams[0]
    ingredient = measured.kitchen.catalogue.get(line.ingredient)
    if grams is None or percent is None:
        parts = [f"no {line.ingredient} in the {line.stage}"]
    else:
        parts = [f"{line.ingredient} {units.amount(grams, line.ingredient)}, {percent:.1f} % of the flour"]
    if column and grams != before:
        was = "none" if before is None else units.amount(before, line.ingredient)
        parts.append(f"{first} has {was}")
    if ingredient.allergens:
        parts.append("contains " + ", ".join(ingredient.allergens))
    if ingredient.overrides:
        parts.append("own figures: " + ", ".join(key.replace("_", " ") for key in ingredient.overrides))
    return [(" · ".join(parts), False)]


def allergen_sentences(row: Allergen, column: int, first: str) -> list[Sentence]:
    here, there = row.contained[column], row.contained[0]
    text = f"contains {row.group}" if here else f"no {row.group} in its ingredients"
    if here != there:
        text += f"; {first} contains it" if there else f"; {first} does not"
    return [(f"{text} · the packets' labels come first", here and not there)]


def need_sentences(row: Need, column: int, pantry: Pantry, units: Units = METRIC) -> list[Sentence]:
    need, missing = row.need[column], row.missing[column]
    amount = partial(units.amount, name=row.ingredient)
    have = amount(row.have) if row.have > 0 else "none"
    text = f"{row.ingredient}: takes {amount(need)}, in stock {have}"
    if not need:
        return [(f"{row.ingredient}: not needed, in stock {have}", False)]
    if not missing:
        return [(text, False)]
    price = pantry.price_of(row.ingredient)
    paid = "" if price is None else f", {missing / 1000.0 * price:.2f} at {price:g} a kg"
    return [(f"{text}: {amount(missing)} to buy{paid}", True)]


def bake_sentences(bake: Bake, units: Units = METRIC) -> list[Sentence]:
    """One logged bake in words."""
    parts = [f"baked {bake.at:%Y-%m-%d}"]
    if bake.mark is not None:
        parts.append(f"{bake.mark} of five")
    if bake.dough_c is not None:
        parts.append(f"dough {units.temperature(bake.dough_c)}")
    if bake.rise_h is not None:
        rise = f"rose {bake.rise_percent:g} %" if bake.rise_percent is not None else "rose"
        parts.append(f"{rise} in {bake.rise_h:g} h")
    if bake.bake_min is not None:
        parts.append(f"{bake.bake_min:g} min in the oven")
    if bake.core_c is not None:
        parts.append(f"core {units.temperature(bake.core_c)}")
    return [(" · ".join(parts), False), *((text, False) for text in (bake.crumb, bake.notes) if text)]


def origin_sentence(measured: Measured, sign: str, units: Units = METRIC) -> Sentence:
    """Which formula a column is, and the steps that led to it."""
    formula = measured.formula
    steps = formula.adapted.steps if formula.adapted is not None else ()
    text = f"{sign} is {formula.name}"
    return (f"{text}: {'; '.join(step_text(step, units) for step in steps)}" if steps else text, False)


def _figure(key: str, value: float, signed: bool = False) -> str:
    return figure_text(key, value if isfinite(value) else None, signed)
