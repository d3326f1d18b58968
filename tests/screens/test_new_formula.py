"""A formula written from nothing: named, its lines typed whole, not saved until it is."""

from __future__ import annotations

from pathlib import Path

import pytest
from driving import press, running, screen_lines, screen_text, settled, typed
from textual.pilot import Pilot

from adapter.files.formula_file import read_formula
from adapter.files.places import own_formulas_path
from adapter.screens.app import OtherloafApp
from adapter.screens.bench.leaving_dialog import LeavingDialog
from adapter.screens.bench.pieces_dialog import PiecesDialog
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.parts.dialogs import AskDialog, ChooseDialog

TEN_LINES = (
    ("500 g strong white flour", "bread flour", 500.0),
    ("1 cup wholemeal flour", "wholemeal wheat flour", None),
    ("2 tbsp honey", "honey", None),
    ("300 ml warm water", "water", None),
    ("1 large egg", "egg", 50.0),
    ("2 tsp fine sea salt", "salt", None),
    ("7 g fast-action dried yeast", "instant yeast", 7.0),
    ("50 g butter, melted", "butter", 50.0),
    ("half a cup of milk", "milk", None),
    ("soaker: 30 g sunflower seeds, toasted", "sunflower seeds", 30.0),
)


async def begun(app: OtherloafApp, pilot: Pilot[None], name: str = "Autumn loaf") -> None:
    await press(app, pilot, "f4", "ctrl+u")
    await typed(pilot, name)
    await press(app, pilot, "enter")


async def put_in(app: OtherloafApp, pilot: Pilot[None], text: str) -> None:
    await press(app, pilot, "a")
    await typed(pilot, text)
    await press(app, pilot, "enter")


def lines_of(app: OtherloafApp) -> list[tuple[str, float, str | None]]:
    return [(line.ingredient, line.grams, line.amount) for line in app.session.open_bench.formula.lines]


async def test_a_new_formula_begins_with_nothing_and_levels_come_with_the_first_flour(home: Path) -> None:
    async with running() as (app, pilot):
        await begun(app, pilot)
        assert isinstance(app.screen, BenchScreen)
        assert "Autumn loaf" in screen_lines(app)[0] and "not saved" in screen_lines(app)[0]
        assert lines_of(app) == [] and "they come with the first flour" in screen_text(app)
        assert "hydration" not in screen_text(app)
        await put_in(app, pilot, "300 g water")
        assert lines_of(app) == [("water", 300.0, None)] and "they come with the first flour" in screen_text(app)
        await put_in(app, pilot, "500 g bread flour")
        assert "hydration" in screen_text(app) and "they come with" not in screen_text(app)
        assert app.session.open_bench.formula.adapted is None, "what is written is the formula, no change to one"
        assert app.session.open_bench.now.value("hydration") == pytest.approx(60.0, abs=0.1)


async def test_what_needs_flour_says_so(home: Path) -> None:
    async with running() as (app, pilot):
        await begun(app, pilot)
        for key in ("b", "c", "e", "w", "s", "y", "v", "m"):
            await press(app, pilot, key)
            assert isinstance(app.screen, BenchScreen), key
            assert "no flour yet" in app.screen.said, key


async def test_leaving_a_formula_that_was_never_saved_asks(home: Path) -> None:
    async with running() as (app, pilot):
        await begun(app, pilot)
        await put_in(app, pilot, "500 g bread flour")
        await press(app, pilot, "q")
        assert isinstance(app.screen, LeavingDialog) and "Autumn loaf is not saved" in screen_text(app)
        await press(app, pilot, "escape")
        assert isinstance(app.screen, BenchScreen)
        await press(app, pilot, "q", "l")
        assert isinstance(app.screen, FormulasScreen) and "Autumn loaf" in screen_text(app)
        await press(app, pilot, "home", "enter")
        assert isinstance(app.screen, BenchScreen) and lines_of(app) == [("bread flour", 500.0, None)]
        await press(app, pilot, "q", "s", "enter")
        assert isinstance(app.screen, FormulasScreen)
        assert (own_formulas_path() / "autumn_loaf.toml").exists()
        assert "unsaved work" not in screen_text(app)


async def test_a_formula_without_flour_is_there_at_the_next_start(home: Path) -> None:
    async with running() as (app, pilot):
        await begun(app, pilot)
        await put_in(app, pilot, "3 eggs")
    async with running() as (app, pilot):
        await press(app, pilot, "home")
        assert "unsaved work" in screen_text(app) and "no flour yet" in screen_text(app)
        await press(app, pilot, "enter")
        assert lines_of(app) == [("egg", 150.0, "3 pieces")]
        await press(app, pilot, "q", "t")
        assert "unsaved work" not in screen_text(app)


async def test_eggs_are_counted_never_weighed_by_their_number(home: Path) -> None:
    async with running() as (app, pilot):
        await begun(app, pilot)
        for text, grams in (("1 egg", 50.0), ("eggs 3", 150.0), ("1 large egg", 50.0)):
            await put_in(app, pilot, text)
            assert lines_of(app)[-1][:2] == ("egg", grams), text
        assert len(lines_of(app)) == 3


async def test_a_bare_number_of_what_is_counted_asks(home: Path) -> None:
    async with running() as (app, pilot):
        await begun(app, pilot)
        for key, grams in (("g", 3.0), ("p", 150.0)):
            await put_in(app, pilot, "egg")
            assert isinstance(app.screen, AskDialog)
            await press(app, pilot, "3", "enter")
            assert isinstance(app.screen, PiecesDialog) and "g or pieces?" in screen_text(app)
            assert "3 pieces, 150 g" in screen_text(app)
            await press(app, pilot, key)
            assert lines_of(app)[-1][:2] == ("egg", grams)


