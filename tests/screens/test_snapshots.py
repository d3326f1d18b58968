"""Every screen as a picture, at three sizes and in both rooms.

A picture only says that something looks different; what the screens have to show is asserted in the other tests. After
a change that is meant: pytest tests/screens/test_snapshots.py --snapshot-update, and look at every new picture.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import date, datetime
from pathlib import Path
from tempfile import gettempdir
from typing import Any

import pytest
from driving import press, settled, typed
from standing import SIZES
from textual.pilot import Pilot

from adapter.dough.readings.registry import READING_KEYS
from adapter.screens.app import OtherloafApp
from adapter.screens.bake.screen import BakeScreen
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.compare.screen import CompareScreen
from adapter.screens.export.screen import ExportScreen
from adapter.screens.pantry import screen as pantry
from adapter.screens.pantry.screen import PantryScreen
from adapter.screens.parts.help import HelpScreen
from adapter.screens.parts.why import WhyReading

NOW = datetime(2031, 5, 2, 16, 0)
ROOMS = {"dark": SIZES, "light": (SIZES[1],)}

Way = Callable[[OtherloafApp, Pilot[None]], Awaitable[None]]


class FixedDate(date):
    @classmethod
    def today(cls) -> date:
        return NOW.date()


async def to_bench(app: OtherloafApp, pilot: Pilot[None]) -> BenchScreen:
    await typed(pilot, "hut everyday")
    await press(app, pilot, "enter")
    assert isinstance(app.screen, BenchScreen)
    return app.screen


async def to_line(app: OtherloafApp, pilot: Pilot[None], ingredient: str) -> None:
    screen = app.screen
    assert isinstance(screen, BenchScreen)
    place = next(app.session.open_bench.formula.find(ingredient))
    screen.lines.highlight(screen.lines.row_of(place))
    await settled(app, pilot)


async def formulas(app: OtherloafApp, pilot: Pilot[None]) -> None:
    await press(app, pilot, "down", "down")


async def bench(app: OtherloafApp, pilot: Pilot[None]) -> None:
    """A swap is looked at, a level held, a swap taken before."""
    screen = await to_bench(app, pilot)
    await press(app, pilot, "tab", "down", "h", "shift+tab", "v")
    await to_line(app, pilot, "sugar beet syrup")
    await press(app, pilot, "enter", "enter")
    await to_line(app, pilot, "sour whey")
    await press(app, pilot, "enter", "down", "left", "left")
    assert screen.preview is not None and screen.preview.share_percent == 90


async def compare(app: OtherloafApp, pilot: Pilot[None]) -> None:
    """The book, and two variants with a swap each."""
    await to_bench(app, pilot)
    for ingredient in ("sour whey", "medium rye flour"):
        await press(app, pilot, "v")
        await to_line(app, pilot, ingredient)
        await press(app, pilot, "enter", "enter")
    await press(app, pilot, "c", "down", "down", "down")
    assert isinstance(app.screen, CompareScreen)


async def in_stock(app: OtherloafApp, pilot: Pilot[None]) -> None:
    await to_bench(app, pilot)
    await press(app, pilot, "p", "down", "down", "right")
    assert isinstance(app.screen, PantryScreen)


async def export(app: OtherloafApp, pilot: Pilot[None]) -> None:
    """The card, with sentences for readers; a path that is the same on every machine."""
    await to_bench(app, pilot)
    await press(app, pilot, "e", "down")
    assert isinstance(app.screen, ExportScreen) and app.screen.form.suffix == ".md"
    app.screen.path_field.value = "~/formulas/hut_everyday_loaf.md"
    await settled(app, pilot)


async def bake(app: OtherloafApp, pilot: Pilot[None]) -> None:
    await to_bench(app, pilot)
    await press(app, pilot, "b", "down")
    assert isinstance(app.screen, BakeScreen)


async def why(app: OtherloafApp, pilot: Pilot[None]) -> None:
    screen = await to_bench(app, pilot)
    await press(app, pilot, "tab")
    screen.level_rows.highlight(READING_KEYS.index("ph"))
    await press(app, pilot, "w")
    assert isinstance(app.screen, WhyReading)


async def help_of_the_bench(app: OtherloafApp, pilot: Pilot[None]) -> None:
    await to_bench(app, pilot)
    await press(app, pilot, "question_mark")
    assert isinstance(app.screen, HelpScreen)


WAYS: dict[str, Way] = {
    "formulas": formulas,
    "bench": bench,
    "compare": compare,
    "pantry": in_stock,
    "export": export,
    "bake": bake,
    "why": why,
    "help": help_of_the_bench,
}
PICTURES = Path(__file__).parent / "__snapshots__" / "test_snapshots"
CASES = [(name, room, size) for name in WAYS for room, sizes in ROOMS.items() for size in sizes]

IDS = [f"{name}-{room}-{size[0]}x{size[1]}" for name, room, size in CASES]


@pytest.fixture(autouse=True)
def one_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    """No picture holds the day on which it was taken."""
    monkeypatch.setattr(BakeScreen, "now", staticmethod(lambda: NOW))
    monkeypatch.setattr(pantry, "date", FixedDate)
    for name in ("COLUMNS", "LINES"):  # the taking of a picture sets them: afterwards they are what they were
        monkeypatch.setenv(name, "")


@pytest.mark.parametrize(("name", "room", "size"), CASES, ids=IDS)
def test_screen(snap_compare: Any, name: str, room: str, size: tuple[int, int]) -> None:
    async def go_there(pilot: Pilot[None]) -> None:
        app = pilot.app
        assert isinstance(app, OtherloafApp)
        await settled(app, pilot)
        if room == "light":
            await press(app, pilot, "f3")
        await WAYS[name](app, pilot)

    assert snap_compare(OtherloafApp(), terminal_size=size, run_before=go_there)


def test_there_is_a_picture_of_every_case_and_none_besides() -> None:
    assert {path.name for path in PICTURES.iterdir()} == {f"test_screen[{name}].svg" for name in IDS}


def test_no_picture_holds_a_path_of_the_machine() -> None:
    here = {str(path) for path in (Path.home(), Path(gettempdir()), Path(__file__).parents[2]) if path.name}
    for picture in PICTURES.iterdir():
        text = picture.read_text(encoding="utf-8").replace("&#160;", " ")
        assert not [path for path in here if path in text], picture.name
        assert "pytest" not in text, picture.name
