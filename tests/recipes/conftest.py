"""What the tests of reading recipes share."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.recipes.ingredient_names import NameFinder
from adapter.recipes.lines import LineReader
from adapter.recipes.read_recipe import ReadRecipe
from adapter.recipes.recipe_text import read_text


@pytest.fixture(scope="session")
def reader(kitchen: Kitchen) -> LineReader:
    return LineReader(NameFinder(kitchen.catalogue))


@pytest.fixture(scope="session")
def recipe(reader: LineReader) -> Callable[[str], ReadRecipe]:
    """recipe("a text"): what is read in it."""
    return lambda text: read_text(text, reader, "pasted")
