"""Asking for a loaf: the ways in which a formula can meet wishes, each final, and what stands in the way.

Every way is one answer of the programme (see loaf_programme.py), rounded to the scale, its yeast put right, and read
again. Further ways differ in at least one swap. Where wishes cannot all be met, the smallest set of them that
contradict each other is named.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from adapter.dough.allergens import allergens
from adapter.dough.readings.measured import Measured, measure, tolerance_steps
from adapter.formula.model import Amount, Formula, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.aim_rows import open_rows
from adapter.swaps.balance import scale_grams
from adapter.swaps.candidates import SERVES, SERVES_TOGETHER, Candidate, candidates, short_now
from adapter.swaps.final_formula import finished
from adapter.swaps.loaf_programme import Block, Chosen, LoafProgramme
from adapter.swaps.movers import MOVING, NEW_WATER
from adapter.swaps.offer import NOTABLE, drift_from
from adapter.swaps.order import SAME, nearness
from adapter.swaps.programme import Part, Solution
from adapter.swaps.request import LINE_HOLD
from adapter.swaps.stock import missing
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes, price_known, value_of
from adapter.swaps.yeast import yeast_grams

PASSES = 8
"""How often the straight lines of the programme are put right from a reading, for aims."""
MOST_TOGETHER = 3
"""Sets of contradicting wishes are looked for up to this size."""
GRAMS_SHOWN = 0.05
ANOTHER_SORT_PART, ANOTHER_SORT_MORE = 0.75, 2.0
FURTHER_PART, FURTHER_MORE = 1.5, 6.0
NOT_CALLED_FOR_PART, NOT_CALLED_FOR_MORE = 0.25, 0.5
"""A further way may drift by this part, and by so much, more than the best: one of another sort, any, and one with a
swap that only an aim calls for and the best does without [A]."""
WEIGHTY = 0.02
"""A swap that makes a way another one takes out lines of at least this part of the flour [A]."""
SERVED = 0.1
"""A swap serves an aim where it brings this part of what is lacking."""
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
    if stuck:
        return Answer(wishes, (), _conflict(swapper, wishes, until), stuck)
    ways = _ways(swapper, wishes, until)
    conflict: tuple[str, ...] = ()
    if not ways or ways[0].missed or ways[0].short:
        conflict = _conflict(swapper, wishes, until)
    out_of_reach = frozenset(aim.said for aim in wishes.aims if conflict == (aim.said,)) - wishes.eased
    if ways and out_of_reach:
        eased = replace(wishes, eased=wishes.eased | out_of_reach)
        ways = _ways(swapper, eased, max(until, time.monotonic() + 0.2 * wishes.seconds))
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


def _ways(swapper: Swapper, wishes: Wishes, until: float) -> tuple[Way, ...]:
    """With swaps that serve an aim by much; where it is out of their reach, with several that do so together."""
    search = _Search(swapper, wishes)
    names = {candidate.name for candidate in search.block.candidates}
    if not wishes.pinned <= names:
        return _Search(swapper, wishes, SERVES_TOGETHER).ways(until)
    ways = search.ways(until)
    aims = {aim.said for aim in wishes.aims}
    if ways and any(miss.wish in aims for miss in ways[0].missed):
        others = _Search(swapper, wishes, SERVES_TOGETHER).ways(until)
        if others and len(others[0].missed) <= len(ways[0].missed):
            return others
    return ways


class _Search:
    """One programme, and the ways found with it."""

    def __init__(self, swapper: Swapper, wishes: Wishes, serving: float = SERVES) -> None:
        self.swapper = swapper
        self.wishes = wishes
        short = short_now(swapper.formula, swapper, wishes.pantry)
        self.block = Block(swapper, wishes, candidates(swapper, wishes, short, serving), 1.0, short)
        self.programme = LoafProgramme([self.block], wishes.pantry, swapper.balancer.solver)

    def stuck(self) -> tuple[str, ...]:
        """Lines that are ruled out and that nothing stands in for."""
        lines = self.swapper.formula.lines
        return tuple(
            dict.fromkeys(lines[place].ingredient for place in self.block.stays if not self.block.leaving.get(place))
        )

    def ways(self, until: float) -> tuple[Way, ...]:
        """The best way, then others: first of another sort, where they drift little more, then with other things."""
        found: list[tuple[Way, Solution]] = []
        for apart in (self._families, self._groups):
            while len(found) < self.wishes.ways and (not found or until > time.monotonic()):
                try:
                    solution = self.programme.solve(
                        [self._cut(apart(each)) for _, each in found],
                        seconds=max(0.05, until - time.monotonic()),
                    )
                except ArithmeticError:
                    break
                if any(solution.amounts[place] > 1e-6 for place in self.block.stays.values()):
                    break
                way = self._way(self._refined(solution), solution.gap)
                if found and not self._is_worth_telling(way, found[0][0], apart == self._families):
                    break
                found.append((way, solution))
                if way.drift == 0.0 and not (way.missed or way.short):
                    return (way,)  # nothing has to change
        ways: list[Way] = []
        for way, _ in sorted(found, key=lambda each: (len(each[0].missed), len(each[0].short), _cost_of(each[0]))):
            if not any(_same_lines(way.after.formula, other.after.formula) for other in ways):
                ways.append(way)
        return tuple(ways)

    @staticmethod
    def _is_worth_telling(way: Way, best: Way, of_another_sort: bool) -> bool:
        """Whether a further way answers the wishes as well and does not drift much further than the best."""
        if (len(way.missed), len(way.short)) > (len(best.missed), len(best.short)):
            return False
        known = {swap.candidate.name for swap in best.swaps}
        if any(swap.candidate.serves and swap.candidate.name not in known for swap in way.swaps):
            part, more = NOT_CALLED_FOR_PART, NOT_CALLED_FOR_MORE
        elif of_another_sort:
            part, more = ANOTHER_SORT_PART, ANOTHER_SORT_MORE
        else:
            part, more = FURTHER_PART, FURTHER_MORE
        return way.drift <= (1.0 + part) * best.drift + more

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
            for part, _, row in self.programme.aim_parts:
                factors = self.programme.effects_of(self.block, row)
                straight = row.start + sum(factor * solution.amounts[column] for column, factor in factors.items())
                really = value_of(row.aim.key, after, self.wishes.pantry) - row.value
                if math.isfinite(really) and abs(really - straight) > 1e-7:
                    moved = moved or abs(really - straight - self.programme.offset_of(part)) > 1e-7
                    self.programme.offset(part, really - straight)
            if not moved:
                break
            solution = self.programme.solve((), fixed)
        self.programme.forget_offsets()
        return solution

    def _chosen(self, solution: Solution) -> list[Candidate]:
        """The swaps that make an answer what it is, weightiest first; spices only where there are no others."""
        taken = [
            candidate
            for candidate, choice in zip(self.block.candidates, self.block.choices, strict=True)
            if solution.amounts[choice] > 0.5
        ]
        lines = self.swapper.formula.lines
        grams = {candidate.name: sum(lines[place].grams for place in candidate.places) for candidate in taken}
        taken.sort(key=lambda candidate: -grams[candidate.name])
        return [candidate for candidate in taken if grams[candidate.name] >= WEIGHTY * self.block.flour] or taken

    def _groups(self, solution: Solution) -> list[frozenset[int]]:
        """For the weightiest swap of an answer the choices that are the same things for the same lines."""
        return self._alike(solution, lambda one, other: one.group == other.group)[:1]

    def _families(self, solution: Solution) -> list[frozenset[int]]:
        """For each swap of an answer the choices that put the same sorts of things in the same lines' stead."""
        catalogue = self.swapper.kitchen.catalogue

        def sort_in(name: str, chosen: Sequence[str]) -> bool:
            return any(name == other or nearness(name, other, catalogue) == SAME for other in chosen)

        def alike(one: Candidate, other: Candidate) -> bool:
            return (
                frozenset(one.places) == frozenset(other.places)
                and len(one.chosen) == len(other.chosen)
                and all(sort_in(name, other.chosen) for name in one.chosen)
                and all(sort_in(name, one.chosen) for name in other.chosen)
            )

        return self._alike(solution, alike)

    def _alike(self, solution: Solution, alike: Callable[[Candidate, Candidate], bool]) -> list[frozenset[int]]:
        found = [
            frozenset(
                choice
                for other, choice in zip(self.block.candidates, self.block.choices, strict=True)
                if alike(candidate, other)
            )
            for candidate in self._chosen(solution)
        ]
        return list(dict.fromkeys(found))

    def _cut(self, sets: Sequence[frozenset[int]]) -> Part:
        """Another answer has a swap of at least one of these sets less; where there are none, it has at least one."""
        if not sets:
            return Part(dict.fromkeys(self.block.choices, 1.0), 1.0, math.inf)
        return Part(dict.fromkeys(frozenset().union(*sets), 1.0), -math.inf, len(sets) - 1.0)

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
    out = [(formula.lines[place], chosen.share * formula.lines[place].grams) for place in chosen.candidate.places]
    rows = open_rows(swapper, wishes)
    return tuple(found or [f"serves {row.aim.said}" for row in rows if row.served(out, chosen.into) >= SERVED])


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


