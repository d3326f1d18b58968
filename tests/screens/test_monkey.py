"""A monkey at the keys: random keys, bursts, pastes, clicks and window sizes, from a seed.

Short by itself. For longer, or from another seed: OTHERLOAF_MONKEY_SECONDS=1800 OTHERLOAF_MONKEY_SEED=7.
"""

from __future__ import annotations

import asyncio
import gc
import math
import os
import random
from pathlib import Path
from time import monotonic, thread_time

import pytest
from driving import DARK_LOAF, running, settled, written
from textual import events
from textual.keys import _character_to_key
from textual.pilot import OutOfBounds, Pilot
from textual.screen import Screen

from adapter.screens.app import OtherloafApp
from adapter.screens.formulas.warming import warm_up

SECONDS = float(os.environ.get("OTHERLOAF_MONKEY_SECONDS", "8"))
SEED = int(os.environ.get("OTHERLOAF_MONKEY_SEED", "1"))
LONGEST_TURN_S = 0.3
"""Processor time of one turn of the program, in which it hears no key."""
MOST_LOOKED_AT = 20_000
"""Objects of a program just warmed up that a full collection of the garbage collector looks at: it holds up a key."""
MOST_GROWTH_MB = 60.0
SIZES = ((80, 24), (120, 34), (200, 60), (40, 12), (20, 3))
MOVES = (
    "up",
    "down",
    "down",
    "left",
    "right",
    "enter",
    "enter",
    "tab",
    "shift+tab",
    "pageup",
    "pagedown",
    "home",
    "end",
)
LETTERS = "wwhhuuurrvvccbbppeessmmiiggaaxxnnddttffkkooyyllqqqjz?:[]/ -+0123456789"
OTHERS = (
    "escape",
    "escape",
    "backspace",
    "delete",
    "f1",
    "f2",
    "f3",
    "f4",
    "ctrl+p",
    "ctrl+s",
    "ctrl+c",
    "ctrl+u",
    "ctrl+q",
)
TEXTS = (
    *("480", "1 1/2 cups", "2 tbsp", "0", "-3", "nan", "1e309", "kefir", "mil", "½ cup", "Sat 08:00", "25", "24.5"),
    *("My loaf", "[b]x[/b]", "[/]", "ž", "日本", "=1+1", "4.4 ± 0.1", " ", "99999999999999999999", "/no/such/folder/x"),
)


class Monkey:
    """Presses what it likes, and remembers what it pressed."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.pressed: list[str] = []

    def keys(self) -> list[str]:
        """One key, or a burst of some."""
        draw = self.random.random()
        if draw < 0.45:
            return [self.random.choice(MOVES)]
        if draw < 0.75:
            return [self.random.choice(LETTERS)]
        if draw < 0.85:
            return [self.random.choice(OTHERS)]
        if draw < 0.93:
            return [*self.random.choice(TEXTS), self.random.choice(("enter", "enter", "escape", "tab", "down"))]
        return [self.random.choice((*MOVES, *LETTERS, *OTHERS)) for _ in range(self.random.randint(2, 8))]

    async def do(self, app: OtherloafApp, pilot: Pilot[None]) -> None:
        draw = self.random.random()
        if draw < 0.03:
            size = self.random.choice(SIZES)
            self.pressed.append(f"size {size}")
            await pilot.resize_terminal(*size)
        elif draw < 0.06:
            text = self.random.choice(TEXTS) * self.random.randint(1, 40)
            self.pressed.append(f"paste {text[:20]!r}")
            app.post_message(events.Paste(text))
        elif draw < 0.1:
            at = (self.random.randrange(app.size.width or 1), self.random.randrange(app.size.height or 1))
            self.pressed.append(f"click {at}")
            try:
                await pilot.click(offset=at)
            except OutOfBounds:
                return
        else:
            for key in self.keys():
                self.pressed.append(key)
                name = _character_to_key(key) if len(key) == 1 else key
                app.post_message(events.Key(name, key if len(key) == 1 else None))


async def longest_turn(stop: asyncio.Event) -> float:
    """The most processor time that one turn of the event loop took."""
    longest, last = 0.0, thread_time()
    while not stop.is_set():
        await asyncio.sleep(0)
        now = thread_time()
        longest, last = max(longest, now - last), now
        await asyncio.sleep(0.002)
        last = thread_time()
    return longest


def resident_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is read from /proc")
async def test_a_monkey_breaks_nothing(home: Path) -> None:
    monkey, until = Monkey(SEED), math.inf
    written(home / "formulas")
    written(home / "formulas", DARK_LOAF.replace("Dark trial", "Second"), "second.toml")
    settled_mb, lives = 0.0, 0
    while monotonic() < until:
        lives += 1
        async with running() as (app, pilot):
            if until == math.inf:
                loaded = [[each] for each in range(MOST_LOOKED_AT)]
                warm_up(app.session)
                assert len(gc.get_objects()) < MOST_LOOKED_AT, "each full collection looks at what was loaded"
                del loaded
                until = monotonic() + SECONDS
            stop = asyncio.Event()
            watch = asyncio.create_task(longest_turn(stop))
            while app.is_running and app._exception is None and monotonic() < until:
                await monkey.do(app, pilot)
                if monkey.random.random() < 0.3 and app.is_running:
                    await settled(app, pilot)
                if not settled_mb and monotonic() > until - SECONDS / 2:
                    gc.collect()
                    settled_mb = resident_mb()
            stop.set()
            turn = await watch
            last = " ".join(monkey.pressed[-40:])
            assert app._exception is None, f"seed {SEED}, after {len(monkey.pressed)} keys: {last}"
            assert turn < LONGEST_TURN_S, f"seed {SEED}: a turn of {turn:.2f} s, among: {last}"
    gc.collect()
    growth = resident_mb() - settled_mb
    screens = sum(1 for each in gc.get_objects() if isinstance(each, Screen))
    assert not (home / "fault_report.txt").exists()
    assert screens <= 8 * lives, f"{screens} screens are still held after {lives} lives"
    assert growth < MOST_GROWTH_MB, f"{growth:.0f} MB more in the second half of {SECONDS:.0f} s"
