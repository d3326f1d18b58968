"""What is in stock: ingredients with grams, price, date and the figures read off a packet or measured."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from datetime import date


@dataclass(frozen=True, slots=True)
class Measured:
    """A number off a packet or of a baker's own measuring; `spread` is its half-width of about 95 % where known."""

    value: float
    spread: float | None = None


@dataclass(frozen=True, slots=True)
class Measurement:
    """Own figures of an ingredient, each of which goes over the table's.

    Sugar, salt, fat, protein, fibre and water are g per 100 g; `tta` is mL of 0.1 M NaOH per 10 g to pH 8.5;
    `acid_percent` is the strength of a vinegar; `falling_number` is seconds.
    """

    sugar: Measured | None = None
    salt: Measured | None = None
    fat: Measured | None = None
    protein: Measured | None = None
    fibre: Measured | None = None
    water: Measured | None = None
    ph: Measured | None = None
    tta: Measured | None = None
    acid_percent: Measured | None = None
    falling_number: Measured | None = None

    def given(self) -> Iterator[tuple[str, Measured]]:
        """Name and number of every figure that is there."""
        for key in MEASUREMENT_KEYS:
            measured = getattr(self, key)
            if measured is not None:
                yield key, measured


MEASUREMENT_KEYS = tuple(field.name for field in fields(Measurement))

MEASUREMENT_RANGES: dict[str, tuple[float, float]] = {
    "sugar": (0, 100),
    "salt": (0, 100),
    "fat": (0, 100),
    "protein": (0, 100),
    "fibre": (0, 100),
    "water": (0, 100),
    "ph": (0, 14),
    "tta": (0, 2000),
    "acid_percent": (0, 100),
    "falling_number": (62, 1000),
}
"""Lowest and highest value that can be meant, in the unit of the figure."""


@dataclass(frozen=True, slots=True)
class Stock:
    """One entry of the pantry. `grams` None means plenty; the price is in the baker's own money per kg."""

    ingredient: str
    grams: float | None = None
    price_per_kg: float | None = None
    best_before: date | None = None
    measurement: Measurement | None = None


@dataclass(frozen=True, slots=True)
class Pantry:
    """The stock in the order it is written down; an ingredient may stand in it more than once (two bags)."""

    name: str
    stock: tuple[Stock, ...] = ()

    def of(self, ingredient: str) -> tuple[Stock, ...]:
        """Every entry of an ingredient."""
        return tuple(entry for entry in self.stock if entry.ingredient == ingredient)

    def grams_of(self, ingredient: str) -> float:
        """Grams in stock: 0 when it is not there, infinite when there is plenty."""
        return math.fsum(math.inf if entry.grams is None else entry.grams for entry in self.of(ingredient))

    def price_of(self, ingredient: str) -> float | None:
        """Price per kg of the first entry that has one."""
        return next((entry.price_per_kg for entry in self.of(ingredient) if entry.price_per_kg is not None), None)

    def with_stock(self, entry: Stock, at: int | None = None) -> Pantry:
        """The pantry with an entry in place of entry `at`, else of the first of the same ingredient, else added."""
        if at is None:
            at = next((i for i, old in enumerate(self.stock) if old.ingredient == entry.ingredient), len(self.stock))
        return replace(self, stock=(*self.stock[:at], entry, *self.stock[at + 1 :]))

    def without(self, at: int) -> Pantry:
        """The pantry without entry `at`."""
        return replace(self, stock=(*self.stock[:at], *self.stock[at + 1 :]))
