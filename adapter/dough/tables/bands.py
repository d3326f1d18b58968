"""Tolerances and bands: what a baker would notice, and where a reading lies for a style of bread."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable

from adapter.dough.readings.keys import READINGS
from adapter.formula.row import Row, keys_of
from adapter.formula.tables import Table

TOLERANCES = Table("tolerances.toml", "tolerance", "tolerances", ("reading",))
STYLES = Table("bands.toml", "style", "styles", beside=("band",))
BANDS = Table("bands.toml", "band", "bands", ("style", "reading"), beside=("style",))
TABLES = (TOLERANCES, STYLES, BANDS)


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
    tag: str
    source: str


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


def _reading(row: Row) -> str:
    key = row.text("reading")
    if key not in READINGS:
        raise row.fault("reading", f"{key!r} is unknown", "one of " + ", ".join(READINGS))
    return key


def load_tolerances(own_folders: Iterable[Traversable] = ()) -> dict[str, Tolerance]:
    """tolerances.toml, a baker's own rows over the shipped ones."""
    return {tolerance.reading: tolerance for tolerance in TOLERANCES.load(own_folders, _tolerance)}


def _tolerance(row: Row) -> Tolerance:
    row.known_keys(keys_of(Tolerance))
    value = row.number("value")
    if value <= 0:
        raise row.fault("value", f"is {value:g}", "above zero")
    for key in ("weight", "model_spread", "model_spread_relative", "model_spread_difference"):
        if row.has(key) and row.number(key) < 0:
            raise row.fault(key, f"is {row.number(key):g}", "zero or more")
    return Tolerance(
        _reading(row),
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
    folders = tuple(own_folders)
    styles = STYLES.load(folders, _style)
    names = [style.name for style in styles]

    def band(row: Row) -> Band:
        made = _band(row)
        if made.style not in names:
            raise row.fault("style", f"{made.style!r} is unknown", "one of " + ", ".join(names))
        return made

    bands = {(made.style, made.reading): made for made in BANDS.load(folders, band)}
    return Bands(tuple(sorted(styles, key=lambda style: style.min_rye)), bands)


def _style(row: Row) -> Style:
    row.known_keys(keys_of(Style))
    low, high = row.number("min_rye"), row.number("max_rye")
    if not 0 <= low < high <= 100:
        raise row.fault("min_rye", f"{low:g} to max_rye {high:g} is no range", "0 <= min_rye < max_rye <= 100")
    return Style(row.text("name"), low, high, row.tag(), row.text("source"))


def _band(row: Row) -> Band:
    row.known_keys(keys_of(Band))
    low, high = row.number("low"), row.number("high")
    if low >= high:
        raise row.fault("low", f"{low:g} is not below high {high:g}")
    return Band(row.text("style"), _reading(row), low, high, row.tag(), row.text("source"))
