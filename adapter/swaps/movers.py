"""Which lines of a loaf may move beside its swaps: water and salt; for an aim the lines that serve it, and flour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from adapter.formula.model import Formula
from adapter.swaps.aim_rows import AimRow
from adapter.swaps.balance import SALT, WATER
from adapter.swaps.candidates import held
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes

AIM_PLAY = 0.5
"""For an aim a line that is there may lose or gain this part of itself [A]; water and salt may move further."""
SERVING = 0.25
"""A line serves an aim where that play brings this part of what is lacking [A]."""
GROWING = 0.25
"""Flour makes up for what is left out, by this part of itself at most [A]."""
MOVE_COST = 1.0
"""What a line that is there costs for moving by the whole of itself, in drift: moved lines are few [A]."""
ELSEWHERE_COST = 2e-3
"""What water of another stage than the dough costs for each gram that it moves, so that soakers stay as they are."""
FREE_COST = 1e-6
MOST_GROWING = 10.0
"""Water and salt grow by so many times the flour at most."""

NEW_WATER = -1
MOVING = (WATER, SALT)


@dataclass(frozen=True, slots=True)
class Moving:
    """A line that may move, by its place (NEW_WATER for water where there is none), and how far, at which cost."""

    place: int
    low: float
    high: float
    cost: float


def moving_lines(
    swapper: Swapper, wishes: Wishes, rows: Sequence[AimRow], short: frozenset[str], left_out: bool
) -> Iterator[Moving]:
    """`left_out` says that a swap may leave something out; what is `short` does not grow."""
    lines, catalogue = swapper.formula.lines, swapper.kitchen.catalogue
    flour = swapper.measured.amount("flour")
    dough = dough_stage(swapper)
    freest = {name: place for name in MOVING if (place := _freest(swapper.formula, name, dough)) is not None}
    for place, line in enumerate(lines):
        if line.grams <= 0 or held(line.ingredient, wishes) or line.ingredient in wishes.ruled_out:
            continue
        kinds = catalogue.get(line.ingredient).kinds
        grows = 0.0 if line.ingredient in short else AIM_PLAY
        if freest.get(line.ingredient) == place:
            cost = FREE_COST if line.ingredient == SALT or line.stage == dough else ELSEWHERE_COST
            # Bread without salt is no way to spare the store some.
            stays = line.ingredient in short and not wishes.aims
            yield Moving(place, 0.0 if stays else -line.grams, MOST_GROWING * flour, cost)
        elif wishes.aims and not catalogue.fresh_yeast(line.ingredient):
            if "flour" in kinds or line.ingredient == WATER or _serves(swapper, wishes, rows, place):
                yield Moving(place, -AIM_PLAY * line.grams, grows * line.grams, MOVE_COST / line.grams)
        elif left_out and line.ingredient not in short and "flour" in kinds:
            yield Moving(place, 0.0, GROWING * line.grams, FREE_COST)
    water = freest.get(WATER)
    if (water is None or lines[water].stage != dough) and not held(WATER, wishes) and WATER not in wishes.ruled_out:
        yield Moving(NEW_WATER, 0.0, MOST_GROWING * flour, FREE_COST)


def dough_stage(swapper: Swapper) -> str:
    """The stage that water and salt go into: the one with most flour, of two alike the later."""
    weights: dict[str, float] = {}
    for line in swapper.formula.lines:
        flour = line.grams if "flour" in swapper.kitchen.catalogue.get(line.ingredient).kinds else 0.0
        weights[line.stage] = weights.get(line.stage, 0.0) + flour
    return max(reversed(weights), key=lambda stage: weights[stage])


def _freest(formula: Formula, name: str, dough: str) -> int | None:
    """The line of water or salt that moves as it must: the largest in the dough, else the largest."""
    places = [place for place, line in enumerate(formula.lines) if line.ingredient == name and line.grams > 0]
    here = [place for place in places if formula.lines[place].stage == dough]
    return max(here or places, key=lambda place: formula.lines[place].grams, default=None)


def _serves(swapper: Swapper, wishes: Wishes, rows: Sequence[AimRow], place: int) -> bool:
    """Whether moving a line as far as it may go takes an aim, or a reading that is held, clearly along."""
    line, tolerances = swapper.formula.lines[place], swapper.kitchen.tolerances
    play = AIM_PLAY * line.grams
    for row in rows:
        tolerance = tolerances.get(row.aim.key)
        enough = SERVING * row.lacking or (tolerance.value if tolerance else 0.1)
        if play * abs(row.per_gram(line)) >= enough:
            return True
    effects = swapper.balancer.effects(line)
    return any(
        play * abs(effects[key]) >= tolerances[key].value
        for key in wishes.holds
        if key in tolerances and swapper.balancer.is_linear(key)
    )
