"""What a balance is asked to give for each row, how far its columns may go, and how it says what it could not meet.

The costs are this project's own assumptions, written here once more so that none changes unnoticed: where not all can
be met, what the baker holds weighs 200, what the rule keeps 20 times a reading; salt that may move is met before both.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from recording_solver import RecordingSolver

from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula, Line
from adapter.formula.problems import InputProblem
from adapter.swaps.balance import Balancer, Incoming, Mover, Swap
from adapter.swaps.programme import Solver
from adapter.swaps.rules import MostOfFlour, ShareLimit

Read = Callable[..., Measured]
KEFIR, WATER, SALT, RYE = 1, 2, 4, 0


@pytest.fixture(scope="module")
def measured(read: Read) -> Measured:
    lines = (
        Line("wholemeal rye flour", 600),
        Line("kefir", 200),
        Line("water", 300),
        Line("honey", 40),
        Line("salt", 12),
    )
    return read(Formula("trial", lines))


def asked(measured: Measured, swap: Swap) -> tuple[RecordingSolver, Balancer]:
    solver = RecordingSolver()
    balancer = Balancer(measured, solver)
    balancer.balance(swap)
    return solver, balancer


def test_what_each_row_costs(measured: Measured) -> None:
    swap = Swap(
        ((KEFIR, 200.0),),
        (Incoming("milk"), Incoming("cider vinegar")),
        (Mover(WATER), Mover(SALT)),
        False,
        keep=("tta", "weight"),
        holds=("ph", "pace"),
        weigh=(("fibre", 0.25), ("tta", 2.0)),
    )
    solver, balancer = asked(measured, swap)
    keys = list(dict.fromkeys((*balancer.soft, "tta", "weight", "ph")))
    tolerances = measured.kitchen.tolerances
    targets = dict(zip(keys, solver.asked[1], strict=True))
    for key, target in targets.items():
        size = tolerances[key].value if key in tolerances else 1.0
        weight = tolerances[key].weight if key in tolerances else 1.0
        cost, firm = {
            "ph": (200.0, True), "salt": (1000.0, True), "tta": (20.0 * 2.0, True), "weight": (20.0, True),
            "fibre": (0.25, False),
        }.get(key, (weight, False))  # fmt: skip
        assert (target.cost, target.firm) == (pytest.approx(cost / size), firm), key


def test_salt_is_a_reading_like_any_other_where_it_may_not_move(measured: Measured) -> None:
    solver, balancer = asked(measured, Swap(((KEFIR, 200.0),), (Incoming("milk"),), (Mover(WATER),), False))
    target = solver.asked[1][balancer.soft.index("salt")]
    row = measured.kitchen.tolerances["salt"]
    assert (target.cost, target.firm) == (pytest.approx(row.weight / row.value), False)


def test_how_far_the_columns_may_go(measured: Measured) -> None:
    """Incoming at most twice the dough, or what the rule allows, or what was typed; a line at most the dough again."""
    mass = 1152.0
    swap = Swap(
        ((KEFIR, 100.0),),
        (Incoming("milk"), Incoming("cider vinegar"), Incoming("yoghurt", 50.0)),
        (Mover(WATER), Mover(RYE, may_grow=False)),
        True,
        most=(MostOfFlour(1, 12.0),),
    )
    solver, _ = asked(measured, swap)
    bounds = [(column.low, column.high) for column in solver.asked[0]]
    assert bounds == [
        (0.0, 2 * mass), (0.0, pytest.approx(0.12 * 600)), (50.0, 50.0), (-300.0, mass), (-600.0, 0.0), (0.0, mass),
    ]  # fmt: skip


def test_parts_of_what_comes_in(measured: Measured) -> None:
    """A bound of 0 or of the whole is none."""
    limits = (ShareLimit(0, 0.6, 1.0), ShareLimit(1, 0.0, 0.3), ShareLimit(1, 0.0, 1.0))
    solver, _ = asked(measured, Swap(((KEFIR, 200.0),), (Incoming("milk"), Incoming("beer")), (), True, limits=limits))
    parts = [dict(part.factors) for part in solver.asked[2]]
    assert parts == [{0: pytest.approx(0.4), 1: pytest.approx(-0.6)}, {0: pytest.approx(0.3), 1: pytest.approx(-0.7)}]
    milk, beer = (
        Balancer(measured, Solver())
        .balance(Swap(((KEFIR, 200.0),), (Incoming("milk"), Incoming("beer")), (), True, limits=limits))
        .into
    )
    assert milk >= 0.6 * (milk + beer) - 1e-6


def test_amounts_that_contradict_the_limits_are_one_clear_line(measured: Measured) -> None:
    swap = Swap(
        ((KEFIR, 200.0),),
        (Incoming("milk", 10.0), Incoming("beer", 200.0)),
        (),
        False,
        limits=(ShareLimit(0, 0.6, 1.0),),
    )
    with pytest.raises(InputProblem, match="do not fit the limits") as caught:
        Balancer(measured, Solver()).balance(swap)
    assert caught.value.right == "type fewer of them"


def test_what_weights_cannot_hold(measured: Measured) -> None:
    swap = Swap(((KEFIR, 200.0),), (Incoming("milk"),), (), False, holds=("water_activity",))
    with pytest.raises(InputProblem, match="water_activity cannot be held by weights alone"):
        Balancer(measured, Solver()).balance(swap)


@pytest.mark.parametrize(("key", "dry"), [("weight", False), ("dry_weight", True)])
def test_a_weight_that_is_not_kept_is_told_in_grams(measured: Measured, key: str, dry: bool) -> None:
    """100 g of milk typed for 200 g of kefir: what is missing is their difference, dry or as it is."""
    catalogue = measured.kitchen.catalogue
    swap = Swap(((KEFIR, 200.0),), (Incoming("milk", 100.0),), (Mover(WATER),), False, keep=(key,))
    (missed,) = [miss for miss in Balancer(measured, Solver()).balance(swap).unmet if miss.key == key]

    def counted(name: str) -> float:
        return 1 - catalogue.get(name).figure("water") / 100 if dry else 1.0

    assert missed.by == pytest.approx(100 * counted("milk") - 200 * counted("kefir"), rel=1e-6)
    assert not missed.held


def test_a_hold_that_is_met_is_not_told(measured: Measured) -> None:
    swap = Swap(
        ((KEFIR, 200.0),), (Incoming("milk"), Incoming("cider vinegar")), (Mover(WATER),), False, holds=("tta",)
    )
    assert Balancer(measured, Solver()).balance(swap).unmet == ()
    stuck = Swap(((KEFIR, 200.0),), (Incoming("water"),), (), False, holds=("fat",))
    (missed,) = Balancer(measured, Solver()).balance(stuck).unmet
    fat = measured.kitchen.catalogue.get("kefir").figure("fat")
    assert (missed.key, missed.held) == ("fat", True)
    assert missed.by == pytest.approx(-200 * fat / 600, rel=1e-6)


def test_rows_are_kept_for_so_many_swaps_only_and_are_each_swaps_own(
    measured: Measured, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A screen is open for an evening: what was worked out does not grow without end, nor is it another swap's."""
    monkeypatch.setattr("adapter.swaps.balance.MOST_KEPT", 2)
    solver = RecordingSolver()
    balancer = Balancer(measured, solver)
    starts, kept = [], []
    for grams in (50.0, 100.0, 150.0, 50.0, 50.0):
        balancer.balance(Swap(((KEFIR, grams),), (Incoming("yoghurt"),), (Mover(WATER),), False))
        kept.append(len(balancer._targets_of))
        starts.append([target.start for target in solver.asked[1]])
    assert kept == [1, 2, 1, 2, 2]
    assert starts[0] == starts[3] == starts[4]
    assert starts[1] == pytest.approx([2.0 * start for start in starts[0]])
    assert starts[2] == pytest.approx([3.0 * start for start in starts[0]])


