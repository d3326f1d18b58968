"""Any step since the book taken back: what it did is undone, what came after it stays, and undo brings it back."""

from __future__ import annotations

from itertools import permutations
from types import SimpleNamespace

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.formula.model import Adapted, Formula, Line
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import Bench
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule
from adapter.swaps.taking_back import _change, steps_of, without_step
from adapter.swaps.variant import Variant

LOAF = Formula(
    "trial loaf",
    (
        Line("wholemeal rye flour", 400.0),
        Line("white wheat flour", 200.0),
        Line("linseed", 60.0, "soaker"),
        Line("water", 450.0),
        Line("honey", 40.0, note="runny"),
        Line("salt", 11.0),
        Line("fresh yeast", 9.0),
    ),
)


@pytest.fixture
def bench(kitchen: Kitchen, rules: tuple[Rule, ...]) -> Bench:
    return Bench.open(kitchen, rules, Solver(), LOAF)


def weights(bench: Bench) -> dict[str, float]:
    return {line.ingredient: line.grams for line in bench.formula.lines}


def weigh(bench: Bench, name: str, grams: float) -> None:
    bench.type_amount(next(bench.formula.find(name)), grams)


@pytest.mark.parametrize("first", [0, 1, 2])
def test_one_of_three_independent_steps_leaves_the_other_two(bench: Bench, first: int) -> None:
    typed = [("water", 470.0), ("salt", 12.5), ("honey", 55.0)]
    for name, grams in typed:
        weigh(bench, name, grams)
    bench.take_back(first)
    expected = {line.ingredient: line.grams for line in LOAF.lines} | dict(typed[:first] + typed[first + 1 :])
    assert weights(bench) == expected
    assert len(steps_of(bench.formula)) == 2
    assert bench.undo() and weights(bench)[typed[first][0]] == typed[first][1]


@pytest.mark.parametrize("order", permutations(range(3)))
def test_all_taken_back_in_any_order_is_the_book(bench: Bench, order: tuple[int, ...]) -> None:
    weigh(bench, "water", 470.0)
    bench.strike(next(bench.formula.find("honey")))
    bench.add(Line("molasses", 30.0), 5)
    left = list(range(3))
    for step in order:
        bench.take_back(left.index(step))
        left.remove(step)
    assert bench.formula.lines == LOAF.lines
    assert steps_of(bench.formula) == ()


def test_a_swap_taken_back_brings_its_line_to_its_stage_and_keeps_later_weights(bench: Bench) -> None:
    offers = bench.offers(next(bench.formula.find("linseed")))
    offer = next(each for each in offers if each.chosen == ("sunflower seeds",) and each.share_percent == 100)
    bench.apply(offer)
    weigh(bench, "salt", 13.0)
    bench.take_back(0)
    assert weights(bench) == {line.ingredient: line.grams for line in LOAF.lines} | {"salt": 13.0}
    line = next(line for line in bench.formula.lines if line.ingredient == "linseed")
    assert line.stage == "soaker"


def swap(bench: Bench, out: str, into: str) -> None:
    bench.apply(bench.swapper().free_swap([next(bench.formula.find(out))], [into]))


@pytest.mark.parametrize(
    ("early", "out", "into"),
    [("buttermilk", "honey", "golden syrup"), ("milk", "honey", "golden syrup"), ("buttermilk", "linseed", "raisins")],
)
def test_later_swaps_are_worked_out_again_for_the_formula_without_the_step(
    bench: Bench, early: str, out: str, into: str
) -> None:
    """Those of a rule, and raisins for linseed, which no rule knows."""
    swap(bench, "water", early)
    swap(bench, out, into)
    assert (steps_of(bench.formula)[-1].rule is None) == (into == "raisins")
    with_both = weights(bench)
    assert bench.take_back(0) == 1
    again, steps = weights(bench), steps_of(bench.formula)
    bench.undo()
    assert weights(bench) == with_both
    while bench.undo():
        pass
    swap(bench, out, into)
    assert again == weights(bench)
    assert steps == steps_of(bench.formula)


