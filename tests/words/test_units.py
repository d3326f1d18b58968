"""Amounts and temperatures as a person wants to see them, and as they are typed back.

Weights of a cup: USDA National Nutrient Database for Standard Reference, Release 28, table WEIGHT: honey 339 g (19296),
water 237 g (14411), milk 244 g (01211), granulated sugar 200 g (19335), a teaspoon of table salt 6 g (02047), a large
egg 50 g (01123). An avoirdupois ounce is 28.349 523 g, a cup 236.588 mL (NIST Handbook 44, Appendix C).
"""

from __future__ import annotations

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.formula.amounts import grams_of
from adapter.formula.model import Amount
from adapter.formula.problems import InputProblem
from adapter.words.cupboard_units import CUPS, GRAMS, OUNCES, PINCH, cups_of
from adapter.words.measures_typing import degrees_typed, weight_typed
from adapter.words.units import CELSIUS, FAHRENHEIT, METRIC, Units
from adapter.work.typed_lines import Amount as TypedAmount
from adapter.work.typed_lines import amount_typed


def units(kitchen: Kitchen, amounts: str = GRAMS, degrees: str = CELSIUS) -> Units:
    return Units(amounts, degrees, kitchen.catalogue)


@pytest.mark.parametrize(
    ("name", "grams", "millilitres"),
    [("honey", 339, 236.588), ("water", 237, 236.588), ("white sugar", 200, 236.588), ("milk", 244, 236.588),
     ("salt", 6, 4.929)],
)  # fmt: skip
def test_a_cup_weighs_what_the_food_table_says(kitchen: Kitchen, name: str, grams: float, millilitres: float) -> None:
    item = kitchen.catalogue.get(name)
    assert item.property("density_g_ml") * millilitres == pytest.approx(grams, rel=0.03)
    assert cups_of(grams, item) == ("1 cup" if millilitres > 100 else "1 tsp")


def test_cups_are_near_what_was_weighed(kitchen: Kitchen) -> None:
    """A fraction of a cup where it is near enough, else spoons beside it: near enough when read again."""
    for name in ("white wheat flour", "honey", "water", "salt", "linseed", "rye bran", "butter"):
        item = kitchen.catalogue.get(name)
        for grams in (7, 12, 25, 41, 60, 87, 110, 154, 240, 275, 333, 520, 901, 2000):
            told = cups_of(grams, item)
            read = grams_of(told, item.property("density_g_ml"), None)
            assert read == pytest.approx(grams, rel=0.055 if "cup" in told or "tbsp" in told else 0.08), told


@pytest.mark.parametrize(
    ("name", "grams", "told"),
    [("water", 266, "1 cup + 2 tbsp"), ("water", 29.6, "2 tbsp"), ("honey", 28, "1 tbsp + 1 tsp"),
     ("water", 0.1, PINCH), ("water", 315.5, "1⅓ cups"), ("egg", 100, "2 pieces"), ("egg", 50, "1 piece")],
)  # fmt: skip
def test_small_amounts_are_spoons_and_what_is_counted_is_pieces(
    kitchen: Kitchen, name: str, grams: float, told: str
) -> None:
    assert cups_of(grams, kitchen.catalogue.get(name)) == told


def test_an_amount_is_told_in_each_unit(kitchen: Kitchen) -> None:
    grams, ounces, cups = (units(kitchen, each) for each in (GRAMS, OUNCES, CUPS))
    assert [each.amount(237, "water") for each in (grams, ounces, cups)] == ["237 g", "8.4 oz", "1 cup"]
    assert [each.cell(237, "water") for each in (grams, ounces, cups)] == ["237", "8.4", "1 cup"]
    assert [each.amount(-12, "water", True) for each in (grams, ounces)] == ["−12 g", "−0.42 oz"]
    assert ounces.amount(453.59237) == "16.0 oz" and ounces.amount(0.5) == "0.018 oz" and ounces.amount(0) == "0.0 oz"
    assert cups.amount(1800) == "1800 g", "nobody knows what a cup of a dough weighs"
    assert cups.amount(0, "water") == "0 g"
    assert cups.named(Amount("water", 237)) == "water 1 cup"
    assert [each.head for each in (grams, ounces, cups)] == ["grams", "oz", "cups"]


def test_from_one_amount_to_another(kitchen: Kitchen) -> None:
    assert units(kitchen).change(9, 10, "fresh yeast") == "9 → 10 g"
    assert units(kitchen, OUNCES).change(283.5, 567, "water") == "10.0 → 20.0 oz"
    assert units(kitchen, CUPS).change(237, 474, "water") == "1 cup → 2 cups"
    assert units(kitchen, CUPS).change(237, 238, "water") == "237 g → 238 g", "a cup does not show that they differ"


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"), [(0, "32 °F"), (100, "212 °F"), (37, "98.6 °F"), (-40, "−40 °F"), (230, "446 °F")]
)
def test_degrees_on_both_scales(celsius: float, fahrenheit: str) -> None:
    """Fixed points of water and of the two scales."""
    assert Units(degrees=FAHRENHEIT).temperature(celsius) == fahrenheit
    assert METRIC.temperature(celsius) == f"{celsius} °C".replace("-", "−")
    assert degrees_typed(fahrenheit, "a temperature", "") == pytest.approx(celsius)


