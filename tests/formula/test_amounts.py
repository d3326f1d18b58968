"""Amounts, lengths and temperatures as people write them, against NIST Handbook 44 and USDA SR28 weights."""

from __future__ import annotations

import math
import subprocess
import sys
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.formula.amounts import MOST_GRAMS, checked_grams, grams_of, length_m, temperature_c
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem

# NIST Handbook 44, Appendix C, General Tables of Units of Measurement.
POUND_G = 453.59237
OUNCE_G = 28.349523
CUP_ML = 236.588
TABLESPOON_ML = 14.787
TEASPOON_ML = 4.929
FLUID_OUNCE_ML = 29.574
PINT_ML = 473.176
QUART_ML = 946.353
GALLON_ML = 3785.412
# UK Units of Measurement Regulations 1995, schedule (from memory).
IMPERIAL_PINT_ML = 568.26125


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("480", 480),
        ("480 g", 480),
        ("480g", 480),
        ("480 g.", 480),
        ("480 grams", 480),
        ("1,5 kg", 1500),
        ("1.5 KG", 1500),
        ("0,250 kg", 250),
        ("1.5e2 g", 150),
        ("0 g", 0),
        ("500 mg", 0.5),
        ("0.5 lb", POUND_G / 2),
        ("2 lbs", 2 * POUND_G),
        ("9 oz", 9 * OUNCE_G),
        ("10-ounce", 10 * OUNCE_G),
        ("1 lb 4 oz", 20 * OUNCE_G),
        ("1 lb, 4 oz", 20 * OUNCE_G),
        ("1 pound and 4 ounces", 20 * OUNCE_G),
        ("about 100 g", 100),
        ("100-200 g", 150),
        ("100 to 200 g", 150),
        ("100 – 200 g", 150),
    ],
)
def test_weights(text: str, grams: float) -> None:
    assert grams_of(text, None) == pytest.approx(grams, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "millilitres"),
    [
        ("250 ml", 250),
        ("2 dl", 200),
        ("0.25 L", 250),
        ("1 litre", 1000),
        ("1 cup", CUP_ML),
        ("2 cups", 2 * CUP_ML),
        ("1 c", CUP_ML),
        ("1 1/2 cups", 1.5 * CUP_ML),
        ("1½ cups", 1.5 * CUP_ML),
        ("1 ½ cups", 1.5 * CUP_ML),
        ("1-1/2 cups", 1.5 * CUP_ML),
        ("1⁄3 cup", CUP_ML / 3),
        ("half a cup", CUP_ML / 2),
        ("a cup of", CUP_ML),
        ("1 tbsp", TABLESPOON_ML),
        ("1 1/2 tbsp", 1.5 * TABLESPOON_ML),
        ("2-3 tbsp", 2.5 * TABLESPOON_ML),
        ("1 T", TABLESPOON_ML),
        ("1 level tablespoon", TABLESPOON_ML),
        ("½ tsp", TEASPOON_ML / 2),
        ("1 t", TEASPOON_ML),
        ("2 tbsp + 1 tsp", 2 * TABLESPOON_ML + TEASPOON_ML),
        ("1 cup plus 2 tablespoons", CUP_ML + 2 * TABLESPOON_ML),
        ("1 fl oz", FLUID_OUNCE_ML),
        ("1 fl. oz.", FLUID_OUNCE_ML),
        ("1/2 pint", PINT_ML / 2),
        ("1 quart", QUART_ML),
        ("1 gallon", GALLON_ML),
        ("1 imperial pint", IMPERIAL_PINT_ML),
        ("1 UK fl oz", IMPERIAL_PINT_ML / 20),
        ("2 metric cups", 500),
        ("1 metric tbsp", 15),
        ("1 metric tsp", 5),
    ],
)
def test_volumes_of_a_liquid_of_density_one(text: str, millilitres: float) -> None:
    assert grams_of(text, 1.0) == pytest.approx(millilitres, rel=5e-5)


