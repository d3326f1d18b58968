"""The balancing programme against scipy's linear programming (HiGHS behind another modelling), and by hand."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from itertools import product
from types import SimpleNamespace
from typing import Any

import highspy
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from adapter.swaps.programme import EXACT, Column, Part, Search, Solution, Solver, Target, TimeIsUp, settled

SOLVER = Solver()


def cost(columns: Sequence[Column], targets: Sequence[Target], solution: Solution, firm: bool) -> float:
    """What a solution costs, worked out from its amounts alone."""
    total = 0.0
    for row, target in enumerate(targets):
        deviation = target.start + sum(
            column.coefficients[row] * amount for column, amount in zip(columns, solution.amounts, strict=True)
        )
        if not (firm and target.firm):
            total += target.cost * abs(deviation)
    return total + sum(column.cost * abs(amount) for column, amount in zip(columns, solution.amounts, strict=True))


def least_cost(columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part], firm: bool) -> float | None:
    """The least cost by scipy: unknowns x, bounds of |deviation|, bounds of |x|; None where it is infeasible."""
    many, rows = len(columns), len(targets)
    soft = [row for row in range(rows) if not (firm and targets[row].firm)]
    size = many + len(soft) + many
    above: list[list[float]] = []
    limit: list[float] = []
    equal: list[list[float]] = []
    met: list[float] = []
    for row, target in enumerate(targets):
        line = [column.coefficients[row] for column in columns] + [0.0] * (size - many)
        if row not in soft:
            equal.append(line)
            met.append(-target.start)
            continue
        for sign in (1.0, -1.0):
            entry = [sign * value for value in line]
            entry[many + soft.index(row)] = -1.0
            above.append(entry)
            limit.append(-sign * target.start)
    for place in range(many):
        for sign in (1.0, -1.0):
            entry = [0.0] * size
            entry[place], entry[many + len(soft) + place] = sign, -1.0
            above.append(entry)
            limit.append(0.0)
    for part in parts:
        weights = [part.factors.get(place, 0.0) for place in range(many)]
        for sign, bound in ((-1.0, part.low), (1.0, part.high)):
            if math.isfinite(bound):
                above.append([sign * weight for weight in weights] + [0.0] * (size - many))
                limit.append(sign * bound)
    objective = [0.0] * many + [targets[row].cost for row in soft] + [column.cost for column in columns]
    bounds = [(column.low, column.high) for column in columns] + [(0.0, None)] * (size - many)
    found = linprog(
        objective,
        A_ub=np.array(above),
        b_ub=np.array(limit),
        A_eq=np.array(equal) if equal else None,
        b_eq=np.array(met) if met else None,
        bounds=bounds,
        method="highs",
        options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10},
    )
    return float(found.fun) if found.status == 0 else None


numbers = st.integers(-2000, 2000).map(lambda value: value / 1000)


@st.composite
def programmes(draw: st.DrawFn) -> tuple[list[Column], list[Target], list[Part]]:
    many, rows = draw(st.integers(1, 5)), draw(st.integers(1, 8))
    columns = []
    for _ in range(many):
        low = draw(st.sampled_from((0.0, 0.0, -5.0, -100.0)))
        coefficients = tuple(draw(st.lists(numbers, min_size=rows, max_size=rows)))
        columns.append(Column(coefficients, low, draw(st.sampled_from((0.0, 10.0, 500.0)))))
    targets = [
        Target(draw(numbers) * 10, draw(st.sampled_from((0.5, 1.0, 3.0, 20.0))), draw(st.integers(0, 3)) == 0)
        for _ in range(rows)
    ]
    parts = []
    if draw(st.booleans()):
        bound = draw(st.sampled_from((0.25, 0.75)))
        parts.append(Part({place: (place == 0) - bound for place in range(many)}))
        if draw(st.booleans()):
            parts.append(Part({many - 1: 1.0}, -3.0, 7.5))
    return columns, targets, parts


@given(programmes())
def test_as_cheap_as_the_reference(programme: tuple[list[Column], list[Target], list[Part]]) -> None:
    """scipy.optimize.linprog on a programme modelled another way: the same least cost within 1e-7."""
    columns, targets, parts = programme
    firm = any(target.firm for target in targets)
    expected = least_cost(columns, targets, parts, firm) if firm else None
    if expected is None:
        firm, expected = False, least_cost(columns, targets, parts, False)
    if expected is None:
        return
    solution = SOLVER.solve(columns, targets, parts)
    assert cost(columns, targets, solution, firm) == pytest.approx(expected, rel=1e-7, abs=1e-7)
    for column, amount in zip(columns, solution.amounts, strict=True):
        assert column.low - 1e-9 <= amount <= column.high + 1e-9
    for part in parts:
        together = sum(factor * solution.amounts[place] for place, factor in part.factors.items())
        assert part.low - 1e-8 <= together <= part.high + 1e-8
    if firm:
        assert all(
            abs(deviation) <= EXACT
            for target, deviation in zip(targets, solution.deviations, strict=True)
            if target.firm
        )


@given(programmes(), st.integers(1, 3))
def test_yes_or_no_as_every_choice_tried_in_turn(
    programme: tuple[list[Column], list[Target], list[Part]], yes_or_no: int
) -> None:
    """Whole columns of 0 or 1 with a cost of their own: the least of scipy's costs over all choices.

    Within 1e-4, where HiGHS stops by its manual, and its tolerance of 1e-6 on a row times the dearest row's cost.
    """
    columns, targets, parts = programme
    soft = [replace(target, firm=False) for target in targets]
    first = [
        replace(column, low=0.0, high=1.0, cost=0.25 * number, whole=True)
        for number, column in enumerate(columns[:yes_or_no])
    ]
    found = []
    for choice in product((0.0, 1.0), repeat=len(first)):
        fixed = [replace(column, low=value, high=value) for column, value in zip(first, choice, strict=True)]
        least = least_cost([*fixed, *columns[yes_or_no:]], soft, parts, False)
        found += [] if least is None else [least]
    if not found:
        return
    together = [*first, *columns[yes_or_no:]]
    solution = SOLVER.solve(together, soft, parts)
    assert cost(together, soft, solution, False) == pytest.approx(min(found), rel=1e-4, abs=2e-5 * len(soft))
    assert all(min(abs(amount), abs(amount - 1)) < 1e-6 for amount in solution.amounts[: len(first)])


def test_one_unknown_goes_to_the_dearer_row() -> None:
    """By hand: rows −10 + x and −20 + 2.5 x, costs 1 and 1: x = 8 leaves 2 and 0; x = 10 leaves 0 and 5."""
    solution = SOLVER.solve([Column((1.0, 2.5), 0.0, 100.0)], [Target(-10.0, 1.0), Target(-20.0, 1.0)])
    assert solution.amounts[0] == pytest.approx(8.0, abs=1e-9)
    assert solution.deviations == pytest.approx((-2.0, 0.0), abs=1e-9)


def test_a_firm_row_is_met_at_any_cost() -> None:
    """By hand: the same with the first row firm."""
    solution = SOLVER.solve([Column((1.0, 2.5), 0.0, 100.0)], [Target(-10.0, 1.0, True), Target(-20.0, 1000.0)])
    assert solution.deviations == pytest.approx((0.0, 5.0), abs=1e-9)


def test_as_many_firm_rows_as_unknowns_leave_no_choice() -> None:
    """By hand: x + 2 y = 8 and x - y = 2 give 4 and 2, whatever other rows cost; a bound that is touched has a say."""
    targets = [Target(-8.0, 1.0, True), Target(-2.0, 1.0, True), Target(-99.0, 1e6)]
    columns = [Column((1.0, 1.0, 1.0), 0.0, 100.0), Column((2.0, -1.0, 0.0), -50.0, 50.0)]
    assert settled(columns, targets, []) == pytest.approx([4.0, 2.0], abs=1e-12)
    assert SOLVER.solve(columns, targets).deviations == pytest.approx((0.0, 0.0, -95.0), abs=1e-9)
    assert settled([replace(columns[0], high=4.0), columns[1]], targets, []) is None
    assert settled(columns, targets, [Part({0: 1.0, 1: -2.0})]) is None, "a part that is just met has a say too"
    assert settled(columns, targets[1:], []) is None
    assert settled([columns[0], replace(columns[0], low=-1.0)], targets, []) is None, "two that do the same"
    assert settled([columns[0], replace(columns[1], whole=True)], targets, []) is None


@given(programmes())
def test_what_is_settled_is_the_answer_of_the_reference(
    programme: tuple[list[Column], list[Target], list[Part]],
) -> None:
    """Firm rows as many as unknowns: what they settle costs what scipy's least does."""
    columns, targets, parts = programme
    targets = [replace(target, firm=place < len(columns)) for place, target in enumerate(targets)]
    amounts = settled(columns, targets, parts)
    if amounts is not None:
        expected = least_cost(columns, targets, parts, True)
        assert expected is not None
        assert cost(columns, targets, Solution(tuple(amounts), ()), True) == pytest.approx(expected, rel=1e-7, abs=1e-7)