@pytest.mark.parametrize("typed", ["75", "98.6", "425", "38.5"])
def test_what_was_typed_in_fahrenheit_is_shown_again(typed: str) -> None:
    shown = Units(degrees=FAHRENHEIT)
    stored = degrees_typed(shown.degrees_heard(typed), "a temperature", "")
    assert shown.degree_text(stored) == typed


def test_a_named_scale_goes_over_the_one_shown() -> None:
    fahrenheit = Units(degrees=FAHRENHEIT)
    for shown, text, celsius in (
        (METRIC, "75 F", 23.89), (METRIC, "75°F", 23.89), (METRIC, "24", 24), (fahrenheit, "24 C", 24),
        (fahrenheit, "75", 23.89), (fahrenheit, "75f", 23.89), (fahrenheit, "24 °C", 24),
    ):  # fmt: skip
        assert degrees_typed(shown.degrees_heard(text), "a temperature", "") == celsius
    assert fahrenheit.stages_heard("14 h 75, 10 h 40") == "14 h 75 °F, 10 h 40 °F"
    assert fahrenheit.stages_heard("by 07:00 at 75") == "by 07:00 at 75 °F"
    assert fahrenheit.stages_heard("14 h 24 C, 12 h at 40") == "14 h 24 C, 12 h at 40 °F"
    assert fahrenheit.stages_told("14 h 24, 10 h 5") == "14 h 75.2, 10 h 41"
    assert METRIC.stages_heard("14 h 24") == "14 h 24"


@pytest.mark.parametrize("text", ["abc", "", "75 K", "2 cups"])
def test_what_is_no_temperature_and_no_weight_is_refused(text: str) -> None:
    with pytest.raises(InputProblem):
        degrees_typed(text, "a temperature", "such as 24")
    with pytest.raises(InputProblem):
        weight_typed(text, "a weight", "such as 500")


def test_a_bare_number_is_in_the_unit_shown_and_a_named_one_is_not(kitchen: Kitchen) -> None:
    water, egg, salt = (kitchen.catalogue.get(name) for name in ("water", "egg", "salt"))
    ounces, cups = units(kitchen, OUNCES), units(kitchen, CUPS)
    assert [cups.bare(water, 500), cups.bare(water, 20), cups.bare(salt, 6), cups.bare(water)] == [
        "cup",
        "tbsp",
        "tsp",
        "cup",
    ]
    assert cups.bare(egg, 50) == "piece" and cups.bare(None, 50) == "g" and ounces.bare(water, 5) == "oz"
    assert amount_typed("2", water, bare_unit=cups.bare(water, 500)).grams == pytest.approx(2 * 237, abs=1)
    assert amount_typed("2", water, bare_unit="oz") == TypedAmount(56.7)
    assert amount_typed("2 g", water, bare_unit="oz") == TypedAmount(2.0)
    assert amount_typed("2 cups", water, bare_unit="oz") == amount_typed("2 cups", water)
    assert amount_typed("2", egg, bare_unit="piece") == TypedAmount(100.0, "2 pieces")
    assert weight_typed(ounces.heard("60", ounces.weight), "a weight", "") == 1701.0
    assert ounces.heard("60 g", "oz") == "60 g" and METRIC.heard("60", "g") == "60"


@pytest.mark.parametrize(
    ("metric", "told"),
    [
        ("Chill it to 3 °C, or swap 210 g of it for ice.", "Chill it to 37 °F, or swap 7.4 oz of it for ice."),
        ("Or warm the milk (520 g) from 5 to 33 °C.", "Or warm the milk (18.3 oz) from 41 to 91 °F."),
        ("alone moves it by -4 °C", "alone moves it by -7 °F"),
        ("bake about 15 °C cooler", "bake about 27 °F cooler"),
        ("crumb warms 2.5 °C a minute", "crumb warms 4.5 °F a minute"),
        ("rye bran: 20 of 60 g in store", "rye bran: 0.71 of 2.1 oz in store"),
        ("kept at 18–22 °C", "kept at 64–72 °F"),
        ("5 g/100 g, 0.85 kJ/(kg °C)", "5 g/100 g, 0.85 kJ/(kg °C)"),
    ],
)  # fmt: skip
def test_sentences_of_the_core_are_told_in_the_units_shown(kitchen: Kitchen, metric: str, told: str) -> None:
    assert units(kitchen, OUNCES, FAHRENHEIT).told(metric) == told
    assert METRIC.told(metric) == metric


def test_steps_go_on_to_whole_ones_of_the_unit_shown() -> None:
    fahrenheit = Units(degrees=FAHRENHEIT)
    step = fahrenheit.degree_step(5.0)
    assert [fahrenheit.stepped(446, by, step) for by in (1, -1)] == [450, 440]
    assert fahrenheit.stepped(450, 1, step) == 460
    assert Units(OUNCES).weight_step(50.0) == 2.0 and METRIC.weight_step(50.0) == 50.0
