"""Lines and readings of a formula by the names that a person gives on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.formula.model import Formula


def reading_key(text: str) -> str:
    """A reading as a person may write it: "pH", "effective hydration", "rise-time"."""
    return "_".join(text.strip().lower().replace("-", " ").replace("_", " ").split())


def hold_named(name: str, formula: Formula, kitchen: Kitchen) -> str:
    """A hold by the name of a reading, or of an ingredient for its line."""
    from adapter.dough.readings.registry import READING_KEYS
    from adapter.swaps.request import LINE_HOLD

    key = reading_key(name)
    if key in READING_KEYS:
        return key
    try:
        ingredient = kitchen.catalogue.resolve(name.removeprefix(LINE_HOLD)).name
    except InputProblem:
        raise InputProblem(
            f"cannot hold {name!r}", right="a reading such as ph or tta, or a line's ingredient"
        ) from None
    lines_named(formula, [ingredient], kitchen)
    return LINE_HOLD + ingredient


def lines_named(formula: Formula, names: Sequence[str], kitchen: Kitchen) -> list[int]:
    """The lines of the named ingredients. Raises InputProblem for one that is not in the formula."""
    places: list[int] = []
    for name in names:
        ingredient = kitchen.catalogue.resolve(name).name
        found = list(formula.find(ingredient))
        if not found:
            lines = ", ".join(dict.fromkeys(line.ingredient for line in formula.lines))
            raise InputProblem(f"{ingredient} is not in {formula.name}", right=f"its lines: {lines}")
        places += [place for place in found if place not in places]
    return places
