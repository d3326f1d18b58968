"""What the tests of the command line share: running it in this process or as a program of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from adapter.command_line import main

PROGRAM = (sys.executable, "-m", "adapter")
PROJECT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Outcome:
    """What a run of the program gave."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """The JSON that was printed; NaN and Infinity are no JSON."""
        return json.loads(self.out, parse_constant=lambda word: pytest.fail(f"{word} in JSON"))

    def refused(self) -> str:
        """The one line of a refusal, after making sure that it is one."""
        assert self.code == 2, self.err or self.out
        assert self.out == ""
        assert self.err.startswith("otherloaf: ")
        assert self.err.endswith("\n")
        line = self.err[:-1]
        assert "\n" not in line
        assert line.isprintable(), ascii(line)
        assert "Traceback" not in line
        return line


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of its own for the baker's things, so that no test meets those of whoever runs it."""
    folder = tmp_path / "home"
    monkeypatch.setenv("OTHERLOAF_HOME", str(folder))
    monkeypatch.setenv("OTHERLOAF_TRACEBACK", "1")
    return folder


@pytest.fixture(autouse=True)
def each_test_reads_the_shipped_tables_once(tables_once: None) -> None:
    """With own tables, and by check, they are read as always."""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Outcome]:
    """run("balance", path, "--json"): the program in this process."""

    def ran(*words: object) -> Outcome:
        capsys.readouterr()
        code = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return Outcome(code, out, err)

    return ran


@pytest.fixture
def ok(run: Callable[..., Outcome]) -> Callable[..., str]:
    """The text of a run that must succeed and say nothing on standard error."""

    def text(*words: object) -> str:
        outcome = run(*words)
        assert (outcome.code, outcome.err) == (0, "")
        return outcome.out

    return text


@pytest.fixture
def data(run: Callable[..., Outcome]) -> Callable[..., Any]:
    """The JSON of a run that must succeed."""

    def found(*words: object) -> Any:
        outcome = run(*words, "--json")
        assert (outcome.code, outcome.err) == (0, "")
        return outcome.data

    return found


@pytest.fixture
def refused(run: Callable[..., Outcome]) -> Callable[..., str]:
    """The line of a run that must be refused."""
    return lambda *words: run(*words).refused()


@pytest.fixture
def program(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """program("balance", path, environment={…}): the program in a process of its own, from another folder."""

    def ran(
        *words: object, environment: Mapping[str, str] | None = None, command: Sequence[str] = PROGRAM, **more: Any
    ) -> subprocess.CompletedProcess[bytes]:
        surroundings = {key: value for key, value in os.environ.items() if not key.startswith(("LC_", "PYTHONIO"))}
        surroundings["PYTHONPATH"] = str(PROJECT)
        return subprocess.run(
            [*command, *map(str, words)],
            env=surroundings | dict(environment or {}),
            cwd=tmp_path,
            timeout=60,
            check=False,
            **({"capture_output": True, "stdin": subprocess.DEVNULL} | more),
        )

    return ran


@pytest.fixture
def written(tmp_path: Path) -> Callable[..., Path]:
    """written({"wholemeal rye flour": 500, "water": 400}, name="…"): a formula file."""

    def made(amounts: Mapping[str, float], file: str = "loaf.toml", name: str = "test loaf", more: str = "") -> Path:
        path = tmp_path / file
        lines = [f"[[line]]\ningredient = {json.dumps(what)}\ngrams = {grams}\n" for what, grams in amounts.items()]
        path.write_text("\n".join([f"[formula]\nname = {json.dumps(name)}\n", more, *lines]), encoding="utf-8")
        return path

    return made


@pytest.fixture
def plain(written: Callable[..., Path]) -> Path:
    """A mixed loaf with an acid liquid, a syrup, a sugar and yeast."""
    return written(
        {
            "wholemeal rye flour": 400,
            "white wheat flour": 600,
            "wheat bran": 60,
            "water": 400,
            "buttermilk": 245,
            "white sugar": 40,
            "honey": 30,
            "salt": 20,
            "fresh yeast": 20,
        },
        name="plain loaf",
    )


@pytest.fixture
def dark() -> str:
    """The everyday loaf of the samples."""
    return "hut_everyday_loaf"
