"""Pantry files: what is in stock, read with every fault named.

[pantry]
name = "…"
[[stock]]
ingredient = "kefir"
grams = 500                # or amount = "2 cups"; neither: plenty
price_per_kg = 2.4         # optional
best_before = 2031-05-04   # optional
[stock.packet]             # optional: own figures, each a number or { value = 4.1, spread = 0.1 }
sugar = 4.1
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

from adapter.files.stamp import Stamp
from adapter.files.toml.source import parse, read_text, read_text_and_stamp
from adapter.formula.amounts import MOST_GRAMS, grams_of
from adapter.formula.catalogue import Catalogue
from adapter.formula.pantry import MEASUREMENT_RANGES, Measured, Measurement, Pantry, Stock
from adapter.formula.plain_text import clean, shown
from adapter.formula.problems import InputProblem, file_name
from adapter.formula.row import Row
from adapter.formula.toml_text import decode

MOST_ENTRIES = 5000
MOST_PRICE = 1e6
DEFAULT_NAME = "pantry"

Tables = Mapping[str, Any]


def read_pantry(path: Path, catalogue: Catalogue) -> Pantry:
    """The pantry in a file. Raises InputProblem, naming the file and the entry, for anything it cannot use."""
    return pantry_from_text(read_text(path), catalogue, file_name(path))


def read_pantry_and_stamp(path: Path, catalogue: Catalogue) -> tuple[Pantry, Stamp]:
    """The pantry in a file, and the stamp by which `write_pantry` notices that somebody else saved it since."""
    text, stamp = read_text_and_stamp(path)
    return pantry_from_text(text, catalogue, file_name(path)), stamp


def read_sample_pantry(resource: Path, catalogue: Catalogue) -> Pantry:
    """A pantry that ships with the program."""
    return pantry_from_text(decode(resource.read_bytes(), resource.name), catalogue, resource.name)


def pantry_from_text(text: str, catalogue: Catalogue, file: str) -> Pantry:
    return pantry_from_tables(parse(text, file), catalogue, file)


def pantry_from_tables(data: Tables, catalogue: Catalogue, file: str) -> Pantry:
    whole = Row(data, file)
    if not whole.has("pantry") and not whole.has("stock"):
        raise whole.problem("is no pantry file", "[pantry] and [[stock]] entries")
    entries = whole.parts("stock", "stock")
    if len(entries) > MOST_ENTRIES:
        raise whole.problem(f"the pantry has {len(entries)} entries", f"at most {MOST_ENTRIES}")
    name = whole.part_or_empty("pantry", "[pantry]").line_of_text("name") or DEFAULT_NAME
    return Pantry(name, tuple(_stock(entry, catalogue) for entry in entries))


def _stock(entry: Row, catalogue: Catalogue) -> Stock:
    name = entry.line_of_text("ingredient")
    if not name:
        raise entry.problem("has no ingredient", 'ingredient = "…"')
    try:
        ingredient = catalogue.resolve(name)
    except InputProblem as problem:
        raise entry.problem(problem.what, problem.right) from None
    grams = entry.maybe_number("grams", 0, MOST_GRAMS)
    if entry.has("amount"):
        if grams is not None:
            raise entry.problem("has both grams and amount", "one of them")
        try:
            grams = grams_of(
                entry.line_of_text("amount"), ingredient.property("density_g_ml"), ingredient.property("each_g")
            )
        except InputProblem as problem:
            raise entry.problem(f"amount: {problem.what}", problem.right) from None
    return Stock(
        ingredient.name, grams, entry.maybe_number("price_per_kg", 0, MOST_PRICE), _date(entry), _measurement(entry)
    )


def _date(entry: Row) -> date | None:
    value = entry.data.get("best_before")
    if value is None or (isinstance(value, date) and not isinstance(value, datetime)):
        return value
    if isinstance(value, str):
        try:
            return date.fromisoformat(clean(value))
        except ValueError:
            pass
    raise entry.problem(f"best_before = {shown(repr(value))} is not a date", "best_before = 2031-05-04")


def _measurement(entry: Row) -> Measurement | None:
    packet = entry.part_or_empty("packet", f"{entry.where}, packet")
    unknown = packet.unknown(frozenset(MEASUREMENT_RANGES))
    if unknown:
        raise packet.problem(f"{shown(next(iter(unknown)))} is not a figure of a packet", ", ".join(MEASUREMENT_RANGES))
    if not packet.data:
        return None
    figures = {}
    for key, (low, high) in MEASUREMENT_RANGES.items():
        if isinstance(packet.data.get(key), dict):
            part = packet.part_or_empty(key, f"{packet.where}, {key}")
            value = part.maybe_number("value", low, high)
            if value is None:
                raise part.problem("has no value", f"{key} = {{ value = …, spread = … }}")
            figures[key] = Measured(value, part.maybe_number("spread", 0, high))
        elif (value := packet.maybe_number(key, low, high)) is not None:
            figures[key] = Measured(value)
    return Measurement(**figures)
