"""Several bakes: marked in the list, planned as one, the same numbers as the command line, taken to the bench."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from driving import press, running, screen_text, typed, written

from adapter.command_line import main
from adapter.files.places import sample_pantry
from adapter.screens.bakes.screen import BakesScreen
from adapter.screens.bench.screen import BenchScreen


async def test_formulas_are_marked_counted_planned_and_taken(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    async with running() as (app, pilot):
        for name, count in (("hollin", "3"), ("spelt", "2")):
            await typed(pilot, name)
            await press(app, pilot, "plus", count, "enter")
            assert f"bake {count}" in screen_text(app)
            await press(app, pilot, "escape")
        await press(app, pilot, "equals_sign")
        screen = app.screen
        assert isinstance(screen, BakesScreen)
        await press(app, pilot, "a")
        await typed(pilot, "without nuts")
        await press(app, pilot, "enter")
        bakes = screen.plan_rows.bakes
        assert bakes is not None and "to buy" in screen_text(app) and "3 × Hollin mixed rye" in screen_text(app)
        await press(app, pilot, "left", "left", "left")  # never below one
        assert list(screen.several.counts.values()) == [1, 2]
        await press(app, pilot, "tab")
        screen.plan_rows.highlight(next(at for at, way in enumerate(screen.plan_rows._ways) if way == 1))
        way = screen.plan_rows.way
        assert way is not None and way.swaps
        await press(app, pilot, "enter")
        assert isinstance(app.screen, BenchScreen)
        assert app.session.open_bench.formula.lines == way.after.formula.lines
        assert len(app.session.open_bench.work.variants) == 2
        await press(app, pilot, "q")
        assert isinstance(app.screen, BakesScreen)
        await press(app, pilot, "tab", "x", "x")
        assert "nothing is to be baked yet" in screen_text(app)
    words = ["hollin_mixed_rye=3", "spelt_hearth_loaf=2", "--without", "nuts"]
    main(["adapt", *words, "--pantry", str(sample_pantry()), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert [[(line.ingredient, line.grams) for line in way.after.formula.lines] for way in bakes.ways] == [
        [(line["ingredient"], line["grams"]) for line in bake["lines"]] for bake in told["bakes"]
    ]
    assert [amount.ingredient for amount in bakes.buy] == [item["ingredient"] for item in told["buy"]]


async def test_what_is_marked_is_there_at_the_next_start_beside_unsaved_work(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        app.session.open_bench.type_amount(0, 111.0)
        app.session.keep_draft()
    async with running() as (app, pilot):
        assert "unsaved work" in screen_text(app)
        await press(app, pilot, "down", "plus", "7", "enter")
        assert "bake 7" in screen_text(app)
    async with running() as (app, pilot):
        assert "bake 7" in screen_text(app) and app.session.several is not None
        assert list(app.session.several.counts.values()) == [7]