# USDA National Nutrient Database SR28 (2016), table WEIGHT: the density follows from the cup, and the
# spoonful or fluid ounce is weighed again. Spoons are printed to 0.1–1 g.
@pytest.mark.parametrize(
    ("ingredient", "cup_g", "text", "grams", "printed_to"),
    [
        ("honey, NDB 19296", 339, "1 tbsp", 21, 0.5),
        ("maple syrup, NDB 19353", 315, "1 tbsp", 20, 0.5),
        ("malt syrup, NDB 19352", 332, "1 tbsp", 21, 0.5),
        ("milk, NDB 01211", 244, "1 tbsp", 15, 0.5),
        ("milk, NDB 01211", 244, "1 fl oz", 30.5, 0.05),
        ("buttermilk, NDB 01088", 245, "1 fl oz", 30.6, 0.05),
        ("lemon juice, NDB 09152", 244, "1 fl oz", 30.5, 0.05),
        ("orange juice, NDB 09206", 248, "1 fl oz", 31, 0.05),
        ("cider vinegar, NDB 02048", 239, "1 tbsp", 14.9, 0.05),
        ("cider vinegar, NDB 02048", 239, "1 tsp", 5, 0.05),
        ("white sugar, NDB 19335", 200, "1 tsp", 4.2, 0.05),
        ("table salt, NDB 02047", 292, "1 tbsp", 18, 0.5),
        ("table salt, NDB 02047", 292, "1 tsp", 6, 0.5),
        ("butter, NDB 01145", 227, "1 tbsp", 14.2, 0.05),
        ("lard, NDB 04002", 205, "1 tbsp", 12.8, 0.05),
        ("cocoa, NDB 19165", 86, "1 tbsp", 5.4, 0.05),
        ("sesame seeds, NDB 12023", 144, "1 tbsp", 9, 0.5),
    ],
)
def test_spoonfuls_weigh_what_the_food_table_says(
    ingredient: str, cup_g: float, text: str, grams: float, printed_to: float
) -> None:
    density = cup_g / CUP_ML
    assert grams_of("1 cup", density) == pytest.approx(cup_g, rel=5e-5)
    assert grams_of(text, density) == pytest.approx(grams, abs=printed_to + 0.005), ingredient


def test_a_stick_of_butter_is_half_a_cup_of_it() -> None:
    """SR28 NDB 01145: 1 stick 113 g, 1 cup 227 g."""
    assert grams_of("1 stick", None) == pytest.approx(113, abs=0.5)


def test_pieces_need_the_weight_of_one() -> None:
    assert grams_of("2 eggs", None, 50) == 100
    assert grams_of("1½ pieces", None, 44) == 66
    with pytest.raises(InputProblem, match="weight of one is not known"):
        grams_of("2 eggs", 1.0)


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "g",
        "g 480",
        "-5 g",
        "−5 g",
        "- 5 g",
        "nan",
        "NaN g",
        "inf g",
        "∞",
        "infinite g",
        "1e9 g",
        "1000001 g",
        "1e400 g",
        "1,250 g",
        "1/0 cup",
        "3-2 g",
        "3 blinks",
        "3 kilocups",
        "3 heaped tbsp",
        "9 in",
        "9 m",
        "350 F",
        "1 2 g",
        "2**99 g",
        "2 cups * 3",
        "__import__('os')",
        "1 cup (240 ml)",
        "3 [red]spoons[/red]",
        "\x1b[31m5\x1b[0m blinks",
        "1" * 101,
        "1 " * 60,
    ],
)
def test_what_is_no_amount_gives_one_clear_line(text: str) -> None:
    with pytest.raises(InputProblem) as caught:
        grams_of(text, 1.0, 50)
    line = str(caught.value)
    assert line.isprintable() and len(line) < 250
    assert caught.value.right


