"""Whose stock counts: a sample is baked from the sample store, a formula of one's own from one's own pantry."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from driving import press, running, screen_text, typed, written

from adapter.files.places import own_pantry_path
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.pantry.screen import PantryScreen


async def test_a_formula_of_ones_own_is_short_of_nothing_while_the_pantry_is_empty(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        screen = app.screen
        assert isinstance(screen, BenchScreen) and app.session.pantry is None
        assert " none" not in screen_text(app) and " ok" not in screen_text(app)
        await press(app, pilot, "enter")
        assert screen.at_offers and "short of" not in screen_text(app)
        await press(app, pilot, "p")
        assert isinstance(app.screen, PantryScreen)
        assert "your own, empty so far" in screen_text(app) and "nothing in stock" in screen_text(app)


async def test_a_sample_is_baked_from_the_sample_store_and_says_so(home: Path) -> None:
    own_pantry_path().write_text('[pantry]\nname = "mine"\n[[stock]]\ningredient = "salt"\ngrams = 3\n')
    async with running() as (app, pilot):
        await typed(pilot, "hut everyday")
        await press(app, pilot, "enter")
        assert isinstance(app.screen, BenchScreen)
        assert app.session.pantry is not None and app.session.pantry.name == "Hollin Top store"
        assert "the sample store, Hollin Top store" in screen_text(app)


async def test_what_is_past_its_date_or_near_it_is_marked_on_the_bench(home: Path) -> None:
    today = date.today()
    dates = {"linseed": -1, "buttermilk": 3, "honey": 4, "molasses": 0}
    stock = "".join(
        f'[[stock]]\ningredient = "{name}"\nbest_before = {today + timedelta(days)}\n' for name, days in dates.items()
    )
    own_pantry_path().write_text(f'[pantry]\nname = "mine"\n{stock}')
    async with running([written(home)]) as (app, _):
        rows = {name: next(line for line in screen_text(app).splitlines() if f" {name} " in line) for name in dates}
        assert " past " in rows["linseed"] and " 3 days " in rows["buttermilk"]
        assert " ok " in rows["honey"] and " today " in rows["molasses"]
        assert "gone by" in screen_text(app), "the highlighted line says it in words"
