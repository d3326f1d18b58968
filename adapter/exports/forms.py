"""Every form of an export: the modules of this folder that have a FORM. A file's suffix says which is meant."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from types import ModuleType
from typing import TYPE_CHECKING

from adapter.exports.form import ComparisonForm, FormulaForm, ForReaders
from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.files.stamp import Stamp

PACKAGE = "adapter.exports"
NOTHING_FOR_READERS = ForReaders()


@cache
def formula_forms() -> tuple[FormulaForm, ...]:
    """The forms of a formula, in the order in which they are listed."""
    found = [module.FORM for module in _modules() if isinstance(getattr(module, "FORM", None), FormulaForm)]
    return tuple(sorted(found, key=lambda form: form.place))


@cache
def comparison_forms() -> tuple[ComparisonForm, ...]:
    """The forms of a comparison, in the order in which they are listed."""
    found = [module.FORM for module in _modules() if isinstance(getattr(module, "FORM", None), ComparisonForm)]
    return tuple(sorted(found, key=lambda form: form.place))


def _modules() -> list[ModuleType]:
    return [import_module(f"{PACKAGE}.{module.name}") for module in iter_modules(import_module(PACKAGE).__path__)]


def form_of(suffix: str) -> FormulaForm:
    """The form that a file's suffix stands for. Raises InputProblem for one that stands for nothing."""
    for form in formula_forms():
        if form.suffix == suffix.lower():
            return form
    named = f"'{shown(suffix)}'" if suffix else "a name without a suffix"
    right = "one of " + ", ".join(form.suffix for form in formula_forms())
    raise InputProblem(f"{named} says nothing about the form", right=right)


def export_text(measured: Measured, suffix: str, for_readers: ForReaders = NOTHING_FOR_READERS) -> str:
    """The text of an export. Raises InputProblem for a suffix that stands for nothing."""
    return form_of(suffix).text(measured, for_readers)


def export_file(
    measured: Measured, path: Path, for_readers: ForReaders = NOTHING_FOR_READERS, stamp: Stamp | None = None
) -> Stamp:
    """Write an export, whole or not at all; an existing formula file keeps its comments (see write_formula)."""
    from adapter.files.atomic import write_whole
    from adapter.formula.problems import file_name

    try:
        form = form_of(path.suffix)
        if form.write_over is not None:
            return form.write_over(measured, path, stamp)
        # Lines end as the text says: a spreadsheet's table has its own.
        return write_whole(path, form.text(measured, for_readers).encode("utf-8"), stamp)
    except InputProblem as problem:
        raise problem.in_file(file_name(path)) from None
