"""Correcting lines of a recipe that is told in percent: by the flour that its other lines are of."""

from __future__ import annotations

import pytest

from adapter.dough.readings.kitchen import load_kitchen
from adapter.formula.problems import InputProblem
from adapter.recipes.lines import LineReader
from adapter.recipes.sources import line_reader
from adapter.work.recipe_review import ACCEPTED, read_recipes

IN_PERCENT = "Hill loaf\n\n60 % Roggenmehl 1150\n40 % Weizenmehl 550\n70 % Wasser\n2 % Salz\n"


@pytest.fixture(scope="module")
def reader() -> LineReader:
    return line_reader(load_kitchen([]).catalogue)


def test_the_type_of_a_flour_is_no_weight(reader: LineReader) -> None:
    lines = read_recipes(IN_PERCENT, reader)[0].recipe.lines
    told = [(line.ingredient, line.grams) for line in lines]
    assert told == [("rye flour type 1150", 600), ("white wheat flour", 400), ("water", 700), ("salt", 20)]


@pytest.mark.parametrize(
    ("typed", "ingredient", "grams", "note"),
    [
        ("25 %", "rye flour type 1150", 250, "25 % of the flour"),
        ("25 % wholemeal rye flour", "wholemeal rye flour", 250, "25 % of the flour"),
        ("300 g", "rye flour type 1150", 300, ""),
        ("wholemeal rye flour", "wholemeal rye flour", 600, "60 % of the flour"),
    ],
)
def test_a_line_in_percent_is_corrected(
    typed: str, ingredient: str, grams: float, note: str, reader: LineReader
) -> None:
    item = read_recipes(IN_PERCENT, reader)[0].corrected(0, typed).items[0]
    assert (item.line.ingredient, item.line.grams, item.line.note) == (ingredient, grams, note)
    assert item.state == ACCEPTED


def test_percent_of_an_unknown_weight_of_flour_is_refused(reader: LineReader) -> None:
    review = read_recipes("Plain loaf\n\n500 g flour\n300 g water\n", reader)[0]
    with pytest.raises(InputProblem, match="how much flour"):
        review.corrected(1, "60 % water")


def test_a_messy_note_loses_no_amount(reader: LineReader) -> None:
    rows = ("Seed loaf", "abt 500 g bread flour", "330 ml water warm, 1 1/2 tsp salt", "7 g dried yeast")
    recipe = read_recipes("\n".join((*rows, "gas 6, 40 mins, 2lb tin")), reader)[0].recipe
    assert [line.ingredient for line in recipe.lines] == ["bread flour", "water", "salt", "active dry yeast"]
    assert recipe.oven_c == (200,) and recipe.tin is not None
