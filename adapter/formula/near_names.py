"""The names that somebody may have meant who wrote another."""

from __future__ import annotations

from collections.abc import Iterable


def nearest_three(text: str, known: Iterable[str]) -> str:
    """The three names most alike in spelling, best first, to be told: "rye, oats, salt"."""
    from rapidfuzz import fuzz, process

    return ", ".join(hit[0] for hit in process.extract(text, list(known), scorer=fuzz.ratio, limit=3))
