"""Scaling a formula: to its tin, to a number of pieces, to grams of dough; and yeast for a wanted rise time."""

from __future__ import annotations

from dataclasses import replace

from adapter.dough.models.proof import Rise
from adapter.dough.models.tin import scale_factor
from adapter.dough.readings.measured import Measured
from adapter.formula.model import Amount, Formula, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.balance import scale_grams
from adapter.swaps.yeast import with_yeast_percent, yeast_lines

SMALLEST, LARGEST = 0.01, 100.0
MOST_YEAST_PERCENT = 12.0
"""More fresh yeast than this, in % of the flour, is a slip of the keys: rich doughs take up to ten [CP]."""


def scaled(formula: Formula, dough_g: float, pieces: int | None = None) -> tuple[Formula, Step]:
    """A formula for so many grams of dough in all, each weight rounded to the scale, and the step that records it.

    Raises InputProblem for a dough that is no weight, or more than a hundredfold change.
    """
    try:
        factor = scale_factor(formula.dough_grams(), dough_g)
    except ValueError as fault:
        raise InputProblem(str(fault)) from None
    if not SMALLEST <= factor <= LARGEST:
        raise InputProblem(f"{dough_g:g} g is {factor:.3g} times the formula", right="a hundredth to a hundredfold")
    if pieces is not None and not 1 <= pieces <= 1000:
        raise InputProblem(f"{pieces} pieces", right="1 to 1000")
    if factor == 1.0:
        lines = list(formula.lines)
    else:
        lines = [line.with_grams(scale_grams(line.grams * factor)) for line in formula.lines]
    moved = tuple(
        Amount(old.ingredient, new.grams - old.grams)
        for old, new in zip(formula.lines, lines, strict=True)
        if new.grams != old.grams
    )
    return replace(formula, lines=tuple(lines), pieces=pieces or formula.pieces), Step("amount", moved=moved)


def with_rise_in(measured: Measured, hours: float, rise: Rise | None = None) -> tuple[Formula, Step]:
    """The formula with yeast for a rise in so many hours, rounded to the scale, and the step that records it.

    `rise` is the proof it is for, when that is another than the formula's own (see bake_plan.rise_over). Raises
    InputProblem for a formula without yeast, a time in which no dough rises, or one that would take yeast that no
    baker puts in.
    """
    if not yeast_lines(measured.formula, measured.kitchen.catalogue) or measured.value("yeast") <= 0:
        raise InputProblem("there is no yeast in this formula", right="add a line of yeast first")
    try:
        percent = (rise or measured.rise).yeast_for(hours)
    except ValueError as fault:
        raise InputProblem(str(fault)) from None
    if percent > MOST_YEAST_PERCENT:
        raise InputProblem(
            f"a rise in {hours:g} h would take {percent:.0f} % yeast", right="a longer time, or a warmer proof"
        )
    if percent <= 0.0:
        raise InputProblem(
            f"its sourdough alone raises it in less than {hours:g} h", right="a shorter time, or strike the yeast out"
        )
    changed = with_yeast_percent(measured, percent).formula
    moved = tuple(
        Amount(old.ingredient, new.grams - old.grams)
        for old, new in zip(measured.formula.lines, changed.lines, strict=True)
        if new.grams != old.grams
    )
    return changed, Step("amount", moved=moved)
