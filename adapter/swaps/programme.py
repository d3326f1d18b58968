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
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from adapter.swaps.equations import only_answer

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
TO_THE_LAST = {"primal_feasibility_tolerance": TIGHT, "dual_feasibility_tolerance": TIGHT}
CLEARLY = 1e-9
"""An amount this far within its bounds does not touch them."""


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

            self._highs = highspy.Highs()  # type: ignore[no-untyped-call]
            self._highs.silent()
            self._set_all({"presolve": "off", "solver": "simplex", "threads": 1, **TO_THE_LAST})
            self._set_all(dict.fromkeys(NO_SEARCHES, False))

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
        gap = 0.0
        amounts = settled(columns, targets, parts)
        if amounts is None:
            with self._one_at_a_time:
                amounts, gap = self._weighed(columns, targets, parts, search or Search())
        moved = [(column.coefficients, grams) for column, grams in zip(columns, amounts, strict=True)]
        deviations = tuple(
            [
                target.start + sum([effects[row] * grams for effects, grams in moved])
                for row, target in enumerate(targets)
            ]
        )
        return Solution(tuple(amounts), deviations, gap)

    def _weighed(
        self, columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part], search: Search
    ) -> tuple[list[float], float]:
        """The amounts that HiGHS finds, and the gap that is left."""
        self._start()
        for firm in (True, False) if any(target.firm for target in targets) else (False,):
            model = _Model(columns, targets, parts, firm)
            model.pass_to(self._highs)
            gap = self._run(search, model.wholes)
            if gap is not None:
                return model.amounts(self._highs.getSolution().col_value), gap
        raise ArithmeticError("the bounds of this swap contradict each other")

    def _run(self, search: Search, wholes: int) -> float | None:
        """Run what was passed: the gap that is left; None where there is no answer."""
        from highspy import HighsModelStatus as Status

        if not wholes:
            self._highs.run()
            return 0.0 if self._highs.getModelStatus() == Status.kOptimal else None
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
        finally:  # the options of a search are not for others to find
            self._set_all({"presolve": "off", "time_limit": math.inf, **TO_THE_LAST})
        ended, gap = self._highs.getModelStatus(), self._highs.getInfo().mip_gap
        if ended in (Status.kTimeLimit, Status.kSolutionLimit):
            if not math.isfinite(gap):
                raise TimeIsUp("no answer was found in the time")
        elif ended != Status.kOptimal:
            return None
        return float(gap) if math.isfinite(gap) else 0.0

    def _set_all(self, options: Mapping[str, Any]) -> None:
        for option, value in options.items():
            self._highs.setOptionValue(option, value)


def settled(columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part]) -> list[float] | None:
    """The amounts where the firm rows leave no choice: as many of them as unknowns, and room for the only answer.

    Most swaps are so, since a rule keeps as many readings as there are things that move; nothing is to be weighed
    against anything then. None where the rows do not settle it, or where a bound has a say.
    """
    firm = [row for row, target in enumerate(targets) if target.firm]
    if len(firm) != len(columns) or not firm or any(column.whole for column in columns):
        return None
    rows = [[column.coefficients[row] for column in columns] for row in firm]
    amounts = only_answer(rows, [-targets[row].start for row in firm])
    if amounts is None:
        return None
    for column, amount in zip(columns, amounts, strict=True):
        if not column.low + CLEARLY < amount < column.high - CLEARLY:
            return None
    for part in parts:
        total = sum([factor * amounts[number] for number, factor in part.factors.items()])
        if not part.low + CLEARLY < total < part.high - CLEARLY:
            return None
    for row, place in zip(rows, firm, strict=True):
        moved = sum([factor * amount for factor, amount in zip(row, amounts, strict=True)])
        if abs(targets[place].start + moved) > TIGHT:
            return None
    return amounts


class _Model:
    """The programme as HiGHS takes it, column by column: those that may fall are split by sign, so that of two equal
    answers the one that moves less is taken; after them stands what is left over of each row.
    """

    def __init__(self, columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part], firm: bool) -> None:
        self.starts: list[int] = [0]
        self.places: list[int] = []
        self.values: list[float] = []
        self.costs: list[float] = []
        self.lows: list[float] = []
        self.highs: list[float] = []
        self.kinds: list[int] = []
        right = [-target.start for target in targets]
        self.least, self.most = right + [part.low for part in parts], right + [part.high for part in parts]
        self.splits = [column.low < 0.0 for column in columns]
        self._add_columns(columns, len(targets), parts)
        self.wholes = sum(self.kinds)
        self._add_left_over(targets, firm)

    def _add_columns(self, columns: Sequence[Column], rows: int, parts: Sequence[Part]) -> None:
        further: list[list[tuple[int, float]]] = [[] for _ in columns]
        for extra, part in enumerate(parts, start=rows):
            for number, factor in part.factors.items():
                if factor:
                    further[number].append((extra, factor))
        for column, more in zip(columns, further, strict=True):
            effects = [(row, value) for row, value in enumerate(column.coefficients) if value] + more
            if column.low < 0.0:
                self._add(effects, 0.0, max(column.high, 0.0), column.cost, column.whole)
                self._add([(row, -value) for row, value in effects], 0.0, -column.low, column.cost, column.whole)
            else:
                self._add(effects, column.low, column.high, column.cost, column.whole)

    def _add(
        self, effects: Sequence[tuple[int, float]], low: float, high: float, cost: float, whole: bool = False
    ) -> None:
        for row, value in effects:
            self.places.append(row)
            self.values.append(value)
        self.starts.append(len(self.places))
        self.costs.append(cost)
        self.lows.append(low)
        self.highs.append(high)
        self.kinds.append(whole)

    def _add_left_over(self, targets: Sequence[Target], firm: bool) -> None:
        """What is left over of a row, below and above it; a firm row leaves nothing over."""
        for row, target in enumerate(targets):
            if firm and target.firm:
                continue
            self._add([(row, -1.0)], 0.0, math.inf, target.cost)
            self._add([(row, 1.0)], 0.0, math.inf, target.cost)
            for sign, most in zip((1.0, -1.0), target.free, strict=True):
                if most > 0.0:
                    self._add([(row, sign)], 0.0, most, 0.0)

    def pass_to(self, highs: Any) -> None:
        import numpy as np

        highs.passModel(
            len(self.costs),
            len(self.least),
            len(self.places),
            BY_COLUMNS,
            MINIMISE,
            0.0,
            np.array(self.costs),
            np.array(self.lows),
            np.array(self.highs),
            np.array(self.least),
            np.array(self.most),
            np.array(self.starts, dtype=np.int32),
            np.array(self.places, dtype=np.int32),
            np.array(self.values),
            np.array(self.kinds, dtype=np.int32),
        )

    def amounts(self, solution: Iterable[float]) -> list[float]:
        """Each column's amount out of what HiGHS found: those split by sign put together."""
        found = iter(solution)
        return [next(found) - next(found) if split else next(found) for split in self.splits]
