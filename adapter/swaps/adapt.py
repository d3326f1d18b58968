"""Asking for a loaf: the ways in which a formula can meet wishes, each final, and what stands in the way.

Every way is one answer of the programme (see loaf_programme.py), rounded to the scale, its yeast put right, and read
again. Further ways differ in at least one swap. Where wishes cannot all be met, the smallest set of them that
contradict each other is named.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from adapter.dough.allergens import allergens
from adapter.dough.readings.measured import Measured, measure, tolerance_steps
from adapter.formula.model import Amount, Formula, Line, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.balance import scale_grams
from adapter.swaps.candidates import candidates, short_now
from adapter.swaps.conflict import smallest_conflict
from adapter.swaps.final_formula import finished
from adapter.swaps.loaf_programme import MOVING, NEW_WATER, Block, Chosen, LoafProgramme
from adapter.swaps.offer import NOTABLE, drift_from
from adapter.swaps.programme import Part, Solution
from adapter.swaps.request import LINE_HOLD
from adapter.swaps.stock import missing
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import PRICE, Aim, Wishes, price_known, value_of
from adapter.swaps.yeast import yeast_grams

PASSES = 8
"""How often the straight lines of the programme are put right from a reading, for aims."""
GRAMS_SHOWN = 0.05
HARDLY = 0.03
"""A line that would move by less than this part of itself stays as it is [A]."""


@dataclass(frozen=True, slots=True)
class Missed:
    """A wish that a way does not meet, and how near it comes (None where nothing of it can be said in a number)."""

    wish: str
    nearest: float | None


@dataclass(frozen=True)
class Way:
    """One answer: the formula before and after, its swaps with why, what it lacks and misses, and how sure it is best.

    `gap` is the part of its cost by which a better one may still be found within the rules: 0 where it is proven.
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
            if abs(grams) >= (0.05 if abs(grams) < 9.95 and not self._swapped(name) else 0.95)
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
            if tolerance.counts(self.before.values[key]) and abs(steps) >= 1.0 and key not in self.aimed:
                found.append((abs(steps), key, self.after.values[key] - self.before.values[key]))
        return tuple((key, change) for _, key, change in sorted(found, reverse=True))

    @property
    def allergens_added(self) -> tuple[str, ...]:
        return tuple(sorted(set(allergens(self.after)) - set(allergens(self.before))))

    @property
    def allergens_removed(self) -> tuple[str, ...]:
        return tuple(sorted(set(allergens(self.before)) - set(allergens(self.after))))


@dataclass(frozen=True)
class Answer:
    """What can be had: ways, the best first; the wishes that contradict each other; lines that nothing replaces."""

    wishes: Wishes
    ways: tuple[Way, ...]
    conflict: tuple[str, ...] = ()
    stuck: tuple[str, ...] = ()


def adapt(swapper: Swapper, wishes: Wishes) -> Answer:
    """The ways in which the swapper's formula meets the wishes. Call it again with swaps refused or pinned."""
    _check_holds(swapper, wishes)
    until = time.monotonic() + wishes.seconds
    search = _Search(swapper, wishes)
    stuck = search.stuck()

    def can_be(some: Wishes) -> bool:
        return _can_be(swapper, some, until)

    if stuck:
        return Answer(wishes, (), smallest_conflict(wishes, can_be, until), stuck)
    ways = search.ways(until)
    conflict: tuple[str, ...] = ()
    if not ways or ways[0].missed or ways[0].short:
        conflict = smallest_conflict(wishes, can_be, until)
    out_of_reach = frozenset(aim.said for aim in wishes.aims if conflict == (aim.said,)) - wishes.eased
    if ways and out_of_reach:
        eased = replace(wishes, eased=wishes.eased | out_of_reach)
        ways = _Search(swapper, eased).ways(max(until, time.monotonic() + 0.2 * wishes.seconds))
    return Answer(wishes, ways, conflict)


def _check_holds(swapper: Swapper, wishes: Wishes) -> None:
    for hold in wishes.holds:
        name = hold.removeprefix(LINE_HOLD)
        if hold.startswith(LINE_HOLD) and name in wishes.ruled_out:
            raise InputProblem(f"{name} is kept and ruled out at once", right="one of the two")
    if not wishes.pinned:
        return
    short = short_now(swapper.formula, swapper, wishes.pantry)
    known = {candidate.name for candidate in candidates(swapper, replace(wishes, refused=frozenset()), short)}
    for name in sorted(wishes.pinned):
        if name not in known:
            raise InputProblem(f"the swap {name!r} is none of those that can be", right="one that a way names")
        if name in wishes.refused:
            raise InputProblem(f"the swap {name!r} is refused and asked for at once", right="one of the two")


