"""Reading the TOML tables: one way in for what ships with the program and for a baker's own folder.

Every fault is an InputProblem that names the file, the entry and the key.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

import tomli

from adapter.formula.ingredient import TAGS, Figure
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem

LARGEST_TABLE_BYTES = 4_000_000
LONGEST_TEXT = 2000
FIGURE_KEYS = frozenset({"value", "spread", "tag", "source"})


def shipped_tables() -> Traversable:
    """The folder of tables that ships with the program."""
    return files("substitutions")


def read_table(path: Traversable) -> dict[str, Any]:
    """The content of one TOML table file."""
    name = str(path)
    try:
        raw = path.read_bytes()
    except OSError as fault:
        raise InputProblem(f"cannot be read: {fault.strerror}", file=name) from None
    if len(raw) > LARGEST_TABLE_BYTES:
        raise InputProblem("is too large for a table", file=name, right="at most 4 MB")
    try:
        return tomli.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise InputProblem("is not UTF-8 text", file=name) from None
    except (tomli.TOMLDecodeError, RecursionError, ValueError) as fault:
        raise InputProblem(f"is not valid TOML: {fault}", file=name) from None


@dataclass(frozen=True, slots=True)
class Row:
    """One entry of a table with the place it stands in, read key by key with its type checked."""

    data: Mapping[str, Any]
    file: str
    entry: str

    def problem(self, key: str, what: str, right: str | None = None) -> InputProblem:
        return InputProblem(f"{key} {what}", file=self.file, where=self.entry, right=right)

    def known_keys(self, allowed: frozenset[str]) -> None:
        for key in self.data:
            if key not in allowed:
                raise self.problem(key, "is not a key of this table", "known: " + ", ".join(sorted(allowed)))

    def has(self, key: str) -> bool:
        return key in self.data

    def text(self, key: str, default: str | None = None) -> str:
        value = self.data.get(key, default)
        if value is None:
            raise self.problem(key, "is missing")
        if not isinstance(value, str) or not value.strip():
            raise self.problem(key, "is not a text", 'such as "common practice, no source"')
        return harmless(value)

    def number(self, key: str, default: float | None = None) -> float:
        value = self.data.get(key, default)
        if value is None:
            raise self.problem(key, "is missing")
        return self._as_number(key, value)

    def _as_number(self, key: str, value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.problem(key, "is not a number")
        if not math.isfinite(value):
            raise self.problem(key, "is not a finite number")
        return float(value)

    def flag(self, key: str, default: bool) -> bool:
        value = self.data.get(key, default)
        if not isinstance(value, bool):
            raise self.problem(key, "is not true or false")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        value = self.data.get(key, [])
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise self.problem(key, "is not a list of texts")
        return tuple(harmless(item) for item in value)

    def numbers(self, key: str) -> dict[str, float]:
        value = self.data.get(key, {})
        if not isinstance(value, dict):
            raise self.problem(key, "is not a table of numbers")
        return {name: self._as_number(f"{key}.{name}", item) for name, item in value.items()}

    def part(self, key: str) -> Row | None:
        """A sub-table as a row of its own; None where there is none."""
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            raise self.problem(key, "is not a table")
        return Row(value, self.file, f"{self.entry}, {key}")

    def tag(self) -> str:
        tag = self.text("tag")
        if tag not in TAGS:
            raise self.problem("tag", f"{tag!r} is unknown", "one of " + ", ".join(TAGS))
        return tag

    def figure(self, key: str) -> Figure:
        """A figure: { value, spread, tag, source }."""
        part = self.part(key)
        if part is None:
            raise self.problem(key, "is missing")
        part.known_keys(FIGURE_KEYS)
        spread = part.number("spread")
        if spread < 0:
            raise part.problem("spread", "is negative")
        return Figure(part.number("value"), spread, part.tag(), part.text("source"))


def harmless(text: str) -> str:
    """Text of a table without anything that could steer a terminal; what is plain already is left as it stands."""
    return text if text.isascii() and text.isprintable() else clean(text, LONGEST_TEXT)


def only_tables(data: Mapping[str, Any], file: str, *known: str) -> None:
    """Refuse a file with tables that nobody reads: a misspelt one would go unnoticed."""
    for key in data:
        if key not in known:
            right = "known: " + ", ".join(f"[[{name}]]" for name in known)
            raise InputProblem(f"{key[:60]!r} is no table of this file", file=file, right=right)


def rows(data: Mapping[str, Any], key: str, file: str, name_key: str = "name") -> Iterator[Row]:
    """The entries of an array of tables, each named by its `name_key` or its place in the file."""
    entries = data.get(key, [])
    if not isinstance(entries, list):
        raise InputProblem(f"{key} is not a list of entries", file=file, right=f"write [[{key}]]")
    for number, entry in enumerate(entries, start=1):
        if not isinstance(entry, dict):
            raise InputProblem(f"{key} {number} is not a table", file=file, right=f"write [[{key}]]")
        name = entry.get(name_key)
        label = f"{key} {name!r}" if isinstance(name, str) and name else f"{key} {number}"
        yield Row(entry, file, label)
