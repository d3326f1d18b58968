"""A file is written whole or not at all, and never over somebody else's change."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from folders import names_in

from adapter.files import atomic
from adapter.files.atomic import write_whole
from adapter.files.stamp import MISSING, stamp_of
from adapter.formula.problems import InputProblem

PROGRAM = """
import resource, signal, sys
from pathlib import Path
from adapter.files.atomic import write_whole
from adapter.formula.problems import InputProblem
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
try:
    write_whole(Path(sys.argv[1]), b"x" * 5000)
except InputProblem as problem:
    print(problem)
"""


def test_a_new_file_has_the_permissions_that_the_umask_leaves(tmp_path: Path) -> None:
    old = os.umask(0o027)
    try:
        write_whole(tmp_path / "a", b"one")
    finally:
        os.umask(old)
    assert (tmp_path / "a").read_bytes() == b"one"
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o640


def test_permissions_are_kept_and_a_link_is_followed(tmp_path: Path) -> None:
    path, link = tmp_path / "a", tmp_path / "link"
    path.write_bytes(b"one")
    path.chmod(0o604)
    link.symlink_to(path)
    write_whole(link, b"two")
    assert link.is_symlink() and path.read_bytes() == b"two"
    assert stat.S_IMODE(path.stat().st_mode) == 0o604


def test_the_stamp_of_a_write_is_that_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a"
    assert stamp_of(path) == MISSING
    stamp = write_whole(path, b"one")
    assert stamp == stamp_of(path)
    assert write_whole(path, b"two", stamp) == stamp_of(path)


def test_a_file_changed_since_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "a"
    stamp = write_whole(path, b"one")
    path.write_bytes(b"six")
    with pytest.raises(InputProblem, match="changed by another program"):
        write_whole(path, b"two", stamp)
    assert path.read_bytes() == b"six"
    path.unlink()
    with pytest.raises(InputProblem, match="was removed"):
        write_whole(path, b"two", stamp)
    path.write_bytes(b"new")
    with pytest.raises(InputProblem, match="changed by another program"):
        write_whole(path, b"two", MISSING)
    assert path.read_bytes() == b"new" and names_in(tmp_path) == ["a"]


def test_a_file_only_touched_since_is_the_same_file(tmp_path: Path) -> None:
    path = tmp_path / "a"
    stamp = write_whole(path, b"one")
    os.utime(path, (1, 1))
    write_whole(path, b"two", stamp)
    assert path.read_bytes() == b"two"


def test_of_two_programs_saving_the_same_file_one_wins_and_the_other_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a"
    stamp = write_whole(path, b"book")
    problems: list[str] = []
    ready = threading.Barrier(8)

    def save(number: int) -> None:
        ready.wait()
        try:
            write_whole(path, b"%d" % number * 1000, stamp)
        except InputProblem as problem:
            problems.append(str(problem))

    threads = [threading.Thread(target=save, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(problems) == 7 and all("changed by another program" in problem for problem in problems)
    assert len(set(path.read_bytes())) == 1 and path.stat().st_size == 1000
    assert names_in(tmp_path) == ["a"]


@pytest.mark.parametrize("kind", ["directory", "pipe", "protected", "no folder", "file as folder", "null", "long"])
def test_what_cannot_be_written_gives_one_clear_line(kind: str, tmp_path: Path) -> None:
    path = tmp_path / "a"
    if kind == "directory":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    elif kind == "protected":
        path.write_bytes(b"one")
        path.chmod(0o444)
    elif kind == "no folder":
        path = path / "b"
    elif kind == "file as folder":
        path.write_bytes(b"one")
        path = path / "b"
    elif kind == "null":
        path = tmp_path / "a\x00b"
    else:
        path = tmp_path / ("a" * 300)
    before = names_in(tmp_path)
    with pytest.raises(InputProblem) as caught:
        write_whole(path, b"two")
    line = str(caught.value)
    assert "\n" not in line and "\x00" not in line and "written" in line
    assert names_in(tmp_path) == before


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is forbidden to the superuser")
def test_a_folder_without_permission(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(InputProblem, match="permission denied"):
            write_whole(tmp_path / "a", b"two")
    finally:
        tmp_path.chmod(0o700)


def test_a_disk_that_takes_no_more_leaves_the_old_file_whole(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"one")
    done = subprocess.run([sys.executable, "-c", PROGRAM, str(path)], capture_output=True, text=True, check=True)
    assert done.stdout == f"{path}: cannot be written: file too large\n" and not done.stderr
    assert path.read_bytes() == b"one" and names_in(tmp_path) == ["a"]


def test_a_break_in_the_middle_leaves_the_old_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"one")

    def broken(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(atomic.os, "fsync", broken)
    with pytest.raises(KeyboardInterrupt):
        write_whole(path, b"two")
    assert path.read_bytes() == b"one" and names_in(tmp_path) == ["a"]


def test_a_reader_never_sees_half_a_file(tmp_path: Path) -> None:
    path = tmp_path / "a"
    write_whole(path, b"0" * 50_000)
    seen: set[int] = set()
    stop = time.monotonic() + 0.4

    def read() -> None:
        while time.monotonic() < stop:
            content = path.read_bytes()
            seen.add(len(content) if len(set(content)) == 1 else -1)

    reader = threading.Thread(target=read)
    reader.start()
    number = 0
    while time.monotonic() < stop:
        number = (number + 1) % 10
        write_whole(path, b"%d" % number * 50_000, sync=False)
    reader.join()
    assert seen == {50_000}
