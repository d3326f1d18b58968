"""Pantry files: writing them new, or over a person's own so that only what differs is changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from adapter.files.formula_tables import plain_number
from adapter.files.pantry_edit import edited_text
from adapter.files.pantry_file import DEFAULT_NAME, pantry_from_tables, pantry_from_text
from adapter.files.stamp import Stamp
from adapter.files.toml.layout import document
from adapter.files.toml.save import save_in_place
from adapter.files.toml.source import parse
from adapter.formula.catalogue import Catalogue
from adapter.formula.pantry import Measured, Pantry, Stock
from adapter.formula.plain_text import clean
from adapter.formula.problems import file_name


def pantry_text(pantry: Pantry) -> str:
    """A pantry as the text of a new file."""
    return document(tables_of(pantry))


def write_pantry(pantry: Pantry, path: Path, catalogue: Catalogue, stamp: Stamp | None = None) -> Stamp:
    """Save a pantry, whole or not at all; the new stamp of the file.

    Over an existing pantry file only what differs is changed. `stamp` is what the file was when it was read: if
    another program saved it since, this raises InputProblem, as it does for anything that cannot be written.
    """
    file = file_name(path)

    def changed(text: str) -> str:
        data = parse(text, file)
        return edited_text(
            text, data.get("stock", []), pantry_from_tables(data, catalogue, file), pantry, tables_of(pantry)
        )

    return save_in_place(
        path,
        stamp,
        "pantry file",
        lambda: pantry_text(pantry),
        changed,
        lambda text: pantry_from_text(text, catalogue, file) == _cleaned(pantry),
    )


def _cleaned(pantry: Pantry) -> Pantry:
    """The pantry as a file can hold it: a plain name, no empty packet."""
    return replace(pantry, name=clean(pantry.name) or DEFAULT_NAME, stock=tuple(map(_with_true_packet, pantry.stock)))


def _with_true_packet(entry: Stock) -> Stock:
    given = entry.measurement is not None and any(entry.measurement.given())
    return entry if given else replace(entry, measurement=None)


def tables_of(pantry: Pantry) -> dict[str, Any]:
    """The tables that describe a pantry, in the order of the file."""
    tables: dict[str, Any] = {"pantry": {"name": clean(pantry.name) or DEFAULT_NAME}}
    if pantry.stock:
        tables["stock"] = [_stock_table(entry) for entry in pantry.stock]
    return tables


def _stock_table(entry: Stock) -> dict[str, Any]:
    table: dict[str, Any] = {"ingredient": entry.ingredient}
    for key in ("grams", "price_per_kg"):
        value = getattr(entry, key)
        if value is not None:
            table[key] = plain_number(value)
    if entry.best_before is not None:
        table["best_before"] = entry.best_before
    if entry.measurement is not None and any(entry.measurement.given()):
        table["packet"] = {key: _figure_value(figure) for key, figure in entry.measurement.given()}
    return table


def _figure_value(figure: Measured) -> Any:
    if figure.spread is None:
        return plain_number(figure.value)
    return {"value": plain_number(figure.value), "spread": plain_number(figure.spread)}
