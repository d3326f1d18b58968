"""What holds on every screen: messages that go, copying, what is remembered, what the palette finds."""

from __future__ import annotations

from pathlib import Path

import pytest
from driving import command, press, running, screen_text, settled, typed, written
from textual.events import Key

from adapter.files.places import own_pantry_path, sample_pantry
from adapter.screens.app import OtherloafApp
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.compare.screen import CompareScreen
from adapter.screens.export.screen import ExportScreen
from adapter.screens.parts import top_lines
from adapter.screens.parts.copying import refusal
from adapter.screens.parts.registry import SCREENS
from adapter.screens.parts.shell import OtherloafScreen
from adapter.screens.theme import DARK, LIGHT
from adapter.work.preferences import Preferences

WAYS = {"bench": (), "compare": ("c",), "pantry": ("p",), "bake": ("b",), "export": ("e",)}


@pytest.fixture
def loaf(tmp_path: Path) -> Path:
    return written(tmp_path / "breads")


@pytest.fixture
def stocked(home: Path) -> None:
    """A pantry of one's own, with what the store of the samples holds."""
    store = sample_pantry()
    assert store is not None
    own_pantry_path().write_bytes(store.read_bytes())


async def test_an_old_message_goes_with_the_next_key(loaf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "h")
        screen = app.screen
        assert isinstance(screen, BenchScreen) and "is held" in screen.said
        await press(app, pilot, "down")
        assert screen.said == ""
        screen.say("a fault", fault=True)
        await press(app, pilot, "down")
        assert screen.said == "! a fault"  # it can be read for a while
        monkeypatch.setattr(top_lines, "monotonic", lambda: 1e12)
        await press(app, pilot, "down")
        assert screen.said == ""


async def test_what_stands_in_the_line_comes_back(home: Path) -> None:
    async with running() as (app, pilot):
        screen = app.screen
        assert isinstance(screen, OtherloafScreen) and "g dough" in screen.said
        standing = screen.said
        await press(app, pilot, "delete")
        assert "only unsaved work" in screen.said
        await press(app, pilot, "f3")
        assert screen.said == standing


async def test_enter_in_the_field_of_a_path_writes_nothing(loaf: Path, tmp_path: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "e", "n")
        screen = app.screen
        assert isinstance(screen, ExportScreen)
        screen.path_field.value = str(tmp_path / "out.toml")
        await press(app, pilot, "enter")
        assert not (tmp_path / "out.toml").exists() and screen.focused is screen.forms
        assert "writes it" in screen.said
        await press(app, pilot, "s")
        assert (tmp_path / "out.toml").exists()


@pytest.mark.parametrize("name", WAYS)
async def test_every_screen_hands_its_text_to_the_terminal(
    loaf: Path, stocked: None, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("TERM_PROGRAM", raising=False)
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, *WAYS[name])
        await press(app, pilot, "y")
        assert app.screen.__class__.__name__ == SCREENS[name].made
        expected = {"pantry": "kefir"}.get(name, "Dark trial loaf")
        assert expected in app.clipboard and "handed to the terminal to copy" in screen_text(app)
        assert "\x1b" not in app.clipboard


def test_a_terminal_that_refuses_is_told_apart() -> None:
    able = {"TERM": "xterm-256color"}
    assert refusal("text", able) == ""
    assert "does not let a program copy" in refusal("text", {"TERM": "linux"})
    assert "does not let a program copy" in refusal("text", {})
    assert "does not let a program copy" in refusal("text", {**able, "TERM_PROGRAM": "Apple_Terminal"})
    assert "too long" in refusal("x" * 100_000, able)
    assert "nothing to copy" in refusal(" \n", able)


# ---------------------------------------------------------------------- what is remembered


async def test_the_room_is_remembered(home: Path) -> None:
    async with running() as (app, pilot):
        assert app.theme == DARK
        await press(app, pilot, "f3")
        assert app.theme == LIGHT
    async with running() as (app, _):
        assert app.theme == LIGHT


