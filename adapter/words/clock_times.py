"""Clock times as a baker writes them: "09:00", "Sat 08:00", "tomorrow 8:00", "2027-01-30 08:00". No time zones."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem

LARGEST = 1e6
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})\Z")
_HOURS = re.compile(r"(\d{1,2})\s*(?::|h)\s*(\d{1,2})\s*(?:min|m)?\Z")
_MINUTES = re.compile(r"(\d{1,4})\s*(?:min|m)\Z")
_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})\Z")


def start_time(text: str, now: datetime) -> datetime:
    """When the work begins: the next time that the clock shows it, or on the day that is named.

    A day that is past is given back as it is, for the plan to refuse. Raises InputProblem for what is no time.
    """
    return _moment(text, now, "no clock time", "such as 09:00, or Sat 09:00")


def ready_time(text: str, now: datetime) -> datetime:
    """When the loaf is to be sliced; as start_time."""
    return _moment(text, now, "no date and time", "such as Sat 08:00, or 2027-01-30 08:00")


def past_time(text: str, now: datetime) -> datetime:
    """When something was: "14:30", "yesterday", "Sat 14:30", "2026-11-24 14:30"; a day alone is its noon. InputProblem.

    A clock time or a weekday alone is the last one that has gone by.
    """
    right = "such as 14:30, yesterday, Sat 14:30 or 2026-11-24"
    words = text.replace(",", " ").split()
    fault = InputProblem(f"{shown(text.strip()) or 'an empty line'} is no day", right=right)
    clock = _clock(words[-1]) if words else None
    days = words if clock is None else words[:-1]
    if not words or len(days) > 1:
        raise fault
    on = _past_day(days[0].casefold(), now) if days else now.date()
    if on is None:
        raise fault
    at = datetime.combine(on, clock or (time(12) if on != now.date() else now.time().replace(second=0, microsecond=0)))
    if at > now and not (days and _DATE.match(days[0])) and (not days or days[0].casefold() != "today"):
        at -= timedelta(days=7 if days else 1)
    if at > now:
        raise InputProblem(f"{at:%Y-%m-%d %H:%M} is still to come", right=right)
    return at


def _past_day(word: str, now: datetime) -> date | None:
    if word in ("today", "yesterday"):
        return now.date() - timedelta(days=word == "yesterday")
    if _DATE.match(word):
        return _day(word, now, time(12))
    named = [number for number, name in enumerate(DAYS) if len(word) >= 2 and name.startswith(word)]
    return now.date() - timedelta(days=(now.weekday() - named[0]) % 7) if named else None


def moment_text(at: datetime, now: datetime) -> str:
    """A moment as it is shown for editing: the weekday where that is clear, else the date."""
    days = (at.date() - now.date()).days
    clock = f"{at:%H:%M}"
    if days == 0 and at >= now:
        return clock
    return f"{day_text(at)} {clock}" if 0 < days < 7 else f"{at:%Y-%m-%d} {clock}"


def day_text(at: datetime) -> str:
    """The weekday in three letters, whatever the computer's language."""
    return DAYS[at.weekday()][:3].capitalize()


def _moment(text: str, now: datetime, fault: str, right: str) -> datetime:
    words = text.replace(",", " ").split()
    clock = _clock(words[-1]) if words else None
    if clock is None or len(words) > 2:
        raise InputProblem(f"{shown(text.strip()) or 'an empty line'} is {fault}", right=right)
    if len(words) == 1:
        at = datetime.combine(now.date(), clock)
        return at if at >= now.replace(second=0, microsecond=0) else at + timedelta(days=1)
    day = _day(words[0].casefold(), now, clock)
    if day is None:
        raise InputProblem(f"{shown(text.strip())} is {fault}", right=right)
    return datetime.combine(day, clock)


def _clock(word: str) -> time | None:
    found = _CLOCK.match(word)
    if found is None:
        return None
    hour, minute = int(found[1]), int(found[2])
    return time(hour, minute) if hour < 24 and minute < 60 else None


def _day(word: str, now: datetime, clock: time) -> date | None:
    found = _DATE.match(word)
    if found is not None:
        try:
            return date(int(found[1]), int(found[2]), int(found[3]))
        except ValueError:
            return None
    for name, days in (("today", 0), ("tomorrow", 1)):
        if word == name:
            return now.date() + timedelta(days=days)
    named = [number for number, name in enumerate(DAYS) if len(word) >= 2 and name.startswith(word)]
    if not named:
        return None
    ahead = (named[0] - now.weekday()) % 7
    if ahead == 0 and clock < now.time().replace(second=0, microsecond=0):
        ahead = 7
    return now.date() + timedelta(days=ahead)


def number_typed(text: str, what: str, right: str) -> float:
    """A number as people type it, with a point or a comma. Raises InputProblem."""
    written = text.strip().replace(",", ".").replace("−", "-")
    try:
        value = float(written)
    except ValueError:
        value = float("nan")
    if not abs(value) <= LARGEST:
        raise InputProblem(f"{shown(text.strip()) or 'an empty line'} is not {what}", right=right)
    return value


def hours_typed(text: str) -> float:
    """Hours from "1.5", "1:30", "1 h 30" or "90 min". Raises InputProblem."""
    written = text.strip().casefold()
    found = _HOURS.match(written)
    if found is not None and int(found[2]) < 60:
        return int(found[1]) + int(found[2]) / 60.0
    found = _MINUTES.match(written)
    if found is not None:
        return int(found[1]) / 60.0
    return number_typed(written.removesuffix("h"), "a time in hours", "such as 1.5, 1:30 or 90 min")
