"""Wishes that contradict each other: the smallest set of them that no formula meets together."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations

from adapter.swaps.request import LINE_HOLD
from adapter.swaps.wishes import Wishes

MOST_TOGETHER = 3
"""Sets of contradicting wishes are looked for up to this size."""


def smallest_conflict(wishes: Wishes, can_be: Callable[[Wishes], bool], until: float) -> tuple[str, ...]:
    """The smallest set of wishes that cannot all be met together; each part of it alone can, unless it is one.

    `can_be` tries some of the wishes alone. Nothing is named when the time is up before a set is known.
    """
    named = _named(wishes)
    for name in named:
        if not _tried(wishes, (name,), can_be, until):
            return (name,)
    thinned = _thinned(wishes, named, can_be, until)
    for size in range(2, min(MOST_TOGETHER + 1, len(thinned))):
        for together in combinations(named, size):
            if not _tried(wishes, together, can_be, until):
                return together
    return thinned if time.monotonic() <= until else ()


def _tried(wishes: Wishes, named: Sequence[str], can_be: Callable[[Wishes], bool], until: float) -> bool:
    """Whether wishes can be met together; taken for granted when the time is up."""
    return time.monotonic() > until or can_be(only(wishes, named))


def _thinned(wishes: Wishes, named: Sequence[str], can_be: Callable[[Wishes], bool], until: float) -> tuple[str, ...]:
    """Those that are left when each is struck that the others contradict each other without."""
    left = list(named)
    for name in named:
        others = [each for each in left if each != name]
        if not _tried(wishes, others, can_be, until):
            left = others
    return tuple(left)


def _named(wishes: Wishes) -> list[str]:
    readings = [f"hold {hold}" for hold in wishes.holds if not hold.startswith(LINE_HOLD)]
    lines = [f"keep {hold.removeprefix(LINE_HOLD)}" for hold in wishes.holds if hold.startswith(LINE_HOLD)]
    store = [] if wishes.pantry is None else [f"from {wishes.pantry.name}"]
    most = [] if wishes.most_swaps is None else [f"at most {wishes.most_swaps} swaps"]
    return [*store, *(f"without {word}" for word in wishes.without), *readings, *lines, *most,
            *(aim.said for aim in wishes.aims)]  # fmt: skip


def only(wishes: Wishes, named: Sequence[str]) -> Wishes:
    """The wishes that are named, and none of the others."""
    asked = set(named)
    without = tuple(word for word in wishes.without if f"without {word}" in asked)
    return replace(
        wishes,
        pantry=wishes.pantry if wishes.pantry is not None and f"from {wishes.pantry.name}" in asked else None,
        without=without,
        ruled_out={name: how for name, how in wishes.ruled_out.items() if wishes.is_ruled_out_by(name, without)},
        holds=tuple(
            hold for hold in wishes.holds if f"hold {hold}" in asked or f"keep {hold.removeprefix(LINE_HOLD)}" in asked
        ),
        aims=tuple(aim for aim in wishes.aims if aim.said in asked),
        most_swaps=wishes.most_swaps if f"at most {wishes.most_swaps} swaps" in asked else None,
        ways=1,
    )
