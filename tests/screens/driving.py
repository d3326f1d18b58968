"""Driving the screens in tests: start, press keys, read what is shown."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path
from threading import Lock, current_thread, main_thread
from time import monotonic

from textual._context import active_app
from textual.app import App
from textual.dom import DOMNode
from textual.events import Key
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.screen import Screen
from textual.timer import Timer

from adapter.screens.app import OtherloafApp

DARK_LOAF = """
[formula]
name = "Dark trial loaf"
pieces = 1
[tin]
length_cm = 24
width_cm = 9
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

ROUND_S, PATIENCE_S = 0.001, 30.0
SHORT_TIMERS_S = (0.006, 0.1)
"""Timers that are waited for. The shorter ones look ahead, which nobody sees; the longer ones wait for a person."""


def written(folder: Path, text: str = DARK_LOAF, name: str = "dark_trial_loaf.toml") -> Path:
    """A formula file in a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


class ForThreads:
    """The lock for what is worked out in the background: a search takes seconds, so no key may wait for it."""

    def __init__(self) -> None:
        self._lock = Lock()

    def __enter__(self) -> None:
        assert current_thread() is not main_thread(), "a key waits for what is worked out in the background"
        self._lock.acquire()

    def __exit__(self, *_: object) -> None:
        self._lock.release()


@asynccontextmanager
async def running(
    files: Sequence[Path] = (), size: tuple[int, int] = (120, 34)
) -> AsyncIterator[tuple[OtherloafApp, Pilot[None]]]:
    """The app with its tables read; with one file, on its bench."""
    app = OtherloafApp(files)
    app.session.solving = ForThreads()  # type: ignore[assignment]
    async with app.run_test(size=size) as pilot:
        await settled(app, pilot)
        yield app, pilot


async def settled(app: OtherloafApp, pilot: Pilot[None]) -> None:
    """Until nothing is under way: messages, workers, timers of the bench, paints."""
    await quiet(max_sleep=PATIENCE_S)
    if len(app.workers):
        await app.workers.wait_for_complete()
        await pilot.pause()


async def quiet(min_sleep: float = 0.0, max_sleep: float = 1.0) -> None:
    """Until every message is dealt with, every worker has ended, every short timer has fired and all is painted.

    Stands in for Textual's wait_for_idle, which watches how busy the process is: that takes 20 ms at the least, and
    is in doubt on a machine that does other things besides. Nothing is painted before all messages are dealt with.
    """
    app = active_app.get()
    until = monotonic() + max_sleep
    while monotonic() < until and app.is_running:
        await messages_dealt_with()
        unpainted = [screen for screen in app._background_screens if awaits_layout_or_parts(screen)]
        unpainted += [app.screen] if app.screen._repaint_required or awaits_layout_or_parts(app.screen) else []
        for screen in unpainted:
            screen._on_timer_update()
        if not unpainted and getattr(app.screen, TO_PAINT, False):
            setattr(app.screen, TO_PAINT, False)
            painted_at_once(app.screen)
            continue
        if unpainted:
            continue
        if not comes_later(app):
            return
        await asyncio.sleep(ROUND_S)


TO_PAINT = "_is_to_be_painted"
painted_at_once = Screen._compositor_refresh


def painted_once_all_is_dealt_with(screen: Screen[object]) -> None:
    """Stands in for the painting of what has changed, of which there may be a lot before a test looks."""
    if screen is screen.app.screen:
        setattr(screen, TO_PAINT, True)
        screen._dirty_widgets.clear()
        screen.app._update_mouse_over(screen)
    else:
        painted_at_once(screen)


async def messages_dealt_with() -> None:
    """Until no task of this loop can go on but by a timer, a thread or the world outside."""
    loop = asyncio.get_running_loop()
    await asyncio.sleep(0)
    while loop._ready:  # type: ignore[attr-defined]
        await asyncio.sleep(0)


async def all_dealt_with(pilot: Pilot[None], timeout: float = PATIENCE_S) -> bool:
    """Stands in for a Pilot's wait for the screen, which hands a message to each of its parts."""
    await messages_dealt_with()
    return True


def awaits_layout_or_parts(screen: Screen[object]) -> bool:
    """Whether something is to be laid out, painted in part or called once that is done.

    A screen behind a dialog wants to be painted as a whole again whenever it has been.
    """
    return bool(
        screen._layout_required
        or screen._scroll_required
        or screen._recompose_required
        or screen._dirty_widgets
        or screen._callbacks
    )


def comes_later(app: App[object]) -> bool:
    """Whether anything is still to come without a further key, of a thread or a short timer."""
    if isinstance(app, OtherloafApp) and app.keys.is_busy:
        return True
    nodes: list[DOMNode] = [app]
    for screen in app.screen_stack:
        nodes += screen.walk_children(with_self=True)
    return any(not worker.is_finished for worker in app.workers) or any(
        _fires_soon(timer) for node in nodes for timer in node._timers
    )


def _fires_soon(timer: Timer) -> bool:
    low, high = SHORT_TIMERS_S
    runs = timer._task is not None and not timer._task.done()
    return runs and timer._repeat is not None and low <= timer._interval <= high


async def press(app: OtherloafApp, pilot: Pilot[None], *keys: str) -> None:
    """Press keys and wait until nothing is under way."""
    await pilot.press(*keys)
    await settled(app, pilot)


async def burst(app: OtherloafApp, pilot: Pilot[None], *texts: str) -> None:
    """Keys all at once, as a slow link sends them. A text of several signs that is no key's name is typed."""
    for text in texts:
        for key in [text] if text in NAMED_KEYS or "+" in text else text:
            name = _character_to_key(key) if len(key) == 1 else key
            app.post_message(Key(name, key if len(key) == 1 else None))
    await settled(app, pilot)


NAMED_KEYS = {"up", "down", "left", "right", "enter", "escape", "tab", "pageup", "pagedown", "home", "end", "backspace"}


async def command(app: OtherloafApp, pilot: Pilot[None], words: str) -> None:
    """A command by its name, through the palette."""
    await press(app, pilot, "ctrl+p")
    await typed(pilot, words)
    await press(app, pilot, "enter")


async def typed(pilot: Pilot[None], text: str) -> None:
    """Type a text into whatever has the keys, as fast as it takes them."""
    for character in text:
        pilot.app.post_message(Key(_character_to_key(character), character))
    await quiet(max_sleep=PATIENCE_S)


def screen_lines(app: OtherloafApp) -> list[str]:
    """What stands on the screen, line by line."""
    return [strip.text for strip in app.screen._compositor.render_strips()]


def screen_text(app: OtherloafApp) -> str:
    return "\n".join(screen_lines(app))
