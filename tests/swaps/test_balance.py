"""Balancing a swap: against a programme built anew from the ingredient tables, and what it keeps, holds and rounds."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from reference_rows import Reference, made_by_name
from scipy.optimize import linprog

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula, Line
from adapter.formula.problems import InputProblem
from adapter.swaps.balance import Balancer, Incoming, Mover, Swap, merge, rounded, scale_grams
from adapter.swaps.programme import TIE_COST, Solver
from adapter.swaps.rules import ShareLimit

Read = Callable[..., Measured]
Loaf = Callable[..., Formula]

RATIOS = ("effective_hydration", "sugar", "sweetness", "salt", "fat", "fibre", "rye_share", "prefermented_flour")


# --- a programme of its own -----------------------------------------------------------------------


CASES: dict[str, tuple[list[str], list[str], list[str], tuple[str, ...], tuple[ShareLimit, ...]]] = {
    "yoghurt": (["buttermilk"], ["yoghurt"], ["water", "salt"], (), ()),
    "milk and vinegar": (["buttermilk"], ["milk", "cider vinegar"], ["salt"], ("effective_hydration", "tta"), ()),
    "milk and lemon by pH": (["buttermilk"], ["milk", "lemon juice"], ["water", "salt"], ("ph",), ()),
    "mostly milk": (["buttermilk"], ["milk", "beer"], ["water"], (), (ShareLimit(0, 0.75, 1.0),)),
    "malt syrup": (["honey"], ["malt syrup"], ["water"], ("sugar", "effective_hydration"), ()),
    "three sweet things": (["honey", "molasses"], ["date syrup", "white sugar", "raisins"], ["water"], (), ()),
    "wholemeal": (["white wheat flour", "wheat bran"], ["wholemeal wheat flour"], ["water"], (), ()),
    "sourdough": (["buttermilk"], ["rye sourdough"], ["wholemeal rye flour", "water"], ("flour_mass",), ()),
    "fat": (["honey"], ["butter", "white sugar"], ["water", "salt"], (), ()),
}


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("yeasted", [True, False])
def test_balance_is_the_optimum_of_the_reference(
    case: str, yeasted: bool, dark_loaf: Formula, read: Read, solver: Solver, kitchen: Kitchen
) -> None:
    """scipy.optimize.linprog on rows worked out from the tables: the same objective within 1e-7, firm rows met."""
    out, into, moving, keep, limits = CASES[case]
    formula = dark_loaf if yeasted else dark_loaf.with_lines(dark_loaf.lines[:-1])
    grams = {line.ingredient: line.grams for line in formula.lines}
    names = [line.ingredient for line in formula.lines]
    measured = read(formula)
    reference = Reference(kitchen, formula, made_by_name(measured))
    assert measured.value("ph") == pytest.approx(reference.ph, abs=1e-9)

    swap = Swap(
        tuple((names.index(name), grams[name]) for name in out),
        tuple(Incoming(name) for name in into),
        tuple(Mover(names.index(name)) for name in moving),
        False,
        keep,
        limits=limits,
    )
    balance = Balancer(measured, solver).balance(swap)
    amounts = [*balance.into, *(moved for _, moved in balance.moved)]
    assert balance.unmet == ()

    tolerances = kitchen.tolerances
    keys = list(dict.fromkeys((*reference.sought(), *keep)))
    assert set(reference.sought()) == {*RATIOS, "tta", "ph", "flour_mass", "dough_mass"}
    start = {key: -sum(grams[name] * reference.effect(name, key) for name in out) for key in keys}
    matrix = np.array([[reference.effect(name, key) for name in (*into, *moving)] for key in keys])
    starts = np.array([start[key] for key in keys])
    costs = np.array([0.0 if key in keep else tolerances[key].weight / tolerances[key].value for key in keys])

    many, rows = len(amounts), len(keys)
    blocks = []
    for sign in (1.0, -1.0):
        blocks.append(np.hstack([sign * matrix, -np.eye(rows), np.zeros((rows, many))]))
    for sign in (1.0, -1.0):
        blocks.append(np.hstack([sign * np.eye(many), np.zeros((many, rows)), -np.eye(many)]))
    limit_rows = np.zeros((len(limits), 2 * many + rows))
    for number, limit in enumerate(limits):
        limit_rows[number, : len(into)] = limit.low
        limit_rows[number, limit.slot] -= 1.0
    kept = [number for number, key in enumerate(keys) if key in keep]
    found = linprog(
        np.concatenate([np.zeros(many), costs, np.full(many, TIE_COST)]),
        A_ub=np.vstack([*blocks, limit_rows]),
        b_ub=np.concatenate([-starts, starts, np.zeros(2 * many + len(limits))]),
        A_eq=np.hstack([matrix[kept], np.zeros((len(kept), rows + many))]) if kept else None,
        b_eq=-starts[kept] if kept else None,
        bounds=[(0, None)] * len(into) + [(-grams[name], None) for name in moving] + [(0, None)] * (rows + many),
        options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10},
    )
    assert found.status == 0
    deviations = starts + matrix @ np.array(amounts)
    objective = float(costs @ abs(deviations) + TIE_COST * np.abs(amounts).sum())
    assert objective == pytest.approx(found.fun, rel=1e-7, abs=1e-7)
    assert abs(deviations[kept]).max(initial=0.0) < 1e-6


# --- weighing and merging -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("grams", "shown"),
    [(0.04, 0.0), (0.06, 0.1), (3.64, 3.6), (9.94, 9.9), (9.96, 10.0), (10.4, 10.0), (10.6, 11.0), (1234.4, 1234.0)],
)
def test_kitchen_scale(grams: float, shown: float) -> None:
    """Whole grams, tenths below 10 g."""
    assert scale_grams(grams) == pytest.approx(shown, abs=1e-12)


def test_rounding_leaves_written_weights_alone() -> None:
    """A weight that the swap did not change stays as it was written, however odd; a changed one goes to the scale."""
    before = Formula("x", (Line("water", 300.37), Line("salt", 9.87), Line("honey", 33.3), Line("milk", 100.0)))
    after = before.with_lines(
        (
            Line("water", 300.37),
            Line("salt", 9.71),
            Line("honey", 33.3 - 12.2),
            Line("milk", 100.3),
            Line("rye malt", 7.77),
        )
    )
    assert [line.grams for line in rounded(before, after).lines] == [300.37, 9.7, 21.0, 100.0, 7.8]
    spooned = Formula("x", (Line("salt", 12.16, amount="2 tsp"),))
    moved = spooned.with_lines((spooned.lines[0].with_grams(12.2),))
    assert rounded(spooned, moved).lines == spooned.lines, "no scale shows it: as it was written"


def test_rounding_drops_what_no_scale_shows_unless_it_stood_there() -> None:
    before = Formula("x", (Line("water", 300.0), Line("honey", 30.0)))
    after = before.with_lines((Line("water", 300.0), Line("honey", 0.01), Line("malt syrup", 0.02)))
    assert [(line.ingredient, line.grams) for line in rounded(before, after).lines] == [
        ("water", 300.0),
        ("honey", 0.0),
    ]


def test_arrivals_join_the_same_thing_of_the_same_stage_only() -> None:
    """The same ingredient in another stage, or a sourdough of another hydration, is another line."""
    lines = [
        Line("water", 100.0, "soaker"),
        Line("water", 200.0, "dough"),
        None,
        Line("rye sourdough", 50.0, hydration=80.0),
    ]
    arrivals = [
        (2, Line("water", 20.0, "dough")),
        (2, Line("rye sourdough", 10.0)),
        (2, Line("honey", 5.0)),
        (3, Line("honey", 1.0)),
        (0, Line("milk", 0.0)),
    ]
    merged = merge(lines, arrivals)
    assert [(line.ingredient, line.grams, line.stage, line.hydration) for line in merged] == [
        ("water", 100.0, "soaker", None),
        ("water", 220.0, "dough", None),
        ("rye sourdough", 10.0, "dough", None),
        ("honey", 6.0, "dough", None),
        ("rye sourdough", 50.0, "dough", 80.0),
    ]


# --- holds at the balancer ------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["starch_attack", "water_activity", "nonsense"])
def test_what_weights_cannot_hold_is_refused(key: str, dark_loaf: Formula, read: Read, solver: Solver) -> None:
    swap = Swap(((3, 520.0),), (Incoming("yoghurt"),), (), False, holds=(key,))
    with pytest.raises(InputProblem, match=key):
        Balancer(read(dark_loaf), solver).balance(swap)


def test_fixed_grams_come_in_as_typed(dark_loaf: Formula, read: Read, solver: Solver) -> None:
    """The rest is balanced around them."""
    swap = Swap(((3, 520.0),), (Incoming("milk", 400.0), Incoming("cider vinegar")), (Mover(6),), False)
    balance = Balancer(read(dark_loaf), solver).balance(swap)
    assert balance.into[0] == 400.0
    free = Swap(((3, 520.0),), (Incoming("milk", 500.0), Incoming("cider vinegar")), (Mover(6),), False)
    other = Balancer(read(dark_loaf), solver).balance(free)
    assert balance.moved[0][1] > other.moved[0][1]
