"""Which swaps can answer wishes: by a rule, from what may be used, for a line that something calls on to change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from adapter.dough.allergens import group_of
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Amount, Formula, Line
from adapter.formula.pantry import Pantry
from adapter.formula.problems import InputProblem
from adapter.swaps.aim_rows import AimRow, open_rows
from adapter.swaps.balance import SALT, WATER
from adapter.swaps.order import SAME, STRANGE, UNUSUAL, main_thing, nearness
from adapter.swaps.request import LINE_HOLD
from adapter.swaps.rules import Rule
from adapter.swaps.stock import missing
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes

LEAST_GRAMS = 0.05
RAISING = frozenset(("yeast", "leavening", "sourdough"))
MOST_FOR_AIM, MOST_TRIED_FOR_AIM = 6, 15
"""So many swaps of a line are taken, of so many tried, when only an aim calls for them: nearest first [A]."""
SERVES, SERVES_TOGETHER = 0.5, 0.2
"""A swap that only an aim calls for brings at least this part of what is lacking; the smaller part where that leaves
the aim out of reach, so that several swaps serve it together [A]."""
LEVERS = {"hydration": WATER, "effective_hydration": WATER, "salt": SALT, "label_salt": SALT}
LEAST_SHARE = 0.1
"""No swap takes less than this part of its lines [A]."""

SWAP_COST, FURTHER_COST, ALIKE_COST, STRANGE_COST, ALLERGEN_COST, SELDOM_COST = 1.0, 0.5, 0.75, 1.5, 4.0, 2.0
"""What a swap must gain, in drift: for itself, for each thing beyond the first that comes in or goes out, for standing
in with a thing that is only alike or another altogether, for each new group of allergens, and for a rarity [A]."""
FOR_AIM_COST = 3.0
"""The same for a swap that only an aim calls for: less of what is there comes first [A]."""
IN_TURN = 1e-3
"""Of two that are as good the one is taken that its rule and the tables name first."""
MEMBER_COST = 0.5
"""The same for an allergen of a group that is there already: barley in a loaf of rye [A]."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A swap that the programme may choose. `typical` are the grams coming in for the whole of its lines, of which it
    takes `most` at most. One that only an aim calls for `serves` it, by a `part` of what is lacking at least.
    """

    rule: Rule
    places: tuple[int, ...]
    chosen: tuple[str, ...]
    typical: tuple[float, ...]
    cost: float
    name: str
    serves: AimRow | None = None
    part: float = 0.0
    most: float = 1.0

    @property
    def group(self) -> tuple[frozenset[int], frozenset[str]]:
        """Swaps of one group take the same lines out for the same things, by other rules."""
        return frozenset(self.places), frozenset(self.chosen)

    @property
    def telling(self) -> str | None:
        """What mostly stands in; None where the line is left out."""
        return main_thing(list(zip(self.chosen, self.typical, strict=True))) if self.chosen else None


def swap_name(formula: Formula, places: Sequence[int], chosen: Sequence[str]) -> str:
    """How a swap is called, so that it can be refused or pinned: "kefir@dough > milk + cider vinegar"."""
    out = " + ".join(f"{formula.lines[place].ingredient}@{formula.lines[place].stage}" for place in sorted(places))
    return f"{out} > {' + '.join(sorted(chosen)) or 'nothing'}"


def short_now(formula: Formula, swapper: Swapper, pantry: Pantry | None) -> frozenset[str]:
    """The ingredients of a formula that the store lacks some of."""
    if pantry is None:
        return frozenset()
    return frozenset(amount.ingredient for amount in missing(formula, pantry, swapper.kitchen.catalogue))


def candidates(
    swapper: Swapper, wishes: Wishes, short: frozenset[str], serving: float = SERVES_TOGETHER
) -> list[Candidate]:
    """Every swap that the wishes leave open. `short` are the ingredients that the store lacks; swaps that only an aim
    calls for are those `serving` it by such a part of what is lacking.
    """
    found: dict[tuple[str, frozenset[int], tuple[str, ...]], Candidate] = {}
    rows = [row for row in open_rows(swapper, wishes) if serving < SERVES or not _has_a_lever(row, wishes)]
    for place, line in enumerate(swapper.formula.lines):
        called_for = line.ingredient in short or line.ingredient in wishes.ruled_out
        aimed = bool(rows) and not called_for
        raises = swapper.kitchen.catalogue.fresh_yeast(line.ingredient) > 0
        if line.grams <= 0 or not (called_for or (aimed and not raises)):
            continue
        taken = tried = 0
        for rule, places, chosen in _in_reach(swapper, place, wishes, short, rows if aimed else ()):
            key = (rule.id, frozenset(places), chosen)
            name = swap_name(swapper.formula, places, chosen)
            if key in found or name in wishes.refused:
                continue
            tried += 1
            if aimed and (taken >= MOST_FOR_AIM or tried > MOST_TRIED_FOR_AIM):
                break
            typical = _typical(swapper, rule, places, chosen)
            serves = _served_most(swapper, rows, places, chosen, typical, serving) if aimed and typical else None
            if typical is not None and (serves is not None or not aimed):
                cost = _cost(swapper, rule, places, chosen, wishes.pantry is None) + IN_TURN * len(found)
                cost += FOR_AIM_COST if aimed else 0.0
                found[key] = Candidate(rule, places, chosen, typical, cost, name, serves, serving if serves else 0.0)
                taken += 1
    return list(found.values())


def _has_a_lever(row: AimRow, wishes: Wishes) -> bool:
    """Whether the loaf's own water or salt meets an aim by itself: then no swap is made for it."""
    lever = LEVERS.get(row.aim.key)
    return lever is not None and not held(lever, wishes) and lever not in wishes.ruled_out


