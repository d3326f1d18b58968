"""A formula written from nothing: named, begun as a plain dough, made its own book."""

from __future__ import annotations

from pathlib import Path

from driving import press, running, screen_lines, typed

from adapter.screens.bench.screen import BenchScreen


async def test_a_new_formula_is_begun_written_over_and_made_the_book(home: Path) -> None:
    async with running() as (app, pilot):
        await press(app, pilot, "f4", "ctrl+u")
        await typed(pilot, "Autumn loaf")
        await press(app, pilot, "enter")
        assert isinstance(app.screen, BenchScreen)
        assert "Autumn loaf" in screen_lines(app)[0]
        await press(app, pilot, "g")
        await typed(pilot, "620")
        await press(app, pilot, "enter")
        bench = app.session.open_bench
        assert bench.formula.lines[0].grams == 620 and bench.book.lines[0].grams == 500
        await press(app, pilot, "f")
        assert bench.formula.adapted is None and bench.book.lines[0].grams == 620
        assert any("book formula" in line for line in screen_lines(app))


async def test_a_formula_needs_a_name(home: Path) -> None:
    async with running() as (app, pilot):
        await press(app, pilot, "f4", "ctrl+u", "enter")
        assert any("needs a name" in line for line in screen_lines(app))
        await press(app, pilot, "escape")
        assert app.session.piece is None
