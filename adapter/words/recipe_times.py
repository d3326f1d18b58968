"""What a formula's own note says of the time in the oven, to stand beside the time that is worked out."""

from __future__ import annotations

from functools import lru_cache

from adapter.recipes.method import read_method
from adapter.recipes.words import vocabulary


@lru_cache(maxsize=64)
def told_minutes(note: str) -> float | None:
    """Minutes in the oven as the sentences of a note tell them, in all; None where they tell none."""
    if not note:
        return None
    return read_method(note.split("\n"), vocabulary().language_of(note)).bake_min


def told_bake(minutes: float) -> str:
    return f"the recipe says {minutes:.0f} min"
