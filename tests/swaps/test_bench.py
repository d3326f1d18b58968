"""The bench: what the main screen does to a formula, its variants and its holds."""

from __future__ import annotations

import math
from collections.abc import Callable
from gc import collect
from weakref import ref

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.formula.model import Formula, Line
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import MOST_MEASURED, MOST_VARIANTS, Bench
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule
from adapter.swaps.wishes import Wishes

Loaf = Callable[..., Formula]


@pytest.fixture
def bench(kitchen: Kitchen, rules: tuple[Rule, ...], solver: Solver, dark_loaf: Formula) -> Bench:
    return Bench.open(kitchen, rules, solver, dark_loaf)


def place_of(bench: Bench, ingredient: str) -> int:
    return next(bench.formula.find(ingredient))


# --- steps ----------------------------------------------------------------------------------------


def test_taking_an_offer_shows_what_the_offer_showed(bench: Bench) -> None:
    """The preview and the formula after it are the same numbers to the last digit; a list's own are in closed form."""
    offer = bench.swapper().refined(bench.offers(place_of(bench, "buttermilk"))[0])
    preview = {key: offer.after.value(key) for key in READING_KEYS}
    bench.apply(offer)
    assert bench.formula.lines == offer.after.formula.lines
    assert {key: bench.now.value(key) for key in READING_KEYS} == preview
    assert bench.undo() and not bench.undo()
    assert bench.formula == bench.book
    assert bench.redo() and not bench.redo()
    assert {key: bench.now.value(key) for key in READING_KEYS} == preview


def test_looking_changes_nothing(bench: Bench) -> None:
    work = bench.work
    for place in range(len(bench.formula.lines)):
        bench.offers(place)
        bench.offers(place, 25)
    assert bench.work is work


def test_offers_of_a_second_swap_start_from_the_first(bench: Bench) -> None:
    """`before` is the shown formula, drift and pace still count against the book."""
    bench.apply(bench.offers(place_of(bench, "buttermilk"))[0])
    shown = bench.now
    for listed in bench.offers(place_of(bench, "honey"))[:5]:
        offer = bench.swapper().refined(listed)
        assert offer.before.formula is bench.formula
        fresh = measure(bench.kitchen, offer.after.formula, shown.book)
        assert offer.after.value("pace") == pytest.approx(fresh.rate / shown.book.rate, rel=1e-12)
        assert offer.after.book.formula.lines == bench.book.lines


def test_share_of_an_offer(bench: Bench) -> None:
    offer = bench.offers(place_of(bench, "honey"))[0]
    part = bench.with_share(offer, 25)
    assert part.chosen == offer.chosen and part.rule is offer.rule
    assert next(line.grams for line in part.exact.lines if line.ingredient == "honey") == pytest.approx(45.0)
    whole = bench.with_share(part, offer.share_percent)
    assert whole.after.formula == offer.after.formula


def test_a_hold_is_in_all_offers(bench: Bench) -> None:
    assert bench.toggle_hold("ph") and bench.work.holds == ("ph",)
    assert bench.toggle_hold("line:water")
    assert bench.is_line_held(place_of(bench, "water"))
    for offer in bench.offers(place_of(bench, "buttermilk")):
        assert offer.holds == ("ph", "line:water")
        assert "water" not in {amount.ingredient for amount in offer.moved}
    assert not bench.toggle_hold("ph") and "ph" not in bench.work.holds


@pytest.mark.parametrize("grams", [-1.0, math.nan, math.inf, 1e9])
def test_a_weight_that_cannot_be_leaves_everything(bench: Bench, grams: float) -> None:
    work = bench.work
    with pytest.raises(InputProblem):
        bench.type_amount(0, grams)
    assert bench.work is work


@pytest.mark.parametrize(
    "line", [Line("water", -50.0), Line("water", math.nan), Line("water", math.inf), Line("moon dust", 5.0)]
)
def test_a_line_that_cannot_be_put_in_leaves_everything(bench: Bench, line: Line) -> None:
    work = bench.work
    with pytest.raises(InputProblem) as caught:
        bench.add(line, 1)
    assert "flour" not in str(caught.value)
    assert bench.work is work


