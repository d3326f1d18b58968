"""Checking every table and formula file: what was found, or the first fault with its file, entry and key."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from adapter.dough.cautions import load_cautions
from adapter.dough.kitchen import Kitchen, load_kitchen
from adapter.dough.readings import measure
from adapter.files.formula_file import read_formula, read_sample
from adapter.files.pantry_file import read_pantry
from adapter.files.places import own_pantry_path, own_table_folders, samples
from adapter.files.reports import out_of_band
from adapter.formula.model import Formula
from adapter.swaps.rules import load_rules


def check_tables() -> list[str]:
    """Read every table there is, shipped and own. Raises InputProblem for the first thing wrong."""
    folders = own_table_folders()
    kitchen = load_kitchen(folders)
    rules = load_rules(kitchen.catalogue, (*kitchen.quantities, "ph"), folders)
    load_cautions(folders)
    lines = [
        f"{len(kitchen.catalogue)} ingredients, {len(rules)} rules, {len(kitchen.tolerances)} tolerances, "
        f"{len(kitchen.bands.bands)} bands, {len(kitchen.classes)} classes of loaf: in order"
    ]
    if own_pantry_path().is_file():
        pantry = read_pantry(own_pantry_path(), kitchen.catalogue)
        lines.append(f"your pantry: {len(pantry.stock)} entries, in order")
    found = [_checked(read_sample(sample, kitchen.catalogue), kitchen) for sample in samples()]
    return [*lines, f"{len(found)} sample formulas: in order"]


def check_files(paths: Sequence[Path]) -> list[str]:
    """Read formula files; a line for each, with what lies outside its band."""
    kitchen = load_kitchen(own_table_folders())
    lines = []
    for path in paths:
        lines.append(f"{path}: in order")
        lines += [f"  {text}" for text in _checked(read_formula(path, kitchen.catalogue), kitchen)]
    return lines


def _checked(formula: Formula, kitchen: Kitchen) -> list[str]:
    return [text for _, text in out_of_band(measure(kitchen, formula))]
