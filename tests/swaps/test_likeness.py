"""Likeness: how near one ingredient alone can come, against scipy, and what is left out of a list that is too long."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest
from reference_rows import Reference, made_by_name
from scipy.optimize import minimize_scalar

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula
from adapter.swaps.balance import Balancer
from adapter.swaps.likeness import MOST_OF_A_LINE, MOST_OF_A_RULE, Likeness
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule

Read = Callable[..., Measured]


@pytest.fixture(scope="module")
def measured(dark_loaf: Formula, read: Read) -> Measured:
    return read(dark_loaf)


@pytest.fixture(scope="module")
def likeness(measured: Measured) -> Likeness:
    return Likeness(Balancer(measured, Solver()))


@pytest.mark.parametrize(
    ("out", "name"),
    [
        (["buttermilk"], "yoghurt"),
        (["buttermilk"], "beer"),
        (["buttermilk"], "butter"),
        (["honey"], "malt syrup"),
        (["honey", "molasses"], "white sugar"),
        (["white wheat flour", "wheat bran"], "wholemeal wheat flour"),
        (["salt"], "honey"),
    ],
)
def test_the_distance_is_the_drift_at_the_best_weight(
    kitchen: Kitchen, measured: Measured, likeness: Likeness, out: list[str], name: str
) -> None:
    """The rows are those of the tables, the best weight is found by scipy."""
    lines = measured.formula.lines
    places = tuple(next(measured.formula.find(each)) for each in out)
    reference = Reference(kitchen, measured.formula, made_by_name(measured))
    costs = {key: kitchen.tolerances[key].weight / kitchen.tolerances[key].value for key in reference.sought()}
    missing = {
        key: sum(lines[place].grams * reference.effect(lines[place].ingredient, key) for place in places)
        for key in costs
    }

    def drift(grams: float) -> float:
        return sum(costs[key] * abs(missing[key] - grams * reference.effect(name, key)) for key in costs)

    best = minimize_scalar(drift, bounds=(0.0, 2000.0), method="bounded", options={"xatol": 1e-7})
    wanted = min(best.fun, drift(0.0))
    assert likeness.distance(places, name) == pytest.approx(wanted, rel=1e-5)
    assert likeness.distance(places, name) == likeness.distance(places, name)


def test_the_same_again_is_nearest(measured: Measured, likeness: Likeness) -> None:
    place = (next(measured.formula.find("honey")),)
    assert likeness.distance(place, "honey") == pytest.approx(0.0, abs=1e-9)


def test_choices_are_every_combination_where_there_are_few(rules: Sequence[Rule], likeness: Likeness) -> None:
    found = likeness.choices(rules[0], (3,), (["milk", "water"], ["cider vinegar", "lemon juice", "milk"]))
    assert found == [
        ("milk", "cider vinegar"), ("milk", "lemon juice"),
        ("water", "cider vinegar"), ("water", "lemon juice"), ("water", "milk"),
    ]  # fmt: skip


def test_of_too_many_choices_the_likeliest_of_each_slot_are_left(
    kitchen: Kitchen, measured: Measured, rules: Sequence[Rule], likeness: Likeness
) -> None:
    """At most 120 of a rule: 11 of each of two open slots, a slot of one ingredient left alone."""
    names = [item.name for item in kitchen.catalogue][:60]
    place = (next(measured.formula.find("buttermilk")),)
    found = likeness.choices(rules[0], place, (names, ["salt"], names[30:]))
    assert MOST_OF_A_RULE == 120
    assert len(found) <= MOST_OF_A_RULE
    first, last = {chosen[0] for chosen in found}, {chosen[2] for chosen in found}
    assert {chosen[1] for chosen in found} == {"salt"}
    assert len(first) <= 11 and len(last) <= 11
    nearest = sorted(names, key=lambda name: likeness.distance(place, name))
    assert first <= set(nearest[:11])
    assert found[0][0] == nearest[0] or nearest[0] in (found[0][1], found[0][2])
    assert all(len(set(chosen)) == 3 for chosen in found)


def test_exactly_as_many_as_are_allowed_stay(kitchen: Kitchen, rules: Sequence[Rule], likeness: Likeness) -> None:
    names = [item.name for item in kitchen.catalogue]
    just = likeness.choices(rules[0], (0,), (names[:12], names[20:30]))
    assert len(just) == 120 and just[0] == (names[0], names[20])
    more = likeness.choices(rules[0], (0,), (names[:121],))
    assert len(more) == 120
    assert more == sorted(more, key=lambda chosen: likeness.distance((0,), chosen[0]))


def test_of_a_lines_choices_the_nearest_stay_in_their_order(
    kitchen: Kitchen, rules: Sequence[Rule], likeness: Likeness
) -> None:
    names = [item.name for item in kitchen.catalogue]
    rule = replace(rules[0], id="any")
    few = [(rule, (3,), (name,)) for name in names[:5]]
    assert likeness.likeliest(iter(few)) == few
    many = [(rule, (3,), (one, other)) for one in names[:20] for other in names[20:40]]
    kept = likeness.likeliest(many)
    assert MOST_OF_A_LINE == 300 == len(kept)
    assert kept == [choice for choice in many if choice in kept]
    far = [choice for choice in many if choice not in kept]

    def nearest(choice: tuple[Rule, tuple[int, ...], tuple[str, ...]]) -> float:
        return min(likeness.distance((3,), name) for name in choice[2])

    assert max(map(nearest, kept)) <= min(map(nearest, far))
    assert len(likeness.likeliest(many[:300])) == 300
