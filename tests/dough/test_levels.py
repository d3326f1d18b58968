"""Levels: steps of what a baker notices, the word for how far, and the place in the band."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from adapter.dough.readings.differences import difference, tolerance_steps
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.levels import NO_CLEAR_CHANGE, Level, band_steps, level, levels
from adapter.dough.readings.measured import measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.dough.tables.bands import Band
from adapter.formula.model import Formula

DARK = {"wholemeal rye flour": 480, "white wheat flour": 150, "wheat bran": 60, "buttermilk": 520, "honey": 60,
        "molasses": 60, "salt": 13, "fresh yeast": 9}  # fmt: skip


def test_against_itself_every_bubble_is_in_the_middle(kitchen: Kitchen, loaf: Callable[..., Formula]) -> None:
    measured = measure(kitchen, loaf(DARK))
    found = levels(measured)
    assert [each.key for each in found] == list(READING_KEYS)
    assert all(each.steps == 0 and each.word == "" and each.change == 0 for each in found)


def test_levels_are_the_differences_and_tolerances_of_the_readings(
    kitchen: Kitchen, loaf: Callable[..., Formula]
) -> None:
    book = measure(kitchen, loaf(DARK))
    now = measure(kitchen, loaf({**DARK, "honey": 20}))
    for found in levels(now, book):
        change = difference(book, now, found.key)
        assert found.change == change.change and found.clear == change.clear and found.spread == change.spread
        assert found.steps == tolerance_steps(now, book, found.key)
        assert (found.book, found.now) == (book.value(found.key), now.value(found.key))


@pytest.mark.parametrize(
    ("steps", "clear", "word"),
    [
        (0.0, False, ""),
        (0.1, False, ""),
        (0.5, True, ""),
        (0.5, False, NO_CLEAR_CHANGE),
        (1.0, True, ""),
        (1.5, True, "more"),
        (-1.5, True, "less"),
        (3.5, True, "much more"),
        (-3.5, True, "much less"),
        (3.5, False, NO_CLEAR_CHANGE),
    ],
)
def test_the_word_says_how_far(steps: float, clear: bool, word: str) -> None:
    assert Level("sugar", "%", 5.0, 5.0 + steps, steps, 0.1, steps, clear, None, 0, "").word == word


@pytest.mark.parametrize(
    ("key", "change", "word"),
    [("ph", 0.2, "less sour"), ("ph", -0.2, "more sour"), ("rise_time", 1.0, "longer"), ("pace", -0.2, "slower")],
)
def test_a_reading_moves_as_a_baker_says(key: str, change: float, word: str) -> None:
    """A higher pH is no more of anything: the dough is less sour."""
    assert Level(key, "", 4.0, 4.0 + change, change, 0.1, 2.0, True, None, 0, "").word == word


def test_the_side_of_the_band_and_the_formulas_reason(kitchen: Kitchen, loaf: Callable[..., Formula]) -> None:
    salty = loaf({**DARK, "salt": 60}, reasons=(("salt", "for the trial"),))
    found = level(measure(kitchen, salty), measure(kitchen, loaf(DARK)), "salt")
    assert found.band is not None and found.now > found.band.high
    assert (found.side, found.reason) == (1, "for the trial")


def test_a_reading_is_on_no_side_where_there_is_no_band_or_no_number(
    kitchen: Kitchen, loaf: Callable[..., Formula]
) -> None:
    """Every reading without its band; and a dough that never rises is no dough that rises too long."""
    bandless = measure(replace(kitchen, bands=replace(kitchen.bands, bands={})), loaf(DARK))
    assert {(found.side, found.band) for found in levels(bandless)} == {(0, None)}
    style = kitchen.bands.style_for(measure(kitchen, loaf(DARK)).value("rye_share")).name
    hours = replace(kitchen.bands, bands={(style, "rise_time"): Band(style, "rise_time", 1.0, 4.0, "A", "trial")})
    dead = measure(replace(kitchen, bands=hours), loaf({**DARK, "fresh yeast": 0}))
    found = level(dead, dead, "rise_time")
    assert (found.now, found.side) == (math.inf, 0) and found.band is not None


def test_the_place_in_a_band() -> None:
    band = Band("rye", "sugar", 2.0, 6.0, "A", "trial")
    found = Level("sugar", "%", 4.0, 4.0, 0.0, 0.0, 0.0, False, band, 0, "")
    assert band_steps(found) == 0
    assert band_steps(replace(found, now=6.0)) == 1 and band_steps(replace(found, now=2.0)) == -1
    assert band_steps(replace(found, now=8.0)) == 2
    assert band_steps(replace(found, band=None)) is None
    assert band_steps(replace(found, now=float("inf"))) is None
