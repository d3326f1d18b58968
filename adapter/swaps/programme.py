"""A small linear programme in the 1-norm, solved with HiGHS.

    minimise    sum over rows of cost x |deviation|
    subject to  low <= amount <= high for each column, and the firm rows met exactly

Each column is an unknown (grams coming in, or grams that a line moves); each row is a quantity whose deviation is
a fixed start plus the columns' coefficients. The solution sits on a vertex: as many rows kept exactly as there are
unknowns, and one or two that visibly give way. Where the firm rows cannot all be met, each gives way at its cost.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

TIE_COST = 1e-6
EXACT = 1e-7
SEARCHES_WITHIN = ("mip_heuristic_run_rins", "mip_heuristic_run_rens")
NO_SEARCHES = ("mip_heuristic_run_root_reduced_cost", "mip_allow_restart")
"""Searches within the search: of a few dozen yes and no they cost four times what they save."""
MANY_WHOLE = 80
"""With more yes and no than this, the searches within find the best sooner."""
BY_COLUMNS, MINIMISE = 1, 1
"""How HiGHS numbers the form of its matrix and the sense of its search."""
WHOLE_GAP = 1e-6
"""Where the best of a search is proven to this part of its cost, it is the best."""
PROVEN_GAP = 0.01
"""What is proven to this part of its cost counts as proven: nobody can taste the rest."""
MOST_NODES = 3000
"""So many branches are looked at: the same on a fast machine and a slow one, so that the answer is the same."""
LOOSE, TIGHT = 1e-7, 1e-10
"""How exactly rows are met while yes and no are searched, and otherwise."""


@dataclass(frozen=True, slots=True)
class Column:
    """An unknown: what one unit of it (a gram, mostly) adds to each row, its bounds, and what it costs by itself.

    `whole` makes it a whole number: with bounds 0 and 1, a yes or no.
    """

    coefficients: tuple[float, ...]
    low: float
    high: float
    cost: float = TIE_COST
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Target:
    """A row: its deviation before any column moves, what a unit of deviation costs, and whether it must be met.

    The cost of a firm row counts only when the firm rows cannot all be met. `free` is how far the deviation may lie
    below and above at no cost.
    """

    start: float
    cost: float
    firm: bool = False
    free: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Part:
    """A further inequality: low <= sum of factor x column <= high, the factors by the number of their column."""

    factors: Mapping[int, float]
    low: float = 0.0
    high: float = math.inf


@dataclass(frozen=True, slots=True)
class Search:
    """How far the best yes and no are looked for: until it is proven to a `gap`, at most through so many branches.

    The `seconds` of the clock are the last safety: what they end may come out otherwise on another day.
    """

    gap: float = WHOLE_GAP
    nodes: int = MOST_NODES
    seconds: float = math.inf


class TimeIsUp(ArithmeticError):
    """No answer was found within the limits of a search; there may be one."""


@dataclass(frozen=True, slots=True)
class Solution:
    """Grams of each column and the deviation that is left in each row.

    `gap` is how far the cost may still lie above the best there is, as a part of it: 0 where that is proven.
    """

    amounts: tuple[float, ...]
    deviations: tuple[float, ...]
    gap: float = 0.0


class Solver:
    """HiGHS, started when first needed and kept: loading it costs a tenth of a second."""

    def __init__(self) -> None:
        self._highs: Any = None
        self._gap = 0.0
        self._search = Search()
        self._one_at_a_time = threading.RLock()

    def warm(self) -> None:
        """Load HiGHS now, so that the first swap does not wait for it."""
        with self._one_at_a_time:
            self._start()

    def _start(self) -> None:
        if self._highs is None:
            import highspy

            highs = highspy.Highs()  # type: ignore[no-untyped-call]
            highs.silent()
            for option, value in (
                ("presolve", "off"),
                ("solver", "simplex"),
                ("threads", 1),
                ("primal_feasibility_tolerance", TIGHT),
                ("dual_feasibility_tolerance", TIGHT),
            ):
                highs.setOptionValue(option, value)
            for option in NO_SEARCHES:
                highs.setOptionValue(option, False)
            self._highs = highs

    def solve(
        self,
        columns: Sequence[Column],
        targets: Sequence[Target],
        parts: Sequence[Part] = (),
        search: Search | None = None,
    ) -> Solution:
        """The best amounts. Firm rows are met exactly when that is possible; otherwise as nearly as it is.

        With whole columns the `search` may end at its limits, with the best found and its gap. May be called from
        several threads: they take turns. Raises ArithmeticError where HiGHS finds no answer (contradicting bounds),
        TimeIsUp where it finds none within the limits.
        """
        with self._one_at_a_time:
            return self._solve(columns, targets, parts, search or Search())

    def _solve(
        self, columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part], search: Search
    ) -> Solution:
        amounts = None
        self._gap = 0.0
        self._search = search
        if any(target.firm for target in targets):
            amounts = self._run(columns, targets, parts, firm=True)
        if amounts is None:
            amounts = self._run(columns, targets, parts, firm=False)
        if amounts is None:
            raise ArithmeticError("the bounds of this swap contradict each other")
        moved = [(column.coefficients, grams) for column, grams in zip(columns, amounts, strict=True)]
        deviations = tuple(
            target.start + sum([effects[row] * grams for effects, grams in moved]) for row, target in enumerate(targets)
        )
        return Solution(tuple(amounts), deviations, self._gap)

    def _run(
        self, columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part], firm: bool
    ) -> list[float] | None:
        import highspy
        import numpy as np

        self._start()
        rows = len(targets)
        starts: list[int] = [0]
        places: list[int] = []
        values: list[float] = []
        costs: list[float] = []
        lows: list[float] = []
        highs: list[float] = []
        kinds: list[int] = []

        def add(column: Column, effects: Sequence[float], low: float, high: float) -> None:
            places.extend(into)
            values.extend(effects)
            starts.append(len(places))
            costs.append(column.cost)
            lows.append(low)
            highs.append(high)
            kinds.append(column.whole)

        further: list[list[tuple[int, float]]] = [[] for _ in columns]
        for extra, part in enumerate(parts, start=rows):
            for number, factor in part.factors.items():
                if factor:
                    further[number].append((extra, factor))
        for number, column in enumerate(columns):
            into = [row for row, value in enumerate(column.coefficients) if value]
            effects = [value for value in column.coefficients if value]
            for extra, factor in further[number]:
                into.append(extra)
                effects.append(factor)
            if column.low < 0.0:  # split by sign, so that of two equal answers the one that moves less is taken
                add(column, effects, 0.0, max(column.high, 0.0))
                add(column, [-effect for effect in effects], 0.0, -column.low)
            else:
                add(column, effects, column.low, column.high)
        unknowns = len(costs)
        for row, target in enumerate(targets):  # what is left over of a row, below and above it
            if firm and target.firm:
                continue
            ends = [(-1.0, target.cost, math.inf), (1.0, target.cost, math.inf)]
            ends += [(sign, 0.0, most) for sign, most in zip((1.0, -1.0), target.free, strict=True) if most > 0.0]
            for sign, cost, most in ends:
                places.append(row)
                values.append(sign)
                costs.append(cost)
                lows.append(0.0)
                highs.append(most)
        starts += range(starts[-1] + 1, len(places) + 1)
        kinds += [0] * (len(costs) - len(kinds))
        right = [-target.start for target in targets]
        self._highs.passModel(
            len(costs),
            rows + len(parts),
            len(places),
            BY_COLUMNS,
            MINIMISE,
            0.0,
            np.array(costs),
            np.array(lows),
            np.array(highs),
            np.array(right + [part.low for part in parts]),
            np.array(right + [part.high for part in parts]),
            np.array(starts, dtype=np.int32),
            np.array(places, dtype=np.int32),
            np.array(values),
            np.array(kinds, dtype=np.int32),
        )
        if not self._ran(highspy, sum(kinds)):
            return None
        solution = list(self._highs.getSolution().col_value)[:unknowns]
        amounts = []
        at = 0
        for column in columns:
            if column.low < 0.0:
                amounts.append(solution[at] - solution[at + 1])
                at += 2
            else:
                amounts.append(solution[at])
                at += 1
        return amounts

    def _ran(self, highspy: Any, wholes: int) -> bool:
        """Run what was passed; whether there is an answer. A search changes options that others must not find."""
        if not wholes:
            self._highs.run()
            return bool(self._highs.getModelStatus() == highspy.HighsModelStatus.kOptimal)
        search, status = self._search, highspy.HighsModelStatus
        # The clock of the time limit runs on from earlier searches.
        limit = self._highs.getRunTime() + search.seconds if math.isfinite(search.seconds) else math.inf
        self._set_all(
            {
                "presolve": "on",
                "primal_feasibility_tolerance": LOOSE,
                "dual_feasibility_tolerance": LOOSE,
                "mip_rel_gap": search.gap,
                "mip_max_nodes": search.nodes,
                "time_limit": limit,
                **dict.fromkeys(SEARCHES_WITHIN, wholes > MANY_WHOLE),
            }
        )
        try:
            self._highs.run()
        finally:
            self._set_all(
                {
                    "presolve": "off",
                    "primal_feasibility_tolerance": TIGHT,
                    "dual_feasibility_tolerance": TIGHT,
                    "time_limit": math.inf,
                }
            )
        ended, gap = self._highs.getModelStatus(), self._highs.getInfo().mip_gap
        if ended in (status.kTimeLimit, status.kSolutionLimit):
            if not math.isfinite(gap):
                raise TimeIsUp("no answer was found in the time")
        elif ended != status.kOptimal:
            return False
        self._gap = gap if math.isfinite(gap) else 0.0
        return True

    def _set_all(self, options: Mapping[str, Any]) -> None:
        for option, value in options.items():
            self._highs.setOptionValue(option, value)