def test_a_step_whose_water_a_later_swap_took_can_be_taken_back(bench: Bench) -> None:
    bench.add(Line("yoghurt", 125.0), 4)
    weigh(bench, "water", 600.0)
    swap(bench, "water", "milk")
    assert bench.take_back(1) == 1
    left = weights(bench)
    while bench.undo():
        pass
    bench.add(Line("yoghurt", 125.0), 4)
    swap(bench, "water", "milk")
    assert left == weights(bench)


def test_what_a_later_step_used_up_cannot_be_taken_back(bench: Bench) -> None:
    bench.add(Line("molasses", 30.0), 5)
    weigh(bench, "molasses", 10.0)
    before = bench.formula
    with pytest.raises(InputProblem, match=r"molasses is used by a later step.*step 2"):
        bench.take_back(0)
    assert bench.formula is before


def test_steps_of_a_saved_variant_go_back_without_the_formulas_between(bench: Bench) -> None:
    weigh(bench, "water", 470.0)
    weigh(bench, "salt", 12.5)
    saved = bench.formula
    assert isinstance(saved.adapted, Adapted)
    bench.work = bench.work.with_variant(Variant.of(saved))
    bench.take_back(0)
    assert weights(bench)["water"] == 450.0 and weights(bench)["salt"] == 12.5


@pytest.mark.parametrize("name", [line.ingredient for line in LOAF.lines])
def test_a_line_struck_from_a_saved_variant_comes_back_where_it_stood(bench: Bench, name: str) -> None:
    """A saved variant knows its book and its steps, not the formulas between."""
    other = "salt" if name != "salt" else "water"
    bench.strike(next(bench.formula.find(name)))
    weigh(bench, other, 15.0)
    taken = without_step(Variant.of(bench.formula), 0, lambda formula: bench.swapper()).variant.formula
    wanted = [line.with_grams(15.0) if line.ingredient == other else line for line in LOAF.lines]
    for stage in LOAF.stages():
        assert [line for line in taken.lines if line.stage == stage] == [line for line in wanted if line.stage == stage]


def test_a_trace_that_was_struck_comes_back(bench: Bench) -> None:
    bench.add(Line("saffron", 0.3), 4)
    bench.strike(next(bench.formula.find("saffron")))
    weigh(bench, "salt", 12.5)
    saved = Variant.of(bench.formula)
    bench.take_back(1)
    wanted = {line.ingredient: line.grams for line in LOAF.lines} | {"saffron": 0.3, "salt": 12.5}
    assert weights(bench) == wanted
    taken = without_step(saved, 1, lambda formula: bench.swapper()).variant.formula
    assert {line.ingredient: line.grams for line in taken.lines} == wanted


def test_what_comes_back_stands_where_it_stood(bench: Bench) -> None:
    """Caraway put in beside the linseed and weighed again: without the first step, what the second added is there."""
    bench.add(Line("caraway", 4.0, "soaker", note="ground"), 3)
    weigh(bench, "caraway", 6.0)
    bench.take_back(0)
    assert [line.ingredient for line in bench.formula.lines][2:5] == ["linseed", "caraway", "water"]
    caraway = bench.formula.lines[3]
    assert (caraway.grams, caraway.stage, caraway.note) == (2.0, "soaker", "ground")


def test_a_later_swap_takes_from_the_line_that_it_took_from(kitchen: Kitchen, rules: tuple[Rule, ...]) -> None:
    """Of four lines of water that of the swap's own stage, and there the largest."""
    wet = LOAF.with_lines(
        (Line("water", 30.0), *LOAF.lines, Line("water", 500.0, "soaker"), Line("water", 35.0), Line("water", 9.0, "x"))
    )
    bench = Bench.open(kitchen, rules, Solver(), wet)
    weigh(bench, "honey", 50.0)
    place = max(
        bench.formula.find("water"), key=lambda at: bench.formula.lines[at].grams * (wet.lines[at].stage == "dough")
    )
    assert bench.formula.lines[place].grams == 450.0
    bench.apply(bench.swapper().free_swap([place], ["milk"]))
    with_both = [line for line in bench.formula.lines if line.ingredient in ("water", "milk")]
    assert bench.take_back(0) == 1
    again = [line for line in bench.formula.lines if line.ingredient in ("water", "milk")]
    assert [(line.ingredient, line.stage) for line in again] == [(line.ingredient, line.stage) for line in with_both]
    assert {line.stage for line in again if line.ingredient == "milk"} == {"dough"}
    assert [line.grams for line in again if line.ingredient == "water"] == [30.0, 500.0, 35.0, 9.0]


