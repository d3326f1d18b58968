"""Formula files: writing them new, or over a person's own so that only what differs is changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from adapter.files.formula_edit import edited_text, says_the_same
from adapter.files.formula_tables import check_shape, formula_from_tables, tables_of, written_grams
from adapter.files.stamp import Stamp
from adapter.files.toml.layout import document
from adapter.files.toml.save import save_in_place
from adapter.files.toml.source import parse
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula
from adapter.formula.problems import file_name


def formula_text(formula: Formula) -> str:
    """A formula as the text of a new file."""
    return document(_merged(tables_of(formula), formula.extra))


def write_formula(
    formula: Formula, path: Path, stamp: Stamp | None = None, catalogue: Catalogue | None = None
) -> Stamp:
    """Save a formula, whole or not at all; the new stamp of the file.

    Over an existing formula file only what differs is changed, so that its comments, unknown tables and own ways
    of writing stay; with the `catalogue`, an alias in it is known for what it is. `stamp` is what the file was
    when it was read: if another program saved it since, this raises InputProblem, as it does for a path that
    cannot be written or holds something else than a formula.
    """
    formula = _with_true_amounts(formula, catalogue)
    file = file_name(path)
    return save_in_place(
        path,
        stamp,
        "formula file",
        lambda: formula_text(formula),
        lambda text: _text_over(text, formula, catalogue, file),
        lambda text: _is_of(text, formula, catalogue, file),
    )


def _text_over(text: str, formula: Formula, catalogue: Catalogue | None, file: str) -> str:
    data = parse(text, file)
    check_shape(data, file)
    if catalogue is not None:
        formula_from_tables(data, catalogue, file)
    return edited_text(text, data, formula, tables_of(formula), _canonical(catalogue))


def _is_of(text: str, formula: Formula, catalogue: Catalogue | None, file: str) -> bool:
    """Whether a text is read as this very formula."""
    data = parse(text, file)
    if catalogue is not None:
        formula_from_tables(data, catalogue, file)
    return says_the_same(data, formula, tables_of(formula), _canonical(catalogue))


def _with_true_amounts(formula: Formula, catalogue: Catalogue | None) -> Formula:
    """Written amounts that do not give the line's grams by this catalogue are dropped for the grams."""
    if catalogue is None or not any(line.amount for line in formula.lines):
        return formula
    return formula.with_lines(
        replace(line, amount=None) if line.amount and written_grams(line, catalogue) != line.grams else line
        for line in formula.lines
    )


def _canonical(catalogue: Catalogue | None) -> Callable[[str], str]:
    """The catalogue's name of an ingredient as a person wrote it; without a catalogue the name itself."""
    return (lambda name: catalogue.resolve(name).name) if catalogue is not None else str


def _merged(tables: Mapping[str, Any], extra: Mapping[str, Any]) -> dict[str, Any]:
    """Our tables with what else the formula's first file held; our own keys win."""
    merged = dict(tables)
    for key, value in extra.items():
        if key not in merged:
            merged[key] = value
        elif isinstance(merged[key], dict) and isinstance(value, Mapping):
            merged[key] = _merged(merged[key], value)
    return merged
