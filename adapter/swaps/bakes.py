"""Several bakes from one store: one programme over all, so that what one loaf takes another does without."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from adapter.dough.readings.measured import measure
from adapter.formula.model import Amount, Formula, Line, scale_step
from adapter.formula.pantry import Pantry
from adapter.formula.problems import InputProblem
from adapter.swaps.adapt import conflict_of
from adapter.swaps.block import Block
from adapter.swaps.candidates import LEAST_SHARE, LEVERS, Candidate, candidates
from adapter.swaps.loaf_programme import SPECK, LoafProgramme
from adapter.swaps.programme import PROVEN_GAP, Search, Solution, TimeIsUp
from adapter.swaps.refining import refined
from adapter.swaps.stock import needs_of
from adapter.swaps.swapper import Swapper
from adapter.swaps.way import GRAMS_SHOWN, Way, missed_wishes, step_of, way_of
from adapter.swaps.wishes import Wishes, price_known

MOST_OF_ONE = 10_000
MOST_BAKES = 30
SECONDS_TOGETHER = 30.0
"""The clock ends a plan of several only where the machine is slow or busy: ten formulas take three seconds of work."""
MOST_OWN_DRIFT = 12.0
"""So far a swap may take a loaf by itself before a baker would buy what is lacking [A]: other swaps of the sample
store drift by 1 to 12, sourdough for all the yeast of white rolls by 130."""
FRESH_BONUS = 0.1
"""What using a stock that spoils by the day named is worth, in drift for each percent of the flour: at most half of
what the swap costs by itself [A]."""


@dataclass(frozen=True)
class Bakes:
    """A way for each formula, with how many of it; what to buy for all; and how sure it is the best.

    There is no way where something is ruled out that nothing stands in for: `stuck` says what, of which formula.
    `conflict` is the smallest set of wishes that contradict each other for one of the formulas.
    """

    ways: tuple[Way, ...]
    counts: tuple[int, ...]
    buy: tuple[Amount, ...]
    proven: bool
    gap: float
    conflict: tuple[str, ...] = ()
    stuck: tuple[str, ...] = ()


def plan_bakes(
    swappers: Sequence[Swapper],
    counts: Sequence[int],
    wishes: Wishes | Sequence[Wishes],
    by: date | None = None,
    seconds: float | None = None,
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
        checked_count(count, 1, "adapt")
    seconds = max(SECONDS_TOGETHER, each[0].seconds) if seconds is None else seconds
    until = time.monotonic() + seconds
    together = _needs([swapper.formula for swapper in swappers], counts)
    order = sorted(range(len(swappers)), key=lambda place: _sign_of(swappers[place].formula, counts[place]))
    blocks = _blocks([(swappers[place], counts[place], each[place]) for place in order], pantry, by)
    programme = LoafProgramme(blocks, pantry, swappers[0].balancer.solver)
    try:
        solution = programme.solve(search=Search(PROVEN_GAP, seconds=seconds))
    except TimeIsUp:
        raise InputProblem("no plan was found in the time", where="adapt", right="more seconds") from None
    proven = solution.gap <= PROVEN_GAP
    stuck = [(block, _stuck(block, solution)) for block in blocks]
    if any(names for _, names in stuck):
        told = tuple(f"{name} of {block.formula.name}" for block, names in stuck for name in names)
        failing = [block for block, names in stuck if names]
        return Bakes((), tuple(counts), (), proven, solution.gap, _conflict(failing, until), told)
    solution = refined(programme, solution)
    made = [
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
    ]
    ways = [made[order.index(place)] for place in range(len(swappers))]
    ways = _within_store(ways, counts, each, programme, solution)
    buy = _to_buy(ways, counts, pantry)
    lacking = {amount.ingredient for amount in buy}
    # What one formula lacks by itself is not lacking where the others leave enough.
    ways = [replace(way, short=tuple(amount for amount in way.short if amount.ingredient in lacking)) for way in ways]
    failing = [block for block, place in zip(blocks, order, strict=True) if ways[place].missed]
    return Bakes(tuple(ways), tuple(counts), buy, proven, solution.gap, _conflict(failing, until))


def checked_count(count: int, least: int = 0, where: str | None = None) -> int:
    """The same count, if so many of a formula can be baked at once. Raises InputProblem."""
    if not least <= count <= MOST_OF_ONE:
        raise InputProblem(f"{count} of a formula", where=where, right=f"{least} to {MOST_OF_ONE}")
    return count


def _sign_of(formula: Formula, count: int) -> str:
    """An order of formulas that does not hang on the one in which they were named: the plan is the same."""
    return repr((formula.name, count, formula.lines))


def _blocks(asked: Sequence[tuple[Swapper, int, Wishes]], pantry: Pantry, by: date | None) -> list[Block]:
    """Each formula with the swaps that are open to it, where all of them share the store."""
    catalogue = asked[0][0].kitchen.catalogue
    needs = needs_of([(swapper.formula, count) for swapper, count, _ in asked], pantry, catalogue)
    short = frozenset(name for name, need in needs.items() if need > pantry.grams_of(name))
    soon = _spoils_by(pantry, by)
    return [
        Block(
            swapper,
            wishes,
            _favoured(_sane(candidates(swapper, wishes, short), swapper, wishes), soon, swapper),
            count,
            short,
        )
        for swapper, count, wishes in asked
    ]


def _sane(found: Sequence[Candidate], swapper: Swapper, wishes: Wishes) -> list[Candidate]:
    """The swaps, each of so much of its lines only as drifts by no more than a loaf may: beyond that it is bought.

    What is ruled out goes whole, however far that takes the loaf.
    """
    sane = []
    for candidate in found:
        out = [swapper.formula.lines[place] for place in candidate.places]
        if any(line.ingredient in wishes.ruled_out for line in out):
            sane.append(candidate)
            continue
        drift = _own_drift(candidate, out, swapper)
        most = min(1.0, MOST_OWN_DRIFT / drift) if drift else 1.0
        if most >= LEAST_SHARE:
            sane.append(replace(candidate, most=most))
    return sane


def _own_drift(candidate: Candidate, out: Sequence[Line], swapper: Swapper) -> float:
    """What a swap of the whole of its lines moves by itself, but for water and salt, which are put right."""
    balancer, tolerances = swapper.balancer, swapper.kitchen.tolerances
    going = [(-line.grams, balancer.effects(line)) for line in out]
    coming = [
        (grams, balancer.effects(Line(name, 0.0, out[0].stage)))
        for name, grams in zip(candidate.chosen, candidate.typical, strict=True)
    ]
    counted = [key for key in balancer.soft if key not in LEVERS and key in tolerances]
    return sum(
        tolerances[key].weight
        / tolerances[key].value
        * abs(sum(grams * effects[key] for grams, effects in going + coming))
        for key in counted
    )


def _needs(formulas: Sequence[Formula], counts: Sequence[int]) -> dict[str, float]:
    """What all the formulas take of each ingredient, as they are written."""
    needs: dict[str, float] = {}
    for formula, count in zip(formulas, counts, strict=True):
        for line in formula.lines:
            needs[line.ingredient] = needs.get(line.ingredient, 0.0) + count * line.grams
    return needs


def _stuck(block: Block, solution: Solution) -> list[str]:
    """Lines that are ruled out and that nothing stands in for."""
    lines = block.formula.lines
    return [lines[place].ingredient for place, stays in block.stays.items() if solution.amounts[stays] > SPECK]


def _conflict(failing: Sequence[Block], until: float) -> tuple[str, ...]:
    """The smallest set of wishes that one of the formulas does not meet, even with all of the store for itself."""
    found = [conflict_of(block.swapper, block.wishes, until) for block in failing]
    return min((names for names in found if names), key=len, default=())


def _within_store(
    ways: Sequence[Way], counts: Sequence[int], wishes: Sequence[Wishes], programme: LoafProgramme, solution: Solution
) -> list[Way]:
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
            less = min(math.ceil(round(over / counts[place] / step, 6)) * step, 2.0 * step, lines[largest].grams)
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
    return found


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
    needs = needs_of(
        ((way.after.formula, count) for way, count in zip(ways, counts, strict=True)),
        pantry,
        ways[0].after.kitchen.catalogue,
    )
    return tuple(
        Amount(name, need - pantry.grams_of(name))
        for name, need in sorted(needs.items())
        if need - pantry.grams_of(name) > GRAMS_SHOWN
    )
