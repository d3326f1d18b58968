"""The timetable for a calendar, against RFC 5545 (iCalendar): folding (3.1), texts (3.3.11), local times (3.3.5)."""

from __future__ import annotations

import re
from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from adapter.exports.calendar_ics import calendar, escaped, folded
from adapter.words.timetable import TimetableRow, timetable_text

WRITTEN = datetime(2026, 11, 24, 9, 0, tzinfo=UTC)
ROWS = (
    TimetableRow(datetime(2026, 11, 24, 20, 0), "set the sourdough", "250 g rye flour; 250 g water, 25 g starter"),
    TimetableRow(datetime(2026, 11, 25, 6, 5), "mix"),
)


def unfolded(text: str) -> list[str]:
    """RFC 5545, 3.1: a CRLF immediately followed by a space or tab is taken out."""
    return re.sub(r"\r\n[ \t]", "", text).split("\r\n")[:-1]


@given(st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=300))
def test_folded_lines_are_short_and_come_back_whole(line: str) -> None:
    parts = folded(line).split("\r\n")
    assert all(len(part.encode()) <= 75 for part in parts)
    assert unfolded(folded(line) + "\r\n") == [line]


def test_text_is_escaped_as_the_standard_says() -> None:
    """3.3.11: backslash, semicolon, comma and line break; a colon is not."""
    assert escaped("a\\b;c,d:e\nf") == "a\\\\b\\;c\\,d:e\\nf"


def test_a_calendar_has_what_the_standard_asks_for() -> None:
    """3.6: VERSION and PRODID; 3.6.1: UID and DTSTAMP (UTC) in each event; 3.3.5 form 1: local time without a zone."""
    text = calendar("Rye, dark", ROWS, WRITTEN)
    lines = unfolded(text)
    assert "\n" not in text.replace("\r\n", "")
    assert lines[0] == "BEGIN:VCALENDAR" and lines[-1] == "END:VCALENDAR" and "VERSION:2.0" in lines
    assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT") == 2
    assert [line for line in lines if line.startswith("DTSTART")] == [
        "DTSTART:20261124T200000",
        "DTSTART:20261125T060500",
    ]
    assert [line for line in lines if line.startswith("DTSTAMP")] == ["DTSTAMP:20261124T090000Z"] * 2
    assert len({line for line in lines if line.startswith("UID:")}) == 2
    assert "SUMMARY:Rye\\, dark: set the sourdough" in lines
    assert "DESCRIPTION:250 g rye flour\\; 250 g water\\, 25 g starter" in lines
    assert calendar("Rye, dark", ROWS, WRITTEN) == text


def test_hostile_text_cannot_end_a_line() -> None:
    rows = (TimetableRow(datetime(2026, 11, 24, 20, 0), "mix\r\nEND:VCALENDAR\x1b[2J"),)
    lines = unfolded(calendar("x\r\nBEGIN:VEVENT", rows, WRITTEN))
    assert lines.count("END:VCALENDAR") == 1 and lines.count("BEGIN:VEVENT") == 1
    assert not any("\x1b" in line for line in lines)


def test_the_text_has_every_time_and_amount_within_its_width() -> None:
    text = timetable_text("Rye", ROWS)
    assert all(len(line) <= 76 for line in text.splitlines())
    assert "Tue 2026-11-24  20:00    set the sourdough" in text and "Wed 2026-11-25  06:05    mix" in text
    assert "250 g rye flour; 250 g water, 25 g starter" in " ".join(text.split())
