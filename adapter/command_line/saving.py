"""Saving what a command made of a formula."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING

from adapter.command_line.loading import STANDARD_STREAM

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.files.atomic import Stamp
    from adapter.formula.model import Formula


def save_variant(saved: Formula, options: argparse.Namespace, stamp: Stamp | None, kitchen: Kitchen) -> str | None:
    """Write the formula to the file named, or give its text where standard output is named."""
    from dataclasses import replace

    from adapter.files.formula_file import formula_text, write_formula
    from adapter.formula.plain_text import clean

    if options.name is not None:
        saved = replace(saved, name=clean(options.name) or saved.name)
    if str(options.save) == STANDARD_STREAM:
        return formula_text(saved).rstrip("\n")
    over_itself = os.path.realpath(options.save) == os.path.realpath(options.file)
    write_formula(saved, options.save, stamp if over_itself else None, kitchen.catalogue)
    return None
