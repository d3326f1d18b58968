"""The pantry: typed over in place, written at once and whole; own figures reach the bench; nothing typed is lost."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from driving import press, settled, typed
from standing import HOSTILE, HUT_LOAF, SIZES, line_with, sample, session_of, shown, standing_on
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from adapter.dough.readings.registry import READING_KEYS
from adapter.files.pantry_file import read_pantry
from adapter.files.places import own_pantry_path, sample_pantry
from adapter.formula.pantry import Pantry
from adapter.screens.app import OtherloafApp
from adapter.screens.pantry.screen import PantryScreen
from adapter.screens.pantry.stock_table import BEST_BEFORE, GRAMS, PRICE
from adapter.screens.parts.cells import CellRows
from adapter.screens.parts.dialogs import AskDialog, ChooseDialog, ConfirmDialog
from adapter.words.stock_typing import price_shown, stock_shown
from adapter.words.text_report import figure_text

OWN = """# what is in the cellar
[pantry]
name = "Cellar"
[[stock]]
ingredient = "honey"
grams = 300 # the dark one
price_per_kg = 11
[[stock]]
ingredient = "sour whey"
grams = 110
[shelf]
note = "second from the left"
"""


def own_pantry(home: Path, text: str = OWN) -> Path:
    path = home / "pantry.toml"
    path.write_text(text, encoding="utf-8")
    return path


async def pantry(pilot: Pilot[None]) -> PantryScreen:
    screen = PantryScreen()
    await pilot.app.push_screen(screen)
    await settled(app_of(pilot), pilot)
    return screen


def app_of(pilot: Pilot[None]) -> OtherloafApp:
    app = pilot.app
    assert isinstance(app, OtherloafApp)
    return app


async def over(app: OtherloafApp, pilot: Pilot[None], text: str) -> None:
    """Type a text over what stands in the cell or the field that has the keys."""
    field = app.focused
    if isinstance(field, Input):
        field.value = ""
    await typed(pilot, text)
    if isinstance(field, CellRows) and field.edit is not None and not text:
        await pilot.press("backspace")


def cell(rows: CellRows) -> str | None:
    """What stands in the cell that is typed over; None when none is."""
    return None if rows.edit is None else rows.edit.text


async def to_entry(pilot: Pilot[None], screen: PantryScreen, name: str, column: int = GRAMS) -> None:
    place = next(i for i, entry in enumerate(screen.pantry.stock) if entry.ingredient == name)
    screen.stock.column = column
    screen.stock.focus()
    screen.stock.highlight(place)
    await settled(app_of(pilot), pilot)


async def to_figure(pilot: Pilot[None], screen: PantryScreen, name: str, key: str) -> None:
    await to_entry(pilot, screen, name)
    await press(app_of(pilot), pilot, "tab")
    screen.figures.highlight(screen.figures.keys.index(key))
    await settled(app_of(pilot), pilot)


def on_file(pilot: Pilot[None]) -> Pantry:
    tables = session_of(pilot).tables
    assert tables is not None
    return read_pantry(own_pantry_path(), tables.shipped.catalogue)


# ---------------------------------------------------------------------- what is shown


@pytest.mark.parametrize("size", SIZES)
async def test_every_entry_is_shown_with_its_numbers_whole(size: tuple[int, int]) -> None:
    async with standing_on(sample(HUT_LOAF), size) as pilot:
        screen = await pantry(pilot)
        stock = screen.pantry.stock
        assert len(stock) > 30
        for place, entry in enumerate(stock):
            screen.stock.highlight(place)
            await pilot.pause()
            line = line_with(pilot, f"▸ {entry.ingredient} ")
            assert f" {stock_shown(entry.grams)} " in line
            assert f" {price_shown(entry.price_per_kg)}" in line
            assert entry.best_before is None or f" {entry.best_before.isoformat()}" in line


@pytest.mark.parametrize("size", SIZES)
async def test_the_figures_of_an_entry_are_shown_with_the_tables(size: tuple[int, int]) -> None:
    async with standing_on(sample(HUT_LOAF), size) as pilot:
        screen = await pantry(pilot)
        await to_figure(pilot, screen, "sour whey", "ph")
        assert set(screen.figures.keys) >= {"sugar", "salt", "fat", "protein", "fibre", "water", "ph", "tta"}
        ingredient = screen.keeper.shipped_catalogue.get("sour whey")
        assert ingredient.acidity is not None and ingredient.acidity.ph is not None
        ph = ingredient.acidity.ph
        assert f" {ph.value:g} ± {ph.spread:g} " in line_with(pilot, "▸ pH")


async def test_only_figures_that_an_ingredient_can_have_are_asked_for() -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await pantry(pilot)
        for name, has, has_not in (
            ("wholemeal rye flour", "falling_number", "acid_percent"),
            ("cider vinegar", "acid_percent", "falling_number"),
            ("rye sourdough", "ph", "sugar"),
        ):
            await to_entry(pilot, screen, name)
            assert has in screen.figures.keys and has_not not in screen.figures.keys


async def test_what_the_formula_on_the_bench_takes_and_what_is_short() -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await pantry(pilot)
        await to_entry(pilot, screen, "sour whey")
        assert "! 320" in line_with(pilot, "▸ sour whey")
        assert "takes 320 g: 120 g short" in shown(pilot)


async def test_a_date_gone_by_is_marked_by_sign_and_sentence(home: Path) -> None:
    own_pantry(home, OWN.replace("grams = 110", "grams = 110\nbest_before = 2001-05-04"))
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        screen.today = date(2031, 6, 9)
        screen.show_pantry()
        await to_entry(pilot, screen, "sour whey")
        assert "! 2001-05-04" in line_with(pilot, "▸ sour whey")
        assert "best before 2001-05-04: gone by" in shown(pilot)


async def test_a_hostile_pantry_shows_verbatim(home: Path) -> None:
    own_pantry(home, OWN.replace('"Cellar"', f"'{HOSTILE}'").replace("[pantry]", "[pantry] # \u202e", 1))
    async with standing_on(None, (120, 34)) as pilot:
        await pantry(pilot)
        assert HOSTILE in shown(pilot)


# ---------------------------------------------------------------------- typing over


async def test_the_sample_becomes_the_bakers_own_by_the_first_change() -> None:
    resource = sample_pantry()
    assert resource is not None
    before = resource.read_bytes()
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await pantry(pilot)
        assert "sample" in shown(pilot).splitlines()[0] and not own_pantry_path().exists()
        await to_entry(pilot, screen, "sour whey")
        await press(app_of(pilot), pilot, "enter")
        await over(app_of(pilot), pilot, "2 kg")
        await press(app_of(pilot), pilot, "enter")
        assert on_file(pilot).grams_of("sour whey") == 2000
        assert len(on_file(pilot).stock) == len(screen.pantry.stock)
        assert "your own pantry" in screen.said
        top = shown(pilot).splitlines()[0]  # with its path where that fits beside the name
        assert f"saved in {own_pantry_path()}" in top or top.rstrip().endswith(" saved")
        assert " 2000 " in line_with(pilot, "sour whey")
    assert resource.read_bytes() == before


async def test_a_change_keeps_the_comments_and_tables_of_the_bakers_own_file(home: Path) -> None:
    path = own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        await to_entry(pilot, screen, "honey")
        await press(app_of(pilot), pilot, "enter")
        await over(app_of(pilot), pilot, "280")
        await press(app_of(pilot), pilot, "enter")
    assert path.read_text() == OWN.replace("grams = 300 #", "grams = 280 #")


async def test_a_digit_begins_and_tab_goes_on_to_price_and_date(home: Path) -> None:
    own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        await to_entry(pilot, screen, "sour whey")
        await typed(pilot, "500")
        await press(app_of(pilot), pilot, "tab")
        await over(app_of(pilot), pilot, "3.60 for 750 g")
        await press(app_of(pilot), pilot, "tab")
        await over(app_of(pilot), pilot, "4.5.2031")
        await press(app_of(pilot), pilot, "enter")
        (entry,) = on_file(pilot).of("sour whey")
        assert (entry.grams, entry.price_per_kg, entry.best_before) == (500, pytest.approx(4.8), date(2031, 5, 4))
        assert screen.focused is screen.stock


BAD_INPUT = (
    (GRAMS, "some", "some"),
    (GRAMS, "-5", "negative"),
    (GRAMS, "1e9", "too much"),
    (GRAMS, "nan", "amount"),
    (GRAMS, "3 in", "length"),
    (GRAMS, "", "no amount"),
    (PRICE, "cheap", "not a price"),
    (PRICE, "-1", "negative"),
    (PRICE, "1,250", "two ways"),
    (BEST_BEFORE, "2031-02-30", "no date"),
    (BEST_BEFORE, "soon", "no date"),
)


async def test_what_cannot_be_meant_is_one_line_and_stays_to_be_mended(home: Path) -> None:
    path = own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        for column, text, said in BAD_INPUT:
            await to_entry(pilot, screen, "honey", column)
            await press(app_of(pilot), pilot, "enter")
            await over(app_of(pilot), pilot, text)
            await press(app_of(pilot), pilot, "enter")
            assert screen.said.startswith("! ") and "\n" not in screen.said
            assert said in screen.said, (text, screen.said)
            assert cell(screen.stock) == text
            assert path.read_text() == OWN
            await press(app_of(pilot), pilot, "escape")
            assert cell(screen.stock) is None and screen.focused is screen.stock and screen.said == ""
        assert screen.pantry.grams_of("honey") == 300


async def test_keys_that_come_in_one_burst_all_land_in_the_cell(home: Path) -> None:
    own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        await to_entry(pilot, screen, "honey")
        app = app_of(pilot)
        for key in ("enter", "7", "5", "0", "space", "g", "enter", "down"):
            app.post_message(events.Key(key, {"space": " "}.get(key, key if len(key) == 1 else None)))
        await settled(app, pilot)
        assert on_file(pilot).grams_of("honey") == 750
        assert screen.entry is not None and screen.entry.ingredient == "sour whey"


async def test_a_text_longer_than_its_cell_is_seen_around_the_caret(home: Path) -> None:
    own_pantry(home)
    async with standing_on(None, (80, 24)) as pilot:
        screen = await pantry(pilot)
        await to_entry(pilot, screen, "honey", PRICE)
        await typed(pilot, "3")
        screen.stock.on_paste(events.Paste(".60 for 1 lb\nand 8 oz of it"))
        await settled(app_of(pilot), pilot)
        assert cell(screen.stock) == "3.60 for 1 lb and 8 oz of it"
        assert "lb and 8 oz of it" in line_with(pilot, "▸ honey")
        await press(app_of(pilot), pilot, "home", "delete", "delete", "4", "end", "backspace", "left", "x")
        assert cell(screen.stock) == "460 for 1 lb and 8 oz of xi"
        await press(app_of(pilot), pilot, "ctrl+u")
        assert cell(screen.stock) == "i"


async def test_clicking_a_cell_highlights_it_and_clicking_again_types_it_over(home: Path) -> None:
    own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        place = screen.stock.cell_region(1, PRICE)
        await pilot.click("#stock", offset=(place.x + 1, place.y))
        assert (screen.stock.index, screen.stock.column, cell(screen.stock)) == (1, PRICE, None)
        await pilot.click("#stock", offset=(place.x + 1, place.y))
        await settled(app_of(pilot), pilot)
        assert cell(screen.stock) == ""


async def test_clicking_elsewhere_takes_what_was_typed(home: Path) -> None:
    own_pantry(home)
    async with standing_on(None, (200, 60)) as pilot:
        screen = await pantry(pilot)
        await to_entry(pilot, screen, "honey")
        await press(app_of(pilot), pilot, "enter")
        await over(app_of(pilot), pilot, "250")
        await pilot.click("#figures")
        await settled(app_of(pilot), pilot)
        assert on_file(pilot).grams_of("honey") == 250 and cell(screen.stock) is None


# ---------------------------------------------------------------------- entries in and out


async def test_an_ingredient_is_put_in_by_roughly_its_name(home: Path) -> None:
    own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        await press(app_of(pilot), pilot, "a")
        assert isinstance(pilot.app.screen, ChooseDialog)
        await typed(pilot, "buttermlk")
        await press(app_of(pilot), pilot, "enter")
        assert isinstance(pilot.app.screen, AskDialog)
        assert "How much buttermilk?" in shown(pilot)
        await over(app_of(pilot), pilot, "2 cups")
        await press(app_of(pilot), pilot, "enter")
        # 1 US cup is 236.5882 mL: NIST Handbook 44, appendix C.
        density = screen.keeper.shipped_catalogue.get("buttermilk").property("density_g_ml")
        assert on_file(pilot).grams_of("buttermilk") == pytest.approx(2 * 236.5882 * density, abs=0.05)
        assert screen.entry is not None and screen.entry.ingredient == "buttermilk"
        await press(app_of(pilot), pilot, "a")
        await typed(pilot, "1.5 kg rye flour")
        await press(app_of(pilot), pilot, "enter")
        assert on_file(pilot).grams_of("medium rye flour") == 1500.0, "an amount that was typed is not asked for again"


async def test_striking_and_taking_it_back(home: Path) -> None:
    path = own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        await to_entry(pilot, screen, "honey")
        await press(app_of(pilot), pilot, "x")
        assert [entry.ingredient for entry in on_file(pilot).stock] == ["sour whey"]
        await press(app_of(pilot), pilot, "u")
        assert [entry.ingredient for entry in on_file(pilot).stock] == ["honey", "sour whey"]
        await press(app_of(pilot), pilot, "u")
        assert "nothing to undo" in screen.said
    assert "second from the left" in path.read_text()


async def test_an_entry_is_found_by_roughly_its_name() -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await pantry(pilot)
        await press(app_of(pilot), pilot, "slash")
        await typed(pilot, "molt syrup")
        await press(app_of(pilot), pilot, "enter")
        assert screen.entry is not None and screen.entry.ingredient == "malt syrup"


async def test_an_empty_pantry_to_begin_with_is_asked_for_and_can_be_filled() -> None:
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        await press(app_of(pilot), pilot, "t")
        assert isinstance(pilot.app.screen, ConfirmDialog)
        await press(app_of(pilot), pilot, "y")
        assert on_file(pilot).stock == () and "nothing in stock" in shown(pilot)
        for key in ("enter", "x", "tab", "right", "5"):
            await press(app_of(pilot), pilot, key)
            assert pilot.app.screen is screen and cell(screen.stock) is None
        await press(app_of(pilot), pilot, "a")
        await typed(pilot, "roasted rye malt")
        await press(app_of(pilot), pilot, "enter", "enter")
        (entry,) = on_file(pilot).stock
        assert (entry.ingredient, entry.grams) == ("roasted rye malt", None)


# ---------------------------------------------------------------------- own figures


async def test_a_packets_figure_goes_over_the_table_and_onto_the_bench() -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        session = session_of(pilot)
        before = session.open_bench.now.reading("ph")
        screen = await pantry(pilot)
        await to_figure(pilot, screen, "sour whey", "ph")
        await typed(pilot, "4.1")
        await press(app_of(pilot), pilot, "enter")
        assert session.tables is not None
        whey = session.tables.kitchen.catalogue.get("sour whey")
        assert whey.overrides == ("ph",) and whey.acidity is not None and whey.acidity.ph is not None
        assert whey.acidity.ph.value == 4.1
        after = session.open_bench.now.reading("ph")
        assert after.value < before.value and after.spread < before.spread
        assert "* 4.1 ± 0.05" in line_with(pilot, "▸ pH") and "* pH" in line_with(pilot, "sour whey", "200")
        acid = (before, after)
        was, now = (f"{figure_text('ph', each.value)} ± {figure_text('ph', each.spread)}" for each in acid)
        assert f"pH {was} → {now}" in screen.said


async def test_a_spread_that_is_typed_is_the_one_that_counts() -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        session = session_of(pilot)
        screen = await pantry(pilot)
        spreads = []
        for text in ("4.0 +- 0.8", "4.0 +- 0.1"):
            await to_figure(pilot, screen, "sour whey", "sugar")
            await press(app_of(pilot), pilot, "enter")
            await over(app_of(pilot), pilot, text)
            await press(app_of(pilot), pilot, "enter")
            spreads.append(session.open_bench.now.spread("sugar"))
            screen.stock.focus()
        assert spreads[1] < spreads[0]
        (entry,) = on_file(pilot).of("sour whey")
        assert entry.measurement is not None and entry.measurement.sugar is not None
        assert (entry.measurement.sugar.value, entry.measurement.sugar.spread) == (4.0, 0.1)


async def test_striking_an_own_figure_gives_the_table_back_to_the_last_digit() -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        session = session_of(pilot)
        before = {key: session.open_bench.now.reading(key) for key in READING_KEYS}
        screen = await pantry(pilot)
        await to_figure(pilot, screen, "wholemeal rye flour", "falling_number")
        await typed(pilot, "120")
        await press(app_of(pilot), pilot, "enter")
        assert session.open_bench.now.value("starch_attack") > before["starch_attack"].value
        await press(app_of(pilot), pilot, "x")
        assert {key: session.open_bench.now.reading(key) for key in READING_KEYS} == before
        assert "table's figure again" in screen.said


async def test_a_figure_that_cannot_be_is_refused_and_changes_nothing() -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        session = session_of(pilot)
        kitchen = session.tables.kitchen if session.tables is not None else None
        screen = await pantry(pilot)
        await to_figure(pilot, screen, "sour whey", "sugar")
        await typed(pilot, "99")
        await press(app_of(pilot), pilot, "enter")
        assert screen.said.startswith("! ") and "leave no room" in screen.said
        assert cell(screen.figures) == "99"
        assert session.tables is not None and session.tables.kitchen is kitchen
        assert session.pantry_is_sample and not own_pantry_path().exists()


async def test_an_own_pantry_is_read_at_the_next_start_with_its_figures() -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await pantry(pilot)
        await to_figure(pilot, screen, "sour whey", "tta")
        await typed(pilot, "8")
        await press(app_of(pilot), pilot, "enter")
        value = session_of(pilot).open_bench.now.value("tta")
    async with standing_on(sample(HUT_LOAF)) as pilot:
        assert session_of(pilot).open_bench.now.value("tta") == value


# ---------------------------------------------------------------------- the file


async def test_a_file_that_another_program_changed_is_not_written_over_unasked(home: Path) -> None:
    path = own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        theirs = OWN.replace("grams = 110", "grams = 990")
        path.write_text(theirs)
        await to_entry(pilot, screen, "honey")
        await press(app_of(pilot), pilot, "enter")
        await over(app_of(pilot), pilot, "250")
        await press(app_of(pilot), pilot, "enter")
        assert "another program" in screen.said and "NOT SAVED" in shown(pilot).splitlines()[0]
        assert path.read_text() == theirs and screen.pantry.grams_of("honey") == 250
        await press(app_of(pilot), pilot, "s")
        assert isinstance(pilot.app.screen, ConfirmDialog)
        await press(app_of(pilot), pilot, "n")
        assert path.read_text() == theirs
        await press(app_of(pilot), pilot, "o", "y")
        assert (screen.pantry.grams_of("honey"), screen.pantry.grams_of("sour whey")) == (300, 990)
        assert "NOT SAVED" not in shown(pilot)
        await press(app_of(pilot), pilot, "u")
        assert screen.pantry.grams_of("honey") == 250


async def test_writing_over_the_other_programs_file_when_told_so(home: Path) -> None:
    path = own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        path.write_text(OWN.replace("grams = 110", "grams = 990"))
        await to_entry(pilot, screen, "honey")
        await press(app_of(pilot), pilot, "x", "s", "y")
        assert [(entry.ingredient, entry.grams) for entry in on_file(pilot).stock] == [("sour whey", 110)]


async def test_what_could_not_be_written_is_said_and_kept(home: Path) -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        (home / "pantry.toml").mkdir()
        screen = await pantry(pilot)
        await to_entry(pilot, screen, "sour whey")
        await press(app_of(pilot), pilot, "x")
        assert screen.said.startswith("! ") and "directory" in screen.said
        assert "NOT SAVED" in shown(pilot).splitlines()[0]
        (home / "pantry.toml").rmdir()
        await press(app_of(pilot), pilot, "s")
        assert "sour whey" not in {entry.ingredient for entry in on_file(pilot).stock}
        assert "NOT SAVED" not in shown(pilot)


async def test_coming_back_tells_what_is_still_not_saved(home: Path) -> None:
    path = own_pantry(home)
    async with standing_on(None) as pilot:
        screen = await pantry(pilot)
        path.write_text(OWN.replace("grams = 110", "grams = 990"))
        await to_entry(pilot, screen, "honey")
        await press(app_of(pilot), pilot, "x", "q")
        screen = await pantry(pilot)
        assert "changed by another program" in screen.said and "NOT SAVED" in shown(pilot).splitlines()[0]
        assert [entry.ingredient for entry in screen.pantry.stock] == ["sour whey"]


@pytest.mark.parametrize("left", ["by Ctrl+Q", "by a signal", "by a signal before the key"])
async def test_a_number_half_typed_is_taken_by_leaving_and_not_by_a_signal(home: Path, left: str) -> None:
    path = own_pantry(home)
    async with standing_on(sample(HUT_LOAF)) as pilot:
        app = app_of(pilot)
        screen = await pantry(pilot)
        await to_entry(pilot, screen, "honey", PRICE)
        if left == "by a signal before the key":
            app.end_by(15)
            assert screen.stock.opener is not None
            screen.stock.opener("1")
        else:
            await typed(pilot, "1")
        assert cell(screen.stock) == "1"
        if left == "by Ctrl+Q":
            await press(app, pilot, "ctrl+q")
        elif left == "by a signal":
            app.end_by(15)
        await pilot.pause()
    text = path.read_text(encoding="utf-8")
    assert "price_per_kg = 1\n" in text if left == "by Ctrl+Q" else text == OWN
