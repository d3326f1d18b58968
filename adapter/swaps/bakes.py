"""Several bakes from one store: one programme over all, so that what one loaf takes another does without."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from adapter.dough.readings.measured import measure
from adapter.formula.model import Amount, scale_step
from adapter.formula.pantry import Pantry
from adapter.formula.problems import InputProblem
from adapter.swaps.block import Block
from adapter.swaps.candidates import Candidate, candidates
from adapter.swaps.loaf_programme import LoafProgramme
from adapter.swaps.programme import Solution
from adapter.swaps.refining import refined
from adapter.swaps.stock import needs_of
from adapter.swaps.swapper import Swapper
from adapter.swaps.way import GRAMS_SHOWN, Way, missed_wishes, step_of, way_of
from adapter.swaps.wishes import Wishes, price_known

MOST_OF_ONE = 10_000
MOST_BAKES = 30
FRESH_BONUS = 0.1
"""What using a stock that spoils by the day named is worth, in drift for each percent of the flour: at most half of
what the swap costs by itself [A]."""


@dataclass(frozen=True)
class Bakes:
    """A way for each formula, with how many of it; what to buy for all; and how sure it is the best.

    There is no way where something is ruled out that nothing stands in for: `stuck` says what, of which formula.
    """

    ways: tuple[Way, ...]
    counts: tuple[int, ...]
    buy: tuple[Amount, ...]
    proven: bool
    gap: float
    conflict: tuple[str, ...] = ()
    stuck: tuple[str, ...] = ()


def plan_bakes(
    swappers: Sequence[Swapper], counts: Sequence[int], wishes: Wishes | Sequence[Wishes], by: date | None = None
) -> Bakes:
    """The swaps for so many of each formula from one store, and what to buy so that all can be baked.

    `wishes` are those of all, or of each formula: a change such as -30 % is one from what that formula has.
    """
    each = [wishes] * len(swappers) if isinstance(wishes, Wishes) else list(wishes)
    pantry = each[0].pantry
    if pantry is None:
        raise InputProblem("several bakes need a store", where="adapt", right="--pantry NAME")
    if len(swappers) > MOST_BAKES:
        raise InputProblem(f"{len(swappers)} formulas", where="adapt", right=f"at most {MOST_BAKES}")
    for count in counts:
        if not 1 <= count <= MOST_OF_ONE:
            raise InputProblem(f"{count} of a formula", where="adapt", right=f"1 to {MOST_OF_ONE}")
    needs: dict[str, float] = {}
    for swapper, count in zip(swappers, counts, strict=True):
        for name, need in needs_of(swapper.formula, pantry, swapper.kitchen.catalogue, count).items():
            needs[name] = needs.get(name, 0.0) + need
    short = frozenset(name for name, need in needs.items() if need > pantry.grams_of(name))
    together: dict[str, float] = {}
    for swapper, count in zip(swappers, counts, strict=True):
        for line in swapper.formula.lines:
            together[line.ingredient] = together.get(line.ingredient, 0.0) + count * line.grams
    soon = _spoils_by(pantry, by)
    blocks = [
        Block(swapper, wish, _favoured(candidates(swapper, wish, short), soon, swapper), count, short)
        for swapper, wish, count in zip(swappers, each, counts, strict=True)
    ]
    programme = LoafProgramme(blocks, pantry, swappers[0].balancer.solver)
    solution = programme.solve(seconds=each[0].seconds)
    stuck = tuple(
        f"{block.formula.lines[place].ingredient} of {block.formula.name}"
        for block in blocks
        for place, stays in block.stays.items()
        if solution.amounts[stays] > 1e-6
    )
    if stuck:
        return Bakes((), tuple(counts), (), solution.gap <= 1e-6, solution.gap, (), stuck)
    solution = refined(programme, solution)
    ways = tuple(
        way_of(
            block.swapper,
            block.wishes,
            programme.formula(block, solution),
            programme.chosen(block, solution),
            solution.gap,
            block.count,
            together,
        )
        for block in blocks
    )
    ways = _within_store(ways, counts, each, programme, solution)
    buy = _to_buy(ways, counts, pantry)
    lacking = {amount.ingredient for amount in buy}
    # What one formula lacks by itself is not lacking where the others leave enough.
    told = tuple(
        replace(way, short=tuple(amount for amount in way.short if amount.ingredient in lacking)) for way in ways
    )
    return Bakes(told, tuple(counts), buy, solution.gap <= 1e-6, solution.gap)


def _within_store(
    ways: Sequence[Way], counts: Sequence[int], wishes: Sequence[Wishes], programme: LoafProgramme, solution: Solution
) -> tuple[Way, ...]:
    """The ways with lines that rounding brought above the store taken down to it, where nothing has to be bought."""
    assert programme.pantry is not None
    found = list(ways)
    for amount in _to_buy(ways, counts, programme.pantry):
        name = amount.ingredient
        bought = programme.bought.get(name)
        if bought is not None and solution.amounts[bought] > 0.5:
            continue
        over = amount.grams
        for place in sorted(range(len(found)), key=lambda place: -counts[place]):
            formula = found[place].after.formula
            lines = list(formula.lines)
            largest = max(
                (at for at, line in enumerate(lines) if line.ingredient == name),
                key=lambda at: lines[at].grams,
                default=None,
            )
            if largest is None or over <= 0:
                continue
            step = scale_step(lines[largest].grams)
            less = min(math.ceil(over / counts[place] / step - 1e-9) * step, 2.0 * step, lines[largest].grams)
            lines[largest] = lines[largest].with_grams(round(lines[largest].grams - less, 1))
            after = measure(found[place].after.kitchen, formula.with_lines(lines), found[place].before.book)
            found[place] = replace(
                found[place],
                after=after,
                step=step_of(found[place].before, after, wishes[place].holds),
                missed=missed_wishes(found[place].before, after, wishes[place]),
                price=price_known(after.formula, programme.pantry),
            )
            over -= less * counts[place]
    return tuple(found)


def _spoils_by(pantry: Pantry, by: date | None) -> frozenset[str]:
    if by is None:
        return frozenset()
    return frozenset(
        entry.ingredient for entry in pantry.stock if entry.best_before is not None and entry.best_before <= by
    )


def _favoured(found: Sequence[Candidate], soon: frozenset[str], swapper: Swapper) -> list[Candidate]:
    """Swaps to what spoils first cost a little less."""
    flour = swapper.measured.amount("flour")
    favoured = []
    for candidate in found:
        grams = sum(typical for name, typical in zip(candidate.chosen, candidate.typical, strict=True) if name in soon)
        bonus = min(0.5 * candidate.cost, FRESH_BONUS * 100.0 * grams / flour)
        favoured.append(replace(candidate, cost=candidate.cost - bonus) if grams else candidate)
    return favoured


def _to_buy(ways: Sequence[Way], counts: Sequence[int], pantry: Pantry) -> tuple[Amount, ...]:
    """What all the final formulas together take beyond the stock."""
    needs: dict[str, float] = {}
    for way, count in zip(ways, counts, strict=True):
        catalogue = way.after.kitchen.catalogue
        for name, need in needs_of(way.after.formula, pantry, catalogue, count).items():
            needs[name] = needs.get(name, 0.0) + need
    return tuple(
        Amount(name, need - pantry.grams_of(name))
        for name, need in sorted(needs.items())
        if need - pantry.grams_of(name) > GRAMS_SHOWN
    )
