"""One table of a person's TOML file, read key by key: types and ranges checked, text made harmless."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from adapter.formula.plain_text import clean, clean_block, shown
from adapter.formula.problems import InputProblem


@dataclass(frozen=True, slots=True)
class Entry:
    """A table with the file and the place it stands in; `where` is empty for the whole file."""

    data: Mapping[str, Any]
    file: str
    where: str = ""

    def problem(self, what: str, right: str | None = None) -> InputProblem:
        return InputProblem(what, file=self.file, where=self.where or None, right=right)

    def has(self, key: str) -> bool:
        return key in self.data

    def part(self, key: str, where: str) -> Entry:
        """A table inside this one; an empty one where there is none."""
        value = self.data.get(key, {})
        if not isinstance(value, dict):
            raise self.problem(f"{key} is not a table", f"write [{key}]")
        return Entry(value, self.file, where)

    def parts(self, key: str, label: str, name_key: str = "ingredient") -> list[Entry]:
        """An array of tables; every entry is placed by its number and name, as in "line 3, kefir"."""
        value = self.data.get(key, [])
        if not isinstance(value, list):
            raise self.problem(f"{key} is not an array of tables", f"write [[{key}]]")
        found = []
        for number, item in enumerate(value, start=1):
            where = f"{label} {number}"
            if not isinstance(item, dict):
                raise InputProblem("is not a table", file=self.file, where=where, right=f"write [[{key}]]")
            name = item.get(name_key)
            if isinstance(name, str) and clean(name):
                where += f", {shown(name)}"
            found.append(Entry(item, self.file, where))
        return found

    def text(self, key: str, default: str = "") -> str:
        """A single line of text."""
        return clean(self._string(key, default))

    def block(self, key: str, default: str = "") -> str:
        """Text that may have several lines."""
        return clean_block(self._string(key, default))

    def texts(self, key: str) -> tuple[str, ...]:
        value = self.data.get(key, [])
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise self.problem(f"{key} is not a list of texts", f'{key} = ["…", "…"]')
        return tuple(clean(item) for item in value)

    def number(self, key: str, low: float, high: float) -> float | None:
        """A finite number within `low` … `high`; None where the key is not there."""
        value = self.data.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.problem(f"{key} = {shown(repr(value))} is not a number", "a number without quotes")
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise self.problem(f"{key} = {shown(value)} is not a finite number", _range(low, high))
        if not low <= number <= high:
            fault = "is negative" if number < 0 <= low else "is out of range"
            raise self.problem(f"{key} = {shown(value)} {fault}", _range(low, high))
        return number

    def whole(self, key: str, low: int, high: int) -> int | None:
        number = self.number(key, low, high)
        if number is None:
            return None
        if number != int(number):
            raise self.problem(f"{key} = {number:g} is not a whole number", _range(low, high))
        return int(number)

    def flag(self, key: str, default: bool) -> bool:
        value = self.data.get(key, default)
        if not isinstance(value, bool):
            raise self.problem(f"{key} = {shown(repr(value))} is neither true nor false")
        return value

    def unknown(self, known: frozenset[str]) -> dict[str, Any]:
        """What stands here beyond the known keys."""
        return {key: value for key, value in self.data.items() if key not in known}

    def _string(self, key: str, default: str) -> str:
        value = self.data.get(key, default)
        if not isinstance(value, str):
            raise self.problem(f"{key} = {shown(repr(value))} is not a text", f'{key} = "…"')
        return value


def _range(low: float, high: float) -> str:
    return f"{_plain(low)} to {_plain(high)}"


def _plain(number: float) -> str:
    return str(int(number)) if number == int(number) else repr(number)
