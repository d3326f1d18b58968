"""What the commands begin with: the tables, the pantry, formulas, and what can stand in for their lines."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.formula.problems import InputProblem, file_name

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.dough.readings.measured import Measured
    from adapter.files.stamp import Stamp
    from adapter.formula.model import Formula
    from adapter.formula.pantry import Pantry
    from adapter.swaps.swapper import Swapper

STANDARD_STREAM = "-"
"""In place of a file's name: read from standard input, or written to standard output."""
STANDARD_INPUT = "standard input"


def kitchen_for(options: argparse.Namespace) -> Kitchen:
    """The tables with the baker's own over them, what the bake logs say, and the figures of the pantry's packets."""
    return _with_packets(options)[0]


def kitchen_and_pantry(options: argparse.Namespace) -> tuple[Kitchen, Pantry | None]:
    """The same, and the store to bake from: the pantry named or kept.

    A sample is baked from the store of the samples, a baker's own formula from their own pantry. An own pantry with
    nothing in it is none: nothing is short of it.
    """
    kitchen, pantry = _with_packets(options)
    if getattr(options, "pantry", None) is not None:
        return kitchen, pantry
    return kitchen, _sample_store(options, kitchen) or pantry


def _with_packets(options: argparse.Namespace) -> tuple[Kitchen, Pantry | None]:
    from adapter.dough.readings.kitchen import load_kitchen
    from adapter.files.places import own_pantry_path, own_table_folders
    from adapter.formula.toml_text import is_there

    kitchen = _calibrated(load_kitchen(own_table_folders()), options)
    own = own_pantry_path()
    path: Path | None = getattr(options, "pantry", None) or (own if is_there(own) else None)
    if path is None:
        return kitchen, None
    from dataclasses import replace

    from adapter.dough.own_figures import with_own_figures
    from adapter.files.pantry_file import read_pantry

    pantry = read_pantry(path, kitchen.catalogue)
    kitchen = replace(kitchen, catalogue=with_own_figures(kitchen.catalogue, pantry))
    return kitchen, pantry if pantry.stock or path != own else None


def _sample_store(options: argparse.Namespace, kitchen: Kitchen) -> Pantry | None:
    """The store of the samples, where every formula at hand is one of them."""
    from adapter.files.pantry_file import read_sample_pantry
    from adapter.files.places import sample_pantry

    at_hand, store = _formulas_at_hand(options), sample_pantry()
    if store is None or not at_hand or not all(map(_is_sample, at_hand)):
        return None
    return read_sample_pantry(store, kitchen.catalogue)


def _formulas_at_hand(options: argparse.Namespace) -> list[Path]:
    return [*getattr(options, "files", ()), *([options.file] if hasattr(options, "file") else [])]


def _is_sample(path: Path) -> bool:
    """Whether a path is the name of a sample, and no file that is there."""
    from adapter.files.places import sample_named
    from adapter.files.toml.source import exists

    return str(path) != STANDARD_STREAM and not exists(path) and sample_named(str(path)) is not None


def _calibrated(kitchen: Kitchen, options: argparse.Namespace) -> Kitchen:
    """Yeast and oven as logged among the baker's own formulas and beside the files at hand, to be saved as well."""
    from adapter.files.places import holds_logs, own_formulas_path
    from adapter.files.toml.source import exists

    read = (path for path in _formulas_at_hand(options) if exists(path))
    folders = dict.fromkeys((own_formulas_path(), *(path.parent for path in read)))
    if getattr(options, "save", None) is not None:
        folders[options.save.parent] = None
    if not any(holds_logs(folder) for folder in folders):
        return kitchen
    from adapter.files.log_file import calibrated_kitchen

    return calibrated_kitchen(kitchen, folders)[0]


def read_file(path: Path, kitchen: Kitchen) -> Formula:
    """A formula file, a sample that ships with the program by its name, or what stands on standard input."""
    from adapter.files.formula_file import read_formula

    formula = _not_from_a_file(path, kitchen)
    return read_formula(path, kitchen.catalogue) if formula is None else formula


def read_file_and_stamp(path: Path, kitchen: Kitchen) -> tuple[Formula, Stamp | None]:
    """The same with the stamp by which a save notices that another program wrote the file; none for a sample."""
    from adapter.files.formula_file import read_formula_and_stamp

    formula = _not_from_a_file(path, kitchen)
    return read_formula_and_stamp(path, kitchen.catalogue) if formula is None else (formula, None)


def _not_from_a_file(path: Path, kitchen: Kitchen) -> Formula | None:
    from adapter.files.formula_file import formula_from_text, read_sample
    from adapter.files.places import near_formulas, sample_named
    from adapter.files.toml.source import LARGEST_FILE_BYTES, exists
    from adapter.formula.toml_text import decode

    if str(path) == STANDARD_STREAM:
        text = decode(standard_input(LARGEST_FILE_BYTES), STANDARD_INPUT)
        return formula_from_text(text, kitchen.catalogue, STANDARD_INPUT)
    if exists(path):
        return None
    sample = sample_named(str(path))
    if sample is not None:
        return read_sample(sample, kitchen.catalogue)
    near = near_formulas(path)
    if near:
        raise InputProblem("there is no such file", file=file_name(path), right=f"nearest: {', '.join(near)}")
    return None


def standard_input(most_bytes: int) -> bytes:
    """What stands on standard input, and no more of it than shows that it is too much."""
    return b"" if sys.stdin is None else sys.stdin.buffer.read(most_bytes + 1)


def measured_file(path: Path, kitchen: Kitchen) -> Measured:
    from adapter.dough.readings.measured import measure

    return measure(kitchen, read_file(path, kitchen))


def swapper_for(kitchen: Kitchen, formula: Formula) -> Swapper:
    from adapter.files.places import own_table_folders
    from adapter.swaps.programme import Solver
    from adapter.swaps.rules import load_rules
    from adapter.swaps.swapper import Swapper

    rules = load_rules(kitchen.catalogue, kitchen.keepable, own_table_folders())
    return Swapper(kitchen, rules, formula, Solver())


def log_of(path: Path) -> Path:
    """The log of a formula: beside its file; for a sample by its name, among the baker's own formulas."""
    from adapter.files.log_file import log_path
    from adapter.files.places import own_formulas_path, sample_named
    from adapter.files.toml.source import exists

    sample = None if exists(path) else sample_named(str(path))
    return log_path(path if sample is None else own_formulas_path() / sample.name)
