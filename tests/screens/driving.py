"""Driving the screens in tests: start, press keys, read what is shown."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

from textual.pilot import Pilot

from adapter.screens.app import OtherloafApp

DARK_LOAF = """
[formula]
name = "Dark trial loaf"
pieces = 1
[tin]
length_cm = 22
width_cm = 10
height_cm = 10
lidded = true
[[line]]
stage = "soaker"
ingredient = "linseed"
grams = 60
[[line]]
stage = "soaker"
ingredient = "water"
grams = 60
[[line]]
ingredient = "wholemeal rye flour"
grams = 480
[[line]]
ingredient = "white wheat flour"
grams = 150
[[line]]
ingredient = "wheat bran"
grams = 60
[[line]]
ingredient = "buttermilk"
grams = 520
note = "at room temperature"
[[line]]
ingredient = "honey"
grams = 60
[[line]]
ingredient = "molasses"
grams = 60
[[line]]
ingredient = "salt"
grams = 13
[[line]]
ingredient = "fresh yeast"
grams = 9
"""


def written(folder: Path, text: str = DARK_LOAF, name: str = "dark_trial_loaf.toml") -> Path:
    """A formula file in a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@asynccontextmanager
async def running(
    files: Sequence[Path] = (), size: tuple[int, int] = (120, 34)
) -> AsyncIterator[tuple[OtherloafApp, Pilot[None]]]:
    """The app with its tables read; with one file, on its bench."""
    app = OtherloafApp(files)
    async with app.run_test(size=size) as pilot:
        await settled(app, pilot)
        yield app, pilot


async def settled(app: OtherloafApp, pilot: Pilot[None]) -> None:
    """Until nothing is under way: workers, timers of the bench, paints."""
    for seconds in (0.04, 0.01):
        await pilot.pause(seconds)
        await app.workers.wait_for_complete()
    await pilot.pause()


async def press(app: OtherloafApp, pilot: Pilot[None], *keys: str) -> None:
    """Press keys and wait until nothing is under way."""
    await pilot.press(*keys)
    await settled(app, pilot)


async def typed(pilot: Pilot[None], text: str) -> None:
    """Type a text into whatever has the keys."""
    for character in text:
        await pilot.press(KEY_NAMES.get(character, character))


KEY_NAMES = {" ": "space", ".": "full_stop", "/": "slash", "_": "underscore", "-": "minus", ",": "comma"}


def screen_lines(app: OtherloafApp) -> list[str]:
    """What stands on the screen, line by line."""
    return [strip.text for strip in app.screen._compositor.render_strips()]


def screen_text(app: OtherloafApp) -> str:
    return "\n".join(screen_lines(app))
