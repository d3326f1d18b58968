"""One table of a TOML file, read key by key: types and ranges checked, text made harmless.

The same for the tables that ship, for a baker's own, and for formulas, pantries and logs. Every fault is an
InputProblem that names the file, the place in it and the key.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

from adapter.formula.ingredient import TAGS, Figure
from adapter.formula.on_demand import OnDemand
from adapter.formula.plain_text import clean, clean_block, shown
from adapter.formula.problems import InputProblem

LONGEST_TEXT = 2000
"""Characters of a text in a table; what a person's own files hold is cut earlier (see plain_text.py)."""


@cache
def keys_of(kind: type) -> frozenset[str]:
    """The keys that a table has for the fields of a dataclass.

    A field has the key of its own name, or those that its metadata name under "keys".
    """
    return frozenset(key for field in fields(kind) for key in field.metadata.get("keys", (field.name,)))


@dataclass(frozen=True, slots=True)
class Row:
    """A table with the file and the place it stands in; `where` is empty for the whole file."""

    data: Mapping[str, Any]
    file: str
    where: str = ""

    def problem(self, what: str, right: str | None = None) -> InputProblem:
        """What is wrong with the table, or with what the words name in it."""
        return InputProblem(what, file=self.file, where=self.where or None, right=right)

    def fault(self, key: str, what: str, right: str | None = None) -> InputProblem:
        """What is wrong with the value of a key."""
        return self.problem(f"{shown(key)} {what}", right)

    def known_keys(self, allowed: Iterable[str]) -> None:
        known = frozenset(allowed)
        for key in self.data:
            if key not in known:
                raise self.fault(key, "is not a key of this table", "known: " + ", ".join(sorted(known)))

    def has(self, key: str) -> bool:
        return key in self.data

    @property
    def parsed(self) -> bool:
        """Whether all of it is: what a baker wrote, and not only what ships with the program."""
        return not any(isinstance(value, OnDemand) for value in self.data.values())

    # ------------------------------------------------------------------ texts

    def text(self, key: str, default: str | None = None) -> str:
        """A text that must be there, unless there is a default, and that says something."""
        value = self.data.get(key, default)
        if value is None:
            raise self.fault(key, "is missing")
        if not isinstance(value, str) or not value.strip():
            raise self.fault(key, "is not a text", 'such as "common practice, no source"')
        return harmless(value)

    def line_of_text(self, key: str, default: str = "") -> str:
        """A single line that may be missing or empty."""
        return clean(self._string(key, default))

    def block(self, key: str, default: str = "") -> str:
        """Text of several lines that may be missing or empty."""
        return clean_block(self._string(key, default))

    def texts(self, key: str) -> tuple[str, ...]:
        value = self.data.get(key, [])
        if not isinstance(value, list) or not {type(item) for item in value} <= {str}:
            raise self.fault(key, "is not a list of texts", f'{key} = ["…", "…"]')
        return tuple(map(harmless, value))

    def names(self, key: str) -> tuple[str, ...]:
        """One name, or a list of names; none where the key is missing."""
        return self.texts(key) if isinstance(self.data.get(key, []), list) else (self.text(key),)

    def _string(self, key: str, default: str) -> str:
        value = self.data.get(key, default)
        if not isinstance(value, str):
            raise self.problem(f"{key} = {shown(repr(value))} is not a text", f'{key} = "…"')
        return value

    # ------------------------------------------------------------------ numbers

    def number(self, key: str, default: float | None = None, low: float = -math.inf, high: float = math.inf) -> float:
        """A finite number within `low` … `high` that must be there, unless there is a default."""
        value = self.maybe_number(key, low, high)
        if value is None:
            value = default
        if value is None:
            raise self.fault(key, "is missing")
        return value

    def maybe_number(self, key: str, low: float = -math.inf, high: float = math.inf) -> float | None:
        """A finite number within `low` … `high`; None where the key is missing."""
        value = self.data.get(key)
        return None if value is None else self._as_number(key, value, low, high)

    def _as_number(self, key: str, value: Any, low: float = -math.inf, high: float = math.inf) -> float:
        if type(value) is float and low <= value <= high and math.isfinite(value):
            return value
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.problem(f"{key} = {shown(repr(value))} is not a number", "a number without quotes")
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise self.problem(f"{key} = {shown(value)} is not a finite number", _range(low, high))
        if not low <= number <= high:
            what = "is negative" if number < 0 <= low else "is out of range"
            raise self.problem(f"{key} = {shown(value)} {what}", _range(low, high))
        return number

    def whole(self, key: str, low: int, high: int) -> int | None:
        number = self.maybe_number(key, low, high)
        if number is None:
            return None
        if number != int(number):
            raise self.problem(f"{key} = {number:g} is not a whole number", _range(low, high))
        return int(number)

    def numbers(self, key: str) -> dict[str, float]:
        """A table of numbers by name; an empty one where the key is missing."""
        value = self.data.get(key, {})
        if not isinstance(value, dict):
            raise self.fault(key, "is not a table of numbers")
        return {harmless(name): self._as_number(f"{key}.{name}", item) for name, item in value.items()}

    def list_of_numbers(self, key: str) -> tuple[float, ...]:
        value = self.data.get(key)
        if not isinstance(value, list):
            raise self.fault(key, "is not a list of numbers")
        return tuple(self._as_number(key, item) for item in value)

    def flag(self, key: str, default: bool) -> bool:
        value = self.data.get(key, default)
        if not isinstance(value, bool):
            raise self.problem(f"{key} = {shown(repr(value))} is neither true nor false")
        return value

    # ------------------------------------------------------------------ tables inside

    def part(self, key: str, where: str | None = None) -> Row | None:
        """A table inside this one, placed by `where` or by its key; None where there is none."""
        value = self.data.get(key)
        if value is None:
            return None
        if isinstance(value, OnDemand):
            value = value()
        if not isinstance(value, dict):
            raise self.fault(key, "is not a table", f"write [{key}]")
        return Row(value, self.file, where if where is not None else f"{self.where}, {key}")

    def part_or_empty(self, key: str, where: str) -> Row:
        return self.part(key, where) or Row({}, self.file, where)

    def parts(self, key: str, label: str, name_key: str = "ingredient") -> list[Row]:
        """An array of tables; every entry is placed by its number and name, as in "line 3, kefir"."""
        return [
            Row(
                item, self.file, f"{label} {number}, {name}" if (name := _name(item, name_key)) else f"{label} {number}"
            )
            for number, item in self._tables(key, label)
        ]

    def named_parts(self, key: str, name_key: str = "name") -> list[Row]:
        """An array of tables; every entry is placed by its name, as in "rule 'milk-for-water'", or by its number."""
        return [
            Row(item, self.file, f"{key} '{name}'" if (name := _name(item, name_key)) else f"{key} {number}")
            for number, item in self._tables(key, key)
        ]

    def _tables(self, key: str, label: str) -> list[tuple[int, dict[str, Any]]]:
        value = self.data.get(key, [])
        if not isinstance(value, list):
            raise self.fault(key, "is not an array of tables", f"write [[{key}]]")
        for number, item in enumerate(value, start=1):
            if not isinstance(item, dict):
                where = f"{label} {number}"
                raise InputProblem("is not a table", file=self.file, where=where, right=f"write [[{key}]]")
        return list(enumerate(value, start=1))

    def unknown(self, known: Iterable[str]) -> dict[str, Any]:
        """What stands here beyond the known keys."""
        return {key: value for key, value in self.data.items() if key not in frozenset(known)}

    # ------------------------------------------------------------------ what every row of the tables has

    def tag(self) -> str:
        tag = self.text("tag")
        if tag not in TAGS:
            raise self.fault("tag", f"{tag!r} is unknown", "one of " + ", ".join(TAGS))
        return tag

    def figure(self, key: str) -> Figure:
        """A figure: { value, spread, tag, source }."""
        part = self.part(key)
        if part is None:
            raise self.fault(key, "is missing")
        part.known_keys(keys_of(Figure))
        spread = part.number("spread")
        if spread < 0:
            raise part.fault("spread", "is negative")
        return Figure(part.number("value"), spread, part.tag(), part.text("source"))


def harmless(text: str) -> str:
    """Text of a table without anything that could steer a terminal; what is plain already is left as it stands."""
    return text if text.isprintable() else clean(text, LONGEST_TEXT)


def _name(item: Mapping[str, Any], name_key: str) -> str:
    name = item.get(name_key)
    return shown(name) if isinstance(name, str) else ""


def _range(low: float, high: float) -> str | None:
    return None if math.isinf(low) and math.isinf(high) else f"{_plain(low)} to {_plain(high)}"


def _plain(number: float) -> str:
    return str(int(number)) if math.isfinite(number) and number == int(number) else repr(number)
