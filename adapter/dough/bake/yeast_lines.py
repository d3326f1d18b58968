"""The lines of a formula that are yeast: how much is weighed, and the same formula with more or less of it."""

from __future__ import annotations

from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula, Line


def yeast_g(measured: Measured, formula: Formula | None = None) -> float:
    """Grams of yeast of every kind, as it is weighed."""
    return sum(line.grams for line in (formula or measured.formula).lines if _is_yeast(measured, line))


def with_yeast(measured: Measured, formula: Formula, percent: float) -> Formula | None:
    """The formula with so much fresh yeast, % of flour, by the lines of the dough alone: a preferment stays as it is.

    None where the preferment brings more than that, or the dough has no yeast of its own to change.
    """
    catalogue, followed = measured.kitchen.catalogue, {stage.plan.name for stage in measured.stages}
    own = [line for line in formula.lines if line.stage not in followed and _is_yeast(measured, line)]
    own_g = sum(line.grams * catalogue.fresh_yeast(line.ingredient) for line in own)
    wanted_g = own_g + (percent - measured.rise.yeast_percent) / 100.0 * measured.amount("flour")
    if not own_g > 0.0 or wanted_g < 0.0:
        return None
    return formula.with_lines(
        line.with_grams(round(line.grams * wanted_g / own_g, 1)) if line in own else line for line in formula.lines
    )


def _is_yeast(measured: Measured, line: Line) -> bool:
    return measured.kitchen.catalogue.fresh_yeast(line.ingredient) > 0.0
