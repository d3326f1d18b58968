"""What reaches the terminal: help, version, one line for bad words, any encoding, readers that leave early."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from adapter.command_line import main
from adapter.command_line.command import command_names

Program = Callable[..., subprocess.CompletedProcess[bytes]]
Refused = Callable[..., str]


@pytest.mark.parametrize("words", [[], *([name] for name in command_names())])
def test_help(capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main([*words, "--help"])
    out, err = capsys.readouterr()
    assert left.value.code == 0
    assert err == ""
    assert out.startswith(f"usage: {' '.join(['otherloaf', *words])}")
    if not words:
        assert all(f"\n  {name} " in out for name in command_names())


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--version"])
    assert left.value.code == 0
    name, number = capsys.readouterr().out.split()
    assert name == "otherloaf"
    assert all(part.isdigit() for part in number.split("."))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["balance"], "FILE"),
        (["balance", "a.toml", "b.toml"], "unrecognized arguments: b.toml"),
        (["balance", "a.toml", "--jsn"], "--jsn"),
        (["swap", "a.toml", "--into", "milk"], "--out"),
        (["swap", "a.toml", "--out", "milk"], "--into"),
        (["why", "a.toml"], "READING"),
        (["compare"], "FILE"),
        (["blance", "a.toml"], "nearest: balance"),
        (["nowhere.toml"], "there is no such file, sample or command"),
        (["--unknown"], "--unknown"),
        (["a\x1b[31m\nb"], "there is no such file"),
        (["balance", "a.toml", "--json", "x" * 5000], "unrecognized"),
    ],
)
def test_words_that_mean_nothing(refused: Refused, words: list[str], said: str) -> None:
    line = refused(*words)
    assert said in line
    assert len(line) < 2100


def test_the_screen_opens_files_only(refused: Refused, tmp_path: Path) -> None:
    assert "is no file" in refused(tmp_path)


def test_the_screen_needs_a_terminal(program: Program, plain: Path) -> None:
    for words in ((), (plain,)):
        found = program(*words)
        assert found.returncode == 2
        assert found.stdout == b""
        assert found.stderr.decode().splitlines() == [
            "otherloaf: the screen needs a terminal (a command such as balance works without)"
        ]


def test_the_program_by_its_name(program: Program, plain: Path) -> None:
    command = [str(Path(sys.executable).with_name("otherloaf"))]
    if not Path(command[0]).exists():
        pytest.skip("not installed here")
    found = program("balance", plain, "--json", command=command)
    assert (found.returncode, found.stderr) == (0, b"")
    assert json.loads(found.stdout)["formula"]["name"] == "plain loaf"


ENCODINGS = {
    "C": {"LC_ALL": "C", "LANG": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
    "ASCII": {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    "Latin 1": {"PYTHONIOENCODING": "latin-1", "PYTHONUTF8": "0"},
    "UTF-8": {"PYTHONIOENCODING": "utf-8"},
}


@pytest.mark.parametrize("kind", ENCODINGS)
def test_any_encoding_of_the_terminal(program: Program, written: Callable[..., Path], kind: str) -> None:
    lines = {"wholemeal rye flour": 500, "water": 400, "salt": 9, "fresh yeast": 6, "honey": 30}
    path = written(lines, name="Mørkt brød 黒パン")
    text = program("swap", path, "--out", "honey", "--into", "malt syrup", environment=ENCODINGS[kind])
    assert (text.returncode, text.stderr) == (0, b"")
    shown = text.stdout.decode("latin-1" if kind == "Latin 1" else "utf-8")
    assert "±" in shown or "+/-" in shown
    assert ("30 g honey → " in shown) or ("30 g honey -> " in shown)
    found = program("balance", path, "--json", environment=ENCODINGS[kind])
    assert (found.returncode, found.stderr) == (0, b"")
    encoding = "latin-1" if kind == "Latin 1" else "utf-8"
    assert json.loads(found.stdout.decode(encoding))["formula"]["name"] == "Mørkt brød 黒パン"


@pytest.mark.parametrize("command", ["bake", "log"])
def test_help_in_a_plain_encoding(program: Program, command: str) -> None:
    found = program(command, "--help", environment=ENCODINGS["ASCII"])
    assert (found.returncode, found.stderr) == (0, b"")
    assert found.stdout.startswith(f"usage: otherloaf {command}".encode())


def test_a_refusal_in_a_plain_encoding_is_one_line(program: Program) -> None:
    found = program("balance", "brød.toml", environment=ENCODINGS["ASCII"])
    assert found.returncode == 2
    assert len(found.stderr.splitlines()) == 1
    assert b"Traceback" not in found.stderr


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX systems")
def test_a_reader_that_leaves_early(program: Program) -> None:
    read, write = os.pipe()
    os.close(read)
    try:
        found = program("offers", "hut_everyday_loaf", capture_output=False, stdout=write, stderr=subprocess.PIPE)
    finally:
        os.close(write)
    assert (found.returncode, found.stderr) == (0, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk(program: Program) -> None:
    with Path("/dev/full").open("wb") as full:
        found = program("balance", "hut_everyday_loaf", capture_output=False, stdout=full, stderr=subprocess.PIPE)
    assert found.returncode == 2
    assert found.stderr.decode().splitlines() == [
        "otherloaf: standard output: cannot be written: no space left on device"
    ]


@pytest.mark.skipif(os.name != "posix", reason="shells of POSIX systems")
def test_no_output_at_all(program: Program, plain: Path) -> None:
    shell = ["sh", "-c", f'"{sys.executable}" -m adapter balance "{plain}" >&-']
    found = program(command=shell)
    assert (found.returncode, found.stderr) == (0, b"")


def test_a_fault_of_our_own_is_one_line_too(
    run: Callable[..., Any], plain: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from adapter.words import text_report as plain_report

    monkeypatch.setattr(plain_report, "balance_text", lambda data: data["no such key"])
    with pytest.raises(KeyError):
        run("balance", plain)
    monkeypatch.delenv("OTHERLOAF_TRACEBACK")
    outcome = run("balance", plain)
    assert outcome.code == 1
    assert outcome.err.count("\n") == 1
    assert "fault of the program" in outcome.err
    assert "OTHERLOAF_TRACEBACK" in outcome.err


def test_being_stopped(run: Callable[..., Any], plain: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from adapter.words import text_report as plain_report

    def stop(_: object) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr(plain_report, "balance_text", stop)
    assert run("balance", plain).code == 130
