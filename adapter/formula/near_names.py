"""The names that somebody may have meant who wrote another."""

from __future__ import annotations

from collections.abc import Iterable


def alike(text: str, known: Iterable[str], most: int, least_percent: float) -> list[tuple[str, float]]:
    """So many names alike in spelling, best first, each with how much in %; of equals those that begin alike come
    first, since a slip is seldom at the start.
    """
    from rapidfuzz import fuzz, process
    from rapidfuzz.distance import Prefix

    found = process.extract(text, list(known), scorer=fuzz.ratio, limit=most, score_cutoff=least_percent)
    found.sort(key=lambda hit: (-hit[1], -Prefix.similarity(text, hit[0])))
    return [(name, percent) for name, percent, _ in found]


def nearest_three(text: str, known: Iterable[str]) -> str:
    """The three names most alike in spelling, best first, to be told: "rye, oats, salt"."""
    from rapidfuzz import fuzz, process

    return ", ".join(hit[0] for hit in process.extract(text, list(known), scorer=fuzz.ratio, limit=3))
