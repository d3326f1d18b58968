"""Scaling a formula: to its tin, to a number of pieces, to grams of dough; and yeast for a wanted rise time."""

from __future__ import annotations

from dataclasses import replace

from adapter.dough.readings import Measured
from adapter.dough.tin import scale_factor
from adapter.formula.model import Amount, Formula, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.balance import scale_grams
from adapter.swaps.yeast import with_yeast_percent

SMALLEST, LARGEST = 0.01, 100.0


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
    return replace(formula, lines=tuple(lines), pieces=pieces or formula.pieces), Step("scale", moved=moved)


def with_rise_in(measured: Measured, hours: float) -> tuple[Formula, Step]:
    """The formula with yeast for a rise in so many hours, rounded to the scale, and the step that records it.

    Raises InputProblem for a formula without yeast, or a time in which no dough rises.
    """
    if measured.values["yeast"] <= 0:
        raise InputProblem("there is no yeast in this formula", right="add a line of yeast first")
    try:
        percent = measured.rise.yeast_for(hours)
    except ValueError as fault:
        raise InputProblem(str(fault)) from None
    changed = with_yeast_percent(measured, percent).formula
    moved = tuple(
        Amount(old.ingredient, new.grams - old.grams)
        for old, new in zip(measured.formula.lines, changed.lines, strict=True)
        if new.grams != old.grams
    )
    return changed, Step("amount", moved=moved)