def test_the_last_flour_cannot_go(kitchen: Kitchen, rules: tuple[Rule, ...], solver: Solver, loaf: Loaf) -> None:
    bench = Bench.open(kitchen, rules, solver, loaf({"white wheat flour": 500, "water": 300}))
    for action in (lambda: bench.strike(0), lambda: bench.type_amount(0, 0.0)):
        with pytest.raises(InputProblem, match="flour"):
            action()
    assert not bench.work.variant.can_undo


def test_strike_and_add_can_be_undone(bench: Bench) -> None:
    before = bench.formula
    bench.strike(place_of(bench, "molasses"))
    assert "molasses" not in [line.ingredient for line in bench.formula.lines]
    bench.add(Line("caraway", 5.0), 3)
    assert bench.formula.lines[3].ingredient == "caraway"
    bench.undo()
    bench.undo()
    assert bench.formula is before


# --- any order of actions -------------------------------------------------------------------------

actions = st.lists(
    st.tuples(st.sampled_from(("swap", "type", "strike", "add", "undo", "redo", "undo")), st.integers(0, 40)),
    min_size=1,
    max_size=12,
)


@settings(max_examples=40)
@given(actions)
def test_history_is_a_list_with_a_place_in_it(
    kitchen: Kitchen, rules: tuple[Rule, ...], solver: Solver, dark_loaf: Formula, done: list[tuple[str, int]]
) -> None:
    """Any order of steps, undos and redos against the plainest model: a list of formulas and an index."""
    bench = Bench.open(kitchen, rules, solver, dark_loaf)
    model, at = [bench.formula], 0
    for action, number in done:
        place = number % len(bench.formula.lines)
        if action == "undo":
            assert bench.undo() == (at > 0)
            at = max(at - 1, 0)
        elif action == "redo":
            assert bench.redo() == (at < len(model) - 1)
            at = min(at + 1, len(model) - 1)
        else:
            work = bench.work
            try:
                if action == "swap":
                    offers = bench.offers(place)
                    if not offers:
                        continue
                    bench.apply(offers[number % len(offers)])
                elif action == "type":
                    bench.type_amount(place, float(number))
                elif action == "strike":
                    bench.strike(place)
                else:
                    bench.add(Line("honey", float(number)), place)
            except InputProblem:
                assert bench.work is work
                continue
            model, at = [*model[: at + 1], bench.formula], at + 1
        assert bench.formula == model[at]
        assert all(line.grams >= 0 for line in bench.formula.lines)
        assert bench.book == dark_loaf
    while bench.undo():
        pass
    assert bench.formula is dark_loaf
    for formula in model[1:]:
        bench.redo()
        assert bench.formula == formula


# --- variants -------------------------------------------------------------------------------------


def test_what_is_shown_can_become_the_book(bench: Bench) -> None:
    """Pace is 1 again and no step counts; undo goes back to the adapted formula."""
    assert not bench.begin_here()  # it is a book formula as it was opened
    bench.apply(bench.offers(place_of(bench, "buttermilk"))[0])
    adapted = bench.formula
    assert bench.begin_here() and not bench.begin_here()
    assert bench.formula.adapted is None and bench.formula.lines == adapted.lines
    assert bench.now.value("pace") == 1.0
    assert bench.undo() and bench.formula is adapted


def test_variants_go_their_own_ways(bench: Bench) -> None:
    bench.apply(bench.offers(place_of(bench, "buttermilk"))[0])
    first = bench.formula
    bench.new_variant()
    assert bench.work.shown == 1 and len(bench.work.variants) == 2
    assert bench.formula.lines == first.lines and bench.formula.name != first.name
    bench.apply(bench.offers(place_of(bench, "honey"))[0])
    second = bench.formula
    bench.show(0)
    assert bench.formula is first
    bench.show(-1)
    assert bench.formula is second
    assert bench.book.lines == first.book().lines


def test_a_variant_of_the_book_knows_its_book(bench: Bench, dark_loaf: Formula) -> None:
    bench.new_variant()
    bench.type_amount(0, 400.0)
    assert bench.book.name == dark_loaf.name and bench.book.lines == dark_loaf.lines
    assert bench.now.book.formula.lines == dark_loaf.lines


def test_the_last_variant_stays(bench: Bench) -> None:
    assert not bench.drop_variant()
    bench.new_variant()
    bench.show(0)
    assert bench.drop_variant() and bench.work.shown == 0
    assert len(bench.work.variants) == 1 and not bench.drop_variant()


