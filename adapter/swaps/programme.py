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
NO_SEARCHES_WITHIN = (
    "mip_heuristic_run_rins",
    "mip_heuristic_run_rens",
    "mip_heuristic_run_root_reduced_cost",
    "mip_allow_restart",
)
"""Searches within the search: of a few dozen yes and no they cost four times what they save."""
BY_COLUMNS, MINIMISE = 1, 1
"""How HiGHS numbers the form of its matrix and the sense of its search."""
WHOLE_GAP = 1e-6
"""Where the best of a search is proven to this part of its cost, it is the best."""


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

    The cost of a firm row counts only when the firm rows cannot all be met.
    """

    start: float
    cost: float
    firm: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A further inequality: low <= sum of factor x column <= high, the factors by the number of their column."""

    factors: Mapping[int, float]
    low: float = 0.0
    high: float = math.inf


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
        self._seconds = math.inf
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
                ("primal_feasibility_tolerance", 1e-10),
                ("dual_feasibility_tolerance", 1e-10),
            ):
                highs.setOptionValue(option, value)
            for option in NO_SEARCHES_WITHIN:
                highs.setOptionValue(option, False)
            self._highs = highs

    def solve(
        self,
        columns: Sequence[Column],
        targets: Sequence[Target],
        parts: Sequence[Part] = (),
        seconds: float = math.inf,
    ) -> Solution:
        """The best amounts. Firm rows are met exactly when that is possible; otherwise as nearly as it is.

        With whole columns the search may end after so many `seconds`, with the best found and its gap. May be called
        from several threads: they take turns. Raises ArithmeticError where HiGHS finds no answer (contradicting
        bounds).
        """
        with self._one_at_a_time:
            return self._solve(columns, targets, parts, seconds)

    def _solve(
        self, columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part], seconds: float
    ) -> Solution:
        amounts = None
        self._gap = 0.0
        self._seconds = seconds
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

        for number, column in enumerate(columns):
            into = [row for row, value in enumerate(column.coefficients) if value]
            effects = [value for value in column.coefficients if value]
            for extra, part in enumerate(parts, start=rows):
                if part.factors.get(number):
                    into.append(extra)
                    effects.append(part.factors[number])
            if column.low < 0.0:  # split by sign, so that of two equal answers the one that moves less is taken
                add(column, effects, 0.0, max(column.high, 0.0))
                add(column, [-effect for effect in effects], 0.0, -column.low)
            else:
                add(column, effects, column.low, column.high)
        unknowns = len(costs)
        soft = [row for row, target in enumerate(targets) if not (firm and target.firm)]
        for row in soft:  # what is left over of a row, below and above it
            places += (row, row)
            values += (-1.0, 1.0)
            costs += (targets[row].cost,) * 2
        starts += range(starts[-1] + 1, len(places) + 1)
        lows += [0.0] * (2 * len(soft))
        highs += [math.inf] * (2 * len(soft))
        kinds += [0] * (2 * len(soft))
        right = [-target.start for target in targets]
        wholes = any(kinds)
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
        if wholes:
            # Presolve pays for a search; the clock of the time limit runs on from earlier searches.
            self._highs.setOptionValue("presolve", "on")
            self._highs.setOptionValue("mip_rel_gap", WHOLE_GAP)
            limit = self._highs.getRunTime() + self._seconds if math.isfinite(self._seconds) else math.inf
            self._highs.setOptionValue("time_limit", limit)
        try:
            self._highs.run()
        finally:
            if wholes:
                self._highs.setOptionValue("presolve", "off")
                self._highs.setOptionValue("time_limit", math.inf)
        status = self._highs.getModelStatus()
        if status == highspy.HighsModelStatus.kTimeLimit and wholes:
            info = self._highs.getInfo()
            if not math.isfinite(info.mip_gap):
                return None
            self._gap = info.mip_gap
        elif status != highspy.HighsModelStatus.kOptimal:
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
