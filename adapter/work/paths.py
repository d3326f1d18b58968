"""Paths that people type, and the files that may not be written."""

from __future__ import annotations

import os
from pathlib import Path

from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem
from adapter.formula.shipped import shipped_folder

MOST_NUMBERED = 1000
MOST_NAME_BYTES = 150
"""Of a name without its suffix: what is written beside the file has a longer name, and 255 is the end."""


def file_name_for(name: str) -> str:
    """A file's name for a formula's: letters and digits as they are, the rest underscores, short for every disk."""
    words = "".join(character if character.isalnum() else " " for character in name.casefold()).split()
    stem = "_".join(words)[:60].encode("utf-8")[:MOST_NAME_BYTES].decode("utf-8", "ignore").strip("_")
    return (stem or "formula") + ".toml"


def path_typed(text: str, suffix: str = ".toml") -> Path:
    """The path that a person typed: ~ understood, the suffix added where there is none. Raises InputProblem.

    A name without a folder goes among the baker's own formulas, where the list of formulas finds it.
    """
    from adapter.files.places import own_formulas_path

    written = text.strip()
    if not written or not written.isprintable():
        raise InputProblem("no file is named", right="a path such as my_loaf.toml")
    if written.endswith(("/", "\\")):
        raise InputProblem(f"{shown(written)} names a folder", right="the name of a file in it")
    try:
        path = Path(written).expanduser()
        if path == Path(path.name):
            path = own_formulas_path() / path
        path = path.absolute()
    except FileNotFoundError:
        raise InputProblem("the folder that the program runs in is gone", right="a path from / on") from None
    except RuntimeError:
        raise InputProblem(f"{shown(written)} cannot be followed", right="a path without ~") from None
    return path if path.suffix else path.with_name(path.name + suffix)


def path_told(path: Path | None) -> str:
    """A path as it is told, and as it can be typed: a person's own folder is ~."""
    if path is None:
        return ""
    try:
        return f"~/{path.relative_to(Path.home()).as_posix()}"
    except (ValueError, RuntimeError):
        return str(path)


def free_path(path: Path) -> Path:
    """The path, or with a number behind its name where something stands there already."""
    from adapter.files.toml.source import exists

    number, free = 1, path
    while exists(free) and number < MOST_NUMBERED:
        number += 1
        free = path.with_name(f"{path.stem}_{number}{path.suffix}")
    return free


def is_among_samples(path: Path) -> bool:
    """Whether a path is the folder of the samples that ship with the program, or lies in it."""
    samples = shipped_folder("sample_formulas")
    return Path(os.path.realpath(path)).is_relative_to(os.path.realpath(samples))


def check_no_sample(path: Path) -> None:
    """Raises InputProblem for a path among the samples that ship with the program."""
    if is_among_samples(path):
        raise InputProblem("the samples that ship with the program stay as they are", right="another folder")