def test_firm_rows_that_contradict_each_other_give_way_by_cost() -> None:
    """By hand: x = 10 and x = 20 cannot both be; the dearer one is met, the other is off by the whole gap."""
    solution = SOLVER.solve([Column((1.0, 1.0), 0.0, 100.0)], [Target(-10.0, 1.0, True), Target(-20.0, 3.0, True)])
    assert solution.deviations == pytest.approx((10.0, 0.0), abs=1e-9)


def test_of_two_equal_answers_the_one_that_moves_less() -> None:
    """Two movers that cancel each other's effect stay where they are."""
    columns = [Column((1.0,), -50.0, 50.0), Column((-1.0,), -50.0, 50.0)]
    solution = SOLVER.solve(columns, [Target(0.0, 1.0)])
    assert solution.amounts == pytest.approx((0.0, 0.0), abs=1e-9)
    solution = SOLVER.solve(columns, [Target(4.0, 1.0)])
    assert sum(abs(amount) for amount in solution.amounts) == pytest.approx(4.0, abs=1e-6)


def test_bounds_stop_a_column() -> None:
    """A line cannot give more than it has."""
    solution = SOLVER.solve([Column((1.0,), -3.0, 50.0)], [Target(10.0, 1.0)])
    assert solution.amounts[0] == pytest.approx(-3.0, abs=1e-9)
    assert solution.deviations[0] == pytest.approx(7.0, abs=1e-9)


