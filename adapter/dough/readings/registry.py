"""Every reading, in the order in which they are shown, and every other quantity that a rule may keep.

A new reading goes into the READINGS of its family's module. A new family is named here, at its place in the order.
"""

from __future__ import annotations

from collections.abc import Mapping

from adapter.dough.readings import (
    acidity,
    composition,
    leavening,
    masses,
    rise,
    starch,
    water_activity,
    water_and_sugars,
)
from adapter.dough.readings.linear import Quantity, Share
from adapter.dough.readings.reading import Reading, label_of
from adapter.dough.readings.totals import Layout
from adapter.formula.substances import Substances

READINGS: tuple[Reading, ...] = (
    *water_and_sugars.READINGS,
    *acidity.READINGS,
    *composition.READINGS,
    *rise.READINGS,
    *leavening.READINGS,
    *starch.READINGS,
    *water_activity.READINGS,
    *masses.READINGS,
)
READING_KEYS = tuple(reading.key for reading in READINGS)
BY_KEY: Mapping[str, Reading] = {reading.key: reading for reading in READINGS}
BESIDE_READINGS: tuple[Share, ...] = (*water_and_sugars.BESIDE, *composition.BESIDE)
"""Linear quantities that a rule may keep, though they are no readings."""
CARD_KEYS = tuple(reading.key for reading in READINGS if reading.on_card)
"""The readings that a reader at the bowl can use."""


def quantities(layout: Layout, substances: Substances) -> Mapping[str, Quantity]:
    """Every linear quantity over the totals of one catalogue, by key."""
    shares = [reading for reading in READINGS if isinstance(reading, Share)]
    return {share.key: share.quantity(layout, substances) for share in (*shares, *BESIDE_READINGS)}


def key_of(text: str) -> str:
    """A key as a person may write it: "rise-time", "Rise Time" as "rise_time"."""
    return "_".join(text.strip().lower().replace("-", " ").replace("_", " ").split())


def label(key: str) -> str:
    """What a reading or another quantity is called."""
    reading = BY_KEY.get(key)
    return label_of(key) if reading is None else reading.label


def change_unit(key: str) -> str:
    """The unit of a change told in words; of what is no reading, points of the flour."""
    reading = BY_KEY.get(key)
    if reading is None:
        return "%"
    return reading.short_unit if reading.change_unit is None else reading.change_unit


def rounded(key: str, value: float, signed: bool = False) -> tuple[float, int]:
    """A value (or, `signed`, a change) with no more digits than mean something, and how many decimals it has."""
    reading = BY_KEY.get(key)
    decimals = 1
    if reading is not None:
        decimals = reading.decimals if not signed or reading.signed_decimals is None else reading.signed_decimals
        if reading.shown_in_steps_of is not None and not signed:
            value = round(value / reading.shown_in_steps_of) * reading.shown_in_steps_of
    return round(value, decimals) + 0.0, decimals  # a change that rounds to nothing has no sign
