"""A recipe pasted into the list of formulas: read, gone through, opened on the bench."""

from __future__ import annotations

from pathlib import Path

import pytest
from driving import messages_dealt_with, press, running, screen_lines, screen_text, settled, typed
from textual.events import Paste
from textual.pilot import Pilot
from textual.widgets import Input

from adapter.screens.app import OtherloafApp
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.formulas.recipe_reading import LINES_AT_ONCE
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.parts.line_input import LONGEST_LINE
from adapter.screens.review.screen import ReviewScreen

RECIPE = """Hut rolls

Makes 8 rolls

2 cups bread flour
300 g wholemeal rye flour
a handful of sunflower seeds
1 tbsp molasses or honey
330 g water
2 tsp salt
7 g instant yeast
egg wash, to glaze

Mix, knead and let it rise. Bake at 220 °C for 20 minutes.
"""


async def paste(app: OtherloafApp, pilot: Pilot[None], text: str) -> None:
    app.post_message(Paste(text))
    await settled(app, pilot)


@pytest.mark.parametrize("size", [(80, 24), (120, 34), (200, 60)])
async def test_a_pasted_recipe_is_shown_line_by_line_doubts_first(home: Path, size: tuple[int, int]) -> None:
    async with running(size=size) as (app, pilot):
        await paste(app, pilot, RECIPE)
        assert isinstance(app.screen, ReviewScreen)
        lines = screen_lines(app)
        assert all(len(line) == size[0] for line in lines)
        assert "Hut rolls" in lines[0] and "in doubt" in lines[0]
        marks = [line.strip().startswith(("?", "▸ ?")) for line in lines[2:10]]
        assert any(marks) and marks == sorted(marks, reverse=True)
        flour = next(line for line in lines if "2 cups bread flour" in line)
        assert flour.count("bread flour") == 2 and " 250 " in flour


async def test_lines_are_accepted_corrected_and_dropped_by_key(home: Path) -> None:
    async with running() as (app, pilot):
        await paste(app, pilot, RECIPE)
        review = app.screen
        assert isinstance(review, ReviewScreen)
        texts = [review.review.items[place].line.text for place in review.review.in_doubt()]
        assert texts[:2] == ["a handful of sunflower seeds", "1 tbsp molasses or honey"]
        await press(app, pilot, "enter")
        assert "no weight yet" in review.said, "what has no weight cannot be accepted"
        await typed(pilot, "40 g")
        await press(app, pilot, "enter")
        assert review.review.items[2].line.grams == 40 and review.review.items[2].state == "accepted"
        await typed(pilot, "z")
        await paste(app, pilot, "My loaf" * 500)
        await paste(app, pilot, "My loaf" * 500)
        assert len(app.screen.query_one(Input).value) == LONGEST_LINE, "with each key all of it is read anew"
        await press(app, pilot, "escape")
        await typed(pilot, "honey")
        await press(app, pilot, "enter")
        assert review.review.items[3].line.ingredient == "honey"
        while review.review.in_doubt():
            await press(app, pilot, "delete")
        await press(app, pilot, "enter")
        assert isinstance(app.screen, BenchScreen)
        formula = app.session.open_bench.formula
        weights = {line.ingredient: line.grams for line in formula.lines}
        assert weights["sunflower seeds"] == 40 and weights["honey"] == pytest.approx(21.2, abs=0.1)
        assert formula.lines[0].amount == "2 cups" and formula.pieces == 8 and formula.bake.oven_c == 220
        assert "not saved" in screen_lines(app)[0] and formula.adapted is None
        assert "knead" in formula.note
        await press(app, pilot, "q", "l")
        assert isinstance(app.screen, FormulasScreen) and "Hut rolls" in screen_text(app)


async def test_opening_with_doubts_asks(home: Path) -> None:
    async with running() as (app, pilot):
        await paste(app, pilot, RECIPE)
        await press(app, pilot, "f6")
        assert "in doubt still" in screen_text(app)
        await press(app, pilot, "n")
        assert isinstance(app.screen, ReviewScreen)
        await press(app, pilot, "f6", "y")
        assert isinstance(app.screen, BenchScreen)
        assert "a handful of sunflower seeds" in app.session.open_bench.formula.note


async def test_a_recipe_is_typed_or_named_as_a_file(home: Path, tmp_path: Path) -> None:
    path = tmp_path / "rolls.txt"
    path.write_text(RECIPE)
    async with running() as (app, pilot):
        await press(app, pilot, "f5")
        await paste(app, pilot, str(path))
        await press(app, pilot, "f5")
        assert isinstance(app.screen, ReviewScreen) and "Hut rolls" in screen_lines(app)[0]
        await press(app, pilot, "escape", "f5")
        await paste(app, pilot, RECIPE)
        await press(app, pilot, "f5")
        assert isinstance(app.screen, ReviewScreen) and len(app.screen.review.items) == 8


async def test_what_is_no_recipe_is_one_line_and_a_few_words_are_a_filter(home: Path) -> None:
    async with running() as (app, pilot):
        await paste(app, pilot, "It rained\x1b[31m all day.\nNobody baked anything.\n")
        assert isinstance(app.screen, FormulasScreen) and app.screen.said.startswith("!")
        await paste(app, pilot, "rye")
        assert app.screen.filter == "rye"


async def test_a_long_recipe_is_read_beside_the_keys(home: Path) -> None:
    """The list answers meanwhile; what comes of it is the same as of a short one."""
    async with running() as (app, pilot):
        await paste(app, pilot, "It rained all day.\n" * (LINES_AT_ONCE + 10))
        assert isinstance(app.screen, FormulasScreen) and app.screen.said.startswith("!")
        app.post_message(Paste("\n".join(f"{grams} g rye flour" for grams in range(100, 800, 10))))
        await messages_dealt_with()
        assert isinstance(app.screen, FormulasScreen) and "reading" in app.screen.said
        await settled(app, pilot)
        assert isinstance(app.screen, ReviewScreen) and len(app.screen.review.items) == 70
