"""What is said of the pantry: of one entry, of a packet's figures, and of what they change on the bench."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from math import isfinite

from adapter.dough.packet_figures import LABELS, with_usual_spread
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import READINGS
from adapter.formula.ingredient import Ingredient
from adapter.formula.pantry import Measured as PacketFigure
from adapter.formula.pantry import Measurement, Pantry, Stock
from adapter.words.freshness import freshness_sentence
from adapter.words.offer_words import Sentence
from adapter.words.stock_typing import figure_shown, price_shown, stock_shown
from adapter.words.text_report import figure_text
from adapter.words.units import METRIC, Units

MOST_NAMED = 2
MOVED_STEPS, MOVED_SPREAD = 0.2, 0.1
"""A reading is named when it moves by this part of its tolerance, or its spread by this part of itself [A]."""


def own_names(entry: Stock) -> str:
    """Which figures an entry has of its own: "sugar, pH"."""
    given = [] if entry.measurement is None else [LABELS[key][0] for key, _ in entry.measurement.given()]
    return ", ".join(given)


def stock_sentences(
    entry: Stock, pantry: Pantry, ingredient: Ingredient, need: float | None, today: date, units: Units = METRIC
) -> list[Sentence]:
    """An entry of the pantry: stock against what the formula on the bench takes, date, price, allergens."""
    parts = [ingredient.name]
    amount = partial(units.amount, name=ingredient.name)
    have = pantry.grams_of(entry.ingredient)
    bags = len(pantry.of(entry.ingredient))
    if bags > 1:
        parts.append(f"{bags} entries, {amount(have) if isfinite(have) else 'plenty'} in all")
    if need:
        enough = "enough" if have >= need else f"{amount(need - have)} short"
        parts.append(f"the formula on the bench takes {amount(need)}: {enough}")
    if entry.price_per_kg is not None and entry.grams is not None:
        parts.append(f"worth {price_shown(entry.price_per_kg * entry.grams / 1000.0)}")
    if ingredient.allergens:
        parts.append("contains " + ", ".join(ingredient.allergens))
    said: list[Sentence] = [(" · ".join(parts), bool(need) and have < (need or 0.0))]
    fresh = freshness_sentence(entry.best_before, today)
    if fresh:
        said.append((fresh, True))
    if own_names(entry):
        said.append((f"own figures go over the table's: {own_names(entry)}", False))
    return said


def changed_words(old: Stock, new: Stock, units: Units = METRIC) -> str:
    """What was changed in an entry, in words."""
    name = new.ingredient
    if old.grams != new.grams:
        return f"{name}: {stock_shown(new.grams) if new.grams is None else units.amount(new.grams, name)} in stock"
    if old.price_per_kg != new.price_per_kg:
        return f"{name}: {price_shown(new.price_per_kg) + ' a kg' if new.price_per_kg is not None else 'no price'}"
    if old.best_before != new.best_before:
        return f"{name}: {f'best before {new.best_before}' if new.best_before else 'no date'}"
    before, after = old.measurement or Measurement(), new.measurement or Measurement()
    key = next((key for key in LABELS if getattr(before, key) != getattr(after, key)), None)
    if key is None:
        return name
    label, unit = LABELS[key]
    figure = getattr(after, key)
    if figure is None:
        return f"{label} of {name}: the table's figure again"
    return f"{label} of {name}: own {figure_shown(figure)} {unit}".rstrip()


def figure_sentences(ingredient: str, key: str, table: PacketFigure | None, own: PacketFigure | None) -> list[Sentence]:
    """One figure of a packet against the table's."""
    name, unit = LABELS[key]
    unit = f" {unit}" if unit else ""
    stands = "" if table is None else f"the table has {figure_shown(_rounded(table))}{unit}"
    if own is None:
        return [(f"{name} of {ingredient}: {stands} · a packet's or a measured figure goes over it", False)]
    assumed = " (± as is usual)" if own.spread is None else ""
    value = figure_shown(with_usual_spread(key, own))
    return [(f"{name} of {ingredient}: own {value}{unit}{assumed} · {stands}", False)]


def table_text(figure: PacketFigure) -> str:
    """A table's figure with its spread, in the digits that the spread leaves."""
    return figure_shown(_rounded(figure))


def _rounded(figure: PacketFigure) -> PacketFigure:
    spread = figure.spread or 0.0
    decimals = 2 if spread < 0.3 else 1 if spread < 3 else 0
    return PacketFigure(round(figure.value, decimals), round(spread, decimals))


def recalibrated(before: Measured, after: Measured) -> str:
    """What other figures change on the bench: the readings that move most, or are better known; empty for nothing."""
    moved = sorted(_moved(before, after), key=lambda item: -item[0])
    texts = [text for _, text in moved[:MOST_NAMED]]
    more = f", and {len(moved) - MOST_NAMED} more" if len(moved) > MOST_NAMED else ""
    return ", ".join(texts) + more


def _moved(before: Measured, after: Measured) -> Sequence[tuple[float, str]]:
    found = []
    for reading in READINGS:
        key = reading.key
        first, second = before.reading(key), after.reading(key)
        tolerance = after.kitchen.tolerances.get(key)
        if tolerance is None or not isfinite(first.value) or not isfinite(second.value):
            continue
        steps = abs(second.value - first.value) / tolerance.value
        spread = abs(second.spread - first.spread) / first.spread if first.spread > 0 else 0.0
        if steps < MOVED_STEPS and spread < MOVED_SPREAD:
            continue
        was, now = (f"{figure_text(key, item.value)} ± {figure_text(key, item.spread)}" for item in (first, second))
        if was != now:
            found.append((steps + spread, f"{reading.label} {was} → {now} {reading.short_unit}".strip()))
    return found
