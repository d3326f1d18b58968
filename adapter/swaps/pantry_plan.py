"""Making do: the best set of swaps that bakes a formula from what the pantry holds.

It is the balancing programme with a yes or no for each swap that could stand in for a line which is short: one
programme for all of them together, so that what one swap brings in sourness another may do without. HiGHS proves
the answer best within it. What cannot be made good is named, with the grams to buy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from adapter.dough.readings.measured import Measured, drift, measure
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Amount, Formula, Line, Step
from adapter.formula.pantry import Pantry
from adapter.swaps.balance import HELD_COST, WATER, Balancer, merge, rounded, share_parts
from adapter.swaps.programme import Column, Part, Target
from adapter.swaps.request import LINE_HOLD
from adapter.swaps.rules import Rule
from adapter.swaps.swapper import Swapper
from adapter.swaps.yeast import keep_rise_time, yeast_grams

SWAP_COST, FURTHER_COST, STRANGE_COST, ALLERGEN_COST = 1.0, 0.5, 1.5, 4.0
"""What a swap must gain, in drift: for itself, for each ingredient beyond the first, for standing in with a thing of
another kind, and for each allergen that it brings in [A]. A baker makes few swaps, of the same sort of thing."""

SHORT_COST = 50.0
"""What a gram short costs for each percent of the flour: more than any swap, so that buying comes last."""

LEAST_SHARE = 0.05
LEAST_GRAMS = 0.05

PLAY = 0.4
"""How far the grams of a swap may lie from what it would bring in alone, so that it stays the swap it says [A]."""

NEW_WATER = -1
KEPT_BY_SWAP = ("weight", "dry_weight", "yeast")
ROWS_BY_SWAP = {"weight": "mass", "yeast": "yeast"}


@dataclass(frozen=True, slots=True)
class Chosen:
    """One swap of the plan: its rule, the part of the lines that goes out (0 to 1), and grams coming in."""

    rule: Rule
    places: tuple[int, ...]
    share: float
    into: tuple[Amount, ...]


@dataclass(frozen=True)
class PantryPlan:
    """The formula made from the pantry, the swaps that lead to it, what is still short, and its drift."""

    before: Measured
    after: Measured
    swaps: tuple[Chosen, ...]
    step: Step
    short: tuple[Amount, ...]
    drift: float


@dataclass(frozen=True, slots=True)
class _Candidate:
    rule: Rule
    places: tuple[int, ...]
    chosen: tuple[str, ...]
    typical: tuple[float, ...]


def missing(formula: Formula, pantry: Pantry, catalogue: Catalogue) -> tuple[Amount, ...]:
    """What a formula needs beyond the stock: grams short of each ingredient, water never.

    A sourdough is no stock but is fed: where some of it is there, what is lacking is made of its flour.
    """
    needs: dict[str, float] = {}
    for line in formula.lines:
        needs[line.ingredient] = needs.get(line.ingredient, 0.0) + line.grams
    for line in formula.lines:
        preferment = catalogue.get(line.ingredient).preferment
        lacking = needs.get(line.ingredient, 0.0) - pantry.grams_of(line.ingredient)
        if preferment and lacking > 0 and pantry.grams_of(line.ingredient) > 0:
            hydration = preferment.hydration if line.hydration is None else line.hydration
            needs[preferment.flour] = needs.get(preferment.flour, 0.0) + lacking * 100.0 / (100.0 + hydration)
            del needs[line.ingredient]
    return tuple(
        Amount(name, need - pantry.grams_of(name))
        for name, need in needs.items()
        if name != WATER and need > pantry.grams_of(name)
    )


def make_do(swapper: Swapper, pantry: Pantry, holds: Sequence[str] = ()) -> PantryPlan:
    """The swaps that bake the swapper's formula from the pantry with the least drift. Held lines stay."""
    measured = swapper.measured
    candidates = _candidates(swapper, pantry, holds)
    plan = _Plan(swapper.balancer, pantry, candidates, holds)
    formula, swaps = plan.solve()
    after = measure(swapper.kitchen, rounded(measured.formula, formula), measured.book)
    if "yeast" not in holds and swaps:
        after = keep_rise_time(measured, after)
    return PantryPlan(
        measured,
        after,
        swaps,
        _step(measured, after, holds),
        missing(after.formula, pantry, swapper.kitchen.catalogue),
        drift(after),
    )


def _candidates(swapper: Swapper, pantry: Pantry, holds: Sequence[str]) -> list[_Candidate]:
    """Every swap by a rule that takes out a line which is short and brings in only what is there."""
    short = {amount.ingredient for amount in missing(swapper.formula, pantry, swapper.kitchen.catalogue)}
    found: dict[tuple[str, frozenset[int], tuple[str, ...]], _Candidate] = {}
    for place, line in enumerate(swapper.formula.lines):
        if line.ingredient not in short:
            continue
        for rule, places, chosen in swapper.fitting(place, holds):
            key = (rule.id, frozenset(places), chosen)
            there = all(name == WATER or (pantry.grams_of(name) > 0 and name not in short) for name in chosen)
            if not there or key in found:
                continue
            typical = swapper.typical_amounts(rule, places, chosen)
            if all(grams >= LEAST_GRAMS for grams in typical):
                found[key] = _Candidate(rule, places, chosen, typical)
    return list(found.values())


