"""What a person chose once and finds again at the next start: the room, an order, what is shown of a list."""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from adapter.files.atomic import write_whole
from adapter.formula.problems import InputProblem

LARGEST_BYTES = 20_000
Value = str | bool
TO_BAKE = "to_bake"
"""The name of what is marked to be baked together, which the list of formulas looks for before it loads the rest."""


class Preferences:
    """Values by name. A file that cannot be read counts as empty, one that cannot be written changes nothing else."""

    def __init__(self, path: Path | None) -> None:
        """Without a path they last as long as the program runs."""
        self._path = path
        self._values = _read(path) if path is not None else {}

    def text(self, name: str, otherwise: str) -> str:
        value = self._values.get(name)
        return value if isinstance(value, str) else otherwise

    def flag(self, name: str, otherwise: bool = False) -> bool:
        value = self._values.get(name)
        return value if isinstance(value, bool) else otherwise

    def one_of(self, name: str, choices: Sequence[str]) -> str:
        """One of several texts; the first of them where none, or another, is remembered."""
        value = self.text(name, choices[0])
        return value if value in choices else choices[0]

    def put(self, name: str, value: Value) -> None:
        """Remember a value, here and in the file, where another program may have remembered something meanwhile."""
        if self._values.get(name) == value:
            return
        self._values[name] = value
        if self._path is not None:
            with suppress(OSError, InputProblem):
                self._path.parent.mkdir(parents=True, exist_ok=True)
                values = {**self._values, **_read(self._path), name: value}
                write_whole(self._path, json.dumps(values, indent=1).encode("ascii"), sync=False)


def open_preferences() -> Preferences:
    from adapter.files.places import preferences_path

    try:
        return Preferences(preferences_path())
    except InputProblem:
        return Preferences(None)


def _read(path: Path) -> dict[str, Value]:
    try:
        if not path.is_file() or path.stat().st_size > LARGEST_BYTES:
            return {}
        data = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    if not isinstance(data, dict):
        return {}
    return {name: value for name, value in data.items() if isinstance(value, str | bool)}
