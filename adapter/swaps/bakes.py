"""Several bakes from one store: one programme over all, so that what one loaf takes another does without."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from adapter.formula.model import Amount
from adapter.formula.problems import InputProblem
from adapter.swaps.adapt import GRAMS_SHOWN, Way, way_of
from adapter.swaps.candidates import Candidate, candidates
from adapter.swaps.loaf_programme import Block, LoafProgramme
from adapter.swaps.stock import needs_of
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes

MOST_OF_ONE = 10_000
MOST_BAKES = 30
FRESH_BONUS = 0.002
"""What using a gram of a stock that spoils before the day named is worth, in drift for each percent of flour [A]."""


@dataclass(frozen=True)
class Bakes:
    """A way for each formula, with how many of it; what to buy for all; and how sure it is the best."""

    ways: tuple[Way, ...]
    counts: tuple[int, ...]
    buy: tuple[Amount, ...]
    proven: bool
    gap: float
    conflict: tuple[str, ...] = ()


def plan_bakes(swappers: Sequence[Swapper], counts: Sequence[int], wishes: Wishes, by: date | None = None) -> Bakes:
    """The swaps for so many of each formula from one store, and what to buy so that all can be baked."""
    if wishes.pantry is None:
        raise InputProblem("several bakes need a store", where="adapt", right="--pantry NAME")
    if len(swappers) > MOST_BAKES:
        raise InputProblem(f"{len(swappers)} formulas", where="adapt", right=f"at most {MOST_BAKES}")
    for count in counts:
        if not 1 <= count <= MOST_OF_ONE:
            raise InputProblem(f"{count} of a formula", where="adapt", right=f"1 to {MOST_OF_ONE}")
    pantry = wishes.pantry
    needs: dict[str, float] = {}
    for swapper, count in zip(swappers, counts, strict=True):
        for name, need in needs_of(swapper.formula, pantry, swapper.kitchen.catalogue, count).items():
            needs[name] = needs.get(name, 0.0) + need
    short = frozenset(name for name, need in needs.items() if need > pantry.grams_of(name))
    soon = _spoils_by(wishes, by)
    blocks = [
        Block(swapper, wishes, _favoured(candidates(swapper, wishes, short), soon, swapper), count)
        for swapper, count in zip(swappers, counts, strict=True)
    ]
    programme = LoafProgramme(blocks, pantry, swappers[0].balancer.solver)
    solution = programme.solve(seconds=wishes.seconds)
    ways = tuple(
        way_of(
            block.swapper,
            wishes,
            programme.formula(block, solution),
            programme.chosen(block, solution),
            solution.gap,
            block.count,
        )
        for block in blocks
    )
    return Bakes(ways, tuple(counts), _to_buy(ways, counts, wishes), solution.gap <= 1e-6, solution.gap)


def _spoils_by(wishes: Wishes, by: date | None) -> frozenset[str]:
    if by is None or wishes.pantry is None:
        return frozenset()
    return frozenset(
        entry.ingredient for entry in wishes.pantry.stock if entry.best_before is not None and entry.best_before <= by
    )


def _favoured(found: Sequence[Candidate], soon: frozenset[str], swapper: Swapper) -> list[Candidate]:
    """Swaps to what spoils first cost a little less."""
    from dataclasses import replace

    flour = swapper.measured.amount("flour")
    favoured = []
    for candidate in found:
        grams = sum(typical for name, typical in zip(candidate.chosen, candidate.typical, strict=True) if name in soon)
        bonus = min(0.5 * candidate.cost, FRESH_BONUS * 100.0 * 100.0 * grams / flour / 100.0)
        favoured.append(replace(candidate, cost=candidate.cost - bonus) if grams else candidate)
    return favoured


def _to_buy(ways: Sequence[Way], counts: Sequence[int], wishes: Wishes) -> tuple[Amount, ...]:
    """What all the final formulas together take beyond the stock."""
    assert wishes.pantry is not None
    needs: dict[str, float] = {}
    for way, count in zip(ways, counts, strict=True):
        catalogue = way.after.kitchen.catalogue
        for name, need in needs_of(way.after.formula, wishes.pantry, catalogue, count).items():
            needs[name] = needs.get(name, 0.0) + need
    return tuple(
        Amount(name, need - wishes.pantry.grams_of(name))
        for name, need in sorted(needs.items())
        if need - wishes.pantry.grams_of(name) > GRAMS_SHOWN
    )
