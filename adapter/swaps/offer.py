"""An offer: a swap worked out for a formula, with what it changes, before anything is applied."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from adapter.dough.allergens import allergens_beyond
from adapter.dough.readings.differences import Change, difference, tolerance_steps
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import BY_KEY, READING_KEYS
from adapter.formula.model import Amount, Formula, Step
from adapter.formula.pantry import Pantry
from adapter.swaps.balance import WATER, Unmet
from adapter.swaps.request import Request
from adapter.swaps.rules import Rule
from adapter.swaps.yeast import yeast_grams

NOTABLE = 0.1


def drift_from(before: Measured, after: Measured) -> float:
    """Sum over the readings that count of weight x |change| / tolerance, from one formula to another."""
    return sum(
        tolerance.weight * abs(tolerance_steps(after, before, key))
        for key, tolerance in after.kitchen.tolerances.items()
        if tolerance.counts(before.value(key))
    )


@dataclass(frozen=True)
class Offer:
    """A swap applied to a formula: amounts solved and rounded, drift known; nothing is changed until it is taken.

    `exact` is the balanced formula before the yeast follows and weights are rounded; `before` and `after` are
    measured. `left_out` is what was asked to come in and gets nothing. Changes
    with their spreads are worked out when asked for. `says` tells what it holds ("as sour") where another offer of the
    same ingredients holds something else. What is `listed` has its proof in closed form: it is refined before it is
    shown by itself or taken.
    """

    request: Request
    before: Measured
    after: Measured
    exact: Formula
    out: tuple[Amount, ...]
    into: tuple[Amount, ...]
    moved: tuple[Amount, ...]
    unmet: tuple[Unmet, ...]
    left_out: tuple[str, ...] = ()
    says: str = ""
    listed: bool = False

    @property
    def rule(self) -> Rule | None:
        return self.request.rule

    @property
    def out_lines(self) -> tuple[int, ...]:
        return self.request.out

    @property
    def chosen(self) -> tuple[str, ...]:
        return self.request.chosen

    @property
    def share_percent(self) -> float:
        return self.request.share_percent

    @property
    def holds(self) -> tuple[str, ...]:
        return self.request.holds

    @cached_property
    def drift(self) -> float:
        """What the swap costs against what is on the bench now."""
        return drift_from(self.before, self.after)

    @cached_property
    def drift_from_book(self) -> float:
        """The sum since the book formula, with this swap in it."""
        return drift_from(self.after.book, self.after)

    @property
    def line(self) -> int:
        """The line that the offer was asked for."""
        return self.out_lines[0]

    @cached_property
    def changes(self) -> Mapping[str, Change]:
        return {key: difference(self.before, self.after, key) for key in READING_KEYS}

    @property
    def gives(self) -> list[tuple[str, float]]:
        """Readings that the swap moves by more than a baker notices, as drift counts them, largest first.

        Each with its change against the bench now, in tolerances.
        """
        steps = []
        for key, tolerance in self.after.kitchen.tolerances.items():
            if tolerance.counts(self.before.value(key)):
                step = tolerance_steps(self.after, self.before, key)
                if abs(step) >= 1.0:
                    steps.append((key, step))
        return sorted(steps, key=lambda item: -abs(item[1]))

    @cached_property
    def missed(self) -> tuple[Unmet, ...]:
        """What was to be kept or held and is not, by more than a tenth of what a baker notices."""
        found = []
        for item in self.unmet:
            tolerance = self.after.kitchen.tolerances.get(item.key)
            by = abs(item.by)
            if item.key in BY_KEY and BY_KEY[item.key].percent_of_book:
                by *= 100.0 / self.before.value(item.key)
            if tolerance is None or by > NOTABLE * tolerance.value:
                found.append(item)
        return tuple(found)

    @cached_property
    def allergens_added(self) -> tuple[str, ...]:
        return allergens_beyond(self.after, self.before)

    @cached_property
    def allergens_removed(self) -> tuple[str, ...]:
        return allergens_beyond(self.before, self.after)

    @cached_property
    def over_taste(self) -> tuple[tuple[str, float, float], ...]:
        """What is tasted in so large a dose: ingredient, its % of the flour, and beyond how much that is."""
        formula, catalogue = self.after.formula, self.after.kitchen.catalogue
        found = []
        for amount in self.into:
            most = catalogue.get(amount.ingredient).property("most_by_taste")
            grams = sum(line.grams for line in formula.lines if line.ingredient == amount.ingredient)
            percent = 100.0 * grams / self.after.amount("flour")
            if 0.0 < most < percent:
                found.append((amount.ingredient, percent, most))
        return tuple(found)

    def short(self, pantry: Pantry) -> tuple[Amount, ...]:
        """What the pantry lacks of the ingredients coming in: the grams missing of each.

        The whole formula's need of an ingredient counts, since its other lines draw on the same stock.
        """
        missing = []
        for amount in self.into:
            need = sum(line.grams for line in self.after.formula.lines if line.ingredient == amount.ingredient)
            have = pantry.grams_of(amount.ingredient)
            if amount.ingredient != WATER and need > have:
                missing.append(Amount(amount.ingredient, need - have))
        return tuple(missing)

    def step(self) -> Step:
        """The record of this offer, as it is written into a saved variant."""
        return Step(
            "swap",
            self.out,
            self.into,
            self.moved,
            self.rule.id if self.rule else None,
            self.share_percent,
            self.holds,
            yeast_grams(self.before),
            yeast_grams(self.after),
        )
