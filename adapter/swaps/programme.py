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
USUAL: Mapping[str, bool | float | str] = {
    "presolve": "off",
    "primal_feasibility_tolerance": TIGHT,
    "dual_feasibility_tolerance": TIGHT,
}
"""What HiGHS is set to between searches for yes and no."""


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
            self._highs = highs
            self._set_all({**USUAL, "solver": "simplex", "threads": 1, **dict.fromkeys(NO_SEARCHES, False)})

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
        found = None
        if any(target.firm for target in targets):
            found = self._run(columns, targets, parts, search, firm=True)
        if found is None:
            found = self._run(columns, targets, parts, search, firm=False)
        if found is None:
            raise ArithmeticError("the bounds of this swap contradict each other")
        amounts, gap = found
        moved = [(column.coefficients, grams) for column, grams in zip(columns, amounts, strict=True)]
        deviations = tuple(
            target.start + sum([effects[row] * grams for effects, grams in moved]) for row, target in enumerate(targets)
        )
        return Solution(tuple(amounts), deviations, gap)

    def _run(
        self, columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part], search: Search, firm: bool
    ) -> tuple[list[float], float] | None:
        """The amounts and their gap; None where nothing lies within the bounds and meets, if `firm`, the firm rows."""
        self._start()
        matrix = _Matrix()
        matrix.add_unknowns(columns, parts, first_part=len(targets))
        matrix.add_leftovers(targets, firm)
        self._pass(matrix, targets, parts)
        gap = self._searched(search, matrix.wholes) if matrix.wholes else self._solved()
        return None if gap is None else (_joined(columns, self._highs.getSolution().col_value), gap)

    def _pass(self, matrix: _Matrix, targets: Sequence[Target], parts: Sequence[Part]) -> None:
        import numpy as np

        right = [-target.start for target in targets]
        self._highs.passModel(
            len(matrix.costs),
            len(targets) + len(parts),
            len(matrix.rows),
            BY_COLUMNS,
            MINIMISE,
            0.0,
            np.array(matrix.costs),
            np.array(matrix.lows),
            np.array(matrix.highs),
            np.array(right + [part.low for part in parts]),
            np.array(right + [part.high for part in parts]),
            np.array(matrix.starts, dtype=np.int32),
            np.array(matrix.rows, dtype=np.int32),
            np.array(matrix.effects),
            np.array(matrix.kinds, dtype=np.int32),
        )

    def _solved(self) -> float | None:
        """Solve what was passed, without yes and no: the best there is has no gap."""
        from highspy import HighsModelStatus

        self._highs.run()
        return 0.0 if self._highs.getModelStatus() == HighsModelStatus.kOptimal else None

    def _searched(self, search: Search, wholes: int) -> float | None:
        """Search what was passed for the best yes and no; the gap. Options change, which others must not find."""
        from highspy import HighsModelStatus

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
            self._set_all({**USUAL, "time_limit": math.inf})
        ended, gap = self._highs.getModelStatus(), float(self._highs.getInfo().mip_gap)
        if ended in (HighsModelStatus.kTimeLimit, HighsModelStatus.kSolutionLimit):
            if not math.isfinite(gap):
                raise TimeIsUp("no answer was found in the time")
        elif ended != HighsModelStatus.kOptimal:
            return None
        return gap if math.isfinite(gap) else 0.0

    def _set_all(self, options: Mapping[str, bool | float | str]) -> None:
        for option, value in options.items():
            self._highs.setOptionValue(option, value)


class _Matrix:
    """The columns of a programme as HiGHS takes them, one behind the other; a list each for what they have."""

    def __init__(self) -> None:
        self.starts = [0]
        self.rows: list[int] = []
        self.effects: list[float] = []
        self.costs: list[float] = []
        self.lows: list[float] = []
        self.highs: list[float] = []
        self.kinds: list[int] = []

    @property
    def wholes(self) -> int:
        """How many columns are whole numbers."""
        return sum(self.kinds)

    def _add(
        self, rows: Sequence[int], effects: Sequence[float], low: float, high: float, cost: float, whole: bool = False
    ) -> None:
        self.rows.extend(rows)
        self.effects.extend(effects)
        self.starts.append(len(self.rows))
        self.costs.append(cost)
        self.lows.append(low)
        self.highs.append(high)
        self.kinds.append(whole)

    def add_unknowns(self, columns: Sequence[Column], parts: Sequence[Part], first_part: int) -> None:
        """The unknowns with their effects on the rows and, from row `first_part` on, on the further inequalities."""
        further: list[list[tuple[int, float]]] = [[] for _ in columns]
        for row, part in enumerate(parts, start=first_part):
            for number, factor in part.factors.items():
                if factor:
                    further[number].append((row, factor))
        for column, more in zip(columns, further, strict=True):
            rows = [row for row, value in enumerate(column.coefficients) if value]
            effects = [value for value in column.coefficients if value]
            for row, factor in more:
                rows.append(row)
                effects.append(factor)
            if column.low < 0.0:  # split by sign, so that of two equal answers the one that moves less is taken
                self._add(rows, effects, 0.0, max(column.high, 0.0), column.cost, column.whole)
                self._add(rows, [-effect for effect in effects], 0.0, -column.low, column.cost, column.whole)
            else:
                self._add(rows, effects, column.low, column.high, column.cost, column.whole)

    def add_leftovers(self, targets: Sequence[Target], firm: bool) -> None:
        """What may be left over of a row, below and above it, at its cost; of the firm rows nothing, where `firm`."""
        for row, target in enumerate(targets):
            if firm and target.firm:
                continue
            self._add((row,), (-1.0,), 0.0, math.inf, target.cost)
            self._add((row,), (1.0,), 0.0, math.inf, target.cost)
            for sign, most in zip((1.0, -1.0), target.free, strict=True):
                if most > 0.0:
                    self._add((row,), (sign,), 0.0, most, 0.0)


def _joined(columns: Sequence[Column], solution: Sequence[float]) -> list[float]:
    """The amount of each unknown: of one that was split by sign what is above less what is below."""
    values = iter(solution)
    return [next(values) - next(values) if column.low < 0.0 else next(values) for column in columns]
