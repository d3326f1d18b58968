"""An amount that a line tells twice, in grams and in cups: which one counts, and whether they agree."""

from __future__ import annotations

from adapter.recipes.measures import Measure
from adapter.recipes.weighing import UNSURE_SHARE, Weighed


def chosen_measure(measure: Measure | None) -> Measure | None:
    """The measure that is told: a printed metric weight wins, even in brackets."""
    if measure is None or measure.unit.container or measure.unit.weighs:
        return measure
    for other in measure.others:
        if other.unit.weighs and "each" not in other.sizes:
            return other
    return measure


def compared(weighed: Weighed, other: Measure, chosen: Measure, otherwise: Weighed) -> Weighed:
    """What the same amount in other words adds: a weight where there was none, or a disagreement."""
    grams = otherwise.grams
    count = chosen.middle
    if grams is None:
        return weighed
    if other.unit.container:
        # "2 1/4 teaspoons (one 1/4-ounce envelope)": the printed weight is surer than the spoon.
        printed = other.each is not None and _by_weight(other.each)
        return Weighed(grams, otherwise.doubts, weighed.means) if printed and weighed.doubts else weighed
    if count is not None and ("each" in other.sizes or chosen.unit.container):
        if weighed.grams is not None and not _by_weight(other):
            return weighed
        grams *= count
        meant = tuple(doubt for doubt in weighed.doubts if "is meant" in doubt)
        if chosen.unit.container and count != 1 and "each" not in other.sizes:
            return Weighed(grams, (*meant, "whether each or all weigh that is not said"), weighed.means)
        return Weighed(grams, (*meant, *otherwise.doubts), weighed.means)
    counted = other.unit.size and not chosen.unit.size and not chosen.unit.container
    if weighed.grams is None or (counted and (weighed.doubts or _by_weight(other))):
        return Weighed(grams, otherwise.doubts, weighed.means)
    if not otherwise.doubts and abs(weighed.grams - grams) > UNSURE_SHARE * weighed.grams:
        said = f"the two amounts disagree: {weighed.grams:.0f} g and {grams:.0f} g"
        return Weighed(weighed.grams, (*weighed.doubts, said), weighed.means)
    return weighed


def is_imperial(other: Measure, weighed: Weighed, otherwise: Weighed, system: str | None) -> bool:
    """ "300 ml/½ pint": the pint that is a fifth more than the US one."""
    if system is not None or not other.unit.systems or not weighed.grams or not otherwise.grams:
        return False
    return 1.15 < weighed.grams / otherwise.grams < 1.4


def _by_weight(measure: Measure) -> bool:
    return measure.unit.weighs or measure.unit.name in ("oz", "lb")
