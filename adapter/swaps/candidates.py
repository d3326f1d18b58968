"""Which swaps can answer wishes: by a rule, from what may be used, for a line that something calls on to change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from adapter.formula.model import Formula
from adapter.formula.pantry import Pantry
from adapter.formula.problems import InputProblem
from adapter.swaps.balance import WATER
from adapter.swaps.order import SAME, STRANGE, nearness
from adapter.swaps.request import LINE_HOLD
from adapter.swaps.rules import Rule
from adapter.swaps.stock import missing
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import PRICE, Wishes

LEAST_GRAMS = 0.05
MOST_FOR_AIM = 6
"""So many swaps of a line are tried when only an aim calls for them: the same sort of thing, nearest first [A]."""

SWAP_COST, FURTHER_COST, ALIKE_COST, STRANGE_COST, ALLERGEN_COST = 1.0, 0.5, 0.75, 1.5, 4.0
"""What a swap must gain, in drift: for itself, for each thing beyond the first that comes in or goes out, for standing
in with a thing that is only alike or another altogether, and for each allergen that it brings in [A]."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A swap that the programme may choose. `typical` are the grams coming in for the whole of its lines."""

    rule: Rule
    places: tuple[int, ...]
    chosen: tuple[str, ...]
    typical: tuple[float, ...]
    cost: float
    name: str

    @property
    def group(self) -> tuple[frozenset[int], frozenset[str]]:
        """Swaps of one group take the same lines out for the same things, by other rules."""
        return frozenset(self.places), frozenset(self.chosen)


def swap_name(formula: Formula, places: Sequence[int], chosen: Sequence[str]) -> str:
    """How a swap is called, so that it can be refused or pinned: "kefir@dough > milk + cider vinegar"."""
    out = " + ".join(f"{formula.lines[place].ingredient}@{formula.lines[place].stage}" for place in sorted(places))
    return f"{out} > {' + '.join(sorted(chosen)) or 'nothing'}"


def short_now(formula: Formula, swapper: Swapper, pantry: Pantry | None) -> frozenset[str]:
    """The ingredients of a formula that the store lacks some of."""
    if pantry is None:
        return frozenset()
    return frozenset(amount.ingredient for amount in missing(formula, pantry, swapper.kitchen.catalogue))


def candidates(swapper: Swapper, wishes: Wishes, short: frozenset[str]) -> list[Candidate]:
    """Every swap that the wishes leave open. `short` are the ingredients that the store lacks."""
    found: dict[tuple[str, frozenset[int], tuple[str, ...]], Candidate] = {}
    for place, line in enumerate(swapper.formula.lines):
        called_for = line.ingredient in short or line.ingredient in wishes.ruled_out
        aimed = bool(wishes.aims) and not called_for
        if line.grams <= 0 or not (called_for or aimed):
            continue
        tried = 0
        for rule, places, chosen in _in_reach(swapper, place, wishes, short, aimed):
            key = (rule.id, frozenset(places), chosen)
            if key in found:
                continue
            name = swap_name(swapper.formula, places, chosen)
            if name in wishes.refused or (aimed and tried >= MOST_FOR_AIM):
                continue
            typical = _typical(swapper, rule, places, chosen)
            if typical is not None:
                found[key] = Candidate(rule, places, chosen, typical, _cost(swapper, places, chosen), name)
                tried += 1
    return list(found.values())


def _in_reach(
    swapper: Swapper, place: int, wishes: Wishes, short: frozenset[str], aimed: bool
) -> Iterator[tuple[Rule, tuple[int, ...], tuple[str, ...]]]:
    fitting = [
        choice
        for choice in swapper.fitting(place, wishes.holds)
        if may_come_in(choice[2], swapper, wishes, short) and _may_go_out(swapper, choice, wishes, short)
    ]
    if aimed:
        line = swapper.formula.lines[place]
        catalogue = swapper.kitchen.catalogue
        fitting = [c for c in fitting if len(c[1]) == 1 == len(c[2]) and _moves_an_aim(swapper, place, c[2][0], wishes)]
        fitting.sort(
            key=lambda c: (nearness(line.ingredient, c[2][0], catalogue), swapper.likeness.distance(c[1], c[2][0]))
        )
    yield from fitting


def may_come_in(chosen: Sequence[str], swapper: Swapper, wishes: Wishes, short: frozenset[str]) -> bool:
    """Whether all of it may be used: not ruled out, in store, and not short already."""
    pantry = wishes.pantry
    return all(
        name not in wishes.ruled_out
        and (name == WATER or pantry is None or (pantry.grams_of(name) > 0 and name not in short))
        for name in chosen
    )


def _may_go_out(
    swapper: Swapper, choice: tuple[Rule, tuple[int, ...], tuple[str, ...]], wishes: Wishes, short: frozenset[str]
) -> bool:
    """A line that is there and may stay goes out beside another only for the same sort of thing."""
    _, places, chosen = choice
    for place in places:
        name = swapper.formula.lines[place].ingredient
        there = wishes.pantry is None or wishes.pantry.grams_of(name) > 0
        stays = len(places) > 1 and name not in wishes.ruled_out and there
        if stays and not any(nearness(name, other, swapper.kitchen.catalogue) == SAME for other in chosen):
            return False
    return True


def _moves_an_aim(swapper: Swapper, place: int, name: str, wishes: Wishes) -> bool:
    """Whether a gram of it brings clearly more or less of something aimed at than a gram of the line."""
    balancer, lines = swapper.balancer, swapper.formula.lines
    for aim in wishes.aims:
        if aim.key == PRICE:
            return True
        if aim.key in ("rise_time", "pace", "yeast"):
            continue
        line = lines[place]
        change = balancer.effect(replace(line, ingredient=name, hydration=None), aim.key) - balancer.effect(
            line, aim.key
        )
        tolerance = swapper.kitchen.tolerances.get(aim.key)
        if abs(change) * line.grams > 0.3 * (tolerance.value if tolerance else 0.1):
            return True
    return False


def _typical(
    swapper: Swapper, rule: Rule, places: tuple[int, ...], chosen: tuple[str, ...]
) -> tuple[float, ...] | None:
    try:
        typical = swapper.typical_amounts(rule, places, chosen)
    except InputProblem:
        return None
    return typical if all(grams >= LEAST_GRAMS for grams in typical) else None


def _cost(swapper: Swapper, places: Sequence[int], chosen: Sequence[str]) -> float:
    catalogue, lines = swapper.kitchen.catalogue, swapper.formula.lines
    going = [lines[place].ingredient for place in places]
    there = {group for line in lines for group in catalogue.get(line.ingredient).allergens}
    new = {group for name in chosen for group in catalogue.get(name).allergens} - there
    cost = SWAP_COST + FURTHER_COST * max(0, len(chosen) - 1) + FURTHER_COST * (len(places) - 1)
    for name in going:
        near = min((nearness(name, other, catalogue) for other in chosen), default=STRANGE)
        cost += (0.0, ALIKE_COST, STRANGE_COST)[near] / len(going)
    return cost + ALLERGEN_COST * len(new)


def held(name: str, wishes: Wishes) -> bool:
    return f"{LINE_HOLD}{name}" in wishes.holds
