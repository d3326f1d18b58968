"""What the README says is so: its files can be read, its commands, options and keys are there."""

from __future__ import annotations

import json
import re
from pathlib import Path
from urllib.parse import unquote

import pytest

from adapter.command_line import main
from adapter.command_line.command import command_names
from adapter.command_line.parsers import command_parser
from adapter.dough.readings.kitchen import Kitchen
from adapter.files.formula_file import read_formula
from adapter.files.log_file import read_log
from adapter.files.pantry_file import read_pantry
from adapter.files.places import sample_pantry
from adapter.formula.catalogue import load_catalogue
from adapter.screens.parts.action import shown_key
from adapter.screens.parts.actions import ACTIONS

PROJECT = Path(__file__).parents[1]
README = (PROJECT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
DOCUMENTS = ("README.md", "DEVELOPERS.md")


def block(table: str, tmp_path: Path) -> Path:
    (text,) = (text for text in BLOCKS if text.startswith(f"[{table}]"))
    path = tmp_path / "block.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_it_opens_with_the_job_in_one_paragraph_and_two_commands() -> None:
    assert README.split("\n\n")[0] == "# otherloaf"
    assert README.split("\n\n")[2] == "## Start"
    commands = re.findall(r"^    (python3 .*)$", README, re.MULTILINE)
    make = "python3 -m venv .venv && .venv/bin/pip install -e"
    assert commands == [f"{make} . && .venv/bin/otherloaf", f"{make} '.[test]' && .venv/bin/pytest"]


def test_its_formula_can_be_read(kitchen: Kitchen, tmp_path: Path) -> None:
    formula = read_formula(block("formula", tmp_path), kitchen.catalogue)
    assert formula.tin is not None and formula.tin.lidded
    assert formula.lines[1].hydration == 100
    assert formula.lines[2].temperature_c == 8
    assert formula.extra == {}


def test_its_pantry_can_be_read(kitchen: Kitchen, tmp_path: Path) -> None:
    pantry = read_pantry(block("pantry", tmp_path), kitchen.catalogue)
    assert any(entry.measurement for entry in pantry.of("sour whey"))


def test_its_log_can_be_read(tmp_path: Path) -> None:
    (bake,) = read_log(block("[bake]", tmp_path))
    assert bake.mark == 4


def test_its_ingredient_can_be_laid_over(tmp_path: Path) -> None:
    folder = tmp_path / "ingredients"
    folder.mkdir()
    block("[ingredient]", tmp_path).rename(folder / "own.toml")
    assert load_catalogue([tmp_path]).resolve("spruce honey").figure("glucose") == 37


def test_every_command_is_told_and_none_that_is_not_there() -> None:
    told = re.findall(r"^    (?:\$ )?otherloaf ([\w-]+)", README, re.MULTILINE)
    assert set(told) == set(command_names())


def test_every_option_it_names_is_there() -> None:
    known = {option for name in command_names() for option in command_parser(name)._option_string_actions}
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", README)) <= known


def test_the_keys_of_the_tour_do_something() -> None:
    tour = README.split("## A tour by keys")[1].split("\n## ")[0]
    cells = [line.split("|")[1] for line in tour.splitlines() if line.startswith("| `")]
    keys = {key for cell in cells for key in re.findall(r"`([^`]+)`", cell)} - {"every"}
    keys |= {"Ctrl+P", ":", "F3"}
    known = {shown_key(key) for action in ACTIONS for key in action.keys.split(",")} | {"↑", "↓"}
    assert keys <= known, keys - known


@pytest.mark.parametrize("name", DOCUMENTS)
def test_files_that_are_named_are_there(name: str) -> None:
    text = (PROJECT / name).read_text(encoding="utf-8")
    for path in re.findall(r"`((?:adapter|tests|substitutions|sample_formulas|\.ci)/[\w./]*)`", text):
        assert (PROJECT / path).exists(), path
    for path in re.findall(r"`((?:files|swaps|dough|formula|screens)/\w+\.py)`", text):
        assert (PROJECT / "adapter" / path).is_file(), path


def test_its_first_sentence_is_what_the_program_says(capsys: pytest.CaptureFixture[str]) -> None:
    """The outcome that it promises, recomputed."""
    assert main(["swap", "hut_everyday_loaf", "--out", "sour whey", "--into", "milk", "cider vinegar", "--json"]) == 0
    swap = json.loads(capsys.readouterr().out)
    came = {item["ingredient"]: item["grams"] for item in swap["into"]}
    milk, vinegar = re.findall(r"(\d+) g", README.split("\n\n")[1].split(".")[0])
    assert (came["milk"], came["cider vinegar"]) == (float(milk), float(vinegar))
    assert abs(swap["changes"]["tta"]["change"]) < 0.2, "it stays as sour"


def test_what_it_prints_is_what_the_program_prints(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["swap", "hut_everyday_loaf", "--out", "sour whey", "--into", "milk", "cider vinegar"]) == 0
    printed = [line.strip() for line in capsys.readouterr().out.splitlines()]
    told = README.split("--save no_whey.toml\n")[1].split("\n\n")[0].splitlines()
    assert len(told) == 4
    for line in told[:-1]:
        assert line.strip() in printed
    assert told[-1].strip().removesuffix(" …") in " ".join(printed)


def test_what_it_says_of_the_store_is_so(kitchen: Kitchen) -> None:
    (grams,) = re.findall(r"only (\d+) g of sour whey", README)
    store = sample_pantry()
    assert store is not None and read_pantry(store, kitchen.catalogue).grams_of("sour whey") == float(grams)


def test_its_pictures_are_those_that_the_screens_are_tested_against() -> None:
    pictures = [unquote(path) for path in re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)]
    assert len(pictures) >= 3
    for path in pictures:
        assert path.startswith("tests/screens/__snapshots__/") and (PROJECT / path).is_file(), path


def test_it_names_the_tables_that_its_figures_come_from() -> None:
    for words in ("Standard Reference, Release 28", "public domain", "Ciqual", "Anses", "Open Government Licence"):
        assert words in README