def test_what_a_later_swap_took_out_again_cannot_be_taken_back(bench: Bench) -> None:
    bench.add(Line("molasses", 30.0), 5)
    swap(bench, "molasses", "malt syrup")
    with pytest.raises(InputProblem, match=r"molasses is used by a later step.*step 2"):
        bench.take_back(0)


def test_a_saved_step_is_taken_from_the_largest_line_first(bench: Bench) -> None:
    """Water in two lines of a saved variant: 10 g of the larger; where that is too little, the rest of the other."""
    lines = [line.with_grams(100.0) if line.ingredient == "water" else line for line in LOAF.lines]
    wet = LOAF.with_lines((*lines, Line("water", 60.0, "soaker")))
    for added, left in ((10.0, (20.0, 50.0)), (65.0, (15.0, 0.0))):
        two = Bench.open(bench.kitchen, bench.rules, bench.solver, wet)
        weigh(two, "water", 100.0 + added)
        weigh(two, "water", 20.0)
        taken = without_step(Variant.of(two.formula), 0, lambda formula: bench.swapper()).variant.formula
        assert tuple(taken.lines[place].grams for place in taken.find("water")) == left


def test_what_was_put_in_is_gone_from_a_saved_variant_and_what_the_book_has_stays(bench: Bench) -> None:
    bench.add(Line("molasses", 30.0), 5)
    weigh(bench, "honey", 70.0)
    weigh(bench, "honey", 30.0)
    saved = Variant.of(bench.formula)
    without = without_step(saved, 0, lambda formula: bench.swapper())
    assert [line.ingredient for line in without.variant.formula.lines] == [line.ingredient for line in LOAF.lines]
    assert without.again is None, "of a saved variant no later step can be worked out again"
    assert without_step(saved, 2, lambda formula: bench.swapper()).again == 0, "there is none"
    honey = without_step(saved, 1, lambda formula: bench.swapper()).variant.formula
    assert [line.grams for line in honey.lines if line.ingredient == "honey"] == [0.0]


@pytest.mark.parametrize("into", ["golden syrup", "raisins"])
def test_a_later_swap_that_nothing_makes_again_keeps_its_grams(bench: Bench, into: str) -> None:
    """The rule of the one is gone; the other, which no rule knows, is refused for the formula without the step."""
    weigh(bench, "water", 470.0)
    swap(bench, "honey" if into == "golden syrup" else "linseed", into)
    before = weights(bench)

    def refuse(*asked: object) -> None:
        raise InputProblem("it cannot be")

    without_rules = SimpleNamespace(fitting=lambda line, holds: iter(()), free_swap=refuse)
    taken = without_step(bench.work.variant, 0, lambda formula: without_rules)  # type: ignore[arg-type,return-value]
    assert taken.again is None
    left = {line.ingredient: line.grams for line in taken.variant.formula.lines}
    assert left == before | {"water": before["water"] - 20.0}


def test_a_speck_more_than_there_is_may_be_taken(bench: Bench) -> None:
    """Half a tenth of a gram is nothing of a line; a line that the book does not have goes with its last speck."""
    home = Variant.of(LOAF)

    def changed(grams: float, by: float, name: str = "molasses") -> list[tuple[str, float]]:
        lines = [Line("salt", 11.0), Line(name, grams)]
        _change(lines, home, name, by, "3")
        return [(line.ingredient, line.grams) for line in lines]

    assert changed(10.0, -4.0) == [("salt", 11.0), ("molasses", 6.0)]
    assert changed(10.0, 4.0) == [("salt", 11.0), ("molasses", 14.0)]
    assert changed(10.0, -9.94) == [("salt", 11.0), ("molasses", 0.06)]
    assert changed(10.0, -9.96) == changed(10.0, -10.04) == [("salt", 11.0)]
    assert changed(40.0, -40.0, "honey") == [("salt", 11.0), ("honey", 0.0)], "the book has it"
    with pytest.raises(InputProblem, match=r"molasses is used by a later step.*take back step 3 first"):
        changed(10.0, -10.06)
