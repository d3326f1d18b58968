"""Lines in doubt are accepted or corrected by a person, and then they are sure."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.formula.problems import InputProblem
from adapter.recipes.correcting import correct, reread
from adapter.recipes.lines import LineReader
from adapter.recipes.read_line import ReadLine, accept, can_accept
from adapter.recipes.read_recipe import ReadRecipe, formula_of

Read = Callable[[str], ReadRecipe]


def _line(reader: LineReader, text: str) -> ReadLine:
    return reader.read(text, "dough")[0]


def test_what_was_understood_can_be_accepted(reader: LineReader) -> None:
    line = _line(reader, "2 tablespoons molasses or honey")
    assert not line.sure
    assert accept(line).sure
    assert accept(line).ingredient == "molasses"


def test_what_lacks_ingredient_or_weight_cannot(reader: LineReader) -> None:
    for text, lacks in (("a handful of walnuts", "weight"), ("100 g dragon fern pollen", "ingredient")):
        line = _line(reader, text)
        assert not can_accept(line)
        with pytest.raises(InputProblem, match=f"has no {lacks}"):
            accept(line)


def test_another_ingredient_is_weighed_anew(reader: LineReader) -> None:
    line = correct(_line(reader, "1 cup molasses or wholemeal rye flour"), reader, ingredient="wholemeal rye flour")
    assert line.sure
    # SR28 20063: 128 g a cup.
    assert line.grams == pytest.approx(128, rel=0.01)
    printed = correct(_line(reader, "100 g dragon fern pollen"), reader, ingredient="caraway seeds")
    assert (printed.ingredient, printed.grams, printed.sure) == ("caraway", 100, True)


def test_a_weight_can_be_given(reader: LineReader) -> None:
    line = correct(_line(reader, "a handful of walnuts"), reader, grams=40)
    assert (line.grams, line.sure, line.text) == (40, True, "a handful of walnuts")


def test_a_line_can_be_taken_out_of_the_dough_and_back(reader: LineReader) -> None:
    line = correct(_line(reader, "2 tbsp honey"), reader, in_dough=False)
    assert (line.grams, line.sure) == (None, True)
    assert correct(line, reader, in_dough=True).grams == pytest.approx(42.4, rel=0.01)


def test_an_unknown_name_is_refused_with_the_nearest(reader: LineReader) -> None:
    with pytest.raises(InputProblem, match="nearest"):
        correct(_line(reader, "a handful of walnuts"), reader, ingredient="wallnutts of doom")


def test_a_line_can_be_written_anew(reader: LineReader) -> None:
    line = reread(_line(reader, "some honey"), "30 g honey", reader)[0]
    assert (line.grams, line.sure, line.stage) == (30, True, "dough")


def test_a_recipe_is_accepted_as_far_as_it_can_be(recipe: Read, reader: LineReader, kitchen: Kitchen) -> None:
    read = recipe("Loaf\n\n500 g bread flour\n2 tbsp molasses or honey\nsome dragon fern pollen\n1 tsp kosher salt\n")
    assert read.unsure() == (1, 2, 3)
    accepted = read.accepted()
    assert accepted.unsure() == (2,)
    formula = formula_of(accepted, kitchen.catalogue)
    assert [line.ingredient for line in formula.lines] == ["bread flour", "molasses", "salt"]
    assert "some dragon fern pollen" in formula.note
    assert accepted.without_line(2).unsure() == ()
    assert accepted.without_line(2).notes[-1] == "some dragon fern pollen"
    changed = accepted.with_line(2, correct(accepted.lines[2], reader, ingredient="honey", grams=5))
    assert formula_of(changed, kitchen.catalogue).lines[2].grams == 5


def test_a_formula_needs_flour(recipe: Read, kitchen: Kitchen) -> None:
    with pytest.raises(InputProblem, match="no flour"):
        formula_of(recipe("Soup\n\n500 g water\n10 g salt\n"), kitchen.catalogue)