def test_a_part_of_what_comes_in_is_bounded() -> None:
    """By hand: the first column at least three quarters of both."""
    columns = [Column((0.0, 1.0), 0.0, 100.0), Column((1.0, 1.0), 0.0, 100.0)]
    solution = SOLVER.solve(columns, [Target(-10.0, 5.0), Target(-20.0, 10.0)], [Part({0: 0.25, 1: -0.75})])
    assert solution.amounts == pytest.approx((15.0, 5.0), abs=1e-8)


def test_a_solver_carries_nothing_over() -> None:
    """The same programme before and after another one: the same answer to the last digit."""
    first = ([Column((1.0, 2.5), 0.0, 100.0)], [Target(-10.0, 1.0), Target(-20.0, 1.0)])
    before = SOLVER.solve(*first)
    SOLVER.solve([Column((1.0,), -3.0, 50.0), Column((2.0,), 0.0, 1.0)], [Target(10.0, 1.0)])
    assert SOLVER.solve(*first) == before
    assert Solver().solve(*first) == before


def test_bounds_that_contradict_are_an_error() -> None:
    with pytest.raises(ArithmeticError):
        SOLVER.solve([Column((1.0,), 5.0, 3.0)], [Target(0.0, 1.0)])


def test_solving_says_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    """Standard output belongs to JSON: the solver prints neither banner nor log."""
    Solver().solve([Column((1.0,), 0.0, 3.0)], [Target(-1.0, 1.0)])
    seen = capfd.readouterr()
    assert (seen.out, seen.err) == ("", "")


