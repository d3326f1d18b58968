"""What a person types without having read anything: samples, help, near names, -, several files, a narrow terminal."""

from __future__ import annotations

import io
import json
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from adapter.command_line import main
from adapter.command_line.command import command_names
from adapter.files.places import samples
from adapter.words.text_report import compare_text

Run = Callable[..., Any]


@pytest.fixture
def typed_in(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """What stands on standard input."""

    def put(text: str) -> None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode("utf-8"))))

    return put


def test_samples_are_listed_by_the_name_that_commands_take(data: Run, ok: Run) -> None:
    found = data("samples")["samples"]
    assert [item["sample"] + ".toml" for item in found] == [item.name for item in samples()]
    text = ok("samples")
    for item in found:
        assert item["name"] == data("balance", item["sample"])["formula"]["name"]
        assert item["sample"] in text and item["name"] in text


def test_help_tells_of_every_command(ok: Run) -> None:
    text = ok("help")
    for name in command_names():
        assert f"  {name} " in text
    assert "--strict" in ok("help", "read")


def test_a_name_that_is_nearly_right_is_answered_with_the_nearest(refused: Run, plain: Path) -> None:
    assert "nearest: hut_everyday_loaf" in refused("balance", "hut_everday_loaf")
    assert f"nearest: {plain}" in refused("balance", plain.with_name("loaff.toml"))
    assert "nearest: balance" in refused("balanse")
    assert "nearest" not in refused("balance", "qqqqqqqq.toml")


def test_a_dash_reads_standard_input(data: Run, plain: Path, typed_in: Callable[[str], None]) -> None:
    typed_in(plain.read_text(encoding="utf-8"))
    read = data("balance", "-")
    assert read == data("balance", plain)


def test_bad_standard_input_is_one_line(refused: Run, typed_in: Callable[[str], None]) -> None:
    typed_in("no toml at all")
    assert "standard input" in refused("balance", "-")


def test_a_dash_writes_the_formula_and_nothing_else(
    ok: Run, data: Run, plain: Path, typed_in: Callable[[str], None]
) -> None:
    text = ok("swap", plain, "--out", "honey", "--into", "malt syrup", "--save", "-")
    swapped = data("swap", plain, "--out", "honey", "--into", "malt syrup")
    typed_in(text)
    assert data("balance", "-")["readings"] == swapped["readings"]


def test_an_export_goes_to_standard_output_in_the_form_that_is_named(ok: Run, refused: Run, plain: Path) -> None:
    assert json.loads(ok("export", plain, "-", "--as", ".json"))["formula"]["name"] == "plain loaf"
    assert "form" in refused("export", plain, "-")


def test_why_as_data_has_the_numbers_of_its_text(data: Run, ok: Run, plain: Path) -> None:
    found = data("why", plain, "ph")
    assert found["value"] == data("balance", plain)["readings"]["ph"]["value"]
    assert found["lines"] and found["parameters"] and found["contributors"]
    assert found["formula"] in ok("why", plain, "ph")


def test_check_goes_on_after_a_bad_file(run: Run, plain: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("nothing", encoding="utf-8")
    worse = tmp_path / "worse.toml"
    worse.write_text("[formula]\nname = 3", encoding="utf-8")
    outcome = run("check", bad, plain, worse)
    assert outcome.code == 2
    assert outcome.err.count("\n") == 1 and "2 of 3 files" in outcome.err
    assert f"{plain}: in order" in outcome.out
    assert str(bad) in outcome.out and str(worse) in outcome.out
    told = json.loads(run("check", bad, plain, worse, "--json").out)["files"]
    assert [each["fault"] is None for each in told] == [False, True, False]


def test_compare_shows_how_sure_each_number_is(ok: Run, data: Run, plain: Path) -> None:
    report = data("compare", plain, "hut_everyday_loaf")
    row = next(line for line in ok("compare", plain, "hut_everyday_loaf").splitlines() if line.startswith("pH "))
    for variant in report["variants"]:
        reading = variant["readings"]["ph"]
        assert f"{reading['value']:.1f} ± {reading['spread']:.1f}" in row


def test_a_comparison_fits_the_terminal_in_blocks(data: Run, plain: Path) -> None:
    names = [item.name.removesuffix(".toml") for item in samples()][:4]
    report = data("compare", plain, *names)
    for width in (70, 80, 120, 200):
        text = compare_text(report, width)
        table = [line for line in text.splitlines() if not line.startswith(("!", "the "))]
        assert max(map(len, table)) <= width
        for variant in report["variants"]:
            assert variant["name"] in text, "each has its column in some block"


def test_sentences_break_where_the_terminal_ends(monkeypatch: pytest.MonkeyPatch, plain: Path) -> None:
    class Terminal(io.StringIO):
        encoding = "utf-8"

        def isatty(self) -> bool:
            return True

        def fileno(self) -> int:
            return 1

    wide, narrow = Terminal(), Terminal()
    for terminal, columns in ((wide, 300), (narrow, 60)):
        monkeypatch.setattr(os, "get_terminal_size", lambda _=1, columns=columns: os.terminal_size((columns, 24)))
        monkeypatch.setattr(sys, "stdout", terminal)
        assert main(["offers", str(plain), "--line", "buttermilk"]) == 0
    assert max(map(len, narrow.getvalue().splitlines())) <= 60
    assert narrow.getvalue().split() == wide.getvalue().split(), "no word is lost"


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_is_printed_for_each_shell(ok: Run, shell: str) -> None:
    assert "otherloaf" in ok("completion", shell) and "_ARGCOMPLETE" in ok("completion", shell)


@pytest.mark.parametrize(
    ("line", "answers"),
    [
        ("otherloaf bal", {"balance"}),
        ("otherloaf balance hut", {"hut_everyday_loaf"}),
        ("otherloaf why hut_everyday_loaf sw", {"sweetness"}),
        ("otherloaf swap hut_everyday_loaf --out so", {"sour\\ whey"}),
        ("otherloaf swap hut_everyday_loaf --out salt --into cider", {"cider\\ vinegar"}),
        ("otherloaf export hut_everyday_loaf - --as .m", {".md"}),
    ],
)
def test_a_shell_is_answered(program: Callable[..., Any], tmp_path: Path, line: str, answers: set[str]) -> None:
    """The protocol of argcomplete: the answer goes to a file that the shell names."""
    answer = tmp_path / "answer"
    asked = {
        "_ARGCOMPLETE": "1", "_ARGCOMPLETE_SHELL": "bash", "COMP_LINE": line, "COMP_POINT": str(len(line)),
        "_ARGCOMPLETE_STDOUT_FILENAME": str(answer), "_ARGCOMPLETE_IFS": "\n",
    }  # fmt: skip
    program(environment=asked)
    assert {each.strip() for each in answer.read_text().splitlines()} == answers