class _Search:
    """One programme, and the ways found with it."""

    def __init__(self, swapper: Swapper, wishes: Wishes) -> None:
        self.swapper = swapper
        self.wishes = wishes
        short = short_now(swapper.formula, swapper, wishes.pantry)
        self.block = Block(swapper, wishes, candidates(swapper, wishes, short), 1.0, short)
        self.programme = LoafProgramme([self.block], wishes.pantry, swapper.balancer.solver)

    def stuck(self) -> tuple[str, ...]:
        """Lines that are ruled out and that nothing stands in for."""
        lines = self.swapper.formula.lines
        return tuple(
            dict.fromkeys(lines[place].ingredient for place in self.block.stays if not self.block.leaving.get(place))
        )

    def ways(self, until: float) -> tuple[Way, ...]:
        cuts: list[Part] = []
        found: list[Way] = []
        while len(found) < self.wishes.ways:
            left = max(0.05, until - time.monotonic())
            try:
                solution = self.programme.solve(cuts, seconds=left)
            except ArithmeticError:
                break
            if any(solution.amounts[place] > 1e-6 for place in self.block.stays.values()):
                break
            refined = self._refined(solution)
            way = self._way(refined, solution.gap)
            if found and (len(way.missed), len(way.short)) > (len(found[0].missed), len(found[0].short)):
                break  # no answer to the wishes any more
            if not any(_same_lines(way.after.formula, other.after.formula) for other in found):
                found.append(way)
            cuts.append(self._cut(solution))
            if until - time.monotonic() <= 0:
                break
        return tuple(found)

    def _refined(self, solution: Solution) -> Solution:
        """The same swaps with the amounts put right: rows are straight, readings are not quite."""
        if not self.wishes.aims:
            return solution
        fixed = {choice: float(round(solution.amounts[choice])) for choice in self.block.choices}
        lines = self.swapper.formula.lines
        for place, column in self.block.movers.items():
            free = place == NEW_WATER or lines[place].ingredient in MOVING
            if not free and abs(solution.amounts[column]) < HARDLY * lines[place].grams:
                fixed[column] = 0.0
        if len(fixed) > len(self.block.choices):
            solution = self.programme.solve((), fixed)
        measured = self.swapper.measured
        for _ in range(PASSES):
            formula = self.programme.formula(self.block, solution)
            after = measure(self.swapper.kitchen, formula, measured.book)
            moved = False
            for aim in self.wishes.aims:
                factors = self.programme.effects_of(self.block, aim)
                straight = sum(factor * solution.amounts[column] for column, factor in factors.items())
                now = value_of(aim.key, measured, self.wishes.pantry)
                really = value_of(aim.key, after, self.wishes.pantry) - now
                if math.isfinite(really) and abs(really - straight) > 1e-7:
                    moved = True
                    for end in ("low", "high"):
                        self.programme.offset(0, aim, end, really - straight)
            if not moved:
                break
            solution = self.programme.solve((), fixed)
        self.programme.forget_offsets()
        return solution

    def _cut(self, solution: Solution) -> Part:
        """Another answer leaves at least one of these swaps out; where there are none, it has at least one."""
        choices = [choice for choice in self.block.choices if solution.amounts[choice] > 0.5]
        if not choices:
            return Part(dict.fromkeys(self.block.choices, 1.0), 1.0, math.inf)
        groups = {
            candidate.group
            for candidate, choice in zip(self.block.candidates, self.block.choices, strict=True)
            if choice in choices
        }
        same = [
            choice
            for candidate, choice in zip(self.block.candidates, self.block.choices, strict=True)
            if candidate.group in groups
        ]
        return Part(dict.fromkeys(same, 1.0), -math.inf, len(groups) - 1.0)

    def _way(self, solution: Solution, gap: float) -> Way:
        formula = self.programme.formula(self.block, solution)
        swaps = self.programme.chosen(self.block, solution)
        return way_of(self.swapper, self.wishes, formula, swaps, gap)


