"""`read`: recipe text, a saved page, JSON-LD or a table into a formula, with what is in doubt."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.command_line.command import Command
from adapter.command_line.loading import STANDARD_INPUT, STANDARD_STREAM, standard_input
from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.recipes.read_recipe import ReadRecipe


def options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "file", metavar="IN", help="text, .html, .jsonld, .md or .csv with a recipe; - for standard input"
    )
    parser.add_argument("-o", "--out", type=Path, metavar="OUT.toml", help="write the formula to this file")
    parser.add_argument("--strict", action="store_true", help="refuse (exit 2) when anything is in doubt")
    parser.add_argument("--cups", choices=("us", "metric", "imperial"), help="whose cups, spoons and pints are meant")
    parser.add_argument(
        "--recipe", metavar="NAME|NUMBER", help="which of several recipes in a page (all: each of them)"
    )
    parser.add_argument("--json", action="store_true", help="print JSON for scripts")


def run(chosen: argparse.Namespace) -> str:
    from adapter.command_line.printing import json_text
    from adapter.files.places import own_table_folders
    from adapter.formula.catalogue import load_catalogue
    from adapter.recipes.report import read_report, read_text_report, unsure_of
    from adapter.recipes.sources import line_reader, read_bytes

    catalogue = load_catalogue(own_table_folders())
    file = STANDARD_INPUT if chosen.file == STANDARD_STREAM else chosen.file
    data = _content(chosen.file)
    recipes = read_bytes(data, line_reader(catalogue, chosen.cups), Path(file).name, chosen.recipe)
    doubts = unsure_of(recipes)
    if chosen.strict and doubts:
        raise _in_doubt(doubts, Path(file).name)
    report = read_report(recipes)
    text = json_text(report) if chosen.json else read_text_report(report)
    if chosen.out is not None:
        _write(recipes, chosen.out, chosen.json)
        if not chosen.json:
            text += f"\n\n{chosen.out.name} written"
    return text


def _content(file: str) -> bytes:
    from adapter.recipes.sources import MOST_BYTES

    if file == STANDARD_STREAM:
        return standard_input(MOST_BYTES)
    path = Path(file)
    try:
        if not path.is_file():
            raise InputProblem("there is no such file", file=path.name, right="a file with a recipe, or - to paste one")
        with path.open("rb") as source:
            return source.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise InputProblem(f"cannot be read: {reason.lower()}", file=path.name) from None


def _in_doubt(doubts: list[dict[str, object]], file: str) -> InputProblem:
    listed = "; ".join(f"'{item['text'] or item['formula']}': {item['why']}" for item in doubts)
    return InputProblem(f"{len(doubts)} to be asked: {listed}", file=file, right="read it without --strict to go on")


def _write(recipes: list[ReadRecipe], out: Path, quiet: bool) -> None:
    from adapter.files.formula_saving import write_formula
    from adapter.files.places import own_table_folders
    from adapter.formula.catalogue import load_catalogue
    from adapter.recipes.read_recipe import formula_of

    if len(recipes) > 1:
        raise InputProblem("one file holds one formula", where="read", right="--recipe NUMBER or NAME beside -o")
    if out.suffix.casefold() != ".toml":
        raise InputProblem(f"'{out.name}' is no name of a formula file", right="a name that ends with .toml")
    catalogue = load_catalogue(own_table_folders())
    write_formula(formula_of(recipes[0], catalogue), out, None, catalogue)


COMMAND = Command("read a recipe: text, a saved page, JSON-LD or a table", options, run)
