"""Every screen test has a home of its own: no test reads or writes what a person keeps."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "home"
    folder.mkdir()
    monkeypatch.setenv("OTHERLOAF_HOME", str(folder))
    return folder
