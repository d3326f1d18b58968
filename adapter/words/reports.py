"""What the program says of a formula, an offer or a comparison, as plain data: one shape for JSON and for text."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from adapter.dough.allergens import allergens
from adapter.dough.readings.differences import Change, difference
from adapter.dough.readings.measured import Measured, ReadingValue
from adapter.dough.readings.registry import BY_KEY, READING_KEYS, label
from adapter.formula.ingredient import Ingredient
from adapter.formula.model import Amount

if TYPE_CHECKING:
    from adapter.formula.pantry import Pantry
    from adapter.swaps.offer import Offer
    from adapter.words.report_data import (
        AmountData,
        BalanceData,
        ChangeData,
        CompareData,
        DifferenceData,
        IngredientsData,
        LineData,
        MovedData,
        OfferData,
        OffersData,
        ReadingData,
        Readings,
        SwapData,
    )

DECIMALS = 6
NOTHING_RISES = "rise time has no end: there is no yeast and no sourdough in it, or they do not work here"
RAISED_IN_OVEN = "rise time is none: soda and powder raise it in the oven"


def number(value: float) -> float | None:
    """A number fit for JSON: rounded far below any spread, and null where there is none."""
    return finite(value) if math.isfinite(value) else None


def finite(value: float) -> float:
    """A number that is always one, such as grams, rounded the same."""
    return round(value, DECIMALS) + 0.0


def reading_data(reading: ReadingValue) -> ReadingData:
    band = [reading.band.low, reading.band.high] if reading.band else None
    return {
        "value": number(reading.value),
        "spread": number(reading.spread) if math.isfinite(reading.value) else None,
        "unit": reading.unit,
        "band": band,
        "basis": f"{reading.basis} [{reading.tag}]",
    }


def readings_data(measured: Measured) -> Readings:
    return {key: reading_data(measured.reading(key)) for key in READING_KEYS}


def lines_data(measured: Measured) -> list[LineData]:
    flour = measured.amount("flour")
    return [
        {
            "stage": line.stage,
            "ingredient": line.ingredient,
            "grams": finite(line.grams),
            "percent": finite(100.0 * line.grams / flour),
        }
        for line in measured.formula.lines
    ]


def out_of_band(measured: Measured) -> list[tuple[str, str]]:
    """Readings outside their band, each with the sentence that says so and the formula's own reason for it."""
    reasons = dict(measured.formula.reasons)
    found = []
    for key in READING_KEYS:
        band, value = measured.band(key), measured.value(key)
        if band is None or band.low <= value <= band.high:
            continue
        text = RAISED_IN_OVEN if measured.gas_mmol > 0.0 else NOTHING_RISES
        if math.isfinite(value):
            side = "below" if value < band.low else "above"
            band_text = f"{band.low:g}–{band.high:g} {BY_KEY[key].unit}".rstrip()
            text = f"{label(key)} {value:.3g} is {side} the band of a {band.style} bread, {band_text}"
        reason = reasons.get(key)
        found.append((key, f"{text}: {reason}" if reason else text))
    return found


def balance_report(measured: Measured) -> BalanceData:
    """Lines, readings, allergens and warnings of one formula."""
    formula = measured.formula
    return {
        "formula": {
            "name": formula.name,
            "flour_g": finite(measured.amount("flour")),
            "dough_g": finite(measured.amount("mass")),
        },
        "lines": lines_data(measured),
        "readings": readings_data(measured),
        "allergens": list(allergens(measured)),
        "warnings": [text for _, text in out_of_band(measured)],
    }


def amounts_data(amounts: Iterable[Amount]) -> list[AmountData]:
    return [{"ingredient": amount.ingredient, "grams": finite(amount.grams)} for amount in amounts]


def moved_data(amounts: Iterable[Amount]) -> list[MovedData]:
    return [{"ingredient": amount.ingredient, "grams_change": finite(amount.grams)} for amount in amounts]


def change_data(change: Change) -> ChangeData:
    return {
        "before": number(change.before),
        "after": number(change.after),
        "change": number(change.change),
        "spread": number(change.spread),
        "clear": change.clear,
    }


def offer_data(offer: Offer, pantry: Pantry | None) -> OfferData:
    """One offer; `in_pantry` is null when no pantry was given."""
    short = offer.short(pantry) if pantry is not None else ()
    return {
        "line": offer.before.formula.lines[offer.line].ingredient,
        "rule": offer.rule.id if offer.rule else None,
        "out": amounts_data(offer.out),
        "into": amounts_data(offer.into),
        "moved": moved_data(offer.moved),
        "drift": number(offer.drift),
        "drift_from_book": number(offer.drift_from_book),
        "share_percent": finite(offer.share_percent),
        "says": offer.says,
        "changes": {key: change_data(change) for key, change in offer.changes.items()},
        "allergens_added": list(offer.allergens_added),
        "allergens_removed": list(offer.allergens_removed),
        "in_pantry": None if pantry is None else not short,
        "short": amounts_data(short),
        "over_taste": [
            {"ingredient": name, "percent_flour": finite(percent), "most": most}
            for name, percent, most in offer.over_taste
        ],
        "unmet": [{"reading": item.key, "by": number(item.by), "held": item.held} for item in offer.unmet],
        "notice": offer.rule.notice if offer.rule else "",
    }


def offers_report(offers: Sequence[Offer], pantry: Pantry | None) -> OffersData:
    return {"offers": [offer_data(offer, pantry) for offer in offers]}


def swap_report(offer: Offer, pantry: Pantry | None) -> SwapData:
    """One offer, with the lines and readings of the whole formula after it."""
    return {
        **offer_data(offer, pantry),
        "lines": lines_data(offer.after),
        "readings": readings_data(offer.after),
    }


def compare_report(variants: Sequence[Measured]) -> CompareData:
    """Variants side by side; differences of each after the first against the first. `book` is what pace is 1 of."""
    first = variants[0]
    return {
        "variants": [
            {
                "name": variant.formula.name,
                "book": variant.book.formula.name,
                "readings": readings_data(variant),
                "lines": lines_data(variant),
            }
            for variant in variants
        ],
        "differences": [differences_data(first, variant) for variant in variants[1:]],
    }


def differences_data(first: Measured, other: Measured) -> Mapping[str, DifferenceData]:
    data: dict[str, DifferenceData] = {}
    for key in READING_KEYS:
        change = difference(first, other, key)
        data[key] = {"change": number(change.change), "spread": number(change.spread), "clear": change.clear}
    return data


def ingredients_report(found: Sequence[Ingredient]) -> IngredientsData:
    return {
        "ingredients": [
            {
                "name": item.name,
                "aliases": list(item.aliases),
                "kinds": sorted(item.kinds),
                "allergens": list(item.allergens),
            }
            for item in found
        ]
    }