def test_the_line_says_what_is_wrong() -> None:
    for text, words in {
        "9 in": "length",
        "3 blinks": "no unit 'blinks'",
        "-5 g": "negative",
        "1,250 g": "two ways",
        "1e9 g": "too much",
        "nan": "no amount",
        "1/0 cup": "zero",
    }.items():
        with pytest.raises(InputProblem, match=words):
            grams_of(text, 1.0)
    for unknown in (None, 0.0):
        with pytest.raises(InputProblem, match="density is not known"):
            grams_of("2 cups", unknown)


@pytest.mark.parametrize("grams", [math.nan, math.inf, -math.inf, -1e-9, MOST_GRAMS * 1.000001])
def test_grams_that_no_formula_can_hold(grams: float) -> None:
    with pytest.raises(InputProblem):
        checked_grams(grams)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("22", 0.22),
        ("22 cm", 0.22),
        ("22,5 cm", 0.225),
        ("220mm", 0.22),
        ("0.22 m", 0.22),
        ("9 in", 0.2286),
        ("9 inches", 0.2286),
        ('8.5"', 0.2159),
        ("8½”", 0.2159),
        ("8 1/2''", 0.2159),
        ("1 ft", 0.3048),
    ],
)
def test_lengths(text: str, metres: float) -> None:
    """1 in = 2.54 cm exactly (NIST Handbook 44)."""
    assert length_m(text) == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize("text", ["", "0", "0 cm", "-5 cm", "3 m", "5 g", "2 cups", "x", "nan", "inf cm", "9 F"])
def test_what_is_no_length(text: str) -> None:
    with pytest.raises(InputProblem):
        length_m(text)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("175", 175),
        ("175 C", 175),
        ("175°C", 175),
        ("175 degrees Celsius", 175),
        ("-5 C", -5),
        ("32 F", 0),
        ("212°F", 100),
        ("350 F", 176.667),
        ("-40 F", -40),
    ],
)
def test_temperatures(text: str, celsius: float) -> None:
    assert temperature_c(text) == pytest.approx(celsius, abs=1e-3)


@pytest.mark.parametrize("text", ["", "-", "gas 4", "175 K", "1e5", "nan", "inf", "-300", "20 C 30", "9 in"])
def test_what_is_no_temperature(text: str) -> None:
    with pytest.raises(InputProblem):
        temperature_c(text)


def test_the_plain_units_agree_with_the_definitions_file() -> None:
    from adapter.formula import amounts

    registry = amounts._registry()
    for name, grams in amounts._GRAMS.items():
        if name:
            assert registry.Quantity(1.0, name).to("gram").magnitude == pytest.approx(grams, rel=1e-12)
    for name, (factor, divisor) in amounts._METRES.items():
        if name:
            assert registry.Quantity(1.0, name).to("metre").magnitude == pytest.approx(factor / divisor, rel=1e-12)


def test_grams_inches_and_degrees_load_no_unit_library() -> None:
    code = (
        "import sys; from adapter.formula.amounts import grams_of, length_m, temperature_c;"
        "grams_of('480', 1); grams_of('1,5 kg', 1); length_m('9 in'); length_m('22'); temperature_c('350 F');"
        "print('pint' in sys.modules); grams_of('1 cup', 1); print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "True"]


@given(st.floats(0, MOST_GRAMS))
def test_any_number_of_grams_is_read_as_itself(grams: float) -> None:
    assert grams_of(f"{grams!r} g", None) == grams


@given(st.text(max_size=30))
def test_any_text_is_an_amount_or_an_input_problem(text: str) -> None:
    for read in (lambda t: grams_of(t, 0.5, 50), length_m, temperature_c):
        try:
            assert math.isfinite(read(text))
        except InputProblem as problem:
            assert str(problem) == clean(str(problem))


@given(st.from_regex(r"[0-9½ ,./e+-]{1,12} ?(g|cups?|tbsp|in|°F)?", fullmatch=True))
def test_anything_like_an_amount_is_read_or_refused(text: str) -> None:
    with suppress(InputProblem):
        assert 0 <= grams_of(text, 0.5) <= MOST_GRAMS
