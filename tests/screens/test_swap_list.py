"""The list of swaps on the bench: found, sorted, made by oneself; and what was done taken back step by step."""

from __future__ import annotations

from pathlib import Path

import pytest
from driving import press, running, screen_lines, screen_text, settled, typed, written
from textual.pilot import Pilot

from adapter.formula.pantry import Pantry, Stock
from adapter.screens.app import OtherloafApp
from adapter.screens.bench.screen import BenchScreen
from adapter.swaps.comparison import price_change
from adapter.swaps.offer import drift_from
from adapter.words.glossary import DRIFT

SIZES = ((80, 24), (120, 34), (200, 60))


async def to_line(app: OtherloafApp, pilot: Pilot[None], ingredient: str) -> BenchScreen:
    """The highlight on the line of an ingredient, its swaps worked out."""
    screen = app.screen
    assert isinstance(screen, BenchScreen)
    place = [line.ingredient for line in app.session.open_bench.formula.lines].index(ingredient)
    screen.lines.focus()
    screen.lines.highlight(screen.lines.row_of(place))
    await settled(app, pilot)
    return screen


def bar(app: OtherloafApp) -> str:
    """The head of the list of swaps."""
    return next(line for line in screen_lines(app) if "swaps for " in line or "in stock for " in line)


async def test_the_list_comes_as_the_core_orders_it_and_is_searched(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        screen = await to_line(app, pilot, "buttermilk")
        bench = app.session.open_bench
        everything = bench.offers(screen.lines.line or 0, pantry=app.session.pantry)
        assert [each.chosen for each in screen.offers.offers] == [each.chosen for each in everything]
        await press(app, pilot, "enter", "slash")
        await typed(pilot, "kefir")
        await settled(app, pilot)
        assert screen.offers.offers and all("kefir" in each.chosen for each in screen.offers.offers)
        await press(app, pilot, "enter")
        assert "“kefir”" in bar(app)
        await press(app, pilot, "slash", *["backspace"] * 5, "enter")
        assert len(screen.offers.offers) == len(everything)


async def test_a_search_left_by_escape_is_as_before_and_one_without_a_hit_says_so(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        screen = await to_line(app, pilot, "buttermilk")
        count = len(screen.offers.offers)
        await press(app, pilot, "enter", "slash")
        await typed(pilot, "granite")
        await settled(app, pilot)
        assert not screen.offers.offers and f"none of the {count} has “granite”" in screen_text(app)
        await press(app, pilot, "escape")
        assert len(screen.offers.offers) == count


async def test_sorted_by_drift_price_and_stock_and_found_so_at_the_next_start(home: Path) -> None:
    path = written(home)
    priced = {"buttermilk": 1.2, "kefir": 2.0, "yoghurt": 1.5, "milk": 0.9, "salt": 0.5, "fresh yeast": 3.0}
    pantry = Pantry("store", tuple(Stock(name, 5000, price_per_kg=price) for name, price in priced.items()))
    async with running([path]) as (app, pilot):
        app.session.use_pantry(pantry)
        screen = await to_line(app, pilot, "buttermilk")
        screen.show_all()
        await settled(app, pilot)
        await press(app, pilot, "enter", "greater_than_sign")
        drifts = [round(offer.drift, 1) for offer in screen.offers.offers]
        assert drifts == sorted(drifts) and len(drifts) > 5 and "by drift" in bar(app)
        await press(app, pilot, "greater_than_sign")
        prices = [price_change(each.before.formula, each.after.formula, pantry) for each in screen.offers.offers]
        known = [price for price in prices if price is not None]
        assert known == sorted(known) and known and prices[len(known) :] == [None] * (len(prices) - len(known))
        assert f"{known[0]:+.2f}".replace("-", "−") in screen_text(app)
        await press(app, pilot, "greater_than_sign")
        short = [bool(each.short(pantry)) for each in screen.offers.offers]
        assert short == sorted(short) and "by in store" in bar(app)
    async with running([path]) as (app, pilot):
        await to_line(app, pilot, "buttermilk")
        assert "by in store" in bar(app)
        await press(app, pilot, "enter", "greater_than_sign")
        assert " · by " not in bar(app)


@pytest.mark.parametrize("size", SIZES)
async def test_allergens_and_part_swaps_are_told_at_every_size(home: Path, size: tuple[int, int]) -> None:
    async with running([written(home)], size=size) as (app, pilot):
        screen = await to_line(app, pilot, "white wheat flour")
        offer = next(each for each in screen.offers.offers if each.allergens_added)
        screen.offers.focus()
        screen.offers.highlight(screen.offers.offers.index(offer))
        await settled(app, pilot)
        name = offer.allergens_added[0].rpartition(": ")[2]
        assert any(line.startswith("▸ ") and f"+ {name}" in line for line in screen_lines(app)[1:])
        part = next(each for each in screen.offers.offers if each.share_percent < 100)
        screen.offers.highlight(screen.offers.offers.index(part))
        await settled(app, pilot)
        assert any(f"({part.share_percent:g} % of it" in line for line in screen_lines(app))


@pytest.mark.parametrize("size", SIZES)
async def test_names_of_lines_are_whole(home: Path, size: tuple[int, int]) -> None:
    text = '[formula]\nname = "x"\npieces = 1\n'
    names = ("wholemeal wheat flour", "cultivated blueberries", "white wheat flour", "salt", "fresh yeast")
    async with running([written(home)], size=size) as (app, _pilot):
        catalogue = app.session.open_bench.kitchen.catalogue
        longest = max((item.name for item in catalogue if len(item.name) <= 34), key=len)
        known = [name for name in (*names, longest) if name in catalogue.ingredients]
        text += "".join(f'[[line]]\ningredient = "{name}"\ngrams = 100\n' for name in known)
    async with running([written(home, text)], size=size) as (app, _pilot):
        assert longest in screen_text(app)


async def test_two_lines_go_out_together_for_one_that_is_named(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        screen = await to_line(app, pilot, "honey")
        await press(app, pilot, "space", "down", "space")
        assert "2 marked" in screen_text(app)
        assert [" ✓ honey" in line or " ✓ molasses" in line for line in screen_lines(app)].count(True) == 2
        await press(app, pilot, "j")
        assert "Swap honey + molasses for what?" in screen_text(app)
        await typed(pilot, "zzz + golden")
        assert app.screen is not screen, "a name that is unknown before the + finds nothing and breaks nothing"
        await press(app, pilot, *["backspace"] * len("zzz + golden"))
        await typed(pilot, "golden syrup")
        await press(app, pilot, "enter")
        offer = screen.offers.offer
        assert offer is not None and offer.chosen == ("golden syrup",) and len(offer.out_lines) == 2
        assert screen.at_offers and "honey 60 g + molasses 60 g → golden syrup" in screen_text(app)
        await press(app, pilot, "enter")
        names = [line.ingredient for line in app.session.open_bench.formula.lines]
        assert "golden syrup" in names and "honey" not in names and "molasses" not in names
        assert not screen.lines.marked


async def test_a_swap_without_a_rule_is_made_and_said_to_be_ones_own(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        screen = await to_line(app, pilot, "linseed")
        await press(app, pilot, "j")
        await typed(pilot, "raisins")
        await press(app, pilot, "enter")
        offer = screen.offers.offer
        assert offer is not None and offer.rule is None and offer.chosen == ("raisins",)
        assert any(line.startswith("▸ raisins") and "of your own" in line for line in screen_lines(app))
        await press(app, pilot, "escape", "down", "up")
        await settled(app, pilot)
        assert all(each.rule is not None for each in screen.offers.offers)


async def test_the_head_line_has_the_sum_since_the_book_and_w_explains_drift(home: Path) -> None:
    async with running([written(home)], size=(200, 60)) as (app, pilot):
        assert "drift since the book 0.0" in screen_lines(app)[0]
        screen = await to_line(app, pilot, "honey")
        await press(app, pilot, "enter", "enter")
        bench = app.session.open_bench
        total = drift_from(bench.now.book, bench.now)
        assert total > 0 and f"drift since the book {total:.1f}" in screen_lines(app)[0]
        await to_line(app, pilot, "buttermilk")
        await press(app, pilot, "enter", "w")
        offer = screen.offers.offers[0]
        text = " ".join(screen_text(app).replace("┃", " ").split())
        assert DRIFT.split(":")[0] in text
        assert f"drift {offer.drift:.1f}, {offer.drift_from_book:.1f} since the book: what gives" in text


@pytest.mark.parametrize("size", SIZES)
async def test_any_step_is_taken_back_from_the_list(home: Path, size: tuple[int, int]) -> None:
    async with running([written(home)], size=size) as (app, pilot):
        await press(app, pilot, "U")
        assert "nothing was done since the book" in screen_text(app)
        await to_line(app, pilot, "honey")
        await press(app, pilot, "5", "0", "enter")
        await to_line(app, pilot, "salt")
        await press(app, pilot, "1", "4", "enter", "U")
        lines = [line for line in screen_lines(app) if "honey −10 g" in line or "salt +1 g" in line]
        assert len(lines) == 2 and lines[1].startswith(" ▸  2")
        now = app.session.open_bench.now
        assert f"{drift_from(now.book, now):.1f}" in lines[1], "the drift comes when it is worked out"
        await press(app, pilot, "up", "x")
        grams = {line.ingredient: line.grams for line in app.session.open_bench.formula.lines}
        assert grams["honey"] == 60 and grams["salt"] == 14
        assert "taken back: honey −10 g" in screen_text(app)
        assert isinstance(app.screen, BenchScreen) and app.screen.lines.line == 6, "what came back is highlighted"
        await press(app, pilot, "u")
        assert app.session.open_bench.formula.lines[6].grams == 50


async def test_a_step_that_a_later_one_builds_on_is_refused_in_one_line(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        await to_line(app, pilot, "linseed")
        await press(app, pilot, "j")
        await typed(pilot, "raisins")
        await press(app, pilot, "enter", "enter")
        await to_line(app, pilot, "raisins")
        await press(app, pilot, "1", "enter")  # less than the swap had brought in
        await press(app, pilot, "U", "up", "enter")
        assert "raisins is used by a later step" in screen_text(app) and "step 2 first" in screen_text(app)
        assert len(app.session.open_bench.work.variant.formula.lines) == 10
