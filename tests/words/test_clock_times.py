"""Clock times, hours and numbers as a baker writes them."""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.formula.problems import InputProblem
from adapter.words.clock_times import hours_typed, moment_text, number_typed, past_time, ready_time, start_time

TUESDAY = datetime(2026, 11, 24, 9, 7, 31)


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("09:07", datetime(2026, 11, 24, 9, 7)),
        ("9:30", datetime(2026, 11, 24, 9, 30)),
        ("9.30", datetime(2026, 11, 24, 9, 30)),
        ("09:06", datetime(2026, 11, 25, 9, 6)),
        ("23:59", datetime(2026, 11, 24, 23, 59)),
        ("00:00", datetime(2026, 11, 25, 0, 0)),
        ("today 08:00", datetime(2026, 11, 24, 8, 0)),
        ("tomorrow 8:00", datetime(2026, 11, 25, 8, 0)),
        ("Sat 08:00", datetime(2026, 11, 28, 8, 0)),
        ("saturday 08:00", datetime(2026, 11, 28, 8, 0)),
        ("Mon, 08:00", datetime(2026, 11, 30, 8, 0)),
        ("Tue 10:00", datetime(2026, 11, 24, 10, 0)),
        ("Tue 08:00", datetime(2026, 12, 1, 8, 0)),
        (" 2027-01-30 08:00 ", datetime(2027, 1, 30, 8, 0)),
        ("2020-02-29 08:00", datetime(2020, 2, 29, 8, 0)),
    ],
)
def test_times(text: str, at: datetime) -> None:
    assert start_time(text, TUESDAY) == at
    assert ready_time(text, TUESDAY) == at


@pytest.mark.parametrize(
    "text",
    ["", "9", "25:00", "12:60", "Sat", "Sat 8", "S 08:00", "Someday 08:00", "2027-02-30 08:00", "2027-13-01 08:00",
     "Sat Sun 08:00", "08:00 Sat", "noon", "\x1b[31m08:00", "99999-01-01 08:00"],
)  # fmt: skip
def test_what_is_no_time(text: str) -> None:
    for read in (start_time, ready_time):
        with pytest.raises(InputProblem) as caught:
            read(text, TUESDAY)
        assert "such as" in str(caught.value) and "\x1b" not in str(caught.value)


@given(st.datetimes(TUESDAY, datetime(2031, 1, 1)))
def test_a_moment_shown_for_editing_is_read_back(at: datetime) -> None:
    at = at.replace(second=0, microsecond=0)
    if at >= TUESDAY.replace(second=0, microsecond=0):
        assert ready_time(moment_text(at, TUESDAY), TUESDAY) == at


@pytest.mark.parametrize(
    ("text", "hours"),
    [("1.5", 1.5), ("1,5", 1.5), ("1:30", 1.5), ("1 h 50", 1 + 50 / 60), ("1h50min", 1 + 50 / 60), ("90 min", 1.5),
     ("90m", 1.5), ("2 h", 2.0), ("2h", 2.0), (" 0.75 ", 0.75)],
)  # fmt: skip
def test_hours(text: str, hours: float) -> None:
    assert hours_typed(text) == pytest.approx(hours)


@pytest.mark.parametrize("text", ["", "soon", "1:75", "1:2:3", "h", "nan", "inf", "1e9", "--1"])
def test_what_are_no_hours(text: str) -> None:
    with pytest.raises(InputProblem, match="is not a time in hours"):
        hours_typed(text)


@pytest.mark.parametrize(("text", "value"), [("27", 27.0), ("27,5", 27.5), ("−3", -3.0), (" 6 ", 6.0)])
def test_numbers(text: str, value: float) -> None:
    assert number_typed(text, "a number", "such as 27") == value


@pytest.mark.parametrize("text", ["", "warm", "1,2,3", "nan", "-inf", "1e300"])
def test_what_are_no_numbers(text: str) -> None:
    with pytest.raises(InputProblem, match="is not a number"):
        number_typed(text, "a number", "such as 27")


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("09:00", datetime(2026, 11, 24, 9, 0)),
        ("10:00", datetime(2026, 11, 23, 10, 0)),
        ("yesterday", datetime(2026, 11, 23, 12, 0)),
        ("yesterday 15:30", datetime(2026, 11, 23, 15, 30)),
        ("today 08:00", datetime(2026, 11, 24, 8, 0)),
        ("Sat", datetime(2026, 11, 21, 12, 0)),
        ("tue 10:00", datetime(2026, 11, 17, 10, 0)),
        ("2026-11-20", datetime(2026, 11, 20, 12, 0)),
        ("2026-11-20 07:15", datetime(2026, 11, 20, 7, 15)),
    ],
)
def test_times_that_have_gone_by(text: str, at: datetime) -> None:
    assert past_time(text, TUESDAY) == at


@pytest.mark.parametrize("text", ["", "soon", "2026-13-01", "2026-11-25", "today 10:00", "sat sun 10:00"])
def test_what_has_not_gone_by_is_refused(text: str) -> None:
    with pytest.raises(InputProblem):
        past_time(text, TUESDAY)
