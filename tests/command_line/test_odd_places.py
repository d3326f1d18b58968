"""Homes, folders and files that cannot be used: one line and exit code 2, never a fault of the program."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

Refused = Callable[..., str]


def make(path: Path, what: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    if what == "FIFO":
        os.mkfifo(path)
    elif what == "link loop":
        path.symlink_to(path.name)
    elif what == "folder":
        path.mkdir()
    else:
        path.write_text("x = " + "9" * 400)


TABLES = ("rules.toml", "ingredients/own.toml", "bands.toml", "tolerances.toml", "loaf_classes.toml", "cautions.toml")


@pytest.mark.parametrize("what", ["FIFO", "link loop", "folder"])
@pytest.mark.parametrize("place", [*(f"tables/{name}" for name in TABLES), "tables/work_steps.toml", "pantry.toml"])
def test_own_things_that_are_no_files(place: str, what: str, home: Path, refused: Refused) -> None:
    make(home / place, what)
    assert str(home / place) in refused("check")


@pytest.mark.parametrize("what", ["FIFO", "link loop", "file"])
@pytest.mark.parametrize("place", ["tables", "tables/ingredients"])
def test_own_folders_that_are_none(place: str, what: str, home: Path, plain: Path, refused: Refused) -> None:
    make(home / place, what)
    assert str(home / place) in refused("balance", plain)


LONG = "9" * 400
ROWS = {
    "tables/tolerances.toml": f'[[tolerance]]\nreading = "ph"\nvalue = {LONG}\nunit = "pH"\ntag = "own"\nsource = "x"',
    "tables/work_steps.toml": f'[[step]]\nname = "mix"\nhours = {LONG}\ntag = "own"\nsource = "x"',
    "tables/bands.toml": f'[[style]]\nname = "x"\nmin_rye = 0\nmax_rye = {LONG}\ntag = "own"\nsource = "x"',
    "pantry.toml": f'[pantry]\nname = "x"\n[[stock]]\ningredient = "kefir"\ngrams = {LONG}',
}


@pytest.mark.parametrize("place", ROWS)
def test_a_number_of_400_digits(place: str, home: Path, refused: Refused) -> None:
    (home / place).parent.mkdir(parents=True, exist_ok=True)
    (home / place).write_text(ROWS[place])
    line = refused("check")
    assert str(home / place) in line and "finite number" in line


def test_a_log_with_a_number_of_400_digits(plain: Path, refused: Refused) -> None:
    log = plain.with_name("loaf.bakes.toml")
    log.write_text(f'[[bake]]\nat = 2031-05-04T08:00:00\nformula = "x"\nrise_h = {LONG}\n')
    assert str(log) in refused("check", log)


def test_a_link_loop_and_a_pipe_among_the_formulas_and_logs_are_no_matter(
    home: Path, plain: Path, ok: Callable[..., str]
) -> None:
    for name in ("a.toml", "a.bakes.toml"):
        make(home / "formulas" / name, "link loop")
    for name in ("b.toml", "b.bakes.toml"):
        make(home / "formulas" / name, "FIFO")
    assert "plain loaf" in ok("balance", plain)


@pytest.mark.parametrize("home_text", ["~nosuchuser/x", "/tmp/" + "x" * 5000])
def test_a_home_that_cannot_be(home_text: str, plain: Path, refused: Refused, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OTHERLOAF_HOME", home_text)
    assert "OTHERLOAF_HOME" in refused("balance", plain)


def test_a_working_folder_that_was_deleted(
    tmp_path: Path, home: Path, refused: Refused, ok: Callable[..., str], monkeypatch: pytest.MonkeyPatch
) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    assert "Hut everyday loaf" in ok("balance", "hut_everyday_loaf")
    refused("export", "hut_everyday_loaf", "card.md")
    monkeypatch.setenv("OTHERLOAF_HOME", "stick")
    assert "OTHERLOAF_HOME" in refused("balance", "hut_everyday_loaf")


@pytest.mark.parametrize(
    "words",
    [
        ("balance", "hut_everyday_loaf", "--pantry=--"),
        ("swap", "hut_everyday_loaf", "--out=--", "--into", "milk"),
        ("swap", "hut_everyday_loaf", "--out", "salt", "--into=--"),
        ("swap", "hut_everyday_loaf", "--out", "salt", "--into", "milk", "--share=--"),
        ("offers", "hut_everyday_loaf", "--line=--"),
        ("make-do", "hut_everyday_loaf", "--hold=--"),
        ("log", "hut_everyday_loaf", "--rise-h=--"),
    ],
)
def test_a_value_of_two_hyphens(words: tuple[str, ...], refused: Refused) -> None:
    refused(*words)


@pytest.mark.parametrize(("grams", "side"), [("5e-324", "20"), ("300", "1e-320")])
@pytest.mark.parametrize("command", ["balance", "bake", "offers"])
def test_the_smallest_numbers(command: str, grams: str, side: str, tmp_path: Path, run: Callable[..., object]) -> None:
    path = tmp_path / "small.toml"
    path.write_text(
        f'[formula]\nname = "small"\n[tin]\nlength_cm = {side}\nwidth_cm = 10\nheight_cm = 10\n'
        '[[line]]\ningredient = "white wheat flour"\ngrams = 500\n'
        f'[[line]]\ningredient = "water"\ngrams = {grams}\n'
        f'[[line]]\ningredient = "water"\ngrams = 300\n[[line]]\ningredient = "fresh yeast"\ngrams = 5\n'
        f'[[line]]\ningredient = "milk"\ngrams = 1e-320\n'
    )
    outcome = run(command, path)
    if side == "20":
        assert (outcome.code, outcome.err) == (0, "")  # type: ignore[attr-defined]
    else:
        assert "length_cm" in outcome.refused()  # type: ignore[attr-defined]


def test_a_loaf_for_the_last_minute_of_the_calendar(run: Callable[..., object]) -> None:
    outcome = run("bake", "hut_everyday_loaf", "--ready", "9999-12-31 23:59")
    assert (outcome.code, outcome.err) == (0, "")  # type: ignore[attr-defined]