def test_water_that_was_not_there_comes_in_as_a_line_of_its_own(read: Read) -> None:
    """Yoghurt is thicker than kefir: what it lacks of water is poured, in the stage of the swap."""
    dry = read(Formula("dry", (Line("wholemeal rye flour", 500.0), Line("kefir", 400.0, "soaker"), Line("salt", 9.0))))
    swap = Swap(((1, 400.0),), (Incoming("cream"),), (), True, ("fat", "effective_hydration"))
    balance = Balancer(dry, Solver()).balance(swap)
    ((name, grams),) = balance.moved
    water = [line for line in balance.formula.lines if line.ingredient == "water"]
    assert name == "water" and grams > 50.0 and water == [Line("water", grams, "soaker")]


def test_soda_counts_without_the_gas_that_it_gives(measured: Measured) -> None:
    """Its sodium stays and counts; all else of a gram of it, and everything of what is no leavening, is as it is."""
    balancer, composer = Balancer(measured, Solver()), measured.kitchen.composer
    place = measured.layout.index["carbonic"]
    for name, left in (("baking soda", 0.0), ("water", None)):
        vector = composer.vector(Line(name, 1.0))
        found = balancer.without_gas(Line(name, 1.0), vector)
        expected = vector if left is None else tuple(left if at == place else part for at, part in enumerate(vector))
        assert vector[place] > 0.0 and found == expected
