"""Saves into folders that others hold, that cannot be listed, or where killed runs left something."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from folders import names_in

from adapter.files import atomic
from adapter.files.atomic import write_whole
from adapter.formula.problems import InputProblem
from adapter.work.paths import file_name_for

fcntl = pytest.importorskip("fcntl")


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Another program that has locked the folder: a lock goes with the opened folder, not with the process."""
    handle = os.open(folder, os.O_RDONLY)
    fcntl.flock(handle, fcntl.LOCK_EX)
    try:
        yield
    finally:
        os.close(handle)


def test_a_save_waits_two_seconds_at_most_for_a_locked_folder(tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    write_whole(path, b"old")
    before = time.monotonic()
    with held(tmp_path), pytest.raises(InputProblem) as caught:
        write_whole(path, b"new")
    assert time.monotonic() - before < 2.0
    assert "another program holds" in str(caught.value) and "\n" not in str(caught.value)
    assert path.read_bytes() == b"old" and names_in(tmp_path) == ["loaf.toml"]
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"


def left_by_a_killed_run(folder: Path, name: str, age_s: float) -> Path:
    path = folder / name
    path.write_bytes(b"half")
    os.utime(path, (time.time() - age_s,) * 2)
    return path


def test_a_save_clears_away_what_killed_runs_left_and_nothing_else(tmp_path: Path) -> None:
    old = left_by_a_killed_run(tmp_path, ".loaf.toml.0123456789ab.part", atomic.OLD_S + 1)
    young = left_by_a_killed_run(tmp_path, ".loaf.toml.0123456789ac.part", 0.0)
    others = [
        left_by_a_killed_run(tmp_path, name, 1e6)
        for name in ("film.part", ".film.part", ".a.0123456789AB.part", ".loaf.toml.0123456789ab.part2", ".hidden")
    ]
    write_whole(tmp_path / "loaf.toml", b"new")
    assert not old.exists()
    assert young.exists() and all(path.exists() for path in others)


def test_without_the_lock_nothing_is_cleared_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    old = left_by_a_killed_run(tmp_path, ".loaf.toml.0123456789ab.part", 1e6)
    monkeypatch.setattr(atomic, "fcntl", None)
    write_whole(tmp_path / "loaf.toml", b"new")
    assert old.exists()


def test_a_folder_that_can_be_written_but_not_read_takes_a_save(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = os.open

    def as_in_mode_0333(path: object, *more: int) -> int:
        if path == tmp_path:
            raise PermissionError(13, "Permission denied", str(path))
        return opened(path, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "open", as_in_mode_0333)
    write_whole(tmp_path / "loaf.toml", b"new")
    assert (tmp_path / "loaf.toml").read_bytes() == b"new"


@pytest.mark.parametrize("name", ["日" * 83 + ".toml", "\U00010330" * 60 + ".toml", "é" * 124 + ".toml", "a" * 250])
def test_names_as_long_as_the_disk_takes_can_be_saved(name: str, tmp_path: Path) -> None:
    assert len(os.fsencode(name)) <= 255
    write_whole(tmp_path / name, b"x")
    assert names_in(tmp_path) == [name]


@pytest.mark.parametrize("name", ["日" * 200, "\U00010330" * 200, "é" * 300, "loaf " * 100, "", "…"])
def test_a_name_made_of_a_formulas_leaves_room_for_its_log(name: str) -> None:
    made = file_name_for(name)
    assert made.endswith(".toml") and len(made) > len(".toml")
    assert len(os.fsencode(made)) + len(".bakes.toml") < 200
