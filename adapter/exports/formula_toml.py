"""A formula as a formula file, to be opened again."""

from __future__ import annotations

from pathlib import Path

from adapter.dough.readings.measured import Measured
from adapter.exports.form import FormulaForm
from adapter.files.formula_saving import formula_text, write_formula
from adapter.files.stamp import Stamp


def _write_over(measured: Measured, path: Path, stamp: Stamp | None) -> Stamp:
    return write_formula(measured.formula, path, stamp, measured.kitchen.catalogue)


FORM = FormulaForm(
    ".toml",
    "formula file, to be opened again",
    1,
    lambda measured, _: formula_text(measured.formula),
    write_over=_write_over,
)