async def test_what_is_shown_of_a_list_is_remembered(loaf: Path, stocked: None) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "i", "v", "c", "d")
    async with running([loaf]) as (app, pilot):
        assert "in stock for linseed" in screen_text(app)
        await press(app, pilot, "v", "c")
        assert "clear differences" in screen_text(app).splitlines()[0]


async def test_the_compared_columns_are_remembered(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "v", "5", "enter", "v", "6", "enter", "c")
        screen = app.screen
        assert isinstance(screen, CompareScreen)
        assert [each.sign for each in screen.chosen] == ["A", "B", "C"]
        await press(app, pilot, "f", "c", "down", "space", "enter", "q", "c")
        again = app.screen
        assert isinstance(again, CompareScreen) and again is not screen
        assert [each.sign for each in again.chosen] == [each.sign for each in screen.chosen] == ["C", "A"]


@pytest.mark.parametrize("content", [b"", b"\xff", b"[", b"[]", b'{"room": 3}', b"[" * 100_000, b'{"room": "\\ud800"}'])
def test_preferences_that_cannot_be_read_count_as_none(home: Path, content: bytes) -> None:
    path = home / "preferences.json"
    path.write_bytes(content)
    assert OtherloafApp().theme == DARK
    preferences = Preferences(path)
    preferences.put("room", LIGHT)
    assert Preferences(path).text("room", DARK) == LIGHT and not Preferences(path).flag("room")


def test_preferences_that_cannot_be_written_still_hold_in_the_run(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    preferences = Preferences(tmp_path / "file" / "preferences.json")
    preferences.put("only", True)
    assert preferences.flag("only")


def test_two_programs_remember_side_by_side(tmp_path: Path) -> None:
    first, second = Preferences(tmp_path / "preferences.json"), Preferences(tmp_path / "preferences.json")
    first.put("amounts", "cups")
    second.put("room", LIGHT)
    again = Preferences(tmp_path / "preferences.json")
    assert again.text("amounts", "") == "cups" and again.text("room", DARK) == LIGHT
    (tmp_path / "preferences.json").write_bytes(b"[")
    second.put("degrees", "°F")
    assert Preferences(tmp_path / "preferences.json").text("room", DARK) == LIGHT, "a damaged file is written anew"


# ---------------------------------------------------------------------- the palette


async def test_the_palette_finds_formulas_ingredients_and_readings(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await command(app, pilot, "kefir")
        assert "what is known of kefir" in screen_text(app)
        await press(app, pilot, "escape")
        await command(app, pilot, "yeast speed")
        assert "why yeast speed" in screen_text(app)
        await press(app, pilot, "escape", "c")
        await command(app, pilot, "raisin malt loaf")
        assert isinstance(app.screen, BenchScreen) and app.session.open_bench.book.name == "Raisin malt loaf"
        assert [type(screen).__name__ for screen in app.screen_stack] == ["FormulasScreen", "BenchScreen"]


async def test_the_palette_takes_the_beginnings_of_words_and_names_before_other_names(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "ctrl+p")
        await typed(pilot, "kef")
        await settled(app, pilot)
        assert any("▸ kefir" in line for line in screen_text(app).splitlines())
        assert "Take it" not in screen_text(app)


async def test_commands_come_before_what_they_are_like(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "ctrl+p")
        await typed(pilot, "bake")
        await settled(app, pilot)
        lines = [line for line in screen_text(app).splitlines() if "▸" in line]
        assert any("Bake  (b)" in line for line in lines)


async def test_a_key_of_no_screen_does_nothing(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        work = app.session.open_bench.work
        for key in ("k", "z", "o", "d", "f11"):
            app.post_message(Key(key, key if len(key) == 1 else None))
            await settled(app, pilot)
        assert isinstance(app.screen, BenchScreen) and app.session.open_bench.work is work
