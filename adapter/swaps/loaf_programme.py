"""One programme for whole loaves: a yes or no for each swap, its share and grams, lines that move, what is bought.

Several formulas may stand in it, each with its count, sharing one store. Order of what counts: what is ruled out and
what is in store, then holds and aims, then drift with the price of each swap.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace

from adapter.formula.model import Amount, Formula, Line
from adapter.formula.pantry import Pantry
from adapter.swaps.aim_rows import AimRow
from adapter.swaps.balance import WATER, merge, share_parts
from adapter.swaps.block import Block, Chosen
from adapter.swaps.candidates import LEAST_SHARE, Candidate
from adapter.swaps.movers import MOVING, NEW_WATER, Moving, moving_lines
from adapter.swaps.programme import Column, Part, Search, Solution, Solver, Target
from adapter.swaps.wishes import held_within

SPECK = 1e-4
"""So much, in % of the flour, is nothing: what stays of a line, and what is bought beyond the least."""
WISH_COST = 100.0
"""For each tolerance by which a hold or an aim is missed: more than any drift."""

FLOUR, MOST_LOST_PERCENT, MOST_LOST_FOR_AIM_PERCENT = "flour_mass", 3.0, 50.0
"""So much of the flour may go, beside what is left out whole: a store that lacks flour makes no smaller loaves [A]."""
FIRM, FAR, FAR_COST = ("effective_hydration", FLOUR), 5.0, 200.0
"""What keeps a dough a dough moves by so many tolerances for an aim; further at more than an aim's cost [A]."""

EASED_COST = 3.0
"""The same for an aim that cannot be met at all: it is sought, but no other wish gives way for it."""

PLAY = 0.4
"""How far the grams of a swap may lie from what it would bring in alone, so that it stays the swap it says [A]."""
FLOUR_PLAY = 0.1
"""The same for flour, which stands in nearly gram for gram [A]."""
WISH_PLAY = 1.0
"""The same upwards where a reading is held or aimed at: up to twice as much of what serves it [A]."""
LESS_WATER_COST = 1e-3
"""For each gram of water less than a swap brings in alone: the loaf's own water moves first."""

BY_SWAP = {"weight": "mass", "yeast": "yeast"}
KEPT_BY_SWAP = ("weight", "dry_weight", "yeast")


