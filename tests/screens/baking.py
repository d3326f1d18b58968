"""Driving the Bake screen in tests: open it, type into its inputs, read its numbers."""

from __future__ import annotations

import json
from typing import Any

import pytest
from driving import DARK_LOAF, press, settled, typed
from textual.pilot import Pilot

from adapter.command_line import main
from adapter.screens.app import OtherloafApp
from adapter.screens.bake.screen import BakeScreen

READY = "2031-05-03 08:00"
NO_TIN_ROLLS = """
[formula]
name = "Plain rolls"
pieces = 12
[[line]]
ingredient = "white wheat flour"
grams = 600
[[line]]
ingredient = "milk"
grams = 250
[[line]]
ingredient = "water"
grams = 130
[[line]]
ingredient = "salt"
grams = 11
[[line]]
ingredient = "fresh yeast"
grams = 14
"""
TOO_SMALL = DARK_LOAF.replace("length_cm = 24", "length_cm = 12")


def cli(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    """What `otherloaf bake … --json` prints."""
    assert main(["bake", *words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


async def to_bake(app: OtherloafApp, pilot: Pilot[None]) -> BakeScreen:
    await press(app, pilot, "b")
    screen = app.screen
    assert isinstance(screen, BakeScreen)
    return screen


async def put(app: OtherloafApp, pilot: Pilot[None], key: str, text: str, end: str = "enter") -> None:
    """Type a text over an input, and end with a key."""
    screen = app.screen
    assert isinstance(screen, BakeScreen)
    screen.to_part("fields")
    screen.fields.go_to(key)
    screen.fields.begin()
    await settled(app, pilot)
    await typed(pilot, text)
    await press(app, pilot, end)


def figures(screen: BakeScreen) -> dict[str, tuple[str, str]]:
    """Numbers as they stand in the list."""
    return {each.key: (each.value, each.beside) for each in screen.figures.figures}


def field(screen: BakeScreen, key: str) -> str:
    return next(each.value for each in screen.fields.fields if each.key == key)


def fault(screen: BakeScreen, key: str) -> str:
    return next(each.fault for each in screen.fields.fields if each.key == key)
