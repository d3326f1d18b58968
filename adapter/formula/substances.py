"""Acids, buffers and sugars: the substances that ingredients are made of, read from acids.toml."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from adapter.formula.problems import InputProblem
from adapter.formula.row import Row, keys_of
from adapter.formula.tables import Table

Group = tuple[str, tuple[float, ...], float]
"""Name, pKa values and mmol/kg of one acid or buffer group."""


BUFFER = "buffer "
_BESIDE = ("acid", "buffer_model", "buffer", "sugar")
ACIDS = Table("acids.toml", "acid", "acids", beside=_BESIDE)
SUGARS = Table("acids.toml", "sugar", "sugars", beside=_BESIDE)
MODELS = Table("acids.toml", "buffer_model", "models of buffers", beside=_BESIDE)
BUFFERS = Table("acids.toml", "buffer", "buffers", beside=_BESIDE)


@dataclass(frozen=True, slots=True)
class Acid:
    """An acid, with its pKa values at 25 °C and zero ionic strength, lowest first."""

    name: str
    pkas: tuple[float, ...] = field(metadata={"keys": ("pka",)})
    molar_mass: float
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Sugar:
    """Sweetness against sucrose = 1 with its range, and g of hexose that a yeast gets from 1 g."""

    name: str
    sweetness: float
    sweetness_low: float
    sweetness_high: float
    hexose: float
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Substances:
    """What ingredients may hold. `buffers` has every buffer group by name, with its pKa."""

    acids: Mapping[str, Acid]
    sugars: Mapping[str, Sugar]
    flour_buffer: tuple[tuple[float, float, float], ...]
    milk_buffer: tuple[tuple[float, float], ...]
    buffers: Mapping[str, tuple[float, ...]]

    def buffer_groups(self, model: str, factor: float, ash_percent: float) -> tuple[Group, ...]:
        """Buffer groups of a flour (from its ash) or of milk, mmol/kg."""
        if model == "flour":
            return tuple((buffer_name(p), (p,), factor * (a + b * ash_percent)) for p, a, b in self.flour_buffer)
        return tuple((buffer_name(p), (p,), factor * amount) for p, amount in self.milk_buffer)


def buffer_name(pka: float) -> str:
    return f"{BUFFER}{pka:.1f}"


def pka_of(row: Row, key: str, text: str) -> float:
    """The pKa by which a table names a buffer group, to a tenth. Raises InputProblem."""
    try:
        pka = float(text)
    except ValueError:
        pka = math.nan
    if not 0 <= pka <= 14:
        raise row.fault(key, "is not a pKa", 'such as "6.5"')
    return round(pka, 1)


def _acid(row: Row) -> Acid:
    row.known_keys(keys_of(Acid))
    pkas = row.list_of_numbers("pka")
    if not pkas or sorted(pkas) != list(pkas):
        raise row.fault("pka", "is not a list of numbers, lowest first")
    return Acid(row.text("name"), pkas, row.number("molar_mass"), row.tag(), row.text("source"))


def _sugar(row: Row) -> Sugar:
    row.known_keys(keys_of(Sugar))
    return Sugar(
        row.text("name"),
        row.number("sweetness"),
        row.number("sweetness_low"),
        row.number("sweetness_high"),
        row.number("hexose"),
        row.tag(),
        row.text("source"),
    )


def _model(row: Row) -> tuple[str, list[Row]]:
    row.known_keys(("name", "rows", "tag", "source"))
    row.tag()
    row.text("source")
    return row.text("name"), row.named_parts("rows", "pka")


def _buffer(row: Row) -> float:
    row.known_keys(("name", "tag", "source"))
    row.tag()
    row.text("source")
    return pka_of(row, "name", row.text("name"))


def load_substances(folder: Path) -> Substances:
    """Read acids.toml of a table folder."""
    acids = {acid.name: acid for acid in ACIDS.load_from([folder], _acid)}
    sugars = {sugar.name: sugar for sugar in SUGARS.load_from([folder], _sugar)}
    models = dict(MODELS.load_from([folder], _model))
    for name in ("flour", "milk"):
        if not models.get(name):
            raise InputProblem(f"buffer_model {name!r} is missing", file=str(folder / ACIDS.file))
    flour = tuple((r.number("pka"), r.number("a"), r.number("b")) for r in models["flour"])
    milk = tuple((r.number("pka"), r.number("amount")) for r in models["milk"])
    pkas = (*(group[0] for group in (*flour, *milk)), *BUFFERS.load_from([folder], _buffer))
    return Substances(acids, sugars, flour, milk, {buffer_name(pka): (pka,) for pka in pkas})