def way_of(
    swapper: Swapper, wishes: Wishes, exact: Formula, swaps: tuple[Chosen, ...], gap: float, count: float = 1.0
) -> Way:
    """An answer of the programme made final, read, and told."""
    before = swapper.measured
    after = finished(before, exact, wishes, bool(swaps), count)
    swaps = _weighed(swaps, before.formula, after.formula)
    short = () if wishes.pantry is None else missing(after.formula, wishes.pantry, swapper.kitchen.catalogue, count)
    return Way(
        before,
        after,
        swaps,
        tuple(reasons_for(swapper, wishes, chosen, count) for chosen in swaps),
        step_of(before, after, wishes.holds),
        tuple(amount for amount in short if amount.grams > GRAMS_SHOWN),
        missed_wishes(before, after, wishes),
        price_known(after.formula, wishes.pantry),
        gap <= 1e-6,
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
    return tuple(
        replace(
            swap,
            into=tuple(
                Amount(
                    amount.ingredient,
                    final[amount.ingredient]
                    if brought[amount.ingredient] == 1 and amount.ingredient not in there
                    else scale_grams(amount.grams),
                )
                for amount in swap.into
            ),
        )
        for swap in swaps
    )


def missed_wishes(before: Measured, after: Measured, wishes: Wishes) -> tuple[Missed, ...]:
    """Holds and aims that the final formula does not meet, as they are shown."""
    found = []
    for key in wishes.holds:
        if key.startswith(LINE_HOLD):
            continue
        tolerance = after.kitchen.tolerances.get(key)
        change = after.values[key] - before.values[key]
        if tolerance is not None and abs(change) > NOTABLE * tolerance.value * (
            before.values[key] / 100.0 if key in ("flour_mass", "dough_mass") else 1.0
        ):
            found.append(Missed(f"hold {key}", after.values[key]))
    for aim in wishes.aims:
        value = value_of(aim.key, after, wishes.pantry)
        if aim.misses(value):
            found.append(Missed(aim.said, value if math.isfinite(value) else None))
    return tuple(found)


def reasons_for(swapper: Swapper, wishes: Wishes, chosen: Chosen, count: float = 1.0) -> tuple[str, ...]:
    """Why a swap is in an answer: what the store lacks, what is ruled out, or which aims it serves."""
    found = []
    formula = swapper.formula
    for place in chosen.candidate.places:
        name = formula.lines[place].ingredient
        need = count * sum(line.grams for line in formula.lines if line.ingredient == name)
        if name in wishes.ruled_out:
            found.append(f"{name} is ruled out: {wishes.ruled_out[name]}")
        elif wishes.pantry is not None and wishes.pantry.grams_of(name) < need:
            found.append(f"{name}: {wishes.pantry.grams_of(name):.0f} of {need:.0f} g in store")
    return tuple(found or [f"serves {aim.said}" for aim in wishes.aims if _serves(swapper, wishes, chosen, aim)])


def _serves(swapper: Swapper, wishes: Wishes, chosen: Chosen, aim: Aim) -> bool:
    """Whether a swap takes a reading, or the price, clearly towards an aim."""

    def per_gram(line: Line) -> float:
        if aim.key != PRICE:
            return swapper.balancer.effect(line, aim.key)
        price = wishes.pantry.price_of(line.ingredient) if wishes.pantry is not None else None
        return (price or 0.0) / 1000.0

    if aim.key in ("rise_time", "pace"):
        return False
    lines = [swapper.formula.lines[place] for place in chosen.candidate.places]
    brought = sum(amount.grams * per_gram(Line(amount.ingredient, 0.0, lines[0].stage)) for amount in chosen.into)
    change = brought - chosen.share * sum(line.grams * per_gram(line) for line in lines)
    now = value_of(aim.key, swapper.measured, wishes.pantry)
    wanted = aim.low - now if now < aim.low else aim.high - now
    return change * wanted > 0 and abs(change) > 0.2 * abs(wanted)


def step_of(before: Measured, after: Measured, holds: Sequence[str]) -> Step:
    """The record of an answer, as one step of a variant."""
    sums: dict[str, float] = {}
    for sign, formula in ((-1.0, before.formula), (1.0, after.formula)):
        for line in formula.lines:
            sums[line.ingredient] = sums.get(line.ingredient, 0.0) + sign * line.grams
    stood = {line.ingredient for line in before.formula.lines}
    stays = {line.ingredient for line in after.formula.lines}
    changed = {name: round(grams, 6) for name, grams in sums.items() if abs(grams) > 1e-6}
    return Step(
        "pantry",
        tuple(Amount(name, -grams) for name, grams in changed.items() if name in stood and name not in stays),
        tuple(Amount(name, grams) for name, grams in changed.items() if name not in stood),
        tuple(Amount(name, grams) for name, grams in changed.items() if name in stood and name in stays),
        holds=tuple(holds),
        yeast_before_g=yeast_grams(before),
        yeast_after_g=yeast_grams(after),
    )


def _same_lines(one: Formula, other: Formula) -> bool:
    return {line.ingredient for line in one.lines} == {line.ingredient for line in other.lines} and all(
        abs(
            sum(line.grams for line in one.lines if line.ingredient == name)
            - sum(line.grams for line in other.lines if line.ingredient == name)
        )
        <= max(1.0, 0.02 * sum(line.grams for line in one.lines if line.ingredient == name))
        for name in {line.ingredient for line in one.lines}
    )


def _can_be(swapper: Swapper, wishes: Wishes, until: float) -> bool:
    search = _Search(swapper, wishes)
    if search.stuck():
        return False
    ways = search.ways(until)
    return bool(ways) and not ways[0].missed and not ways[0].short
