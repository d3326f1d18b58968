"""Making do with the pantry on the bench: shown before it is taken, and one step to undo."""

from __future__ import annotations

from pathlib import Path

from driving import press, running, screen_lines, written
from textual.pilot import Pilot

from adapter.formula.pantry import Pantry, Stock
from adapter.screens.app import OtherloafApp
from adapter.screens.bench.make_do import MakeDoDialog
from adapter.screens.bench.screen import BenchScreen


def grams(app: OtherloafApp) -> dict[str, float]:
    return {line.ingredient: line.grams for line in app.session.open_bench.formula.lines}


async def asked(app: OtherloafApp, pilot: Pilot[None]) -> None:
    """Press m and wait for the plan: it is worked out beside the screen."""
    await press(app, pilot, "m")
    await app.workers.wait_for_complete()
    await pilot.pause()


def store(**amounts: float) -> Pantry:
    """What is named, in grams, and plenty of everything else in the trial loaf but its buttermilk."""
    plenty = ("wholemeal rye flour", "white wheat flour", "wheat bran", "linseed", "honey", "molasses", "salt")
    given = (Stock(name.replace("_", " "), weight) for name, weight in amounts.items())
    return Pantry("store", (*(Stock(name) for name in (*plenty, "fresh yeast")), *given))


async def test_the_plan_is_shown_taken_and_undone(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        book = grams(app)
        app.session.use_pantry(store(buttermilk=100, yoghurt=900))
        await asked(app, pilot)
        assert isinstance(app.screen, MakeDoDialog)
        shown = "\n".join(screen_lines(app))
        assert "420 g buttermilk →" in shown and "yoghurt" in shown
        assert grams(app) == book  # nothing has changed yet
        await press(app, pilot, "n")
        assert grams(app) == book
        await asked(app, pilot)
        await press(app, pilot, "y")
        after = grams(app)
        assert after["buttermilk"] == 100 and 0 < after["yoghurt"] <= 900
        await press(app, pilot, "u")
        assert grams(app) == book


async def test_a_full_pantry_says_so(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        app.session.use_pantry(store(buttermilk=5000))
        await asked(app, pilot)
        assert not isinstance(app.screen, MakeDoDialog)
        assert any("holds all of it" in line for line in screen_lines(app))


async def test_only_the_swaps_in_stock(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        app.session.use_pantry(store(buttermilk=600, yoghurt=900))
        screen = app.screen
        assert isinstance(screen, BenchScreen)
        place = [line.ingredient for line in app.session.open_bench.formula.lines].index("buttermilk")
        screen.lines.highlight(screen.lines.row_of(place))
        await press(app, pilot, "i")
        assert [offer.chosen for offer in screen.offers.offers] == [("yoghurt",)]
        await press(app, pilot, "i")
        assert len(screen.offers.offers) > 20
