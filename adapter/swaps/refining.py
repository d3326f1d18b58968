"""The amounts of an answer put right: rows of aims are straight, readings are not quite."""

from __future__ import annotations

import math

from adapter.dough.readings.measured import ACID_READINGS
from adapter.swaps.block import Block
from adapter.swaps.final_formula import with_yeast
from adapter.swaps.loaf_programme import LoafProgramme
from adapter.swaps.movers import MOVING, NEW_WATER
from adapter.swaps.programme import Solution
from adapter.swaps.wishes import value_of

PASSES = 8
"""How often the straight lines of the programme are put right from a reading, for aims."""
HARDLY = 0.03
"""A line that would move by less than this part of itself stays as it is [A]."""
EXACTLY = 1e-7


def refined(programme: LoafProgramme, solution: Solution) -> Solution:
    """The same swaps, with amounts by which the readings meet the aims and holds; as it is where there are none."""
    if not programme.aim_parts and not any(_held(block) for block in programme.blocks):
        return solution
    gap = solution.gap
    fixed = _settled(programme, solution)
    solution = programme.solve((), fixed)
    for _ in range(PASSES):
        if not _put_right(programme, solution):
            break
        solution = programme.solve((), fixed)
    programme.forget_offsets()
    return Solution(solution.amounts, solution.deviations, gap)


def _held(block: Block) -> list[str]:
    """Acidities that are held: what the proof makes of them hangs on the yeast, which no row knows."""
    return [key for key in block.wishes.holds if key in ACID_READINGS]


def _settled(programme: LoafProgramme, solution: Solution) -> dict[int, float]:
    """Every yes and no, and the lines that hardly move, but for those that carry an acidity that is held."""
    fixed: dict[int, float] = {}
    for block in programme.blocks:
        fixed |= {choice: float(round(solution.amounts[choice])) for choice in block.choices}
        lines, carriers = block.formula.lines, _carriers(block)
        for place, column in block.movers.items():
            free = place == NEW_WATER or lines[place].ingredient in MOVING or place in carriers
            if not free and abs(solution.amounts[column]) < HARDLY * lines[place].grams:
                fixed[column] = 0.0
    return fixed


def _carriers(block: Block) -> set[int]:
    """For each acidity that is held the line that brings most of it, such as the sourdough; flour is none."""
    lines, balancer, catalogue = block.formula.lines, block.swapper.balancer, block.swapper.kitchen.catalogue
    open_lines = [
        place
        for place in block.movers
        if place != NEW_WATER
        and lines[place].ingredient not in MOVING
        and "flour" not in catalogue.get(lines[place].ingredient).kinds
    ]

    def carries(key: str, place: int) -> float:
        return abs(lines[place].grams * balancer.effects(lines[place])[key])

    return {max(open_lines, key=lambda place: carries(key, place)) for key in _held(block) if open_lines}


def _put_right(programme: LoafProgramme, solution: Solution) -> bool:
    """Tell the programme how far each reading lies from its straight row; whether any was not known."""
    moved = False
    for number, block in enumerate(programme.blocks):
        measured = block.swapper.measured
        parts = [(part, row) for part, of, row in programme.aim_parts if of == number]
        held = _held(block)
        if not parts and not held:
            continue
        swapped = any(solution.amounts[choice] > 0.5 for choice in block.choices)
        after = with_yeast(measured, programme.formula(block, solution), block.wishes, swapped, block.count)
        for key in held:
            row_at = block.first_row + block.keys.index(key)
            straight = solution.deviations[row_at] - programme.hold_offset_of(row_at)
            beyond = after.value(key) - measured.value(key) - straight
            if abs(beyond - programme.hold_offset_of(row_at)) > EXACTLY:
                moved = True
                programme.hold_offset(row_at, beyond)
        for part, row in parts:
            factors = programme.effects_of(block, row)
            straight = row.start + sum(factor * solution.amounts[column] for column, factor in factors.items())
            beyond = value_of(row.aim.key, after, row.pantry) - row.value - straight
            if math.isfinite(beyond) and abs(beyond - programme.offset_of(part)) > EXACTLY:
                moved = True
                programme.offset(part, beyond)
    return moved
