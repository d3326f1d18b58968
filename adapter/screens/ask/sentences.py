"""What is to be said of a highlighted way, swap, wish or level."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from adapter.screens.ask.wish_rows import PINNED, REFUSED, Wish, shown_swap

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.screens.ask.way_rows import Place
    from adapter.swaps.adapt import Answer
    from adapter.swaps.way import Way
    from adapter.words.offer_words import Sentence
    from adapter.words.units import Units
    from adapter.work.asking import Asked


def way_sentences(way: Way | None, place: Place | None, units: Units) -> Sequence[Sentence]:
    """A way: what moves besides, drift and clear changes, what it misses; or one of its swaps: rule and reasons."""
    from adapter.words.adapt_report import missed_lines, way_lines, way_report

    if way is None or place is None:
        return []
    report = way_report(way)
    if place.swap is None:
        missed = missed_lines(report)
        return [(line, line in missed) for line in way_lines(report, units=units)[len(report["swaps"]) :]]
    swap = report["swaps"][place.swap]
    return [(swap["say"], False), (units.told("; ".join(swap["why"])), False), (units.told(swap["notice"]), False)]


def wish_sentences(wish: Wish | None, asked: Asked, answer: Answer | None) -> Sequence[Sentence]:
    """The whole name of a swap, and that nothing carries what is ruled out, where that is so."""
    from adapter.words.adapt_report import without_lines

    whole = [(shown_swap(wish.text), False)] if wish is not None and wish.kind in (REFUSED, PINNED) else []
    met = answer is not None and bool(answer.ways)
    return [*whole, *((text, True) for text in (without_lines(asked.without) if met else ()))]


def level_sentences(key: str | None, now: Measured, answer: Answer | None) -> Sequence[Sentence]:
    """A reading in each of the ways."""
    from adapter.dough.readings.levels import level
    from adapter.words.comparison_words import reading_sentences

    if key is None or answer is None:
        return []
    found: list[Sentence] = []
    for number, way in enumerate(answer.ways, start=1):
        text, warns = reading_sentences(way.after, level(way.after, now, key), "now")[0]
        found.append((f"way {number}: {text}", warns))
    return found