def hard(size: int = 40) -> tuple[list[Column], list[Target], list[Part]]:
    """Market split (Cornuéjols and Dawande): yes and no of which three sums are to come out, hard for any search."""
    draw = random.Random(11)
    columns = [Column(tuple(float(draw.randrange(100)) for _ in range(3)), 0.0, 1.0, 0.0, True) for _ in range(size)]
    sums = [sum(column.coefficients[row] for column in columns) for row in range(3)]
    return columns, [Target(-float(int(each) // 2), 1.0) for each in sums], []


def test_a_search_ends_at_its_clock_and_at_its_branches() -> None:
    """Within no time nothing is proven; few branches leave a gap; what one search was told holds for no other."""
    with suppress(TimeIsUp):
        assert SOLVER.solve(*hard(), Search(seconds=0.0)).gap > 0.0
    few = SOLVER.solve(*hard(), Search(nodes=3))
    assert few.gap > 0.0 and all(min(abs(each), abs(each - 1.0)) < 1e-6 for each in few.amounts)
    again = SOLVER.solve(*hard(), Search(nodes=3))
    assert again == few
    plain = ([Column((1.0, 2.5), 0.0, 100.0)], [Target(-10.0, 1.0), Target(-20.0, 1.0)], [])
    assert SOLVER.solve(*plain).amounts == Solver().solve(*plain).amounts


def test_how_the_solver_is_set() -> None:
    """One thread and the simplex without presolve, so that an answer is the same everywhere; exact rows; without the
    searches that cost more than they save. A search of yes and no has looser rows and its limits, and leaves no trace.
    """
    solver = Solver()
    solver.warm()
    plain = {
        "presolve": "off", "solver": "simplex", "threads": 1, "primal_feasibility_tolerance": 1e-10,
        "dual_feasibility_tolerance": 1e-10, "mip_heuristic_run_root_reduced_cost": False, "mip_allow_restart": False,
        "time_limit": math.inf,
    }  # fmt: skip
    within = ("mip_heuristic_run_rins", "mip_heuristic_run_rens")

    def options(*names: str) -> dict[str, object]:
        return {name: solver._highs.getOptionValue(name)[1] for name in names}

    assert options(*plain) == plain
    seen: list[dict[str, object]] = []
    run = solver._highs.run
    names = ("presolve", "primal_feasibility_tolerance", "dual_feasibility_tolerance", "mip_rel_gap", "mip_max_nodes")
    kept = Watched(solver._highs, lambda: seen.append(options(*names, "time_limit", *within)) or run())
    solver._highs = kept
    for size, many in ((80, False), (81, True)):
        seen.clear()
        solver.solve([Column((1.0,), 0.0, 1.0, 0.5, True)] * size, [Target(-3.0, 1.0)], (), Search(0.02, 77))
        (found,) = seen
        assert found == {
            "presolve": "on", "primal_feasibility_tolerance": 1e-7, "dual_feasibility_tolerance": 1e-7,
            "mip_rel_gap": 0.02, "mip_max_nodes": 77, "time_limit": math.inf, **dict.fromkeys(within, many),
        }  # fmt: skip
        assert options(*plain) == plain
    solver.solve([Column((1.0,), 0.0, 1.0, 0.5, True)], [Target(-3.0, 1.0)], (), Search(seconds=60.0))
    assert 60.0 <= float(str(seen[-1]["time_limit"])) <= 60.0 + kept.getRunTime()


class Watched:
    """HiGHS, told of before it runs."""

    getModelStatus: Callable[[], object]
    getInfo: Callable[[], object]

    def __init__(self, highs: object, run: Callable[[], object]) -> None:
        self._highs, self.run = highs, run

    def __getattr__(self, name: str) -> Any:
        return getattr(self._highs, name)


@pytest.mark.parametrize(
    ("status", "left", "ends"),
    [
        ("kTimeLimit", math.inf, TimeIsUp),
        ("kSolutionLimit", math.inf, TimeIsUp),
        ("kTimeLimit", 0.25, 0.25),
        ("kSolutionLimit", 0.25, 0.25),
        ("kOptimal", 1e-5, 1e-5),
        ("kOptimal", math.inf, 0.0),
        ("kInfeasible", math.inf, ArithmeticError),
    ],
)
def test_how_a_search_ends(status: str, left: float, ends: float | type[Exception]) -> None:
    """At its limits with the best that was found, or with none; proven; or without an answer."""
    solver = Solver()
    solver.warm()
    watched = Watched(solver._highs, solver._highs.run)
    watched.getModelStatus = lambda: getattr(highspy.HighsModelStatus, status)
    watched.getInfo = lambda: SimpleNamespace(mip_gap=left)
    solver._highs = watched
    asked = ([Column((1.0,), 0.0, 1.0, 0.5, True)], [Target(-3.0, 1.0)])
    if isinstance(ends, float):
        answer = solver.solve(*asked)
        assert (answer.gap, answer.amounts) == (ends, (1.0,))
        return
    with pytest.raises(ends) as caught:
        solver.solve(*asked)
    assert type(caught.value) is ends
