"""The timetable of a bake for a calendar: iCalendar (RFC 5545), written by hand.

Each step is an event at a local time without zone ("floating", section 3.3.5, form 1): a dough knows none. Lines end in
CR LF and are folded at 75 octets (3.1); texts are escaped (3.3.11).
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import UTC, datetime

from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.plan import bake_plan
from adapter.dough.readings.measured import Measured
from adapter.exports.form import FormulaForm, ForReaders
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.words.timetable import TimetableRow, timetable

LONGEST_LINE = 75
"""Octets of a line, without its end."""
LASTS = "PT5M"
_LOCAL, _UTC = "%Y%m%dT%H%M%S", "%Y%m%dT%H%M%SZ"


def calendar(name: str, rows: Sequence[TimetableRow], written: datetime) -> str:
    """The events of a timetable. `written` is the moment it is written, in UTC."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//otherloaf//timetable of a bake//EN", "CALSCALE:GREGORIAN"]
    for row in rows:
        lines += _event(clean(name), row, written)
    return "".join(folded(line) + "\r\n" for line in [*lines, "END:VCALENDAR"])


def _event(name: str, row: TimetableRow, written: datetime) -> list[str]:
    said = hashlib.sha256(f"{name}\n{row.at.isoformat()}\n{row.do}".encode()).hexdigest()[:32]
    summary = escaped(f"{name}: {clean(row.do)}")
    return [
        "BEGIN:VEVENT",
        f"UID:{said}@otherloaf",
        f"DTSTAMP:{written:{_UTC}}",
        f"DTSTART:{row.at:{_LOCAL}}",
        f"DURATION:{LASTS}",
        f"SUMMARY:{summary}",
        *([f"DESCRIPTION:{escaped(clean(row.amounts))}"] if row.amounts else []),
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        "TRIGGER:PT0S",
        f"DESCRIPTION:{summary}",
        "END:VALARM",
        "END:VEVENT",
    ]


def escaped(text: str) -> str:
    """A text value: backslash, semicolon, comma and line break are written with a backslash."""
    for sign, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n")):
        text = text.replace(sign, written)
    return text


def folded(line: str) -> str:
    """A line of at most 75 octets, and what is left over in further ones that begin with a space; no sign is split."""
    parts, part, size = [], "", 0
    for sign in line:
        octets = len(sign.encode())
        if size + octets > LONGEST_LINE:
            parts.append(part)
            part, size = " ", 1
        part, size = part + sign, size + octets
    return "\r\n".join([*parts, part])


def _text(measured: Measured, told: ForReaders) -> str:
    rows = told.timetable or timetable(bake_plan(measured, BakeInputs(), datetime.now()))
    if not rows:
        raise InputProblem(
            "does not rise, so that it has no timetable", where=f"formula {measured.formula.name!r}", right="yeast"
        )
    return calendar(measured.formula.name, rows, datetime.now(UTC))


FORM = FormulaForm(".ics", "timetable for a calendar", 8, _text, for_calendars=True)