class LoafProgramme:
    """Columns, rows and inequalities of one or several loaves."""

    def __init__(self, blocks: Sequence[Block], pantry: Pantry | None, solver: Solver) -> None:
        self.blocks = blocks
        self.pantry = pantry
        self.solver = solver
        self.columns: list[Column] = []
        self.parts: list[Part] = []
        self.targets: list[Target] = []
        self.uses: dict[str, dict[int, float]] = {}
        self.bought: dict[str, int] = {}
        self.fed: set[str] = set()
        self.rows = sum(len(block.keys) for block in blocks)
        self._offsets: dict[int, float] = {}
        self._hold_offsets: dict[int, float] = {}
        self._within: list[Part] = []
        self._nothing: dict[int, float] = {}
        self.aim_parts: list[tuple[int, int, AimRow]] = []
        """Where the row of each end of an aim stands among the parts, of which block it is, and the row."""
        first = 0
        for block in blocks:
            block.first_row = first
            first += len(block.keys)
        for number, block in enumerate(blocks):
            self._add_block(number, block)
        if pantry is not None:
            self._add_stock(pantry)

    # --- building ---

    def _column(
        self, block: Block | None, effects: Sequence[float], low: float, high: float, cost: float, whole: bool = False
    ) -> int:
        dense = [0.0] * self.rows
        if block is not None:
            dense[block.first_row : block.first_row + len(effects)] = effects
        self.columns.append(Column(tuple(dense), low, high, cost, whole))
        return len(self.columns) - 1

    def _of_line(self, block: Block, line: Line, low: float, high: float, cost: float = 1e-6) -> int:
        """A column whose unit is a gram of a line, in one loaf."""
        effects = block.swapper.balancer.effects(line)
        place = self._column(block, [effects[key] for key in block.keys], low, high, cost)
        self._count_use(block, line.ingredient, place, 1.0)
        return place

    def _count_use(self, block: Block, name: str, column: int, grams: float) -> None:
        uses = self.uses.setdefault(name, {})
        uses[column] = uses.get(column, 0.0) + grams * block.count

    def _add_block(self, number: int, block: Block) -> None:
        for key in block.keys:
            tolerance = block.swapper.kitchen.tolerances.get(key)
            size = tolerance.value if tolerance else 1.0
            held = key in block.wishes.holds
            weight = WISH_COST if held or tolerance is None else tolerance.weight
            free = held_within(key, block.swapper.measured.value(key), size) if held else (0.0, 0.0)
            self.targets.append(Target(0.0, block.count**0.5 * weight / size, free=free))
        for candidate in block.candidates:
            self._add_candidate(block, candidate)
        self._one_of_a_group(block)
        self._add_movers(block)
        self._add_leaving(block)
        for row in block.aim_rows:
            self._add_aim(number, block, row)
        self._keep_a_dough(block)
        if block.wishes.most_swaps is not None and block.choices:
            self.parts.append(Part(dict.fromkeys(block.choices, 1.0), -math.inf, float(block.wishes.most_swaps)))

    def _add_candidate(self, block: Block, candidate: Candidate) -> None:
        lines = [block.formula.lines[place] for place in candidate.places]
        going = [(line.grams, block.swapper.balancer.effects(line)) for line in lines]
        out = [-sum([grams * effects[key] for grams, effects in going]) for key in block.keys]
        share = self._column(block, out, 0.0, candidate.most, 1e-6)
        choice = self._column(None, (), 0.0, 1.0, candidate.cost, True)
        self.parts.append(Part({choice: 1.0, share: -1.0}))
        self.parts.append(Part({share: 1.0, choice: -LEAST_SHARE}))
        for place, line in zip(candidate.places, lines, strict=True):
            block.leaving.setdefault(place, {})[share] = line.grams
            self._count_use(block, line.ingredient, share, -line.grams)
        places = []
        more = WISH_PLAY if block.wishes.aims or block.wishes.holds else PLAY
        for name, typical in zip(candidate.chosen, candidate.typical, strict=True):
            line = Line(name, 0.0, lines[0].stage)
            if name == WATER:  # none comes in where the loaf's own is held or ruled out
                place = self._of_line(block, line, 0.0, typical)
                less = self._column(None, (), 0.0, typical, LESS_WATER_COST)
                self.parts.append(Part({place: 1.0, less: 1.0, share: -typical}, 0.0, 0.0))
            else:
                flour = "flour" in block.swapper.kitchen.catalogue.get(name).kinds
                place = self._of_line(block, line, 0.0, (1.0 + more) * typical)
                self.parts.append(Part({place: 1.0, share: -(1.0 - (FLOUR_PLAY if flour else PLAY)) * typical}))
                self.parts.append(Part({place: -1.0, share: (1.0 + more) * typical}))
            places.append(place)
        self.parts += share_parts(candidate.rule.limits, places)
        self._keep_by_swap(block, candidate, share, places)
        if candidate.serves is not None:
            row = candidate.serves
            effects = {place: row.sign * row.per_gram(Line(name, 0.0, lines[0].stage))
                       for name, place in zip(candidate.chosen, places, strict=True)}  # fmt: skip
            effects[share] = -row.sign * sum(line.grams * row.per_gram(line) for line in lines)
            self.parts.append(Part({**effects, choice: -candidate.part * row.lacking}))
        block.shares.append(share)
        block.choices.append(choice)
        block.incoming.append(places)

    def _keep_by_swap(self, block: Block, candidate: Candidate, share: int, places: Sequence[int]) -> None:
        """What a swap keeps by itself, such as the weight of seeds, holds for it whatever the others do."""
        measured = block.swapper.measured
        index, composer = measured.layout.index, measured.kitchen.composer
        for key in candidate.rule.keep:
            if key not in KEPT_BY_SWAP or not places:
                continue

            def per_gram(line: Line, key: str = key) -> float:
                vector = composer.vector(line, measured.uses)
                if key == "dry_weight":
                    return vector[index["mass"]] - vector[index["water"]]
                return vector[index[BY_SWAP[key]]]

            lines = [block.formula.lines[place] for place in candidate.places]
            factors = {share: -sum(line.grams * per_gram(line) for line in lines)}
            for place, name in zip(places, candidate.chosen, strict=True):
                factors[place] = per_gram(Line(name, 0.0, lines[0].stage))
            self.parts.append(Part(factors, 0.0, 0.0))

    def _one_of_a_group(self, block: Block) -> None:
        groups: dict[tuple[frozenset[int], frozenset[str]], list[int]] = {}
        for candidate, choice in zip(block.candidates, block.choices, strict=True):
            groups.setdefault(candidate.group, []).append(choice)
        for choices in groups.values():
            if len(choices) > 1:
                self.parts.append(Part(dict.fromkeys(choices, 1.0), -math.inf, 1.0))
        for name in block.wishes.pinned:
            choices = [
                choice
                for candidate, choice in zip(block.candidates, block.choices, strict=True)
                if candidate.name == name
            ]
            if choices:
                self.parts.append(Part(dict.fromkeys(choices, 1.0), 1.0, math.inf))

    def _add_movers(self, block: Block) -> None:
        lines = block.formula.lines
        left_out = any(not candidate.chosen for candidate in block.candidates)
        for moving in moving_lines(block.swapper, block.wishes, block.aim_rows, block.short, left_out):
            line = Line(WATER, 0.0) if moving.place == NEW_WATER else lines[moving.place]
            block.movers[moving.place] = self._of_line(block, line, moving.low, moving.high, moving.cost)
            if line.ingredient not in MOVING:
                self._not_both_ways(block, moving, line.ingredient)

    def _not_both_ways(self, block: Block, moving: Moving, name: str) -> None:
        """What a swap takes out of a line does not grow back there; what it brings in goes out nowhere else."""
        column = block.movers[moving.place]
        for candidate, choice in zip(block.candidates, block.choices, strict=True):
            if moving.place in candidate.places and moving.high > 0.0 and candidate.chosen:
                self.parts.append(Part({column: 1.0, choice: moving.high}, -math.inf, moving.high))
            if name in candidate.chosen and moving.low < 0.0:
                self.parts.append(Part({column: 1.0, choice: moving.low}, moving.low, math.inf))

    def _add_leaving(self, block: Block) -> None:
        """No more of a line goes than is there; of one that is ruled out all goes."""
        for place, line in enumerate(block.formula.lines):
            leaving = block.leaving.get(place, {})
            parts = {column: grams / line.grams for column, grams in leaving.items()}
            if line.ingredient in block.wishes.ruled_out and line.grams > 0:
                stays = self._column(None, (), 0.0, 1.0, 1.0)
                block.stays[place] = stays
                self.parts.append(Part({**parts, stays: 1.0}, 1.0, 1.0))
            elif leaving:
                moved = {block.movers[place]: -1.0 / line.grams} if place in block.movers else {}
                self.parts.append(Part({**parts, **moved}, -math.inf, 1.0))

    def _keep_a_dough(self, block: Block) -> None:
        """Most of the flour stays whatever comes; for an aim neither it nor the softness goes far."""
        tolerances = block.swapper.kitchen.tolerances
        for key in FIRM:
            if key not in block.keys or key not in tolerances:
                continue
            row, size = block.first_row + block.keys.index(key), tolerances[key].value
            moving = {
                at: column.coefficients[row] for at, column in enumerate(self.columns) if column.coefficients[row]
            }
            if key == FLOUR:
                whole = {share for share, places in zip(block.shares, block.incoming, strict=True) if not places}
                most = MOST_LOST_FOR_AIM_PERCENT if block.aim_rows else MOST_LOST_PERCENT
                self.parts.append(Part({at: by for at, by in moving.items() if at not in whole}, -most))
            for sign in (1.0, -1.0) if block.aim_rows else ():
                further = self._column(None, (), 0.0, math.inf, FAR_COST / size)
                self.parts.append(Part({**{at: sign * by for at, by in moving.items()}, further: 1.0}, -FAR * size))

    def _add_aim(self, number: int, block: Block, row: AimRow) -> None:
        """One end of an aim, missed at its cost. Its start is put right from a reading of the answer."""
        tolerance = block.swapper.kitchen.tolerances.get(row.aim.key)
        size = tolerance.value if tolerance else max(0.01, 0.02 * abs(row.value))
        cost = EASED_COST if row.aim.said in block.wishes.eased else WISH_COST
        miss = self._column(None, (), 0.0, math.inf, cost / size)
        factors = {column: row.sign * factor for column, factor in self.effects_of(block, row).items()}
        self.parts.append(Part({**factors, miss: 1.0}))
        self.aim_parts.append((len(self.parts) - 1, number, row))

    def effects_of(self, block: Block, row: AimRow) -> dict[int, float]:
        """What a unit of each of a block's columns does to an end of an aim."""
        lines = block.formula.lines
        factors: dict[int, float] = {}
        for candidate, share, places in zip(block.candidates, block.shares, block.incoming, strict=True):
            factors[share] = -sum(lines[place].grams * row.per_gram(lines[place]) for place in candidate.places)
            stage = lines[candidate.places[0]].stage
            for place, name in zip(places, candidate.chosen, strict=True):
                factors[place] = row.per_gram(Line(name, 0.0, stage))
        for line_place, place in block.movers.items():
            factors[place] = row.per_gram(lines[line_place] if line_place != NEW_WATER else Line(WATER, 0.0))
        return {column: factor for column, factor in factors.items() if factor}

    def _add_stock(self, pantry: Pantry) -> None:
        """What there is enough of is never overdrawn; of what is short, which no swap brings in, the rest is bought."""
        needs: dict[str, float] = {}
        flour = sum(block.flour * block.count for block in self.blocks)
        for block in self.blocks:
            for line in block.formula.lines:
                needs[line.ingredient] = needs.get(line.ingredient, 0.0) + block.count * line.grams
        self._feed_sourdoughs(pantry, needs)
        short = frozenset().union(*(block.short for block in self.blocks))
        for name in {**needs, **self.uses}:
            left = pantry.grams_of(name) - needs.get(name, 0.0)
            if name == WATER or name in self.fed or math.isinf(left):
                continue
            uses = dict(self.uses.get(name, {}))
            if name in short or left < 0:
                self.bought[name] = self._column(None, (), 0.0, math.inf, 100.0 / flour)
                uses[self.bought[name]] = -1.0
            self.parts.append(Part(uses, -math.inf, left))

    def _feed_sourdoughs(self, pantry: Pantry, needs: Mapping[str, float]) -> None:
        """A sourdough of which some is there is fed: what is taken beyond it is made of its flour.

        Where the flour is short itself, no more of it is fed than the formulas take as they are.
        """
        catalogue = self.blocks[0].swapper.kitchen.catalogue
        short = frozenset().union(*(block.short for block in self.blocks))
        for name in {**needs, **self.uses}:
            preferment, stock = catalogue.get(name).preferment, pantry.grams_of(name)
            if preferment is None or stock <= 0 or math.isinf(stock):
                continue
            lines = [line for block in self.blocks for line in block.formula.lines if line.ingredient == name]
            hydration = next((line.hydration for line in lines if line.hydration is not None), preferment.hydration)
            need = needs.get(name, 0.0)
            most = max(0.0, need - stock) if preferment.flour in short else math.inf
            fed = self._column(None, (), 0.0, most, 0.0)
            self.parts.append(Part({**self.uses.get(name, {}), fed: -1.0}, -math.inf, stock - need))
            self.uses.setdefault(preferment.flour, {})[fed] = 100.0 / (100.0 + hydration)
            self.fed.add(name)

    # --- solving ---

    def offset(self, part: int, by: float) -> None:
        """How far a reading lies above the straight row of an aim at the last answer."""
        self._offsets[part] = by

    def offset_of(self, part: int) -> float:
        return self._offsets.get(part, 0.0)

    def hold_offset(self, row: int, by: float) -> None:
        """The same of a reading that is held, by its row."""
        self._hold_offsets[row] = by

    def hold_offset_of(self, row: int) -> float:
        return self._hold_offsets.get(row, 0.0)

    def forget_offsets(self) -> None:
        self._offsets.clear()
        self._hold_offsets.clear()

    def solve(
        self, cuts: Sequence[Part] = (), fixed: Mapping[int, float] | None = None, search: Search | None = None
    ) -> Solution:
        """The best answer in the order of what counts. `cuts` rule out answers that were found before.

        With `fixed` columns settled it is an answer that was found, with other amounts: what is bought stays as it is.
        """
        if fixed is not None:
            return self._solve([*cuts, *self._within], {**self._nothing, **fixed}, search)
        stays = [place for block in self.blocks for place in block.stays.values()]
        bought = list(self.bought.values())
        self._within, self._nothing = [], dict.fromkeys([*stays, *bought], 0.0)
        with suppress(ArithmeticError):
            return self._solve(cuts, self._nothing, search)
        self._nothing, gap = {}, 0.0
        for places in filter(None, (stays, bought)):
            least = self._least(places, cuts, search)
            if places is stays and any(least.amounts[place] > SPECK for place in places):
                return least
            gap = max(gap, least.gap)
            costs = {place: self.columns[place].cost for place in places}
            cost = sum(costs[place] * least.amounts[place] for place in places)
            self._within.append(Part(costs, -math.inf, cost + SPECK))
        best = self._solve([*cuts, *self._within], {}, search)
        return replace(best, gap=max(gap, best.gap))

    def _least(self, places: Sequence[int], cuts: Sequence[Part], search: Search | None) -> Solution:
        """As little as can be of some columns, whatever the rest is."""
        columns = [
            Column((), column.low, column.high, column.cost if place in places else 0.0, column.whole)
            for place, column in enumerate(self.columns)
        ]
        parts = [*self.parts, *cuts, *self._within]
        return self.solver.solve(columns, (), parts, search)

    def _solve(self, cuts: Sequence[Part], fixed: Mapping[int, float], search: Search | None) -> Solution:
        columns = list(self.columns)
        for place in self.bought.values():
            columns[place] = replace(columns[place], cost=0.0)
        for place, value in fixed.items():
            old = columns[place]
            columns[place] = Column(old.coefficients, value, value, old.cost)
        parts = list(self.parts)
        for place, _, row in self.aim_parts:
            parts[place] = Part(parts[place].factors, -row.sign * (row.start + self._offsets.get(place, 0.0)))
        targets = [
            replace(target, start=target.start + self.hold_offset_of(row)) for row, target in enumerate(self.targets)
        ]
        return self.solver.solve(columns, targets, [*parts, *cuts], search)

    def chosen(self, block: Block, solution: Solution) -> tuple[Chosen, ...]:
        amounts = solution.amounts
        return tuple(
            Chosen(
                candidate,
                amounts[share],
                tuple(Amount(name, amounts[place]) for name, place in zip(candidate.chosen, places, strict=True)),
            )
            for candidate, share, choice, places in zip(
                block.candidates, block.shares, block.choices, block.incoming, strict=True
            )
            if amounts[choice] > 0.5
        )

    def formula(self, block: Block, solution: Solution) -> Formula:
        """The exact formula of an answer, before rounding."""
        amounts, formula = solution.amounts, block.formula
        lines: list[Line | None] = []
        for place, line in enumerate(formula.lines):
            gone = sum(amounts[column] * grams for column, grams in block.leaving.get(place, {}).items())
            moved = amounts[block.movers[place]] if place in block.movers else 0.0
            left = line.grams - gone + moved
            lines.append(None if gone and left <= 1e-6 * line.grams else line.with_grams(max(left, 0.0)))
        arrivals = []
        for chosen in self.chosen(block, solution):
            first = chosen.candidate.places[0]
            stage = formula.lines[first].stage
            arrivals += [(first, Line(amount.ingredient, amount.grams, stage)) for amount in chosen.into]
        if NEW_WATER in block.movers:
            last = formula.lines[-1]
            arrivals.append((len(lines) - 1, Line(WATER, amounts[block.movers[NEW_WATER]], last.stage)))
        return formula.with_lines(merge(lines, arrivals))
