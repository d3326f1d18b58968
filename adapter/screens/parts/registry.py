"""The screens of the program and where each is. A further screen is one row."""

from __future__ import annotations

from typing import NamedTuple


class Place(NamedTuple):
    """Where a screen's class is: it is loaded when it is first asked for, and made without arguments."""

    module: str
    made: str


SCREENS: dict[str, Place] = {
    "formulas": Place("adapter.screens.formulas.screen", "FormulasScreen"),
    "review": Place("adapter.screens.review.screen", "ReviewScreen"),
    "bench": Place("adapter.screens.bench.screen", "BenchScreen"),
    "compare": Place("adapter.screens.compare.screen", "CompareScreen"),
    "ask": Place("adapter.screens.ask.screen", "AskScreen"),
    "bakes": Place("adapter.screens.bakes.screen", "BakesScreen"),
    "pantry": Place("adapter.screens.pantry.screen", "PantryScreen"),
    "bake": Place("adapter.screens.bake.screen", "BakeScreen"),
    "export": Place("adapter.screens.export.screen", "ExportScreen"),
}

EVERYWHERE = tuple(SCREENS)
TYPED_INTO = ("formulas", "review")
"""The screens on which letters are typed, so that none of them is a key."""

BY_LETTER = tuple(name for name in SCREENS if name not in TYPED_INTO)
BEYOND_BENCH = tuple(name for name in BY_LETTER if name != "bench")
"""The screens that are left by q for the one before."""