def _step(before: Measured, after: Measured, holds: Sequence[str]) -> Step:
    sums: dict[str, float] = {}
    for sign, formula in ((-1.0, before.formula), (1.0, after.formula)):
        for line in formula.lines:
            sums[line.ingredient] = sums.get(line.ingredient, 0.0) + sign * line.grams
    stood = {line.ingredient for line in before.formula.lines}
    stays = {line.ingredient for line in after.formula.lines}
    changed = {name: round(grams, 6) for name, grams in sums.items() if abs(grams) > 1e-6}
    return Step(
        "pantry",
        tuple(Amount(name, -grams) for name, grams in changed.items() if name in stood and name not in stays),
        tuple(Amount(name, grams) for name, grams in changed.items() if name not in stood),
        tuple(Amount(name, grams) for name, grams in changed.items() if name in stood and name in stays),
        holds=tuple(holds),
        yeast_before_g=yeast_grams(before),
        yeast_after_g=yeast_grams(after),
    )


class _Plan:
    """Columns and rows of the one programme: shares and choices of the candidates, grams coming in, lines moving."""

    def __init__(
        self, balancer: Balancer, pantry: Pantry, candidates: Sequence[_Candidate], holds: Sequence[str]
    ) -> None:
        self.balancer = balancer
        self.formula = balancer.measured.formula
        self.pantry = pantry
        self.candidates = candidates
        self.holds = holds
        self.flour = balancer.measured.amount("flour")
        held = [key for key in holds if key in balancer.measured.kitchen.keepable]
        self.keys = list(dict.fromkeys((*balancer.soft, *held)))
        self.columns: list[Column] = []
        self.parts: list[Part] = []
        self.uses: dict[str, dict[int, float]] = {}
        self.leaving: dict[int, dict[int, float]] = {}
        self.shares: list[int] = []
        self.incoming: list[list[int]] = []
        self.movers: dict[int, int] = {}

    def solve(self) -> tuple[Formula, tuple[Chosen, ...]]:
        for candidate in self.candidates:
            self._add_candidate(candidate)
        self._add_movers()
        self._add_limits()
        targets = []
        for key in self.keys:
            tolerance = self.balancer.measured.kitchen.tolerances.get(key)
            weight, size = (tolerance.weight, tolerance.value) if tolerance else (1.0, 1.0)
            targets.append(Target(0.0, (HELD_COST if key in self.holds else weight) / size))
        amounts = self.balancer.solver.solve(self.columns, targets, self.parts).amounts
        return self._apply(amounts), self._swaps(amounts)

    def _add(self, line: Line, grams: float, low: float, high: float, cost: float = 1e-6, whole: bool = False) -> int:
        """A column whose unit is so many grams of a line."""
        effects = tuple(grams * self.balancer.effect(line, key) for key in self.keys)
        self.columns.append(Column(effects, low, high, cost, whole))
        return len(self.columns) - 1

    def _add_candidate(self, candidate: _Candidate) -> None:
        lines = [self.formula.lines[place] for place in candidate.places]
        effects = tuple(-sum(line.grams * self.balancer.effect(line, key) for line in lines) for key in self.keys)
        share = len(self.columns)
        self.columns.append(Column(effects, 0.0, 1.0))
        choice = len(self.columns)
        self.columns.append(Column((0.0,) * len(self.keys), 0.0, 1.0, self._cost(candidate), True))
        self.parts.append(Part({choice: 1.0, share: -1.0}))
        self.parts.append(Part({share: 1.0, choice: -LEAST_SHARE}))
        for place, line in zip(candidate.places, lines, strict=True):
            self.leaving.setdefault(place, {})[share] = line.grams
            self.uses.setdefault(line.ingredient, {})[share] = -line.grams
        places = []
        for name, typical in zip(candidate.chosen, candidate.typical, strict=True):
            place = self._add(Line(name, 0.0, lines[0].stage), 1.0, 0.0, (1.0 + PLAY) * typical)
            self.parts.append(Part({place: 1.0, share: -(1.0 - PLAY) * typical}))
            self.parts.append(Part({place: -1.0, share: (1.0 + PLAY) * typical}))
            self.uses.setdefault(name, {})[place] = 1.0
            places.append(place)
        self.parts += share_parts(candidate.rule.limits, places)
        self._keep_by_swap(candidate, share, places)
        self.shares.append(share)
        self.incoming.append(places)

    def _cost(self, candidate: _Candidate) -> float:
        catalogue = self.balancer.measured.kitchen.catalogue
        going = [catalogue.get(self.formula.lines[place].ingredient) for place in candidate.places]
        coming = [catalogue.get(name) for name in candidate.chosen]
        kinds = {kind for ingredient in going for kind in ingredient.kinds} - {"liquid"}
        allergens = {group for line in self.formula.lines for group in catalogue.get(line.ingredient).allergens}
        strange = not any(kinds & ingredient.kinds for ingredient in coming)
        new = {group for ingredient in coming for group in ingredient.allergens} - allergens
        return SWAP_COST + FURTHER_COST * (len(coming) - 1) + STRANGE_COST * strange + ALLERGEN_COST * len(new)

    def _keep_by_swap(self, candidate: _Candidate, share: int, places: Sequence[int]) -> None:
        """What a swap keeps by itself, such as the weight of seeds, holds for it whatever the others do."""
        index = self.balancer.measured.layout.index
        composer = self.balancer.measured.kitchen.composer
        for key in candidate.rule.keep:
            if key not in KEPT_BY_SWAP:
                continue

            def per_gram(line: Line, key: str = key) -> float:
                vector = composer.vector(line)
                if key == "dry_weight":
                    return vector[index["mass"]] - vector[index["water"]]
                return vector[index[ROWS_BY_SWAP[key]]]

            lines = [self.formula.lines[place] for place in candidate.places]
            factors = {share: -sum(line.grams * per_gram(line) for line in lines)}
            for place, name in zip(places, candidate.chosen, strict=True):
                factors[place] = per_gram(Line(name, 0.0))
            self.parts.append(Part(factors, 0.0, 0.0))

    def _add_movers(self) -> None:
        """Water and salt may move; a new water line where there is none."""
        catalogue = self.balancer.measured.kitchen.catalogue
        for name in (WATER, "salt"):
            lines = [
                place
                for place, line in enumerate(self.formula.lines)
                if line.ingredient == name and f"{LINE_HOLD}{name}" not in self.holds
            ]
            if lines and name in catalogue.ingredients:
                place = max(lines, key=lambda place: self.formula.lines[place].grams)
                line = self.formula.lines[place]
                self.movers[place] = self._add(line, 1.0, -line.grams, 10.0 * self.flour)
                self.uses.setdefault(name, {})[self.movers[place]] = 1.0
        if not any(line.ingredient == WATER for line in self.formula.lines) and f"{LINE_HOLD}{WATER}" not in self.holds:
            self.movers[NEW_WATER] = self._add(Line(WATER, 0.0), 1.0, 0.0, 10.0 * self.flour)

    def _add_limits(self) -> None:
        for place, leaving in self.leaving.items():
            grams = self.formula.lines[place].grams
            self.parts.append(Part({column: part / grams for column, part in leaving.items()}, -math.inf, 1.0))
        needs: dict[str, float] = {}
        catalogue = self.balancer.measured.kitchen.catalogue
        for line in self.formula.lines:
            needs[line.ingredient] = needs.get(line.ingredient, 0.0) + line.grams
        for name in {*needs, *self.uses}:
            stock = self.pantry.grams_of(name)
            fed = catalogue.get(name).preferment is not None and stock > 0
            if name == WATER or fed or math.isinf(stock):
                continue
            bought = len(self.columns)
            self.columns.append(Column((0.0,) * len(self.keys), 0.0, math.inf, SHORT_COST * 100.0 / self.flour))
            self.parts.append(Part({**self.uses.get(name, {}), bought: -1.0}, -math.inf, stock - needs.get(name, 0.0)))

    def _swaps(self, amounts: Sequence[float]) -> tuple[Chosen, ...]:
        return tuple(
            Chosen(
                candidate.rule,
                candidate.places,
                amounts[share],
                tuple(Amount(name, amounts[place]) for name, place in zip(candidate.chosen, places, strict=True)),
            )
            for candidate, share, places in zip(self.candidates, self.shares, self.incoming, strict=True)
            if amounts[share] > LEAST_SHARE / 2
        )

    def _apply(self, amounts: Sequence[float]) -> Formula:
        lines: list[Line | None] = []
        for place, line in enumerate(self.formula.lines):
            gone = sum(amounts[column] * grams for column, grams in self.leaving.get(place, {}).items())
            moved = amounts[self.movers[place]] if place in self.movers else 0.0
            left = line.grams - gone + moved
            lines.append(None if gone and left <= 1e-6 * line.grams else line.with_grams(max(left, 0.0)))
        arrivals = []
        for chosen in self._swaps(amounts):
            first = chosen.places[0]
            stage = self.formula.lines[first].stage
            arrivals += [(first, Line(amount.ingredient, amount.grams, stage)) for amount in chosen.into]
        if NEW_WATER in self.movers:
            last = self.formula.lines[-1]
            arrivals.append((len(lines) - 1, Line(WATER, amounts[self.movers[NEW_WATER]], last.stage)))
        return self.formula.with_lines(merge(lines, arrivals))
