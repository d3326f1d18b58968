"""A yeast preferment left overnight is prefermented flour: how long and how warm is assumed, asked about and noted."""

from __future__ import annotations

import pytest

from adapter.formula.catalogue import Catalogue
from adapter.formula.model import StagePlan
from adapter.recipes.lines import LineReader
from adapter.recipes.read_recipe import formula_of
from adapter.recipes.recipe_text import read_text
from adapter.recipes.weighing import measures

ENGLISH = """Sponge loaf

{heading}
200 g white wheat flour
150 g water
1 g instant yeast
{under}
Dough:
400 g bread flour
250 g water
12 g salt

Method
{method}
Bake at 230 °C for 40 minutes.
"""
GERMAN = """Landbrot

{heading}
200 g Weizenmehl 550
150 g Wasser
1 g Trockenhefe
{under}
Hauptteig:
400 g Weizenmehl 550
250 g Wasser
12 g Salz

Zubereitung
{method}
Bei 230 °C 40 Minuten backen.
"""
NIGHT = measures().night


@pytest.mark.parametrize(
    ("text", "heading", "under", "method", "place"),
    [
        (ENGLISH, "Sponge:", "", "Mix the sponge and leave overnight, covered.", "room_c"),
        (ENGLISH, "Sponge:", "", "Stir the sponge together. Cover and leave it over night.", "room_c"),
        (ENGLISH, "Poolish (overnight, in the fridge)", "", "Mix.", "fridge_c"),
        (ENGLISH, "Biga:", "Cover and leave until morning.\n", "Mix.", "room_c"),
        (GERMAN, "Vorteig (über Nacht)", "", "Alles verkneten.", "room_c"),
        (GERMAN, "Poolish:", "", "Den Poolish verrühren und über Nacht in den Kühlschrank stellen.", "fridge_c"),
    ],
)
def test_a_night_is_hours_and_a_warmth_that_are_asked_about(
    reader: LineReader, catalogue: Catalogue, text: str, heading: str, under: str, method: str, place: str
) -> None:
    recipe = read_text(text.format(heading=heading, under=under, method=method), reader)
    formula = formula_of(recipe, catalogue)
    assert formula.plans == (StagePlan("preferment", "yeast preferment", NIGHT["hours"], NIGHT[place]),)
    (doubt,) = [doubt for doubt in recipe.doubts if "overnight" in doubt]
    assert f"{NIGHT['hours']:g} h" in doubt and f"{NIGHT[place]:g} °C" in doubt and doubt in formula.note


def test_what_is_told_of_the_night_is_taken(reader: LineReader, catalogue: Catalogue) -> None:
    told = read_text(ENGLISH.format(heading="Sponge (overnight, 14 h)", under="", method="Mix."), reader)
    assert formula_of(told, catalogue).plans[0].hours == 14.0
    assert [doubt for doubt in told.doubts if "14 h" in doubt] == [] and told.doubts


def test_the_night_of_the_dough_is_not_the_preferments(reader: LineReader, catalogue: Catalogue) -> None:
    method = "Mix the sponge. Knead the dough and leave it overnight in the fridge."
    recipe = read_text(ENGLISH.format(heading="Sponge:", under="", method=method), reader)
    assert formula_of(recipe, catalogue).plans == (StagePlan("preferment", "yeast preferment"),) and not recipe.doubts
