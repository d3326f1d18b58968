"""Acids, buffers and sugars: the substances that ingredients are made of, read from acids.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.resources.abc import Traversable

from adapter.formula.problems import InputProblem
from adapter.formula.row import Row, keys_of
from adapter.formula.tables import Table

Group = tuple[str, tuple[float, ...], float]
"""Name, pKa values and mmol/kg of one acid or buffer group."""


_BESIDE = ("acid", "buffer_model", "sugar")
ACIDS = Table("acids.toml", "acid", "acids", beside=_BESIDE)
SUGARS = Table("acids.toml", "sugar", "sugars", beside=_BESIDE)
BUFFERS = Table("acids.toml", "buffer_model", "buffers", beside=_BESIDE)


@dataclass(frozen=True, slots=True)
class Acid:
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
    acids: Mapping[str, Acid]
    sugars: Mapping[str, Sugar]
    flour_buffer: tuple[tuple[float, float, float], ...]
    milk_buffer: tuple[tuple[float, float], ...]

    def buffer_groups(self, model: str, factor: float, ash_percent: float) -> tuple[Group, ...]:
        """Buffer groups of a flour (from its ash) or of milk, mmol/kg."""
        if model == "flour":
            return tuple((buffer_name(p), (p,), factor * (a + b * ash_percent)) for p, a, b in self.flour_buffer)
        return tuple((buffer_name(p), (p,), factor * amount) for p, amount in self.milk_buffer)


def buffer_name(pka: float) -> str:
    return f"buffer {pka:.1f}"


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


def _buffer(row: Row) -> tuple[str, list[Row]]:
    row.known_keys(("name", "rows", "tag", "source"))
    row.tag()
    row.text("source")
    return row.text("name"), row.named_parts("rows", "pka")


def load_substances(folder: Traversable) -> Substances:
    """Read acids.toml of a table folder."""
    acids = {acid.name: acid for acid in ACIDS.load_from([folder], _acid)}
    sugars = {sugar.name: sugar for sugar in SUGARS.load_from([folder], _sugar)}
    buffers = dict(BUFFERS.load_from([folder], _buffer))
    for name in ("flour", "milk"):
        if not buffers.get(name):
            raise InputProblem(f"buffer_model {name!r} is missing", file=str(folder / ACIDS.file))
    return Substances(
        acids,
        sugars,
        tuple((r.number("pka"), r.number("a"), r.number("b")) for r in buffers["flour"]),
        tuple((r.number("pka"), r.number("amount")) for r in buffers["milk"]),
    )
