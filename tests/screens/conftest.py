"""Every screen test has a home of its own: no test reads or writes what a person keeps."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from driving import all_dealt_with, painted_once_all_is_dealt_with, quiet
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.screen import Screen

PARSED: dict[tuple[Any, ...], list[RuleSet]] = {}
parse_rules = Stylesheet._parse_rules


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "home"
    folder.mkdir()
    monkeypatch.setenv("OTHERLOAF_HOME", str(folder))
    return folder


@pytest.fixture(autouse=True)
def no_idle_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keys and pauses of a Pilot wait for what is under way, not for the processor to have nothing to do."""
    for module in ("textual.app", "textual.pilot"):
        monkeypatch.setattr(f"{module}.wait_for_idle", quiet)
    monkeypatch.setattr("textual.pilot.Pilot._wait_for_screen", all_dealt_with)


@pytest.fixture(autouse=True)
def each_app_reads_the_shipped_tables_once(tables_once: None) -> None:
    """With own tables they are read as always."""


@pytest.fixture(autouse=True)
def painted_when_all_is_dealt_with(monkeypatch: pytest.MonkeyPatch) -> None:
    """`quiet` has the screen painted once, instead of Textual sixty times a second with half of the work done."""
    monkeypatch.setattr("textual.screen.UPDATE_PERIOD", 3600.0)
    monkeypatch.setattr(Screen, "_compositor_refresh", painted_once_all_is_dealt_with)


@pytest.fixture(autouse=True)
def each_style_sheet_is_parsed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not for each app and each screen of it anew."""

    def parsed(sheet: Stylesheet, css: str, read_from: Any, *others: Any, **named: Any) -> list[RuleSet]:
        key = (css, read_from, others, tuple(named.items()), tuple(sheet._variables.items()))
        if key not in PARSED:
            PARSED[key] = parse_rules(sheet, css, read_from, *others, **named)
        return PARSED[key]

    monkeypatch.setattr(Stylesheet, "_parse_rules", parsed)
