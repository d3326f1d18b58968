"""One answer to wishes, made final, read and told: its swaps with why, what moves, what it lacks and misses."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from adapter.dough.allergens import allergens_beyond
from adapter.dough.readings.differences import tolerance_steps
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import BY_KEY
from adapter.formula.model import Amount, Formula, Step
from adapter.swaps.aim_rows import open_rows
from adapter.swaps.balance import scale_grams
from adapter.swaps.block import Chosen
from adapter.swaps.comparison import shifts_between
from adapter.swaps.final_formula import finished
from adapter.swaps.offer import NOTABLE, drift_from
from adapter.swaps.programme import PROVEN_GAP
from adapter.swaps.request import LINE_HOLD
from adapter.swaps.stock import missing
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import PRICE, Wishes, price_known, value_of
from adapter.swaps.yeast import yeast_grams

GRAMS_SHOWN = 0.05
SERVED = 0.1
"""A swap serves an aim where it brings this part of what is lacking."""


@dataclass(frozen=True, slots=True)
class Missed:
    """A wish that a way does not meet, and how near it comes (None where nothing of it can be said in a number)."""

    wish: str
    nearest: float | None

    @property
    def is_unknown(self) -> bool:
        """Whether it may be met, and only a price is missing to tell."""
        return self.nearest is None and self.wish.startswith(PRICE)


@dataclass(frozen=True)
class Way:
    """One answer: the formula before and after, its swaps with why, what it lacks and misses, and how sure it is best.

    `gap` is the part of its cost by which a better one may still be found within the rules; it is `proven` where that
    is nothing, or so little that nobody can taste it.
    """

    before: Measured
    after: Measured
    swaps: tuple[Chosen, ...]
    reasons: tuple[tuple[str, ...], ...]
    step: Step
    short: tuple[Amount, ...]
    missed: tuple[Missed, ...]
    price: float | None
    proven: bool
    gap: float
    aimed: frozenset[str] = frozenset()

    @property
    def moved(self) -> tuple[Amount, ...]:
        """What moves beside the swaps: lines that give way or make up for something, the yeast that follows."""
        shifts: dict[str, float] = {}
        for sign, formula in ((-1.0, self.before.formula), (1.0, self.after.formula)):
            for line in formula.lines:
                shifts[line.ingredient] = shifts.get(line.ingredient, 0.0) + sign * line.grams
        for swap in self.swaps:
            for amount in swap.into:
                shifts[amount.ingredient] = shifts.get(amount.ingredient, 0.0) - amount.grams
            for place in swap.candidate.places:
                line = self.before.formula.lines[place]
                shifts[line.ingredient] += swap.share * line.grams
        return tuple(
            Amount(name, round(grams, 6))
            for name, grams in shifts.items()
            if abs(grams) >= (0.95 if self._swapped(name) else GRAMS_SHOWN)
        )

    def _swapped(self, name: str) -> bool:
        lines = self.before.formula.lines
        return any(
            name in swap.candidate.chosen or any(lines[place].ingredient == name for place in swap.candidate.places)
            for swap in self.swaps
        )

    @property
    def drift(self) -> float:
        """Against what is on the bench now."""
        return drift_from(self.before, self.after)

    @property
    def traded(self) -> tuple[tuple[str, float], ...]:
        """What gives for it by more than a baker notices and was not aimed at, largest first, in its own unit."""
        found = []
        for key, tolerance in self.after.kitchen.tolerances.items():
            steps = tolerance_steps(self.after, self.before, key)
            if tolerance.counts(self.before.value(key)) and abs(steps) >= 1.0 and key not in self.aimed:
                found.append((abs(steps), key, self.after.value(key) - self.before.value(key)))
        return tuple((key, change) for _, key, change in sorted(found, reverse=True))

    @property
    def allergens_added(self) -> tuple[str, ...]:
        return allergens_beyond(self.after, self.before)

    @property
    def allergens_removed(self) -> tuple[str, ...]:
        return allergens_beyond(self.before, self.after)


def way_of(
    swapper: Swapper,
    wishes: Wishes,
    exact: Formula,
    swaps: tuple[Chosen, ...],
    gap: float,
    count: float = 1.0,
    together: Mapping[str, float] | None = None,
) -> Way:
    """An answer of the programme made final, read, and told. `together` is what all bakes take of each ingredient."""
    before = swapper.measured
    after = finished(before, exact, wishes, bool(swaps), count)
    swaps = _weighed(swaps, before.formula, after.formula)
    short = () if wishes.pantry is None else missing(after.formula, wishes.pantry, swapper.kitchen.catalogue, count)
    return Way(
        before,
        after,
        swaps,
        tuple(reasons_for(swapper, wishes, chosen, together or {}) for chosen in swaps),
        step_of(before, after, wishes.holds),
        tuple(amount for amount in short if amount.grams > GRAMS_SHOWN),
        missed_wishes(before, after, wishes),
        price_known(after.formula, wishes.pantry),
        gap <= PROVEN_GAP,
        gap,
        frozenset(aim.key for aim in wishes.aims),
    )


def _weighed(swaps: tuple[Chosen, ...], before: Formula, after: Formula) -> tuple[Chosen, ...]:
    """The swaps with the grams that are weighed in: of a thing that only one of them brings, those of the formula."""
    brought: dict[str, int] = {}
    for swap in swaps:
        for amount in swap.into:
            brought[amount.ingredient] = brought.get(amount.ingredient, 0) + 1
    there = {line.ingredient for line in before.lines}
    final = {name: sum(line.grams for line in after.lines if line.ingredient == name) for name in brought}

    def weighed(amount: Amount) -> Amount:
        alone = brought[amount.ingredient] == 1 and amount.ingredient not in there
        return Amount(amount.ingredient, final[amount.ingredient] if alone else scale_grams(amount.grams))

    return tuple(
        replace(swap, into=tuple(each for each in map(weighed, swap.into) if each.grams > 0.0)) for swap in swaps
    )


def missed_wishes(before: Measured, after: Measured, wishes: Wishes) -> tuple[Missed, ...]:
    """Holds and aims that the final formula does not meet, as they are shown."""
    found = []
    for key in wishes.holds:
        if key.startswith(LINE_HOLD):
            continue
        tolerance = after.kitchen.tolerances.get(key)
        change = after.value(key) - before.value(key)
        if tolerance is not None and abs(change) > NOTABLE * tolerance.value * (
            before.value(key) / 100.0 if key in BY_KEY and BY_KEY[key].percent_of_book else 1.0
        ):
            found.append(Missed(f"hold {key}", after.value(key)))
    for aim in wishes.aims:
        value = value_of(aim.key, after, wishes.pantry)
        if aim.misses(value):
            found.append(Missed(aim.said, value if math.isfinite(value) else None))
    return tuple(found)


def reasons_for(swapper: Swapper, wishes: Wishes, chosen: Chosen, together: Mapping[str, float]) -> tuple[str, ...]:
    """Why a swap is in an answer: what the store lacks, what is ruled out, and which aims it serves."""
    found = []
    formula = swapper.formula
    for place in chosen.candidate.places:
        name = formula.lines[place].ingredient
        need = together.get(name) or sum(line.grams for line in formula.lines if line.ingredient == name)
        if name in wishes.ruled_out:
            words = [word for word in wishes.without if wishes.is_ruled_out_by(name, [word])]
            how = wishes.ruled_out[name]
            found.append(f"without {' and '.join(words)}: {name}{f' ({how})' if how else ''}")
        elif wishes.pantry is not None and wishes.pantry.grams_of(name) < need:
            found.append(f"{name}: {wishes.pantry.grams_of(name):.0f} of {need:.0f} g in store")
    out = [(formula.lines[place], chosen.share * formula.lines[place].grams) for place in chosen.candidate.places]
    rows = open_rows(swapper, wishes)
    found += [f"serves {row.aim.said}" for row in rows if row.served(out, chosen.into) >= SERVED]
    return tuple(found)


def step_of(before: Measured, after: Measured, holds: Sequence[str]) -> Step:
    """The record of an answer, as one step of a variant."""
    stood = {line.ingredient for line in before.formula.lines}
    stays = {line.ingredient for line in after.formula.lines}
    changed = shifts_between(before.formula, after.formula)
    return Step(
        "pantry",
        tuple(Amount(name, -grams) for name, grams in changed.items() if name in stood and name not in stays),
        tuple(Amount(name, grams) for name, grams in changed.items() if name not in stood),
        tuple(Amount(name, grams) for name, grams in changed.items() if name in stood and name in stays),
        holds=tuple(holds),
        yeast_before_g=yeast_grams(before),
        yeast_after_g=yeast_grams(after),
    )
