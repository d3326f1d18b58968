"""Writing a formula in another form, chosen by the suffix of the file's name."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from adapter.dough.readings.measured import Measured
from adapter.files.atomic import Stamp, file_name, write_whole
from adapter.files.formula_file import formula_text, write_formula
from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem

SUFFIXES = {
    ".toml": "formula file, to be opened again",
    ".md": "card for readers",
    ".csv": "table for spreadsheets",
    ".json": "readings and lines for scripts",
    ".jsonld": "schema.org recipe for web pages",
}


def export_text(
    measured: Measured,
    suffix: str,
    options: Sequence[str] = (),
    reasons: Mapping[str, str] | None = None,
) -> str:
    """The text of an export. `options` and `reasons` are for the card (see card.py).

    Raises InputProblem for a suffix that stands for nothing.
    """
    kind = suffix.lower()
    if kind == ".toml":
        return formula_text(measured.formula)
    if kind == ".md":
        from adapter.exports.card import card

        return card(measured, options, reasons)
    if kind == ".csv":
        from adapter.exports.formula_csv import formula_csv

        return formula_csv(measured)
    if kind == ".json":
        from adapter.words.reports import balance_report

        return json.dumps(balance_report(measured), ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    if kind == ".jsonld":
        from adapter.exports.json_ld import recipe_json_ld

        return recipe_json_ld(measured.formula)
    named = f"'{shown(suffix)}'" if suffix else "a name without a suffix"
    raise InputProblem(f"{named} says nothing about the form", right="one of " + ", ".join(SUFFIXES))


def export_file(
    measured: Measured,
    path: Path,
    options: Sequence[str] = (),
    reasons: Mapping[str, str] | None = None,
    stamp: Stamp | None = None,
) -> Stamp:
    """Write an export, whole or not at all; an existing formula file keeps its comments (see write_formula)."""
    try:
        if path.suffix.lower() == ".toml":
            return write_formula(measured.formula, path, stamp, measured.kitchen.catalogue)
        # Lines end as the text says: a spreadsheet's table has its own.
        text = export_text(measured, path.suffix, options, reasons)
        return write_whole(path, text.encode("utf-8"), stamp)
    except InputProblem as problem:
        raise problem.in_file(file_name(path)) from None
