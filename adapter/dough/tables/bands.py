"""Tolerances and bands: what a baker would notice, and where a reading lies for a style of bread."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from adapter.formula.problems import InputProblem
from adapter.formula.row import Row, keys_of
from adapter.formula.tables import Table

TOLERANCES = Table("tolerances.toml", "tolerance", "tolerances", ("reading",))
STYLES = Table("bands.toml", "style", "styles", beside=("band",))
BANDS = Table("bands.toml", "band", "bands", ("style", "reading"), beside=("style",))
TABLES = (TOLERANCES, STYLES, BANDS)


@dataclass(frozen=True, slots=True)
class Tolerance:
    """The smallest change of a reading that a baker would notice, in the reading's unit.

    `in_drift`: whether it counts in drift and is sought by the balancing programme, with `weight`; where
    `in_drift_above` is given, only in formulas whose book value is above it. The model
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
    in_drift_above: float | None = None

    def counts(self, book_value: float) -> bool:
        """Whether it counts in drift for a book formula of such a value."""
        return self.in_drift and (self.in_drift_above is None or book_value > self.in_drift_above)


@dataclass(frozen=True, slots=True)
class Band:
    """From where to where a reading usually lies in a style of bread, in the reading's unit."""

    style: str
    reading: str
    low: float
    high: float
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Style:
    """A style of bread, by its share of rye in % of the flour."""

    name: str
    min_rye: float
    max_rye: float
    tag: str
    source: str


@dataclass(frozen=True)
class Bands:
    """All bands, by the name of their style and the key of their reading."""

    styles: tuple[Style, ...]
    bands: Mapping[tuple[str, str], Band]

    def style_for(self, rye_percent: float) -> Style:
        """The style whose rye share, in % of the flour, this is; between two styles the one below."""
        rye_percent = round(rye_percent, 9)  # worked out from grams it may miss a limit by its last digits
        below = [style for style in self.styles if style.min_rye <= rye_percent] or [self.styles[0]]
        within = [style for style in below if rye_percent <= style.max_rye]
        return (within or below)[-1]

    def band(self, rye_percent: float, reading: str) -> Band | None:
        return self.bands.get((self.style_for(rye_percent).name, reading))


def _reading(row: Row, readings: Collection[str]) -> str:
    key = row.text("reading")
    if key not in readings:
        raise row.fault("reading", f"{key!r} is unknown", "one of " + ", ".join(readings))
    return key


def load_tolerances(readings: Collection[str], own_folders: Iterable[Path] = ()) -> dict[str, Tolerance]:
    """tolerances.toml, a baker's own rows over the shipped ones. Every reading, by its key, must have one."""
    tolerances = TOLERANCES.load(own_folders, lambda row: _tolerance(row, readings))
    found = {tolerance.reading: tolerance for tolerance in tolerances}
    for key in readings:
        if key not in found:
            raise InputProblem(
                f"the reading {key!r} has no tolerance",
                file=TOLERANCES.file,
                right=f'a [[tolerance]] with reading = "{key}"',
            )
    return found


def _tolerance(row: Row, readings: Collection[str]) -> Tolerance:
    row.known_keys(keys_of(Tolerance))
    value = row.number("value")
    if value <= 0:
        raise row.fault("value", f"is {value:g}", "above zero")
    for key in ("weight", "model_spread", "model_spread_relative", "model_spread_difference"):
        if row.has(key) and row.number(key) < 0:
            raise row.fault(key, f"is {row.number(key):g}", "zero or more")
    return Tolerance(
        _reading(row, readings),
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
        row.number("in_drift_above") if row.has("in_drift_above") else None,
    )


def load_bands(readings: Collection[str], own_folders: Iterable[Path] = ()) -> Bands:
    """bands.toml: styles by rye share and the bands of each; a baker's own rows over the shipped ones."""
    folders = tuple(own_folders)
    styles = STYLES.load(folders, _style)
    names = [style.name for style in styles]

    def band(row: Row) -> Band:
        made = _band(row, readings)
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


def _band(row: Row, readings: Collection[str]) -> Band:
    row.known_keys(keys_of(Band))
    low, high = row.number("low"), row.number("high")
    if low >= high:
        raise row.fault("low", f"{low:g} is not below high {high:g}")
    return Band(row.text("style"), _reading(row, readings), low, high, row.tag(), row.text("source"))
