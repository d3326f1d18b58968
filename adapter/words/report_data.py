"""The shapes of the reports: what JSON holds, and what the text of the command line and the screens are made from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NotRequired, TypedDict


class AmountData(TypedDict):
    ingredient: str
    grams: float


class MovedData(TypedDict):
    ingredient: str
    grams_change: float


class LineData(TypedDict):
    stage: str
    ingredient: str
    grams: float
    percent: float


class ReadingData(TypedDict):
    """`value` is null where there is none, as the rise time of a dough that does not rise."""

    value: float | None
    spread: float | None
    unit: str
    band: list[float] | None
    basis: str


Readings = dict[str, ReadingData]


class FormulaHead(TypedDict):
    name: str
    flour_g: float
    dough_g: float


class BalanceData(TypedDict):
    formula: FormulaHead
    lines: list[LineData]
    readings: Readings
    allergens: list[str]
    warnings: list[str]


class DifferenceData(TypedDict):
    change: float | None
    spread: float | None
    clear: bool


class ChangeData(DifferenceData):
    before: float | None
    after: float | None


class UnmetData(TypedDict):
    reading: str
    by: float | None
    held: bool


class OverTasteData(TypedDict):
    """What is tasted in so large a dose, both in % of the flour."""

    ingredient: str
    percent_flour: float
    most: float


class OfferData(TypedDict):
    """`in_pantry` is null when no pantry was given; `saved` is the file that the swap was written to."""

    line: str
    rule: str | None
    out: list[AmountData]
    into: list[AmountData]
    moved: list[MovedData]
    drift: float | None
    drift_from_book: float | None
    share_percent: float
    says: str
    changes: dict[str, ChangeData]
    allergens_added: list[str]
    allergens_removed: list[str]
    in_pantry: bool | None
    short: list[AmountData]
    over_taste: list[OverTasteData]
    unmet: list[UnmetData]
    notice: str
    saved: NotRequired[str]


class OffersData(TypedDict):
    offers: list[OfferData]


class SwapData(OfferData):
    lines: list[LineData]
    readings: Readings


class VariantData(TypedDict):
    name: str
    book: str
    readings: Readings
    lines: list[LineData]
    file: NotRequired[str]


class CompareData(TypedDict):
    """`differences` are of each variant after the first, against the first."""

    variants: list[VariantData]
    differences: list[Mapping[str, DifferenceData]]


class IngredientData(TypedDict):
    name: str
    aliases: list[str]
    kinds: list[str]
    allergens: list[str]


class IngredientsData(TypedDict):
    ingredients: list[IngredientData]


class WaySwapData(TypedDict):
    name: str
    rule: str
    say: str
    out: list[AmountData]
    into: list[AmountData]
    share_percent: float
    notice: str
    why: list[str]


class TradedData(TypedDict):
    reading: str
    change: float | None


class MissedData(TypedDict):
    wish: str
    nearest: float | None


class HowSure(TypedDict):
    """`gap` is the part of the cost by which a better answer may still be found: 0 where this one is proven best."""

    proven: bool
    gap: float | None


class WayData(HowSure):
    swaps: list[WaySwapData]
    moved: list[MovedData]
    lines: list[LineData]
    readings: Readings
    changes: dict[str, ChangeData]
    allergens: list[str]
    allergens_added: list[str]
    allergens_removed: list[str]
    drift: float | None
    traded: list[TradedData]
    price: float | None
    short: list[AmountData]
    missed: list[MissedData]


class Contradiction(TypedDict):
    """Which wishes cannot all be met, and which ruled out lines nothing stands in for."""

    conflict: list[str]
    nothing_stands_in_for: NotRequired[list[str]]


class AdaptData(Contradiction):
    ways: list[WayData]
    without: list[str]
    fewer: str | None
    saved: NotRequired[str]


class BakeOfStore(WayData):
    formula: str
    count: int


class BakesData(Contradiction, HowSure):
    bakes: list[BakeOfStore]
    buy: list[AmountData]
    without: list[str]
    saved: NotRequired[list[str]]
