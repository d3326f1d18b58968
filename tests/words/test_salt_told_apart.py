"""Salt that is weighed in and salt that milk or butter brings are told apart, on the reading and on the line."""

from __future__ import annotations

from collections.abc import Callable

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.levels import levels
from adapter.dough.readings.measured import measure
from adapter.formula.model import Formula
from adapter.words.offer_words import level_sentences, line_sentences


def test_salt_of_butter_stands_beside_the_salt_weighed_in(kitchen: Kitchen, loaf: Callable[..., Formula]) -> None:
    grams = {"bread flour": 500.0, "salted butter": 60.0, "salt": 8.0, "fresh yeast": 10.0, "water": 300.0}
    measured = measure(kitchen, loaf(grams))
    level = next(each for each in levels(measured) if each.key == "salt")
    told = [text for text, _ in level_sentences(level, measured)]
    brought = 60.0 * kitchen.catalogue.get("salted butter").figure("salt") / 100.0
    assert f"weighed in as salt 8.0 g · with other things {brought:.1f} g, most in salted butter" in told
    line = line_sentences(measured, 1, None)[0][0]
    assert f"brings {brought:.1f} g of salt" in line
    assert "brings" not in line_sentences(measured, 2, None)[0][0] + line_sentences(measured, 4, None)[0][0]
