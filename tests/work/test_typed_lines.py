"""Lines as they are typed on the bench: stage, amount, ingredient, note, and where they go."""

from __future__ import annotations

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.formula.model import Formula, Line
from adapter.recipes.lines import LineReader
from adapter.recipes.sources import line_reader
from adapter.work.formula_fields import further_line
from adapter.work.typed_lines import Amount, amount_of, understood

EMPTY = Formula("Autumn loaf", ())


@pytest.fixture(scope="module")
def reader(kitchen: Kitchen) -> LineReader:
    return line_reader(kitchen.catalogue)


def read(text: str, kitchen: Kitchen, reader: LineReader) -> tuple[Line, str]:
    said = understood(text, kitchen.catalogue, reader)
    amount = amount_of(said, said.choices[0], reader)
    assert isinstance(amount, Amount), text
    return said.as_line(said.choices[0], amount), said.stage


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("100 g walnuts, toasted", Line("walnuts", 100.0, note="toasted")),
        ("soaker: 100 g walnuts, toasted", Line("walnuts", 100.0, "soaker", "toasted")),
        ("For the soaker: 80 g boiling water", Line("water", 80.0, "soaker", "boiling")),
        ("150 g water (40 °C)", Line("water", 150.0, note="40 °C", temperature_c=40.0)),
        ("sourdough: 15 g rye sourdough", Line("rye sourdough", 15.0, "sourdough")),
        ("water: 150 g", Line("water", 150.0)),
        ("50 g unsalted butter", Line("butter", 50.0, note="unsalted")),
        ("3 large eggs", Line("egg", 150.0, amount="3 pieces")),
    ],
)
def test_nothing_that_is_typed_of_a_line_is_lost(text: str, line: Line, kitchen: Kitchen, reader: LineReader) -> None:
    assert read(text, kitchen, reader)[0] == line


def test_stages_stand_in_the_order_in_which_they_are_typed(kitchen: Kitchen, reader: LineReader) -> None:
    """Each line goes behind the last one; a stage is named once, and further lines may come back to it."""
    formula, at = EMPTY, None
    for text in ("sourdough: 150 g rye flour", "150 g water", "soaker: 60 g linseed", "90 g hot water",
                 "dough: 400 g bread flour", "9 g salt", "Soaker: 20 g oats"):  # fmt: skip
        line, at = further_line(formula, *_typed(read(text, kitchen, reader), at))
        formula = formula.with_lines((*formula.lines[:at], line, *formula.lines[at:]))
    assert formula.stages() == ("sourdough", "soaker", "dough")
    assert [line.stage for line in formula.lines].count("soaker") == 3 and formula.lines[4].ingredient == "rolled oats"


def _typed(said: tuple[Line, str], beside: int | None) -> tuple[Line, int | None, str]:
    line, stage = said
    return line, beside, stage


def test_a_choice_without_words_begins_with_what_is_used_most(kitchen: Kitchen) -> None:
    names = [item.name for item in understood("", kitchen.catalogue).choices]
    assert names[:2] == ["white wheat flour", "bread flour"]
    assert {"water", "salt", "fresh yeast", "rye sourdough", "milk"} <= set(names[:25])
    assert names.index("xanthan gum") > names.index("honey")
    assert len(names) == len(kitchen.catalogue)
