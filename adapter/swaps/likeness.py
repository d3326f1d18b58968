"""Which of very many ingredients are worth balancing: the ones that could come nearest to what goes out.

A list of offers is for choosing from. Where a rule's kinds stand for thousands of combinations, only those of the
likeliest ingredients are solved; with the shipped tables nothing is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import islice, product
from math import ceil

from adapter.formula.model import Line
from adapter.swaps.balance import Balancer
from adapter.swaps.rules import Rule

MOST_OF_A_RULE = 120
MOST_OF_A_LINE = 300
Choice = tuple[Rule, tuple[int, ...], tuple[str, ...]]


class Likeness:
    """How near one ingredient alone can come to the lines that go out, in drift, at its best weight."""

    def __init__(self, balancer: Balancer) -> None:
        self._balancer = balancer
        tolerances = balancer.measured.kitchen.tolerances
        self._costs = [tolerances[key].weight / tolerances[key].value for key in balancer.soft]
        self._wanted: dict[tuple[int, ...], list[float]] = {}
        self._found: dict[tuple[tuple[int, ...], str], float] = {}

    def distance(self, out: tuple[int, ...], name: str) -> float:
        """Drift that is left when the best weight of this ingredient stands in for the lines."""
        key = (out, name)
        found = self._found.get(key)
        if found is None:
            found = self._found[key] = self._distance(self._missing(out), name)
        return found

    def _missing(self, out: tuple[int, ...]) -> list[float]:
        found = self._wanted.get(out)
        if found is None:
            lines = [self._balancer.measured.formula.lines[place] for place in out]
            going = [(line.grams, self._balancer.effects(line)) for line in lines]
            found = self._wanted[out] = [
                sum([grams * effects[key] for grams, effects in going]) for key in self._balancer.soft
            ]
        return found

    def _distance(self, missing: Sequence[float], name: str) -> float:
        """The 1-norm over the readings is least at a weighted median of their ratios."""
        by_key = self._balancer.effects(Line(name, 0.0))
        effects = [by_key[key] for key in self._balancer.soft]
        ratios = sorted(
            (wanted / effect, cost * abs(effect))
            for wanted, effect, cost in zip(missing, effects, self._costs, strict=True)
            if effect
        )
        half = sum(weight for _, weight in ratios) / 2.0
        grams = passed = 0.0
        for ratio, weight in ratios:
            passed += weight
            if passed >= half:
                grams = max(ratio, 0.0)
                break
        return sum(
            cost * abs(wanted - grams * effect)
            for wanted, effect, cost in zip(missing, effects, self._costs, strict=True)
        )

    def choices(self, rule: Rule, out: tuple[int, ...], members: Sequence[Sequence[str]]) -> list[tuple[str, ...]]:
        """Combinations of the members of a rule's slots, none named twice; those of the likeliest when too many."""
        size = 1
        for slot in members:
            size *= len(slot)
        if size > MOST_OF_A_RULE:
            open_slots = sum(len(slot) > 1 for slot in members)
            each = ceil(MOST_OF_A_RULE ** (1.0 / open_slots))
            members = [sorted(slot, key=lambda name: self.distance(out, name))[:each] for slot in members]
        found = (chosen for chosen in product(*members) if len(set(chosen)) == len(chosen))
        return list(islice(found, MOST_OF_A_RULE))

    def likeliest(self, choices: Iterable[Choice]) -> list[Choice]:
        """At most so many of a line's choices, in their order: those whose best ingredient comes nearest."""
        found = list(choices)
        if len(found) <= MOST_OF_A_LINE:
            return found
        nearest = sorted(found, key=lambda choice: min(self.distance(choice[1], name) for name in choice[2]))
        kept = set(map(id, nearest[:MOST_OF_A_LINE]))
        return [choice for choice in found if id(choice) in kept]
