"""Asking for a loaf: the ways in which a formula can meet wishes, each final, and what stands in the way.

Every way is one answer of the programme (see loaf_programme.py), rounded to the scale, its yeast put right, and read
again. A further way is another sort of answer: for at least one line that weighs it puts in another kind of thing.
Where wishes cannot all be met, the smallest set of them that contradict each other is named.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from adapter.formula.problems import InputProblem
from adapter.swaps.block import Block
from adapter.swaps.candidates import SERVES, SERVES_TOGETHER, Candidate, candidates, short_now
from adapter.swaps.conflict import smallest_conflict
from adapter.swaps.final_formula import all_misses
from adapter.swaps.loaf_programme import EASED_COST, SPECK, LoafProgramme
from adapter.swaps.order import SAME, nearness
from adapter.swaps.programme import Part, Search, Solution, TimeIsUp
from adapter.swaps.refining import refined
from adapter.swaps.request import LINE_HOLD
from adapter.swaps.swapper import Swapper
from adapter.swaps.way import Way, way_of
from adapter.swaps.wishes import Wishes

FURTHER_PART, FURTHER_MORE = 0.75, 2.0
NOT_CALLED_FOR_PART, NOT_CALLED_FOR_MORE = 0.25, 0.5
"""A further way may drift by this part, and by so much, more than the best; by less with a swap that only an aim calls
for and that the best does without [A]."""
WEIGHTY = 0.02
"""A swap that makes a way another one takes out lines of at least this part of the flour [A]."""
FOR_CONFLICT = 0.6
"""Contradicting wishes are looked for until this part of the time is gone."""

NO_OTHER, TOO_FAR, NO_TIME, NO_CHANGE = "no other", "too far", "no time", "no change"


@dataclass(frozen=True, slots=True)
class Fewer:
    """Why there are fewer ways than were asked for; `drift` is that of the next where it drifts too far."""

    why: str
    drift: float | None = None


@dataclass(frozen=True)
class Answer:
    """What can be had: ways, the best first; the wishes that contradict each other; lines that nothing replaces."""

    wishes: Wishes
    ways: tuple[Way, ...]
    conflict: tuple[str, ...] = ()
    stuck: tuple[str, ...] = ()
    fewer: Fewer | None = None


def adapt(swapper: Swapper, wishes: Wishes) -> Answer:
    """The ways in which the swapper's formula meets the wishes. Call it again with swaps refused or pinned."""
    _check_holds(swapper, wishes)
    start = time.monotonic()
    until, till = start + wishes.seconds, start + FOR_CONFLICT * wishes.seconds
    stuck = _Search(swapper, wishes).stuck()
    search = None if stuck else _nearest(swapper, wishes, until)
    conflict: tuple[str, ...] = ()
    if search is None or search.misses:
        conflict = conflict_of(swapper, wishes, till)
    if search is None:
        return Answer(wishes, (), conflict, stuck, None if stuck or conflict else Fewer(NO_TIME))
    out_of_reach = frozenset(aim.said for aim in wishes.aims if conflict == (aim.said,)) - wishes.eased
    if out_of_reach:
        search = _nearest(swapper, replace(wishes, eased=wishes.eased | out_of_reach), until) or search
    ways, fewer = search.ways(until)
    return Answer(wishes, ways, conflict, (), fewer)


def conflict_of(swapper: Swapper, wishes: Wishes, until: float) -> tuple[str, ...]:
    """The smallest set of wishes that this formula cannot meet together; none where all can be met."""

    def can_be(some: Wishes) -> bool:
        if _Search(swapper, some).stuck():
            return False
        search = _nearest(swapper, some, until)
        return search is not None and not search.misses

    return smallest_conflict(wishes, can_be, until)


def _check_holds(swapper: Swapper, wishes: Wishes) -> None:
    for hold in wishes.holds:
        name = hold.removeprefix(LINE_HOLD)
        if hold.startswith(LINE_HOLD) and name in wishes.ruled_out:
            raise InputProblem(f"{name} is kept and ruled out at once", right="one of the two")
    if wishes.pinned:
        known = names_of_swaps(swapper, wishes)
        for name in sorted(wishes.pinned):
            if name not in known:
                raise InputProblem(f"the swap {name!r} is none of those that can be", right="one that a way names")
            if name in wishes.refused:
                raise InputProblem(f"the swap {name!r} is refused and asked for at once", right="one of the two")


def names_of_swaps(swapper: Swapper, wishes: Wishes) -> frozenset[str]:
    """The swaps that wishes leave open, those refused among them."""
    short = short_now(swapper.formula, swapper, wishes.pantry)
    return frozenset(each.name for each in candidates(swapper, replace(wishes, refused=frozenset()), short))


