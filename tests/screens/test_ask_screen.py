"""Asking for a loaf: by keys, the same numbers as the command line, and nothing changes until a way is taken."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from driving import press, running, screen_lines, screen_text, typed, written
from textual.pilot import Pilot

from adapter.command_line import main
from adapter.dough.allergens import allergens
from adapter.formula.pantry import Pantry, Stock
from adapter.screens.app import OtherloafApp
from adapter.screens.ask.screen import AskScreen
from adapter.screens.ask.wish_rows import AIM, MOST, STORE, WAYS
from adapter.screens.bench.screen import BenchScreen


def grams(app: OtherloafApp) -> dict[str, float]:
    return {line.ingredient: line.grams for line in app.session.open_bench.formula.lines}


async def asked(app: OtherloafApp, pilot: Pilot[None], *keys: str) -> AskScreen:
    """Press m, and further keys; the answer is worked out beside the screen."""
    await press(app, pilot, "m", *keys)
    assert isinstance(app.screen, AskScreen)
    return app.screen


async def wish(app: OtherloafApp, pilot: Pilot[None], text: str) -> None:
    await press(app, pilot, "a")
    await typed(pilot, text)
    await press(app, pilot, "enter")


def to_wish(screen: AskScreen, kind: int) -> None:
    screen.wish_rows.focus()
    rows = enumerate(screen.wish_rows.wishes)
    screen.wish_rows.highlight(next(place for place, each in rows if each is not None and each.kind == kind))


def store(**amounts: float) -> Pantry:
    """What is named, in grams, and plenty of everything else in the trial loaf but its buttermilk."""
    plenty = ("wholemeal rye flour", "white wheat flour", "wheat bran", "linseed", "honey", "molasses", "salt")
    given = (Stock(name.replace("_", " "), weight) for name, weight in amounts.items())
    return Pantry("store", (*(Stock(name) for name in (*plenty, "fresh yeast")), *given))


async def test_making_do_is_shown_taken_as_a_variant_and_the_book_stays(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        book = grams(app)
        stocked = store(buttermilk=100)
        old = Stock("yoghurt", 900, best_before=date(2001, 5, 4))
        app.session.use_pantry(replace(stocked, stock=(*stocked.stock, old)))
        screen = await asked(app, pilot)
        text = screen_text(app)
        assert "yoghurt: best before 2001-05-04: gone by" in text
        assert "[ ] 420 g buttermilk → " in text and "yoghurt" in text and "proven best" in text
        assert "buttermilk: 100 of 520 g in store" in text
        assert grams(app) == book  # nothing has changed yet
        way = screen.way_rows.way
        assert way is not None
        await press(app, pilot, "enter")
        assert isinstance(app.screen, BenchScreen) and "variant B · c compares" in screen_text(app)
        after = grams(app)
        assert after == {line.ingredient: line.grams for line in way.after.formula.lines}
        assert after["buttermilk"] == 100 and 0 < after["yoghurt"] <= 900
        await press(app, pilot, "left_square_bracket")
        assert grams(app) == book


async def test_every_way_becomes_a_variant(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        app.session.use_pantry(store(buttermilk=100, yoghurt=900, milk=900, cider_vinegar=300))
        screen = await asked(app, pilot)
        assert screen.answer is not None
        ways = screen.answer.ways
        assert len(ways) >= 2
        await press(app, pilot, "v")
        variants = app.session.open_bench.work.variants
        assert [each.formula.lines for each in variants[1:]] == [way.after.formula.lines for way in ways]
        assert "variants B, C" in screen_text(app)


async def test_a_full_pantry_needs_no_swap(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        app.session.use_pantry(store(buttermilk=5000))
        screen = await asked(app, pilot)
        assert screen.answer is not None and screen.answer.ways[0].swaps == ()
        assert "no swap · drift 0.0" in screen_text(app)


async def test_the_screen_has_the_numbers_of_the_command_line(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(home)
    async with running([path]) as (app, pilot):
        assert app.session.pantry is None  # a formula of one's own, and no store of one's own yet
        screen = await asked(app, pilot)
        assert "nothing is wished yet" in screen_text(app)
        await wish(app, pilot, "without milk")
        await wish(app, pilot, "sweetness=-30%")
        assert screen.answer is not None
        ways = screen.answer.ways
        assert ways and all("milk" not in allergens(way.after) for way in ways)
        heads = [line for line in screen_lines(app) if " · drift " in line]
    main(["adapt", str(path), "--without", "milk", "--aim", "sweetness=-30%", "--ways", "3", "--json"])
    told = json.loads(capsys.readouterr().out)["ways"]
    assert [[(line.ingredient, line.grams) for line in way.after.formula.lines] for way in ways] == [
        [(line["ingredient"], line["grams"]) for line in way["lines"]] for way in told
    ]
    for way, data, head in zip(ways, told, heads, strict=False):
        assert f"drift {data['drift']:.1f}" in head and ("proven best" in head) == way.proven


async def test_space_refuses_a_swap_then_pins_it_then_frees_it(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        app.session.use_pantry(store(buttermilk=100, yoghurt=900, kefir=900))
        screen = await asked(app, pilot, "down")
        way, place = screen.way_rows.way, screen.way_rows.place
        assert way is not None and place is not None and place.swap == 0
        name = way.swaps[0].candidate.name
        await press(app, pilot, "space")
        assert screen.asked.refused == {name} and "swaps refused" in screen_text(app)
        assert screen.answer is not None and screen.answer.ways
        assert all(swap.candidate.name != name for each in screen.answer.ways for swap in each.swaps)
        screen.wish_rows.focus()
        rows = enumerate(screen.wish_rows.wishes)
        screen.wish_rows.highlight(next(at for at, each in rows if each is not None and each.text == name))
        await press(app, pilot, "space")
        assert screen.asked.pinned == {name} and "swaps that must be" in screen_text(app)
        assert all(name in {swap.candidate.name for swap in each.swaps} for each in screen.answer.ways)
        assert "[x] 420 g buttermilk" in screen_text(app)
        await press(app, pilot, "x")
        assert not screen.asked.pinned and not screen.asked.refused


async def test_arrows_on_a_level_make_an_aim_and_move_it_by_what_a_baker_notices(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        assert app.session.pantry is None  # a formula of one's own, and no store of one's own yet
        screen = await asked(app, pilot, "a", *"salt=2", "enter", "tab")
        now = app.session.open_bench.now
        screen.tracks.highlight(screen.tracks.keys.index("salt"))
        await press(app, pilot, "left")
        step = now.kitchen.tolerances["salt"].value
        assert screen.asked.aims == (f"salt={round(2 - step, 2):g}",)
        assert screen.answer is not None
        assert round(screen.answer.ways[0].after.value("salt"), 2) == round(2 - step, 2)
        await press(app, pilot, "1")
        await typed(pilot, ".6")
        await press(app, pilot, "enter")
        assert screen.asked.aims == ("salt=1.6",)
        assert "salt 1.6" in screen_text(app)
        to_wish(screen, AIM)
        await press(app, pilot, "x")
        assert not screen.asked.aims and "nothing is wished yet" in screen_text(app)


async def test_an_aim_is_typed_over_a_level_of_the_bench(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        bench = app.screen
        assert isinstance(bench, BenchScreen)
        await press(app, pilot, "tab")
        bench.level_rows.highlight([level.key for level in bench.level_rows.levels].index("salt"))
        await press(app, pilot, "1")
        assert "salt, %: what is it to be?" in screen_text(app)
        await typed(pilot, ".6")
        await press(app, pilot, "enter")
        screen = app.screen
        assert isinstance(screen, AskScreen) and screen.asked.aims == ("salt=1.6",)
        assert not screen.asked.from_store  # only what was asked for
        assert screen.answer is not None and round(screen.answer.ways[0].after.value("salt"), 2) == 1.6


async def test_the_store_the_ways_and_the_swaps_are_set_at_the_left(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        app.session.use_pantry(store(buttermilk=100, yoghurt=900, kefir=900))
        screen = await asked(app, pilot)
        to_wish(screen, WAYS)
        await press(app, pilot, "left", "left")
        assert screen.asked.ways == 1 and "one way" in screen_text(app)
        to_wish(screen, MOST)
        await press(app, pilot, "left")
        assert screen.asked.most_swaps == 5
        to_wish(screen, STORE)
        await press(app, pilot, "space")
        assert not screen.asked.from_store and "nothing is wished yet" in screen_text(app)


async def test_a_wish_that_cannot_be_understood_is_one_line_and_changes_nothing(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        screen = await asked(app, pilot)
        for text, said in (
            ("moonlight", "nothing is called 'moonlight'"),
            ("saltt=2", "is no reading"),
            ("salt=much", "is no wish"),
        ):
            await press(app, pilot, "a")
            await typed(pilot, text)
            await press(app, pilot, "enter")
            assert said in screen_text(app)
            await press(app, pilot, "escape")
            assert screen.asked.without == () and screen.asked.aims == ()


async def test_wishes_that_cannot_all_be_had_are_named(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        assert app.session.pantry is None  # a formula of one's own, and no store of one's own yet
        screen = await asked(app, pilot)
        await wish(app, pilot, "without gluten")
        assert screen.answer is not None and not screen.answer.ways
        assert "no way" in screen_text(app) and "without gluten" in screen_text(app)


@pytest.mark.parametrize("size", [(80, 24), (120, 34), (200, 60)])
async def test_wishes_ways_and_levels_are_all_reached(home: Path, size: tuple[int, int]) -> None:
    async with running([written(home)], size=size) as (app, pilot):
        app.session.use_pantry(store(buttermilk=100, yoghurt=900))
        await asked(app, pilot)
        seen = screen_text(app)
        assert "420 g buttermilk" in seen and "now in the middle" in seen
        assert ("what must be so" in seen) is (size[0] >= 110)
        await press(app, pilot, "tab", "tab")
        assert "what must be so" in screen_text(app) and "[x] store" in screen_text(app)


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
