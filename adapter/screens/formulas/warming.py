"""What the keys will want is loaded in the thread that has read the tables, so that no key waits for it."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import TYPE_CHECKING

from adapter.screens.parts.registry import SCREENS

if TYPE_CHECKING:
    from adapter.work.session import Session

DIALOGS = ("dialogs", "help", "palette", "pick_dialog", "why")
LIBRARIES = ("rapidfuzz.fuzz", "tomlkit")


def warm_up(session: Session) -> None:
    """Whatever is first wanted first: the bench, its swaps, then every other screen, and what reads typed amounts."""
    assert session.tables is not None
    first = SCREENS["bench"].module
    last = SCREENS["review"].module
    is_loaded = last in sys.modules
    import_module(first)
    session.tables.solver.warm()
    if is_loaded:
        return
    for module in (*LIBRARIES, *(f"adapter.screens.parts.{name}" for name in DIALOGS)):
        import_module(module)
    from adapter.formula.amounts import unit_size

    unit_size("cup")
    for place in SCREENS.values():
        if place.module not in (first, last):
            import_module(place.module)
    from adapter.work.recipe_review import read_recipes

    read_recipes("500 g flour", session.line_reader())
    import_module(last)
