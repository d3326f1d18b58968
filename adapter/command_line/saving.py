"""Saving what a command made of a formula."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.files.atomic import Stamp
    from adapter.formula.model import Formula


def save_variant(saved: Formula, options: argparse.Namespace, stamp: Stamp | None, kitchen: Kitchen) -> None:
    from dataclasses import replace

    from adapter.files.formula_file import write_formula
    from adapter.formula.plain_text import clean

    if options.name is not None:
        saved = replace(saved, name=clean(options.name) or saved.name)
    over_itself = os.path.realpath(options.save) == os.path.realpath(options.file)
    write_formula(saved, options.save, stamp if over_itself else None, kitchen.catalogue)