def _served_most(
    swapper: Swapper,
    rows: Sequence[AimRow],
    places: Sequence[int],
    chosen: Sequence[str],
    typical: Sequence[float],
    serving: float,
) -> AimRow | None:
    """The aim that a swap of the whole of its lines serves most, where that is as much as it must be."""
    out = [(swapper.formula.lines[place], swapper.formula.lines[place].grams) for place in places]
    into = [Amount(name, grams) for name, grams in zip(chosen, typical, strict=True)]
    best = max(rows, key=lambda row: row.served(out, into))
    return best if best.served(out, into) >= serving else None


def _in_reach(
    swapper: Swapper, place: int, wishes: Wishes, short: frozenset[str], rows: Sequence[AimRow]
) -> Iterator[tuple[Rule, tuple[int, ...], tuple[str, ...]]]:
    fitting = [
        choice
        for choice in swapper.fitting(place, wishes.holds)
        if may_come_in(choice[2], swapper, wishes, short) and _may_go_out(swapper, choice, wishes, short)
    ]
    if rows:
        line = swapper.formula.lines[place]
        catalogue = swapper.kitchen.catalogue
        fitting = [c for c in fitting if len(c[1]) == 1 == len(c[2]) and _moves_an_aim(swapper, place, c[2][0], rows)]
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
    """A line that is there and may stay goes out beside another only for the same sort of thing; what raises a dough
    goes only where something else raises it.
    """
    _, places, chosen = choice
    lines, catalogue = swapper.formula.lines, swapper.kitchen.catalogue
    if any(_raises(lines[place].ingredient, catalogue) for place in places):
        others = [line.ingredient for place, line in enumerate(lines) if place not in places and line.grams > 0]
        if not any(_raises(name, catalogue) for name in (*chosen, *others)):
            return False
    for place in places:
        name = swapper.formula.lines[place].ingredient
        there = wishes.pantry is None or wishes.pantry.grams_of(name) > 0
        stays = len(places) > 1 and name not in wishes.ruled_out and there
        if stays and not any(nearness(name, other, swapper.kitchen.catalogue) == SAME for other in chosen):
            return False
    return True


def _raises(name: str, catalogue: Catalogue) -> bool:
    item = catalogue.get(name)
    return item.property("yeast") > 0 or not item.kinds.isdisjoint(RAISING)


def _moves_an_aim(swapper: Swapper, place: int, name: str, rows: Sequence[AimRow]) -> bool:
    """Whether a gram of it brings clearly more or less of something aimed at than a gram of the line."""
    line = swapper.formula.lines[place]
    return any(
        abs(row.per_gram(Line(name, 0.0, line.stage)) - row.per_gram(line)) * line.grams > 0.1 * row.lacking
        for row in rows
    )


def _typical(
    swapper: Swapper, rule: Rule, places: tuple[int, ...], chosen: tuple[str, ...]
) -> tuple[float, ...] | None:
    try:
        typical = swapper.typical_amounts(rule, places, chosen)
    except InputProblem:
        return None
    return typical if all(grams >= LEAST_GRAMS for grams in typical) else None


def _cost(swapper: Swapper, rule: Rule, places: Sequence[int], chosen: Sequence[str], anything: bool = False) -> float:
    """`anything` where no store says what there is: then what few bakeries have counts as for offers."""
    catalogue, lines = swapper.kitchen.catalogue, swapper.formula.lines
    going = [lines[place].ingredient for place in places]
    there = {each for line in lines for each in catalogue.get(line.ingredient).allergens}
    new = {each for name in chosen for each in catalogue.get(name).allergens} - there
    groups = set(map(group_of, new)) - set(map(group_of, there))
    cost_of_new = ALLERGEN_COST * len(groups) + MEMBER_COST * (len(new) - len(groups))
    cost = SWAP_COST + FURTHER_COST * max(0, len(chosen) - 1) + FURTHER_COST * (len(places) - 1)
    for name in going:
        near = min((nearness(name, other, catalogue) for other in chosen), default=STRANGE)
        cost += (0.0, ALIKE_COST, STRANGE_COST)[near] / len(going)
    if anything and not all(catalogue.get(name).everyday for name in chosen):
        cost += UNUSUAL
    return cost + cost_of_new + (0.0 if rule.seldom.isdisjoint(chosen) else SELDOM_COST)


def held(name: str, wishes: Wishes) -> bool:
    return f"{LINE_HOLD}{name}" in wishes.holds
