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

from adapter.formula.model import Formula
from adapter.formula.problems import InputProblem
from adapter.swaps.block import Block
from adapter.swaps.candidates import SERVES, SERVES_TOGETHER, Candidate, candidates, short_now
from adapter.swaps.conflict import smallest_conflict
from adapter.swaps.final_formula import all_misses
from adapter.swaps.loaf_programme import EASED_COST, LoafProgramme
from adapter.swaps.order import SAME, nearness
from adapter.swaps.programme import Part, Solution
from adapter.swaps.refining import refined
from adapter.swaps.request import LINE_HOLD
from adapter.swaps.swapper import Swapper
from adapter.swaps.way import Way, way_of
from adapter.swaps.wishes import Wishes

ANOTHER_SORT_PART, ANOTHER_SORT_MORE = 0.75, 2.0
FURTHER_PART, FURTHER_MORE = 1.5, 6.0
NOT_CALLED_FOR_PART, NOT_CALLED_FOR_MORE = 0.25, 0.5
"""A further way may drift by this part, and by so much, more than the best: one of another sort, any, and one with a
swap that only an aim calls for and the best does without [A]."""
WEIGHTY = 0.02
"""A swap that makes a way another one takes out lines of at least this part of the flour [A]."""


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
    ways = _ways(swapper, wishes, until)
    conflict: tuple[str, ...] = ()
    if not ways or ways[0].missed or ways[0].short:
        conflict = smallest_conflict(wishes, can_be, until)
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
                way = self._way(refined(self.programme, solution), solution.gap)
                if found and not self._is_worth_telling(way, found[0][0], apart == self._families):
                    break
                found.append((way, solution))
                if way.drift == 0.0 and not (way.missed or way.short):
                    return (way,)  # nothing has to change
        ways: list[Way] = []
        for way, _ in sorted(
            found, key=lambda each: (len(each[0].missed), len(each[0].short), _cost_of(each[0], self.wishes))
        ):
            if not any(_same_lines(way.after.formula, other.after.formula) for other in ways):
                ways.append(way)
        return tuple(ways)

    def _is_worth_telling(self, way: Way, best: Way, of_another_sort: bool) -> bool:
        """Whether a further way answers the wishes as well and does not drift much further than the best."""
        if (len(way.missed), len(way.short)) > (len(best.missed), len(best.short)):
            return False
        if all_misses(way.after, self.wishes) > 1.25 * all_misses(best.after, self.wishes) + 1.0:
            return False
        known = {swap.candidate.name for swap in best.swaps}
        if any(swap.candidate.serves and swap.candidate.name not in known for swap in way.swaps):
            part, more = NOT_CALLED_FOR_PART, NOT_CALLED_FOR_MORE
        elif of_another_sort:
            part, more = ANOTHER_SORT_PART, ANOTHER_SORT_MORE
        else:
            part, more = FURTHER_PART, FURTHER_MORE
        return way.drift <= (1.0 + part) * best.drift + more

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


def _cost_of(way: Way, wishes: Wishes) -> float:
    return way.drift + sum(swap.candidate.cost for swap in way.swaps) + EASED_COST * all_misses(way.after, wishes)


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
    if _Search(swapper, wishes).stuck():
        return False
    ways = _ways(swapper, wishes, until)
    return bool(ways) and not ways[0].missed and not ways[0].short
