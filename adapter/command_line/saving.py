"""Saving what a command made of a formula."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.command_line.loading import STANDARD_STREAM
from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.files.stamp import Stamp
    from adapter.formula.model import Formula


def not_over_unasked(path: Path, options: argparse.Namespace) -> None:
    """Raises InputProblem where something would be written over that was not to be."""
    from adapter.files.toml.source import exists
    from adapter.formula.problems import file_name

    if not options.force and exists(path):
        raise InputProblem("is there already", file=file_name(path), right="another name, or --force to write over it")


def save_variant(saved: Formula, options: argparse.Namespace, stamp: Stamp | None, kitchen: Kitchen) -> str | None:
    """Write the formula to the file named, or give its text where standard output is named."""
    from dataclasses import replace

    from adapter.files.formula_saving import formula_text, write_formula
    from adapter.formula.plain_text import clean

    if options.name is not None:
        saved = replace(saved, name=clean(options.name) or saved.name)
    if str(options.save) == STANDARD_STREAM:
        return formula_text(saved).rstrip("\n")
    not_over_unasked(options.save, options)
    over_itself = os.path.realpath(options.save) == os.path.realpath(options.file)
    write_formula(saved, options.save, stamp if over_itself else None, kitchen.catalogue)
    return None