def _cost_of(way: Way) -> float:
    return way.drift + sum(swap.candidate.cost for swap in way.swaps)


def _same_lines(one: Formula, other: Formula) -> bool:
    return {line.ingredient for line in one.lines} == {line.ingredient for line in other.lines} and all(
        abs(
            sum(line.grams for line in one.lines if line.ingredient == name)
            - sum(line.grams for line in other.lines if line.ingredient == name)
        )
        <= max(1.0, 0.02 * sum(line.grams for line in one.lines if line.ingredient == name))
        for name in {line.ingredient for line in one.lines}
    )


def _conflict(swapper: Swapper, wishes: Wishes, until: float) -> tuple[str, ...]:
    """The smallest set of wishes that cannot all be met together; each part of it alone can, unless it is one."""
    named = _named(wishes)
    for size in range(1, min(MOST_TOGETHER, len(named)) + 1):
        for together in combinations(named, size):
            if time.monotonic() > until:
                return ()
            if not _can_be(swapper, _only(wishes, together), until):
                return together
    return tuple(named) if len(named) > MOST_TOGETHER else ()


def _named(wishes: Wishes) -> list[str]:
    readings = [f"hold {hold}" for hold in wishes.holds if not hold.startswith(LINE_HOLD)]
    lines = [f"keep {hold.removeprefix(LINE_HOLD)}" for hold in wishes.holds if hold.startswith(LINE_HOLD)]
    store = [] if wishes.pantry is None else [f"from {wishes.pantry.name}"]
    most = [] if wishes.most_swaps is None else [f"at most {wishes.most_swaps} swaps"]
    return [*store, *(f"without {word}" for word in wishes.without), *readings, *lines, *most,
            *(aim.said for aim in wishes.aims)]  # fmt: skip


def _only(wishes: Wishes, named: Sequence[str]) -> Wishes:
    """The wishes that are named, and none of the others."""
    kept = set(named)
    any_without = any(f"without {word}" in kept for word in wishes.without)
    return replace(
        wishes,
        pantry=wishes.pantry if wishes.pantry is not None and f"from {wishes.pantry.name}" in kept else None,
        without=tuple(word for word in wishes.without if f"without {word}" in kept),
        ruled_out=wishes.ruled_out if any_without else {},
        holds=tuple(
            hold for hold in wishes.holds if f"hold {hold}" in kept or f"keep {hold.removeprefix(LINE_HOLD)}" in kept
        ),
        aims=tuple(aim for aim in wishes.aims if aim.said in kept),
        most_swaps=wishes.most_swaps if f"at most {wishes.most_swaps} swaps" in kept else None,
        ways=1,
    )


def _can_be(swapper: Swapper, wishes: Wishes, until: float) -> bool:
    if _Search(swapper, wishes).stuck():
        return False
    ways = _ways(swapper, wishes, until)
    return bool(ways) and not ways[0].missed and not ways[0].short