def test_at_most_26_variants_each_with_a_name_and_a_letter(bench: Bench) -> None:
    for _ in range(40):
        bench.new_variant()
    assert len(bench.work.variants) == MOST_VARIANTS == 26
    names = [variant.formula.name for variant in bench.work.variants]
    assert len(set(names)) == 26
    assert [bench.letter(number) for number in (0, 25)] == ["A", "Z"]


def test_a_variant_after_a_dropped_one_has_a_letter_too(bench: Bench) -> None:
    """With A dropped from A to Z the next free letter is not the sign after Z."""
    for _ in range(25):
        bench.new_variant()
    bench.show(0)
    bench.drop_variant()
    bench.new_variant()
    assert bench.formula.name.rsplit(" ", 1)[1].isalpha()
    assert len({variant.formula.name for variant in bench.work.variants}) == 26


def test_a_new_name_is_of_the_shown_variant_only(bench: Bench, dark_loaf: Formula) -> None:
    bench.new_variant()
    bench.rename("harvest loaf")
    assert bench.formula.name == "harvest loaf"
    assert bench.book.name == dark_loaf.name
    bench.show(0)
    assert bench.formula.name == dark_loaf.name


def test_measuring_twice_is_measuring_once(bench: Bench) -> None:
    assert bench.now is bench.now
    assert bench.measured(bench.formula) is bench.now


def test_what_was_worked_out_of_a_formula_long_ago_is_let_go(bench: Bench) -> None:
    """A day at the bench takes no more memory than an hour: its formulas stay, their readings do not."""
    first = ref(bench.now)
    for step in range(MOST_MEASURED):
        bench.type_amount(0, 100.0 + step)
        assert bench.now.value("hydration") > 0
    collect()
    assert first() is None and len(bench.work.variant.formulas) == MOST_MEASURED + 1


def test_a_way_taken_is_one_step_under_what_the_bench_holds(bench: Bench) -> None:
    bench.toggle_hold("line:molasses")
    answer = bench.adapt(Wishes(ruled_out={"honey": "said"}, without=("honey",), holds=("line:wheat bran",)))
    assert bench.formula == bench.book and answer.wishes.holds == ("line:wheat bran", "line:molasses")
    way = answer.ways[0]
    grams = {line.ingredient: line.grams for line in way.after.formula.lines}
    assert "honey" not in grams and (grams["molasses"], grams["wheat bran"]) == (60.0, 60.0)
    bench.take_way(way)
    assert bench.formula.lines == way.after.formula.lines and bench.formula.adapted is not None
    assert bench.formula.adapted.steps == (way.step,) and bench.undo() and not bench.undo()


def test_an_amount_written_otherwise_is_no_step(bench: Bench) -> None:
    """60 g of honey as "3 tbsp": the formula says so, its book stays, undo goes back; the same again does nothing."""
    place = place_of(bench, "honey")
    bench.type_amount(place, 60.0, "3 tbsp")
    assert bench.formula.lines[place].amount == "3 tbsp" and bench.formula.adapted is None
    formulas = len(bench.work.variant.formulas)
    bench.type_amount(place, 60.0, "3 tbsp")
    bench.rewrite(bench.formula)
    assert len(bench.work.variant.formulas) == formulas
    assert bench.undo() and bench.formula.lines[place].amount is None
    bench.type_amount(place, 60.0)
    assert len(bench.work.variant.formulas) == formulas, "nor is the same weight typed without words"


def test_a_formula_is_written_from_nothing(kitchen: Kitchen, rules: tuple[Rule, ...], solver: Solver) -> None:
    """Lines put in before the first flour are no steps, and neither is the flour; what cannot be is still refused."""
    bench = Bench.open(kitchen, rules, solver, Formula("new", ()))
    assert not bench.has_flour
    bench.add(Line("water", 300.0), 0)
    assert not bench.has_flour and bench.work.variant.is_being_written
    bench.add(Line("white wheat flour", 500.0), 0)
    assert bench.has_flour and bench.formula.adapted is None
    assert [line.ingredient for line in bench.formula.lines] == ["white wheat flour", "water"]
    bench.strike(1)
    assert bench.formula.adapted is None and bench.undo() and len(bench.formula.lines) == 2
    with pytest.raises(InputProblem):
        bench.add(Line("moon dust", 5.0), 1)
