"""Acids, buffers and sugars: the substances that ingredients are made of, read from acids.toml."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable

from adapter.formula.problems import InputProblem
from adapter.formula.tables import Row, only_tables, read_table, rows

Group = tuple[str, tuple[float, ...], float]
"""Name, pKa values and mmol/kg of one acid or buffer group."""


@dataclass(frozen=True, slots=True)
class Acid:
    name: str
    pkas: tuple[float, ...]
    molar_mass: float
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Sugar:
    """Sweetness against sucrose = 1, g of hexose a yeast gets from 1 g, and whether it browns as it is."""

    name: str
    sweetness: float
    hexose: float
    reducing: bool
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


def _pkas(row: Row) -> tuple[float, ...]:
    value = row.data.get("pka")
    if not isinstance(value, list) or not value or not all(isinstance(p, int | float) for p in value):
        raise row.problem("pka", "is not a list of numbers")
    if not all(math.isfinite(p) for p in value) or sorted(value) != value:
        raise row.problem("pka", "is not a list of finite numbers, lowest first")
    return tuple(float(p) for p in value)


def _buffer_rows(data: Mapping[str, object], file: str) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for model in rows(data, "buffer_model", file):
        name = model.text("name")
        found[name] = list(rows(model.data, "rows", file, name_key="pka"))
    for name in ("flour", "milk"):
        if not found.get(name):
            raise InputProblem(f"buffer_model {name!r} is missing", file=file)
    return found


def load_substances(folder: Traversable) -> Substances:
    """Read acids.toml of a table folder."""
    path = folder / "acids.toml"
    data, file = read_table(path), str(path)
    only_tables(data, file, "acid", "buffer_model", "sugar")
    acids = {
        row.text("name"): Acid(row.text("name"), _pkas(row), row.number("molar_mass"), row.tag(), row.text("source"))
        for row in rows(data, "acid", file)
    }
    sugars = {
        row.text("name"): Sugar(
            row.text("name"),
            row.number("sweetness"),
            row.number("hexose"),
            row.flag("reducing", False),
            row.tag(),
            row.text("source"),
        )
        for row in rows(data, "sugar", file)
    }
    buffers = _buffer_rows(data, file)
    return Substances(
        acids,
        sugars,
        tuple((r.number("pka"), r.number("a"), r.number("b")) for r in buffers["flour"]),
        tuple((r.number("pka"), r.number("amount")) for r in buffers["milk"]),
    )
