"""How a word on the command line may go on: samples, readings, ingredients and the lines of the formula named."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

Completer = Callable[..., Iterable[str]]


def give_completers(parser: argparse.ArgumentParser) -> None:
    """Tell the completing library what each option and argument of a command takes; files are its own matter."""
    for action in parser._actions:
        completer = _completer_of(action)
        if completer is not None:
            action.completer = completer  # type: ignore[attr-defined]


def _completer_of(action: argparse.Action) -> Completer | None:
    takes = str(action.metavar or "")
    if takes.startswith("FILE") and not action.option_strings:
        return _formulas
    if takes.startswith("READING"):
        return lambda **_: _readings("=" if "=" in takes else "")
    if takes.startswith("NAME[@STAGE]") or takes == "LINE" or "--line" in action.option_strings:
        return _lines
    if "--into" in action.option_strings or takes in ("WHAT", "WORDS", "INGREDIENT"):
        return _ingredients
    return _suffixes if takes == "SUFFIX" else None


def _formulas(prefix: str, **_: Any) -> list[str]:
    from argcomplete.completers import FilesCompleter

    from adapter.files.places import samples

    return [*FilesCompleter(["toml"])(prefix), *(Path(sample.name).stem for sample in samples())]


def _readings(ending: str) -> list[str]:
    from adapter.dough.readings.registry import READING_KEYS

    return [key + ending for key in READING_KEYS]


def _lines(parsed_args: argparse.Namespace, **_: Any) -> list[str]:
    """Of the formula that is named before; where it cannot be read, every ingredient."""
    from adapter.command_line.loading import read_file
    from adapter.dough.readings.kitchen import load_kitchen
    from adapter.formula.problems import InputProblem

    path = getattr(parsed_args, "file", None)
    if path is not None and str(path) != "-":
        try:
            return [line.ingredient for line in read_file(path, load_kitchen()).lines]
        except InputProblem:
            pass
    return _ingredients()


def _ingredients(**_: Any) -> list[str]:
    from adapter.dough.readings.kitchen import load_kitchen
    from adapter.files.places import own_table_folders

    return list(load_kitchen(own_table_folders()).catalogue.ingredients)


def _suffixes(**_: Any) -> list[str]:
    from adapter.exports.forms import formula_forms

    return [form.suffix for form in formula_forms()]
