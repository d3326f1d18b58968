"""Tolerances and bands: what a baker would notice, and where a reading lies for a style of bread."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from typing import Any

from adapter.formula.problems import InputProblem
from adapter.formula.tables import Row, read_table, rows, shipped_tables


@dataclass(frozen=True, slots=True)
class Tolerance:
    """The smallest change of a reading that a baker would notice, in the reading's unit.

    `in_drift`: whether it counts in drift and is sought by the balancing programme, with `weight`. The model
    spreads are what the model itself may be wrong by: the first two of an absolute reading, the last of a
    difference between two formulas that have exchanged much of their dough.
    """

    reading: str
    value: float
    unit: str
    in_drift: bool
    weight: float
    model_spread: float
    model_spread_relative: float
    model_spread_difference: float
    tag: str
    source: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Band:
    style: str
    reading: str
    low: float
    high: float
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Style:
    name: str
    min_rye: float
    max_rye: float


@dataclass(frozen=True)
class Bands:
    styles: tuple[Style, ...]
    bands: Mapping[tuple[str, str], Band]

    def style_for(self, rye_percent: float) -> Style:
        """The style whose rye share, in % of the flour, this is: the last that starts at or below it."""
        fitting = [style for style in self.styles if style.min_rye <= rye_percent + 1e-9]
        return fitting[-1] if fitting else self.styles[0]

    def band(self, rye_percent: float, reading: str) -> Band | None:
        return self.bands.get((self.style_for(rye_percent).name, reading))


def _tables(name: str, own_folders: Iterable[Traversable]) -> Iterable[tuple[dict[str, Any], str]]:
    for folder in (shipped_tables(), *own_folders):
        path = folder / name
        if path.is_file():
            yield read_table(path), str(path)


def load_tolerances(own_folders: Iterable[Traversable] = ()) -> dict[str, Tolerance]:
    """tolerances.toml, a baker's own rows over the shipped ones."""
    found: dict[str, Tolerance] = {}
    for data, file in _tables("tolerances.toml", own_folders):
        for row in rows(data, "tolerance", file, name_key="reading"):
            found[row.text("reading")] = _tolerance(row)
    return found


def _tolerance(row: Row) -> Tolerance:
    value = row.number("value")
    if value <= 0:
        raise row.problem("value", f"is {value:g}", "above zero")
    return Tolerance(
        row.text("reading"),
        value,
        row.text("unit"),
        row.flag("in_drift", False),
        row.number("weight", 1.0),
        row.number("model_spread", 0.0),
        row.number("model_spread_relative", 0.0),
        row.number("model_spread_difference", 0.0),
        row.tag(),
        row.text("source"),
        row.text("note", "-"),
    )


def load_bands(own_folders: Iterable[Traversable] = ()) -> Bands:
    """bands.toml: styles by rye share and the bands of each; a baker's own rows over the shipped ones."""
    styles: dict[str, Style] = {}
    bands: dict[tuple[str, str], Band] = {}
    for data, file in _tables("bands.toml", own_folders):
        for row in rows(data, "style", file):
            styles[row.text("name")] = Style(row.text("name"), row.number("min_rye"), row.number("max_rye"))
        for row in rows(data, "band", file, name_key="reading"):
            band = _band(row)
            if band.style not in styles:
                raise row.problem("style", f"{band.style!r} is unknown", "one of " + ", ".join(styles))
            bands[band.style, band.reading] = band
    if not styles:
        raise InputProblem("bands.toml names no style")
    return Bands(tuple(sorted(styles.values(), key=lambda style: style.min_rye)), bands)


def _band(row: Row) -> Band:
    low, high = row.number("low"), row.number("high")
    if low >= high:
        raise row.problem("low", f"{low:g} is not below high {high:g}")
    return Band(row.text("style"), row.text("reading"), low, high, row.tag(), row.text("source"))
