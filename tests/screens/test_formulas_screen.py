"""The first screen: what it lists, how it finds, what it shows before a formula is opened."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from driving import DARK_LOAF, press, running, screen_lines, screen_text, settled, typed, written

from adapter.files.places import own_formulas_path, samples
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.parts.dialogs import ConfirmDialog
from adapter.screens.parts.rows import RowList
from adapter.work.formula_list import SAMPLE, Entry, title_at_a_glance


def formulas(screen: object) -> FormulasScreen:
    assert isinstance(screen, FormulasScreen)
    return screen


def listed(screen: FormulasScreen) -> list[str]:
    return [entry.title for entry in screen._shown if entry is not None]


async def test_samples_and_own_formulas_are_listed_by_their_names() -> None:
    written(own_formulas_path())
    async with running() as (app, _):
        titles = listed(formulas(app.screen))
        assert titles[0] == "Dark trial loaf"
        assert len(titles) == 1 + len(samples())
        text = screen_text(app)
        assert "your own" in text and "samples" in text and "Hut everyday loaf" in text


async def test_typing_filters_and_escape_clears() -> None:
    async with running() as (app, pilot):
        screen = formulas(app.screen)
        await typed(pilot, "every")
        await press(app, pilot)
        assert listed(screen) == ["Hut everyday loaf"]
        assert "find: every" in screen_text(app)
        await press(app, pilot, *["backspace"] * 5)
        assert len(listed(screen)) == len(samples())
        await typed(pilot, "q j")
        assert screen.filter == "q j"
        assert "nothing is called that" in screen_text(app)
        await press(app, pilot, "escape")
        assert screen.filter == "" and app.is_running


async def test_the_preview_follows_the_highlight_with_lines_and_levels() -> None:
    async with running(size=(120, 40)) as (app, pilot):
        await typed(pilot, "hut")
        await press(app, pilot)
        lines = screen_lines(app)
        text = "\n".join(lines)
        assert "medium rye flour" in text and "hydration" in text
        reading = next(line for line in lines if " hydration " in line)
        assert "●" in reading and "[" in reading
        assert "mixed rye bread" in text
        assert "1 tin 2.3 L" in formulas(app.screen).said
        await press(app, pilot, "escape", "end")
        text = screen_text(app)
        assert "currants" in text and "wheat bread" in text and "medium rye flour" not in text


async def test_the_preview_gives_the_numbers_of_the_core() -> None:
    from adapter.words.text_report import figure_text

    async with running(size=(120, 40)) as (app, _):
        screen = formulas(app.screen)
        entry = screen.entry
        assert entry is not None and entry.group == SAMPLE
        measured = app.session.measured(app.session.read(entry)[0])
        row = next(line for line in screen_lines(app) if " TTA " in line)
        assert figure_text("tta", measured.value("tta")) in row


async def test_enter_opens_the_bench_and_q_comes_back() -> None:
    async with running() as (app, pilot):
        await press(app, pilot, "enter")
        assert isinstance(app.screen, BenchScreen)
        await press(app, pilot, "q")
        formulas(app.screen)


async def test_enter_before_the_tables_are_read_opens_as_soon_as_they_are() -> None:
    from adapter.screens.app import OtherloafApp

    app = OtherloafApp()
    async with app.run_test(size=(120, 34)) as pilot:
        formulas(app.screen).action_open()
        await press(app, pilot)
        assert isinstance(app.screen, BenchScreen)


async def test_a_named_file_opens_on_its_bench(home: Path) -> None:
    async with running([written(home)]) as (app, _):
        assert isinstance(app.screen, BenchScreen)
        assert "Dark trial loaf" in screen_lines(app)[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("[formula]\nname = ", "is not TOML"),
        ('[formula]\nname = "x"\n[[line]]\ningredient = "kefirr"\ngrams = 5', "unknown ingredient"),
        ('[formula]\nname = "x"\n[[line]]\ningredient = "water"\ngrams = 5', "has no flour"),
        ('[formula]\nname = "x"\n[[line]]\ningredient = "salt"\ngrams = -5', "negative"),
    ],
)
async def test_a_bad_file_is_one_line_and_stays_closed(home: Path, text: str, said: str) -> None:
    bad = written(home, text, "bad_one.toml")
    good = written(home)
    async with running([bad, good]) as (app, pilot):
        screen = formulas(app.screen)
        assert said in screen.said and screen.said.startswith("! ")
        assert "\n" not in screen.said
        await press(app, pilot, "enter")
        formulas(app.screen)
        await press(app, pilot, "down", "enter")
        assert isinstance(app.screen, BenchScreen)


HOSTILE = "[bold]evil[/] \\u001b[31m \\u202eRTL [@click=app.exit]x[/] " + "n" * 400


async def test_hostile_names_show_as_they_are_and_do_nothing(home: Path) -> None:
    path = written(home, DARK_LOAF.replace("Dark trial loaf", HOSTILE), "[red]name.toml")
    other = written(home)
    async with running([path, other], size=(120, 34)) as (app, pilot):
        text = screen_text(app)
        assert "[bold]evil[/]" in text
        assert "\x1b" not in text and "\u202e" not in text
        await press(app, pilot, "enter")
        assert isinstance(app.screen, BenchScreen)
        lines = screen_lines(app)
        assert lines[0].startswith(" [bold]evil[/]") and "1 tin 2.2 L" in lines[0]
        assert lines[0].rstrip().endswith("drift 0.0 · saved")
        assert all(len(line) == 120 for line in lines)


async def test_unsaved_work_stands_at_the_top_at_the_next_start_and_can_be_thrown_away(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        await press(app, pilot, "down", "down", "g")
        await typed(pilot, "500")
        await press(app, pilot, "enter")
    async with running() as (app, pilot):
        screen = formulas(app.screen)
        assert listed(screen)[0] == "Dark trial loaf"
        assert "unsaved work" in screen_text(app)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, BenchScreen)
        assert [line.grams for line in app.session.open_bench.formula.lines][2] == 500
        await press(app, pilot, "u")
        assert [line.grams for line in app.session.open_bench.formula.lines][2] == 480
        await press(app, pilot, "r", "q")
        screen = formulas(app.screen)
        assert listed(screen)[0] == "Dark trial loaf"
        await press(app, pilot, "home", "delete")
        assert isinstance(app.screen, ConfirmDialog)
        await press(app, pilot, "y")
        assert listed(screen)[0] != "Dark trial loaf"
    async with running() as (app, _):
        assert "unsaved work" not in screen_text(app)


async def test_an_unreadable_draft_is_told_and_nothing_breaks(home: Path) -> None:
    drafts = home / "drafts"
    drafts.mkdir()
    (drafts / "20310101-000000-00000000.1.json").write_text("{", encoding="utf-8")
    async with running() as (app, _):
        assert "draft" in formulas(app.screen).said


async def test_leaving_asks_first() -> None:
    async with running() as (app, pilot):
        await press(app, pilot, "escape")
        assert isinstance(app.screen, ConfirmDialog)
        await press(app, pilot, "n")
        formulas(app.screen)
        await press(app, pilot, "escape", "y")
        assert not app.is_running or app._exit


async def test_small_and_large_windows_cut_no_number() -> None:
    for size in ((80, 24), (120, 34), (200, 60)):
        async with running(size=size) as (app, pilot):
            await typed(pilot, "hut")
            await press(app, pilot)
            row = next(line for line in screen_lines(app) if "effective hydration" in line)
            value = app.session.measured(app.session.read(formulas(app.screen).entry)[0]).value("effective_hydration")
            assert f"{value:.1f}" in row
            if size[0] == 200:
                assert row.rstrip().endswith("52–80")
            assert formulas(app.screen).query_one("#list", RowList).size.width >= 28


async def test_it_lays_out_anew_when_the_window_changes() -> None:
    async with running(size=(120, 34)) as (app, pilot):
        await typed(pilot, "hut")
        await pilot.resize_terminal(80, 24)
        await press(app, pilot)
        assert all(len(line) == 80 for line in screen_lines(app))
        assert "find: hut" in screen_text(app) and "hydration" in screen_text(app)


def test_a_glance_at_a_file_finds_its_name(tmp_path: Path) -> None:
    assert title_at_a_glance(written(tmp_path)) == "Dark trial loaf"
    assert title_at_a_glance(written(tmp_path, "no toml at all", "some_loaf.toml")) == "some loaf"
    assert title_at_a_glance(tmp_path / "missing.toml") == "missing"


def test_words_find_in_any_order() -> None:
    entry = Entry(SAMPLE, "Hut everyday loaf")
    assert entry.found_by("day hut") and entry.found_by("SAMPLES") and not entry.found_by("light")


async def test_unsaved_work_stays_in_sight_of_a_search_and_says_variants_and_when(home: Path) -> None:
    async with running([written(home)]) as (app, pilot):
        await press(app, pilot, "v", "v", "5", "0", "enter", "q")
        await typed(pilot, "raisin")
        await settled(app, pilot)
        lines = screen_lines(app)
        place = next(at for at, line in enumerate(lines) if "Dark trial loaf" in line)
        assert f"3 variants · {datetime.now():%d %b}" in lines[place + 1]
        screen = app.screen
        assert isinstance(screen, FormulasScreen) and screen.entry is not None
        assert "raisin" in screen.entry.title.casefold()  # the highlight goes to what was looked for
        await typed(pilot, "qqq")
        assert "nothing is called that" in screen_text(app) and "Dark trial loaf" in screen_text(app)
