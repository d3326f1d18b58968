"""What people type into the pantry, and that what is shown can be typed again."""

from __future__ import annotations

from datetime import date

import pytest
from formula_strategies import CATALOGUE
from hypothesis import given
from hypothesis import strategies as st

from adapter.formula.pantry import MEASUREMENT_RANGES, Measured
from adapter.formula.problems import InputProblem
from adapter.words.stock_typing import (
    date_shown,
    date_typed,
    figure_shown,
    figure_typed,
    grams_typed,
    price_shown,
    price_typed,
    stock_shown,
)

HONEY = CATALOGUE.get("honey")


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("500", 500.0),
        (" 2 kg ", 2000.0),
        ("1 lb", 453.6),  # 453.59237 g: NIST Handbook 44, appendix C
        ("plenty", None),
        ("PLENTY", None),
        ("0", 0.0),
    ],
)
def test_grams(text: str, grams: float | None) -> None:
    assert grams_typed(text, HONEY) == grams


@pytest.mark.parametrize("text", ["", "  ", "-1", "nan", "inf", "1e9", "2000 kg", "two", "3 cm", "5 \u202e x"])
def test_no_grams(text: str) -> None:
    with pytest.raises(InputProblem):
        grams_typed(text, HONEY)


@pytest.mark.parametrize(
    ("text", "price"),
    [("2.40", 2.4), ("2,40", 2.4), ("2.40 / kg", 2.4), ("3.60 for 750 g", 4.8), ("1.50 per 500", 3.0), ("", None)],
)
def test_price(text: str, price: float | None) -> None:
    found = price_typed(text, HONEY)
    assert found == (None if price is None else pytest.approx(price))


@pytest.mark.parametrize(
    "text", ["cheap", "-2", "1,250", "3.60 for 0 g", "3.60 for", "nan", "1e5", "9999999", "9 for 1 mg"]
)
def test_no_price(text: str) -> None:
    with pytest.raises(InputProblem):
        price_typed(text, HONEY)


@pytest.mark.parametrize("text", ["2031-05-04", "4.5.2031", "04.05.2031", " 4. 5. 2031 "])
def test_date(text: str) -> None:
    assert date_typed(text) == date(2031, 5, 4)


@pytest.mark.parametrize("text", ["2031-02-30", "31.2.2031", "5/4/2031", "soon", "0.0.0000", "2031"])
def test_no_date(text: str) -> None:
    with pytest.raises(InputProblem, match="no date"):
        date_typed(text)


@pytest.mark.parametrize(
    ("key", "text", "figure"),
    [
        ("sugar", "4.1", Measured(4.1)),
        ("sugar", "4,1 g", Measured(4.1)),
        ("sugar", "4.1 g/100 g ± 0.2", Measured(4.1, 0.2)),
        ("ph", "4.1+-0.05", Measured(4.1, 0.05)),
        ("ph", "4.1 +/- .05", Measured(4.1, 0.05)),
        ("acid_percent", "5 %", Measured(5.0)),
        ("falling_number", "210 s ± 15 s", Measured(210.0, 15.0)),
        ("fat", "", None),
    ],
)
def test_figure(key: str, text: str, figure: Measured | None) -> None:
    assert figure_typed(key, text) == figure


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("sugar", "101"),
        ("sugar", "-1"),
        ("sugar", "4 ± -1"),
        ("sugar", "4 ± 1 ± 2"),
        ("ph", "15"),
        ("falling_number", "20"),
        ("salt", "nan"),
        ("salt", "±1"),
        ("salt", "much"),
    ],
)
def test_no_figure(key: str, text: str) -> None:
    with pytest.raises(InputProblem) as problem:
        figure_typed(key, text)
    assert problem.value.right


@given(st.none() | st.floats(0, 1e6).map(lambda grams: round(grams, 1)))
def test_stock_that_is_shown_can_be_typed_again(grams: float | None) -> None:
    assert grams_typed(stock_shown(grams), HONEY) == grams


@given(st.none() | st.integers(0, 99_999).map(lambda cents: cents / 100))
def test_a_price_that_is_shown_can_be_typed_again(price: float | None) -> None:
    assert price_typed(price_shown(price), HONEY) == price


@given(st.none() | st.dates())
def test_a_date_that_is_shown_can_be_typed_again(day: date | None) -> None:
    assert date_typed(date_shown(day)) == day


@given(st.sampled_from(sorted(MEASUREMENT_RANGES)), st.data())
def test_a_figure_that_is_shown_can_be_typed_again(key: str, data: st.DataObject) -> None:
    low, high = MEASUREMENT_RANGES[key]
    value = round(data.draw(st.floats(low, min(high, 999))), 3)
    spread = data.draw(st.none() | st.floats(0, min(high, 999)).map(lambda number: round(number, 3)))
    assert figure_typed(key, figure_shown(Measured(value, spread))) == Measured(value, spread)