def _nearest(swapper: Swapper, wishes: Wishes, until: float) -> _Search | None:
    """The search that comes nearest to the wishes: with swaps that serve an aim by much; where that leaves one out of
    reach, with several that do so together. None where there is no way.
    """
    search = _Search(swapper, wishes)
    if not wishes.pinned <= {candidate.name for candidate in search.block.candidates}:
        search = _Search(swapper, wishes, SERVES_TOGETHER)
        return search if search.found_first(until) else None
    aims = {aim.said for aim in wishes.aims}
    found = search.found_first(until)
    if found and any(miss.wish in aims for miss in search.found[0][0].missed):
        together = _Search(swapper, wishes, SERVES_TOGETHER)
        if together.names != search.names and together.found_first(until) and together.is_as_near_as(search):
            return together
    return search if found else None


class _Search:
    """One programme, and the ways found with it."""

    def __init__(self, swapper: Swapper, wishes: Wishes, serving: float = SERVES) -> None:
        self.swapper = swapper
        self.wishes = wishes
        short = short_now(swapper.formula, swapper, wishes.pantry)
        self.block = Block(swapper, wishes, candidates(swapper, wishes, short, serving), 1.0, short)
        self.programme = LoafProgramme([self.block], wishes.pantry, swapper.balancer.solver)
        self.names = {candidate.name for candidate in self.block.candidates}
        self.found: list[tuple[Way, Solution]] = []

    def stuck(self) -> tuple[str, ...]:
        """Lines that are ruled out and that nothing stands in for."""
        lines = self.swapper.formula.lines
        return tuple(
            dict.fromkeys(lines[place].ingredient for place in self.block.stays if not self.block.leaving.get(place))
        )

    @property
    def misses(self) -> bool:
        """Whether the best way misses a wish or lacks something."""
        best = self.found[0][0]
        known = [miss for miss in best.missed if not miss.is_unknown]
        return bool(known or best.short)

    def is_as_near_as(self, other: _Search) -> bool:
        """Whether its best way misses no more wishes than that of another search."""
        return len(self.found[0][0].missed) <= len(other.found[0][0].missed)

    def found_first(self, until: float) -> bool:
        """Whether there is a way at all."""
        with suppress(ArithmeticError):
            self._find(until)
        return bool(self.found)

    def ways(self, until: float) -> tuple[tuple[Way, ...], Fewer | None]:
        """The ways, the best first, each another sort of answer than those before; and why there are no more."""
        fewer = None
        while len(self.found) < self.wishes.ways and fewer is None:
            fewer = self._further(until)
        found = [way for way, _ in self.found]
        found.sort(key=lambda way: (len(way.missed), len(way.short), _cost_of(way, self.wishes)))
        return tuple(found), fewer

    def _further(self, until: float) -> Fewer | None:
        """Find one more way, or why there is none."""
        best = self.found[0][0]
        if best.drift == 0.0 and not (best.missed or best.short):
            return Fewer(NO_CHANGE)
        if time.monotonic() >= until:
            return Fewer(NO_TIME)
        try:
            way = self._find(until)
        except TimeIsUp:
            return Fewer(NO_TIME)
        except ArithmeticError:
            return Fewer(NO_OTHER)
        if way is None:
            return Fewer(NO_OTHER)
        if self._is_worth_telling(way, best):
            return None
        self.found.pop()
        return Fewer(TOO_FAR, way.drift if (way.missed, way.short) == (best.missed, best.short) else None)

    def _find(self, until: float) -> Way | None:
        """The best way of another sort than those found; None where something stays that is ruled out."""
        solution = self.programme.solve(
            [self._cut(self._families(each)) for _, each in self.found],
            search=Search(seconds=max(0.05, until - time.monotonic())),
        )
        if any(solution.amounts[place] > SPECK for place in self.block.stays.values()):
            return None
        solution = refined(self.programme, solution)
        formula, swaps = self.programme.formula(self.block, solution), self.programme.chosen(self.block, solution)
        way = way_of(self.swapper, self.wishes, formula, swaps, solution.gap)
        self.found.append((way, solution))
        return way

    def _is_worth_telling(self, way: Way, best: Way) -> bool:
        """Whether a further way answers the wishes as well and does not drift much further than the best."""
        if (len(way.missed), len(way.short)) > (len(best.missed), len(best.short)):
            return False
        if all_misses(way.after, self.wishes) > 1.25 * all_misses(best.after, self.wishes) + 1.0:
            return False
        known = {swap.candidate.name for swap in best.swaps}
        if any(swap.candidate.serves and swap.candidate.name not in known for swap in way.swaps):
            return way.drift <= (1.0 + NOT_CALLED_FOR_PART) * best.drift + NOT_CALLED_FOR_MORE
        return way.drift <= (1.0 + FURTHER_PART) * best.drift + FURTHER_MORE

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

    def _families(self, solution: Solution) -> list[frozenset[int]]:
        """For each swap of an answer the choices that put the same sort of thing in the same lines' stead."""
        catalogue = self.swapper.kitchen.catalogue

        def alike(one: Candidate, other: Candidate) -> bool:
            if frozenset(one.places) != frozenset(other.places):
                return False
            first, second = one.telling, other.telling
            if first is None or second is None:
                return first is second
            return first == second or nearness(first, second, catalogue) == SAME

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


def _cost_of(way: Way, wishes: Wishes) -> float:
    return way.drift + sum(swap.candidate.cost for swap in way.swaps) + EASED_COST * all_misses(way.after, wishes)
