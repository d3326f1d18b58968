"""What is free of gluten is not offered any; who wants wheat there asks for it by name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.formula.model import Formula, Line
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule
from adapter.swaps.swapper import Swapper

GLUTEN_FREE = {
    "rice flour": 300, "buckwheat flour": 80, "potato starch": 100, "psyllium husk": 15, "milk": 150, "water": 250,
    "yoghurt": 60, "honey": 20, "butter": 20, "cocoa": 10, "sunflower seeds": 30, "egg": 50, "salt": 9,
    "instant yeast": 7,
}  # fmt: skip


def brings_gluten(swapper: Swapper, line: int) -> list[str]:
    return [
        f"{offer.rule.id}: {offer.chosen}"
        for offer in swapper.offers(line)
        if offer.rule is not None and any(swapper._has_gluten(name) for name in offer.chosen)
    ]


def test_no_line_of_a_dough_without_gluten_is_offered_any(swapper: Callable[[Formula], Swapper]) -> None:
    formula = Formula("without gluten", tuple(Line(name, float(grams)) for name, grams in GLUTEN_FREE.items()))
    swaps = swapper(formula)
    offered = [swaps.offers(place) for place in range(len(formula.lines))]
    assert sum(map(len, offered)) > 50
    assert [text for place in range(len(formula.lines)) for text in brings_gluten(swaps, place)] == []


def test_nothing_on_the_shelf_brings_gluten_into_a_dough_without(
    kitchen: Kitchen, swapper: Callable[[Formula], Swapper]
) -> None:
    """Every ingredient without gluten, one after the other, in a rice dough; and every such flour beside wheat."""
    base = (Line("water", 300.0), Line("salt", 10.0), Line("instant yeast", 5.0))
    doughs = {"rice flour": lambda item: True, "white wheat flour": lambda item: item.property("flour") > 0}
    for flour, belongs in doughs.items():
        has_gluten = swapper(Formula("x", (Line(flour, 1.0),)))._has_gluten
        free = [item for item in kitchen.catalogue if not has_gluten(item.name)]
        assert len(free) > 300
        for item in filter(belongs, free):
            swaps = swapper(Formula("x", (Line(flour, 500.0), *base, Line(item.name, 40.0))))
            into = {name for _, _, chosen in swaps.fitting(len(base) + 1, ()) for name in chosen}
            assert not any(map(has_gluten, into)), item.name


@pytest.mark.parametrize("flour", ["rice flour", "buckwheat flour", "potato starch"])
def test_a_flour_without_gluten_is_offered_none_beside_wheat_either(
    flour: str, swapper: Callable[[Formula], Swapper]
) -> None:
    lines = (Line("white wheat flour", 400.0), Line(flour, 100.0), Line("water", 330.0), Line("salt", 9.0))
    swaps = swapper(Formula("mixed", lines))
    assert swaps.offers(1)
    assert brings_gluten(swaps, 1) == []
    asked = swaps.free_swap((1,), ("white wheat flour",))
    assert asked.into[0].ingredient == "white wheat flour"


def test_a_swap_that_stops_the_yeast_is_no_fault(swapper: Callable[[Formula], Swapper]) -> None:
    """40 g citric acid in a gluten-free dough: so sour that yeast stands still."""
    lines = (Line("rice flour", 450.0), Line("water", 400.0), Line("instant yeast", 7.0), Line("citric acid", 40.0))
    assert swapper(Formula("sour", lines)).offers(3)


def test_gluten_beside_something_without_is_gluten_all_the_same(
    kitchen: Kitchen, rules: tuple[Rule, ...], solver: Solver
) -> None:
    """Of what comes in together one thing is enough, be it named first or last."""
    formula = Formula("mixed", (Line("white wheat flour", 400.0), Line("rice flour", 100.0), Line("water", 330.0)))
    for into, fits in (
        (("white wheat flour", "milk"), False),
        (("milk", "white wheat flour"), False),
        (("potato starch", "milk"), True),
    ):
        rule = replace(rules[0], out=("rice flour",), into=into, stays=frozenset(), excluded=frozenset())
        swaps = Swapper(kitchen, [rule], formula, solver)
        assert [chosen for _, _, chosen in swaps.fitting(1, ())] == ([into] if fits else [])
