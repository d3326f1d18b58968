"""Variants side by side: alignment loses nothing, allergens and needs are those of each formula alone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.dough.allergens import allergens
from adapter.dough.readings.differences import difference
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import READING_KEYS
from adapter.formula.model import Formula, Line
from adapter.formula.pantry import Pantry, Stock
from adapter.formula.problems import InputProblem
from adapter.swaps.comparison import (
    aligned_lines,
    allergen_table,
    compared,
    cost,
    grams_of,
    levels_against_first,
    needs,
    price_change,
    priced,
    shifts_between,
    short_names,
)

Read = Callable[..., Measured]

BASE = {"wholemeal rye flour": 500, "kefir": 400, "honey": 50, "salt": 9, "fresh yeast": 8}
OTHER = {"wholemeal rye flour": 500, "yoghurt": 330, "water": 70, "honey": 50, "salt": 9, "fresh yeast": 8}

lines = st.lists(
    st.builds(
        Line,
        st.sampled_from(("wholemeal rye flour", "water", "salt", "honey", "kefir", "rye sourdough")),
        st.floats(0.5, 900),
        st.sampled_from(("soaker", "dough", "sourdough")),
        hydration=st.none(),
    ),
    max_size=8,
)
formulas = lines.map(lambda found: Formula("x", (Line("wholemeal rye flour", 300.0), *found)))


@given(st.lists(formulas, min_size=2, max_size=4))
def test_alignment_keeps_every_gram_where_it_stands(kitchen: Kitchen, found: list[Formula]) -> None:
    variants = compared(kitchen, found)
    rows = aligned_lines(variants)
    assert len({(row.stage, row.ingredient, row.hydration) for row in rows}) == len(rows)
    for column, variant in enumerate(variants):
        for stage in variant.formula.stages():
            for name in {line.ingredient for line in variant.formula.lines}:
                written = sum(
                    line.grams for line in variant.formula.lines if (line.stage, line.ingredient) == (stage, name)
                )
                aligned = [row for row in rows if (row.stage, row.ingredient) == (stage, name)]
                assert sum(row.grams[column] or 0.0 for row in aligned) == pytest.approx(written)
        assert sum(row.grams[column] or 0.0 for row in rows) == pytest.approx(variant.formula.dough_grams())


def test_what_comes_in_stands_after_what_it_replaces(read: Read) -> None:
    rows = aligned_lines((read(BASE), read(OTHER)))
    assert [row.ingredient for row in rows] == [
        "wholemeal rye flour", "kefir", "yoghurt", "water", "honey", "salt", "fresh yeast",
    ]  # fmt: skip
    kefir, yoghurt = rows[1], rows[2]
    assert kefir.grams == (400, None) and yoghurt.grams == (None, 330)
    assert kefir.percent[0] == pytest.approx(80.0) and kefir.differs and not rows[0].differs


def test_two_sourdoughs_of_other_hydration_are_two_rows(read: Read) -> None:
    first = Formula("a", (Line("wholemeal rye flour", 300.0), Line("rye sourdough", 200.0, hydration=100.0)))
    other = Formula("b", (Line("wholemeal rye flour", 300.0), Line("rye sourdough", 200.0, hydration=80.0)))
    rows = [row for row in aligned_lines((read(first), read(other))) if row.ingredient == "rye sourdough"]
    assert [(row.hydration, row.grams) for row in rows] == [(100.0, (200.0, None)), (80.0, (None, 200.0))]


def test_levels_are_the_differences_against_the_first(read: Read) -> None:
    variants = (read(BASE), read(OTHER))
    first, other = levels_against_first(variants)
    assert all(level.change == 0 for level in first)
    for level in other:
        change = difference(variants[0], variants[1], level.key)
        assert (level.change, level.spread, level.clear) == (change.change, change.spread, change.clear)
    assert [level.key for level in other] == list(READING_KEYS)


def test_allergens_are_each_formulas_own_and_those_that_differ_come_first(read: Read) -> None:
    variants = (read(BASE), read({**BASE, "hazelnuts": 40}), read({"wholemeal rye flour": 500, "water": 350}))
    table = allergen_table(variants)
    for column, variant in enumerate(variants):
        assert {row.group for row in table if row.contained[column]} == set(allergens(variant))
    assert [row.differs for row in table] == sorted((row.differs for row in table), reverse=True)
    # The kernel's oil and protein are why hazelnut is a group of EU 1169/2011 Annex II, 8.
    assert next(row for row in table if "hazelnut" in row.group).contained == (False, True, False)


def test_needs_count_every_line_and_never_water(read: Read) -> None:
    twice = Formula(
        "a",
        (
            Line("wholemeal rye flour", 300.0, "soaker"),
            Line("wholemeal rye flour", 200.0),
            Line("water", 400.0),
            Line("salt", 9.0),
        ),
    )
    pantry = Pantry("p", (Stock("wholemeal rye flour", 450.0), Stock("salt")))
    found = needs((read(twice), read(BASE)), pantry)
    rye = next(need for need in found if need.ingredient == "wholemeal rye flour")
    assert (rye.have, rye.need, rye.missing) == (450.0, (500.0, 500.0), (50.0, 50.0))
    assert "water" not in {need.ingredient for need in found} and "salt" not in {need.ingredient for need in found}
    assert next(need for need in found if need.ingredient == "kefir").missing == (0.0, 400.0)
    assert needs((read(twice),), Pantry("p", tuple(Stock(name) for name in BASE))) == ()


def test_cost_by_the_kilogram_and_none_without_every_price(loaf: Callable[..., Formula]) -> None:
    formula = loaf({"wholemeal rye flour": 500, "water": 400, "salt": 10})
    priced = Pantry("p", (Stock("wholemeal rye flour", 0.0, 1.6), Stock("salt", None, 0.9)))
    assert cost(formula, priced) == pytest.approx(0.5 * 1.6 + 0.01 * 0.9)
    assert cost(formula, Pantry("p", priced.stock[:1])) is None


def test_a_formula_without_flour_is_refused(kitchen: Kitchen, loaf: Callable[..., Formula]) -> None:
    with pytest.raises(InputProblem, match="no flour"):
        compared(kitchen, [loaf(BASE), loaf({"water": 10})])


def test_grams_of_an_ingredient_in_all_lines() -> None:
    formula = Formula("a", (Line("water", 0.1, "soaker"), Line("water", 0.2), Line("salt", 9.0)))
    assert grams_of(formula, "water") == pytest.approx(0.3) and grams_of(formula, "honey") == 0


@pytest.mark.parametrize(
    ("names", "short"),
    [
        (["Hut loaf", "Hut loaf, variant B", "Hut loaf, variant C"], ("Hut loaf", "variant B", "variant C")),
        (["Hut loaf, variant B", "Hut loaf, variant C"], ("B", "C")),
        (["Cellar loaf", "Hut loaf"], ("Cellar loaf", "Hut loaf")),
        (["Hut loaf", "Hut loaf"], ("Hut loaf", "Hut loaf")),
        (["Hut loaf"], ("Hut loaf",)),
    ],
)
def test_names_without_what_they_share(names: list[str], short: tuple[str, ...]) -> None:
    assert short_names(names) == short


def test_what_a_loaf_costs_and_what_has_no_price() -> None:
    """By hand: 0.5 kg at 2.00 and 0.01 kg at 3.00; water is free, and what stands twice is named once."""
    lines = (
        Line("white wheat flour", 300.0), Line("white wheat flour", 200.0, "soaker"), Line("water", 350.0),
        Line("honey", 30.0), Line("honey", 10.0, "soaker"), Line("linseed", 0.0), Line("salt", 10.0),
        Line("caraway", 1.0),
    )  # fmt: skip
    store = Pantry("store", (Stock("white wheat flour", price_per_kg=2.0), Stock("salt", price_per_kg=3.0)))
    total, without = priced(Formula("loaf", lines), store)
    assert (total, without) == (pytest.approx(1.03), ("honey", "caraway"))
    dearer = Formula("other", (*lines[:3], Line("salt", 60.0), Line("water", 10.0), *lines[3:6], Line("caraway", 1.0)))
    assert price_change(Formula("loaf", lines), dearer, store) == pytest.approx(0.05 * 3.0), "honey stays as it was"
    assert price_change(dearer, Formula("loaf", lines), store) == pytest.approx(-0.05 * 3.0)
    assert price_change(dearer, Formula("none", lines[:3]), store) is None, "nobody knows what the honey cost"
    assert shifts_between(Formula("loaf", lines), dearer) == {"salt": 50.0, "water": 10.0}
    speck = Formula("speck", (*lines[:-1], Line("caraway", 1.0 + 3e-7), Line("linseed", 2.0 + 4e-7)))
    assert shifts_between(Formula("loaf", lines), speck) == {"linseed": 2.0}, "to a millionth of a gram"
