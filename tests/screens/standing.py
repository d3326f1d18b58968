"""A bench that stands on a formula, for tests of the screens behind it, without the bench screen in front."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

from driving import running, screen_text
from textual.pilot import Pilot

from adapter.files.places import samples
from adapter.formula.model import Line
from adapter.screens.app import OtherloafApp
from adapter.work.formula_list import NAMED, SAMPLE, Entry
from adapter.work.session import Session

SIZES = ((80, 24), (120, 34), (200, 60))
HUT_LOAF = "hut_everyday_loaf.toml"
HOSTILE = r"[b]bold[/] [@click=app.bell]x[/] \[red] ]]"


def sample(name: str) -> Entry:
    """A formula that ships with the program, by its file."""
    return next(Entry(SAMPLE, item.name, place=item) for item in samples() if item.name == name)


def named(path: Path) -> Entry:
    return Entry(NAMED, path.name, place=path)


@asynccontextmanager
async def standing_on(entry: Entry | None, size: tuple[int, int] = (120, 34)) -> AsyncIterator[Pilot[None]]:
    """The app with the Formulas screen in front, and an entry opened on the bench."""
    async with running((), size) as (app, pilot):
        if entry is not None:
            app.session.open(entry)
        yield pilot


def session_of(pilot: Pilot[None]) -> Session:
    app = pilot.app
    assert isinstance(app, OtherloafApp)
    return app.session


def shown(pilot: Pilot[None]) -> str:
    """Everything that is on the screen."""
    app = pilot.app
    assert isinstance(app, OtherloafApp)
    return screen_text(app)


def line_with(pilot: Pilot[None], *words: str) -> str:
    """The first line on the screen that holds every word."""
    text = shown(pilot)
    found = [line for line in text.splitlines() if all(word in line for word in words)]
    assert found, f"no line with {words} in\n{text}"
    return found[0]


def exchange(session: Session, out: str, into: Sequence[tuple[str, float]]) -> None:
    """A further variant in which one ingredient is struck out and others are put in its place."""
    assert session.open_piece.new_variant()
    bench = session.open_bench
    place = next(bench.formula.find(out))
    stage = bench.formula.lines[place].stage
    for name, grams in into:
        bench.add(Line(name, grams, stage), place + 1)
    bench.strike(place)
