"""Lines and readings of a formula by the names that a person gives on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.formula.model import Formula


def reading_key(text: str) -> str:
    """A reading as a person may write it: "pH", "effective hydration", "rise-time", or as the screens name it."""
    from adapter.dough.readings.registry import READINGS, key_of

    key = key_of(text)
    return next((reading.key for reading in READINGS if key in (reading.key, key_of(reading.label))), key)


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
        from adapter.formula.near_names import nearest_three

        near = nearest_three(name, (*READING_KEYS, *dict.fromkeys(line.ingredient for line in formula.lines)))
        raise InputProblem(
            f"cannot hold {name[:60]!r}", right=f"a reading such as ph or tta, or a line's ingredient: {near}"
        ) from None
    lines_named(formula, [ingredient], kitchen)
    return LINE_HOLD + ingredient


def lines_named(formula: Formula, names: Sequence[str], kitchen: Kitchen, *, one_stage_each: bool = False) -> list[int]:
    """The lines of the named ingredients, of one stage where it is named as in "water@soaker".

    Raises InputProblem for one that is not in the formula, and with `one_stage_each` where several stages hold it.
    """
    places: list[int] = []
    for written in names:
        name, at, stage = written.partition("@")
        ingredient = kitchen.catalogue.resolve(name).name
        found = list(formula.find(ingredient))
        if not found:
            lines = ", ".join(dict.fromkeys(line.ingredient for line in formula.lines))
            raise InputProblem(f"{ingredient} is not in {formula.name}", right=f"its lines: {lines}")
        stages = list(dict.fromkeys(formula.lines[place].stage for place in found))
        if at:
            found = [place for place in found if formula.lines[place].stage.casefold() == stage.strip().casefold()]
            if not found:
                raise InputProblem(f"there is no {ingredient} in {stage[:60]!r}", right="one of " + ", ".join(stages))
        elif one_stage_each and len(stages) > 1:
            right = " or ".join(f'"{ingredient}@{each}"' for each in stages)
            raise InputProblem(f"{ingredient} stands in {len(stages)} stages: name one", right=right)
        places += [place for place in found if place not in places]
    return places