async def test_an_amount_stays_as_written_with_its_grams_beside(home: Path) -> None:
    async with running() as (app, pilot):
        await begun(app, pilot)
        await put_in(app, pilot, "2 cups bread flour")
        assert lines_of(app)[0] == ("bread flour", pytest.approx(249.8, abs=0.1), "2 cups")
        row = next(line for line in screen_lines(app) if " bread flour " in line)
        assert "2 cups" in row and " 250 " in row
        await press(app, pilot, "s", "enter")
        text = (own_formulas_path() / "autumn_loaf.toml").read_text()
        assert 'amount = "2 cups"' in text and "grams" not in text
        assert "saved" in screen_lines(app)[0] and "not saved" not in screen_lines(app)[0]


async def test_the_chooser_takes_the_exact_name_first_and_names_the_nearest_of_a_stranger(home: Path) -> None:
    async with running() as (app, pilot):
        await begun(app, pilot)
        for words, first in (("salt", "salt"), ("flour", "white wheat flour"), ("poolish", "poolish")):
            await press(app, pilot, "a")
            await typed(pilot, words)
            await settled(app, pilot)
            assert isinstance(app.screen, ChooseDialog)
            assert any(line.strip().startswith(f"▸ {first}") for line in screen_lines(app)), words
            await press(app, pilot, "escape")
        await press(app, pilot, "a")
        await typed(pilot, "qqq")
        await press(app, pilot, "enter")
        assert isinstance(app.screen, ChooseDialog) and "nothing is called 'qqq'" in screen_text(app)
        assert "nearest:" in screen_text(app)


async def test_a_newcomer_types_ten_lines_with_no_wrong_ingredient_and_few_keys(home: Path) -> None:
    """At most 60 keys beyond the letters of name and lines."""
    keys = 0

    async def counted(*names: str) -> None:
        nonlocal keys
        keys += len(names)
        await press(app, pilot, *names)

    async with running() as (app, pilot):
        await counted("f4", "ctrl+u")
        await typed(pilot, "Our loaf")
        await counted("enter")
        for text, _, _ in TEN_LINES:
            await counted("a")
            await typed(pilot, text)
            await counted("enter")
        await counted("s", "enter")
        assert keys <= 60
        assert [line[0] for line in lines_of(app)] == [name for _, name, _ in TEN_LINES]
        for (text, _, grams), line in zip(TEN_LINES, lines_of(app), strict=True):
            assert grams is None or line[1] == grams, text
        by_name = {line[0]: line[1] for line in lines_of(app)}
        assert by_name["water"] == pytest.approx(300, abs=2) and by_name["salt"] == pytest.approx(12.2, abs=0.2)
        last = app.session.open_bench.formula.lines[-1]
        assert (last.stage, last.note) == ("soaker", "toasted") and "toasted" in screen_text(app)
        assert (own_formulas_path() / "our_loaf.toml").exists()


async def test_a_formula_needs_a_name(home: Path) -> None:
    async with running() as (app, pilot):
        await press(app, pilot, "f4", "ctrl+u", "enter")
        assert any("needs a name" in line for line in screen_lines(app))
        await press(app, pilot, "escape")
        assert app.session.piece is None


async def test_everything_of_a_formula_is_made_on_screen(home: Path) -> None:
    async def write(*downs: str, text: str) -> None:
        await press(app, pilot, *downs, "enter", "ctrl+u")
        await typed(pilot, text)
        await press(app, pilot, "enter")

    async with running() as (app, pilot):
        await begun(app, pilot)
        for text in ("40 g linseed", "60 g water", "400 g wholemeal rye flour", "300 g water"):
            await put_in(app, pilot, text)
        await press(app, pilot, "home", "f7")
        await write(text="soaker")
        await write("down", text="crushed")
        await write("down", text="95 F")
        await press(app, pilot, "escape")
        line = app.session.open_bench.formula.lines[0]
        assert (line.stage, line.note, line.temperature_c) == ("soaker", "crushed", 35.0)
        assert "soaker" in screen_text(app) and "crushed" in screen_text(app)
        await press(app, pilot, "down", "shift+up")
        assert app.session.open_bench.formula.lines[1].stage == "soaker", "over the edge of its stage"
        await press(app, pilot, "f8")
        await write("down", text="2")
        await write("down", text="24 x 11 x 9 with lid")
        await write("down", text="27")
        await write("down", text="70")
        await write("down", text="230")
        await write("down", text="97")
        await write("down", text="Mix. / Bake.")
        await press(app, pilot, "down", "down")
        await write(text="8 h 20")
        await press(app, pilot, "up", "shift+down", "escape")
        formula = app.session.open_bench.formula
        assert formula.stages() == ("dough", "soaker") and formula.plan_of("soaker") is not None
        assert formula.pieces == 2 and formula.tin is not None and formula.tin.lidded
        assert (formula.proof.temperature_c, formula.proof.rise_percent) == (27, 70)
        assert (formula.bake.oven_c, formula.bake.core_c, formula.note) == (230, 97, "Mix.\nBake.")
        assert "2 tins" in screen_lines(app)[0] and formula.adapted is None
        await press(app, pilot, "s", "enter")
        path = own_formulas_path() / "autumn_loaf.toml"
        assert read_formula(path, app.session.open_bench.kitchen.catalogue) == formula


async def test_an_amount_without_a_name_is_no_line(home: Path) -> None:
    async with running() as (app, pilot):
        await begun(app, pilot)
        await put_in(app, pilot, "40 g")
        assert isinstance(app.screen, ChooseDialog) and "40 g of what?" in screen_text(app)
