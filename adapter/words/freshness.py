"""What is said of a best-before date: gone by, today, or within the next days."""

from __future__ import annotations

from datetime import date

from adapter.formula.pantry import Pantry

PAST, LAST_DAY = "past", "today"
SOON_DAYS = 3
"""From so many days before its date on, a thing in stock is marked."""


def freshness(best_before: date | None, today: date) -> str:
    """A word or two: "past", "today", "1 day", "3 days"; nothing where there is time."""
    if best_before is None or (best_before - today).days > SOON_DAYS:
        return ""
    left = (best_before - today).days
    if left <= 0:
        return LAST_DAY if left == 0 else PAST
    return "1 day" if left == 1 else f"{left} days"


def freshness_sentence(best_before: date | None, today: date) -> str:
    """The same as a sentence: "best before 2031-06-10: gone by"."""
    word = freshness(best_before, today)
    if not word:
        return ""
    said = {PAST: "gone by", LAST_DAY: "that is today"}.get(word, f"{word} left")
    return f"best before {best_before}: {said}"


def first_date(pantry: Pantry, ingredient: str) -> date | None:
    """The earliest date on what there is of an ingredient."""
    dates = [entry.best_before for entry in pantry.of(ingredient) if entry.best_before is not None and entry.grams != 0]
    return min(dates, default=None)
