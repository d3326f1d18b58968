"""What later keys will want is loaded beside the first ones, so that none of them waits for it."""

from __future__ import annotations

import gc
from collections.abc import Callable
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING

from adapter.screens.parts.registry import SCREENS

if TYPE_CHECKING:
    from adapter.work.session import Session

MODULES = (
    "adapter.screens.parts.help",
    "adapter.screens.parts.palette",
    "adapter.screens.parts.pick_dialog",
    "adapter.screens.parts.why",
    "rapidfuzz",
    "tomlkit",
)
"""Of another's package the whole: where a key loads it at the same moment, a part of it would be met half loaded."""


def warm_up(session: Session, is_wanted: Callable[[], bool] = lambda: True) -> None:
    """Every screen, what reads typed amounts, and what reads recipes. In a thread, once the tables are read.

    It stops between two of them when it is wanted no more: the program does not end before its threads do.
    """
    from adapter.formula.amounts import unit_size
    from adapter.work.recipe_review import read_recipes

    steps: list[Callable[[], object]] = [
        *(partial(import_module, module) for module in (*(place.module for place in SCREENS.values()), *MODULES)),
        partial(unit_size, "cup"),
        lambda: read_recipes("500 g flour", session.line_reader()),
        gc.collect,
        gc.freeze,  # what is loaded stays: no later collection, for which a key waits, need look at it
    ]
    for step in steps:
        if is_wanted():
            step()
