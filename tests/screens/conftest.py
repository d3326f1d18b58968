"""Every screen test has a home of its own: no test reads or writes what a person keeps."""

from __future__ import annotations

from pathlib import Path

import pytest
from driving import quiet


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


@pytest.fixture(autouse=True)
def each_app_reads_the_shipped_tables_once(tables_once: None) -> None:
    """With own tables they are read as always."""
