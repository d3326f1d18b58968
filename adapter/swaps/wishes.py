"""What a loaf is asked for: from this store, without that, a reading at a value, what is held; and how many answers."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import BY_KEY, READING_KEYS, key_of
from adapter.formula.model import Formula
from adapter.formula.near_names import nearest_three
from adapter.formula.pantry import Pantry
from adapter.formula.problems import InputProblem
from adapter.swaps.comparison import cost

PRICE = "price"
HELD_PART, HELD_STEPS = 0.08, 0.45
"""What is held may move by this part of what a baker notices, while it lies within so many steps of what is shown."""
MOST_WAYS, MOST_SWAPS = 9, 30
SECONDS = 5.0

_NUMBER = r"[+-]?\d+(?:[.,]\d+)?|[+-]?[.,]\d+"
_VALUE = re.compile(rf"(?P<number>{_NUMBER})(?P<percent>\s*%)?\Z")


@dataclass(frozen=True, slots=True)
class Aim:
    """A reading, or the price, wanted between two values; the same value twice for just that one."""

    key: str
    low: float
    high: float
    said: str

    def misses(self, value: float) -> float:
        """By how much a value lies outside, rounded as it is shown; below zero for too low."""
        shown = shown_value(self.key, value)
        if shown < shown_value(self.key, self.low):
            return value - self.low
        if shown > shown_value(self.key, self.high):
            return value - self.high
        return 0.0


@dataclass(frozen=True, slots=True)
class Wishes:
    """Everything that is wished of a loaf.

    `without` are the words as said, `ruled_out` the ingredients that carry them with how; `holds` are reading keys and
    "line:NAME". `refused` and `pinned` are the names of swaps that must not, and must, be in every answer. `eased` are
    aims, as said, that cannot be met: they are sought, but not at any price.
    """

    pantry: Pantry | None = None
    without: tuple[str, ...] = ()
    ruled_out: Mapping[str, str] = field(default_factory=dict)
    aims: tuple[Aim, ...] = ()
    holds: tuple[str, ...] = ()
    ways: int = 1
    most_swaps: int | None = None
    refused: frozenset[str] = frozenset()
    pinned: frozenset[str] = frozenset()
    seconds: float = SECONDS
    eased: frozenset[str] = frozenset()
    words_of: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """By which of the words each ingredient is ruled out; by all of them where that is not told."""

    def is_ruled_out_by(self, name: str, words: Sequence[str]) -> bool:
        return any(word in self.words_of.get(name, self.without) for word in words)

    def __post_init__(self) -> None:
        if not 1 <= self.ways <= MOST_WAYS:
            raise InputProblem(f"{self.ways} ways", right=f"1 to {MOST_WAYS}")
        if self.most_swaps is not None and not 0 <= self.most_swaps <= MOST_SWAPS:
            raise InputProblem(f"{self.most_swaps} swaps", right=f"0 to {MOST_SWAPS}")
        for aim in self.aims:
            others = [other for other in self.aims if other.key == aim.key and other is not aim]
            for other in others:
                if other.low > aim.high:
                    raise InputProblem(f"{aim.said} and {other.said} contradict each other", right="one of them")
            if aim.key in self.holds:
                raise InputProblem(f"{aim.said} contradicts holding {aim.key}", right="one of them")


def decimals_of(key: str) -> int:
    return 2 if key == PRICE else BY_KEY[key].decimals


def shown_value(key: str, value: float) -> float:
    """A value in the digits in which it is shown."""
    if not math.isfinite(value):
        return value
    step = None if key == PRICE else BY_KEY[key].shown_in_steps_of
    if step:
        value = round(value / step) * step
    return round(value, decimals_of(key))


def held_within(key: str, value: float, tolerance: float) -> tuple[float, float]:
    """How far a reading that is held may lie below and above: next to nothing, and shown the same."""
    band = HELD_PART * tolerance
    if key not in BY_KEY or BY_KEY[key].percent_of_book or not math.isfinite(value):
        return band, band
    room = HELD_STEPS * (BY_KEY[key].shown_in_steps_of or 10.0 ** -BY_KEY[key].decimals)
    off = value - shown_value(key, value)
    return min(band, max(0.0, room + off)), min(band, max(0.0, room - off))


def value_of(key: str, measured: Measured, pantry: Pantry | None) -> float:
    """A reading of a dough, or its price; infinite for a price that is not known."""
    if key != PRICE:
        return measured.value(key)
    price = cost(measured.formula, pantry) if pantry is not None else None
    return math.inf if price is None else price


def read_aim(text: str, measured: Measured, pantry: Pantry | None) -> Aim:
    """ "salt=1.6", "sweetness=-30%", "hydration=+3", "fibre=12..", "price=..3.50", "tta=7..8".

    A sign makes it a change from what is there now, by points or by %. Raises InputProblem.
    """
    name, equals, wanted = text.partition("=")
    key = key_of(name)
    if key != PRICE and key not in READING_KEYS:
        near = nearest_three(key, (*READING_KEYS, PRICE))
        raise InputProblem(f"{name.strip()[:60]!r} is no reading", where="aim", right=f"nearest: {near}")
    if not equals or not wanted.strip():
        raise InputProblem(
            f"{text[:60]!r} says no value", where="aim", right=f"such as {key}=1.6, {key}=-30% or {key}=2.."
        )
    now = value_of(key, measured, pantry)
    if key == PRICE and (pantry is None or (not math.isfinite(now) and not _is_absolute(wanted))):
        raise InputProblem("a price needs a store with a price for every line", where="aim", right="--pantry NAME")
    low_text, dots, high_text = wanted.strip().partition("..")
    if not dots:
        low = high = _value(low_text, now, text)
    else:
        low = _value(low_text, now, text) if low_text.strip() else -math.inf
        high = _value(high_text, now, text) if high_text.strip() else math.inf
        if not (math.isfinite(low) or math.isfinite(high)):
            raise InputProblem(f"{text[:60]!r} says no value", where="aim", right=f"{key}=2.. or {key}=..3")
    if low > high:
        raise InputProblem(f"{text[:60]!r} runs downwards", where="aim", right="the smaller value first")
    if high < 0:
        raise InputProblem(f"{text[:60]!r} is below nothing", where="aim", right=f"{key} is {now:.3g} now")
    return Aim(key, low, high, f"{key}={wanted.strip()}")


def _is_absolute(wanted: str) -> bool:
    """Whether an aim says what is to be, and no change from what is there."""
    return not any(sign in wanted for sign in "+-−%")


def _value(text: str, now: float, whole: str) -> float:
    match = _VALUE.match(text.strip().replace("−", "-"))
    if match is None:
        raise InputProblem(
            f"{whole[:60]!r} is no wish", where="aim", right="a number, a change such as +3 or -30 %, a range"
        )
    number = float(match["number"].replace(",", "."))
    if abs(number) > 1e6:
        raise InputProblem(f"{whole[:60]!r} is out of reach", where="aim", right="a value that a dough can have")
    signed = match["number"][0] in "+-"
    if match["percent"]:
        return now * (1.0 + number / 100.0) if signed else now * number / 100.0
    return now + number if signed else number


def price_known(formula: Formula, pantry: Pantry | None) -> float | None:
    """What a formula costs by the store's prices; None where a price is missing."""
    return None if pantry is None else cost(formula, pantry)
