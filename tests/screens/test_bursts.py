"""A burst of keys, such as a slow link sends, does what the same keys do when they are typed slowly."""

from __future__ import annotations

import gc
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from driving import burst, press, running, screen_text, settled, typed, written
from textual.binding import Binding
from textual.events import Key
from textual.screen import Screen
from textual.strip import Strip

from adapter.files.log_file import read_log
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.key_order import KeyOrder
from adapter.screens.pantry.screen import PantryScreen
from adapter.screens.parts import painting
from adapter.screens.parts.palette import Palette
from adapter.screens.parts.registry import SCREENS
from adapter.screens.parts.rows import RowList

if TYPE_CHECKING:
    from adapter.screens.app import OtherloafApp


@pytest.fixture
def loaf(tmp_path: Path) -> Path:
    return written(tmp_path / "breads")


async def test_what_is_typed_into_the_log_form_goes_where_it_goes_slowly(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "b", "l")
        await burst(app, pilot, "26", "down", "down", "30", "down", "1.8", "ctrl+s")
        (bake,) = read_log(loaf.with_name("dark_trial_loaf.bakes.toml"))
        assert (bake.dough_c, bake.rise_percent, bake.rise_h) == (26.0, 30.0, 1.8)


async def test_letters_of_a_word_are_not_waited_for_one_by_one(loaf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    waits = 0
    done = KeyOrder._done

    async def counted(order: KeyOrder) -> None:
        nonlocal waits
        waits += 1
        await done(order)

    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "n")
        monkeypatch.setattr(KeyOrder, "_done", counted)
        await burst(app, pilot, "ctrl+u", "A loaf of the night before", "enter")
        assert app.session.open_bench.formula.name == "A loaf of the night before"
        assert waits <= 4


async def test_a_row_chosen_in_a_burst_is_the_row_chosen_slowly() -> None:
    names = []
    for at_once in (False, True):
        async with running() as (app, pilot):
            await press(app, pilot, "f2", "a")
            if at_once:
                await burst(app, pilot, "milk", "down", "enter", "enter")
            else:
                await typed(pilot, "milk")
                await press(app, pilot, "down", "enter", "enter")
            assert isinstance(app.screen, PantryScreen) and app.screen.entry is not None
            names.append(app.screen.entry.ingredient)
    assert names[0] == names[1] != "milk"


async def test_a_weight_and_what_follows_it_come_in_one_burst(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await burst(app, pilot, "75", "enter", "down", "down", "470", "enter", "u")
        lines = {line.ingredient: line.grams for line in app.session.open_bench.formula.lines}
        assert (lines["linseed"], lines["wholemeal rye flour"]) == (75, 480)
        assert "undone" in screen_text(app)


@pytest.mark.parametrize(
    "keys",
    [
        ("ctrl+p", "pagedown"),
        ("ctrl+p", "down", "enter", "enter"),
        ("ctrl+p", "pageup", "end", "enter"),
        ("ctrl+p", "zzzz", "enter", "escape"),
        ("ctrl+p", "ctrl+p", "escape", "escape"),
        ("w", "escape", "w", "q", "escape"),
        ("q", "u", "w", "5", "enter"),
        ("c", "q", "q", "enter", "c"),
    ],
    ids=" ".join,
)
async def test_no_burst_breaks_the_palette_or_meets_a_screen_that_is_gone(loaf: Path, keys: tuple[str, ...]) -> None:
    async with running([loaf]) as (app, pilot):
        await burst(app, pilot, *keys)
        await press(app, pilot, "escape")
        assert app.is_running and len(app.screen_stack) >= 1


async def test_the_palette_is_filled_when_it_opens_and_answers_once(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await burst(app, pilot, "ctrl+p")
        assert isinstance(app.screen, Palette) and app.screen.query_one(RowList).index == 0
        await burst(app, pilot, "start a further", "enter", "enter")
        assert isinstance(app.screen, BenchScreen)
        assert len(app.session.open_bench.work.variants) == 2 and app.screen.at_offers


async def test_an_action_of_a_screen_that_is_gone_does_nothing(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        bench = app.screen
        assert isinstance(bench, BenchScreen)
        await press(app, pilot, "q")
        work = app.session.open_bench.work
        for name in ("take", "strike", "compare", "help", "save", "ask", "undo", "back"):
            bench.action_do(name)
        await settled(app, pilot)
        assert isinstance(app.screen, FormulasScreen) and app.session.open_bench.work is work


async def test_no_binding_overtakes_what_is_typed(loaf: Path) -> None:
    """The app's own Ctrl+Q is the one priority binding: it works over every dialog, and waits its turn all the same."""
    async with running([loaf]) as (app, pilot):
        priority = {binding.key for bindings in bindings_on_the_way(app) for binding in bindings if binding.priority}
        assert priority == {"ctrl+q"}
        for keys in (["5"], ["escape", "a"], ["escape", "ctrl+p"], ["escape", "b", "l"]):
            await press(app, pilot, *keys)
            here = {binding.key for bindings in bindings_on_the_way(app) for binding in bindings if binding.priority}
            assert here == {"ctrl+q"}, keys
    assert set(SCREENS) >= {"bench", "bake"}


def bindings_on_the_way(app: OtherloafApp) -> list[list[Binding]]:
    chain = app.screen._binding_chain
    return [[each for group in bindings.key_to_bindings.values() for each in group] for _, bindings in chain]


async def test_while_keys_wait_a_screen_is_painted_only_so_often_and_made_up_for(
    loaf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now, paintings = 100.0, 0

    def counted(_: Screen[None]) -> None:
        nonlocal paintings
        paintings += 1

    async with running([loaf]) as (app, _):
        screen, waiting = app.screen, app.keys._waiting
        with monkeypatch.context() as patch:
            patch.setattr(painting, "monotonic", lambda: now)
            patch.setattr(Screen, "_compositor_refresh", counted)
            screen._compositor_refresh()
            screen._compositor_refresh()
            assert paintings == 2  # no key waits
            waiting.append(Key("down", None))
            screen._compositor_refresh()
            assert paintings == 2
            now += 1.01 * painting.PAINTED_EVERY_S
            screen._on_timer_update()
            screen._on_timer_update()
            assert paintings == 3
            screen._compositor_refresh()
            assert paintings == 3
            waiting.clear()
            screen._on_timer_update()
            assert paintings == 4


async def test_what_was_painted_over_and_what_was_closed_is_freed_without_a_collection(loaf: Path) -> None:
    def strips() -> int:
        return sum(type(each) is Strip for each in gc.get_objects())

    async with running([loaf]) as (app, pilot):
        keys = ("down", "up", "w", "escape")
        await press(app, pilot, *keys)
        gc.collect()
        gc.disable()
        try:
            before = strips()
            for _ in range(5):
                await press(app, pilot, *keys)
            assert strips() < before + 100
        finally:
            gc.enable()
