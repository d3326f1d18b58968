"""The program's tables: one way in for what ships with the program and for a baker's own folder over it.

A module that reads a table has a `Table`, which says where the entries stand and what tells them apart. It reports
unknown tables, doubled entries and files that cannot be read, each as an InputProblem with file and entry.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from adapter.formula.entries import entries_of_text
from adapter.formula.problems import InputProblem, file_name, os_problem
from adapter.formula.row import Row
from adapter.formula.shipped import shipped_folder
from adapter.formula.toml_text import decode, is_there, read_bytes, tables_of_text

LARGEST_TABLE_BYTES = 4_000_000
EVERY_FILE = "*.toml"

T = TypeVar("T")


def shipped_tables() -> Path:
    """The folder of tables that ships with the program."""
    return shipped_folder("substitutions")


def read_table(path: Path, array: str = "", on_demand: tuple[str, ...] = ()) -> dict[str, Any]:
    """The content of one TOML table file, parts of the entries of an array `OnDemand`. Raises InputProblem."""
    file = str(path)
    text = decode(read_bytes(path, LARGEST_TABLE_BYTES)[0], file)
    return entries_of_text(text, file, array, on_demand) if on_demand else tables_of_text(text, file)


def only_tables(data: Mapping[str, Any], file: str, *known: str) -> None:
    """Refuse a file with tables that nobody reads: a misspelt one would go unnoticed."""
    for key in data:
        if key not in known:
            right = "known: " + ", ".join(f"[[{name}]]" for name in known)
            raise InputProblem(f"{key[:60]!r} is no table of this file", file=file, right=right)


def items_of(folder: Path) -> list[Path]:
    """What stands in a folder of tables, by name; nothing where there is no such folder. Raises InputProblem."""
    try:
        return sorted(folder.iterdir(), key=lambda item: item.name)
    except FileNotFoundError:
        if is_there(folder):
            raise InputProblem("leads nowhere", file=file_name(folder), right="a folder") from None
        return []
    except OSError as error:
        raise os_problem(error, str(folder), "read") from None


@dataclass(frozen=True, slots=True)
class Table:
    """Where the entries of a table stand and what tells them apart.

    `file` is its name, "ingredients/*.toml" for every file of a folder; `array` the name of its entries, as in
    [[rule]]; `said` what they are called together. Entries of the same `name_keys` are the same entry: one in a
    baker's own folder takes the place of the shipped one. New ones come first where `own_first` says so. `beside`
    names other tables of the same file, `on_demand` the parts of a shipped entry that are parsed when asked for.
    """

    file: str
    array: str
    said: str
    name_keys: tuple[str, ...] = ("name",)
    own_first: bool = False
    beside: tuple[str, ...] = ()
    on_demand: tuple[str, ...] = ()
    same: Callable[[str], str] = str

    def load(self, own_folders: Iterable[Path], read: Callable[[Row], T]) -> tuple[T, ...]:
        """Every entry as `read` makes it, a baker's own laid over the shipped ones. Raises InputProblem."""
        return self.load_from((shipped_tables(), *own_folders), read)

    def load_from(self, folders: Iterable[Path], read: Callable[[Row], T]) -> tuple[T, ...]:
        """Every entry of the folders, each folder laid over those before it."""
        laid: dict[tuple[str, ...], T] = {}
        for folder in folders:
            in_folder: dict[tuple[str, ...], T] = {}
            for row in self.rows(folder):
                entry = read(row)
                name = tuple(self.same(row.text(key)) for key in self.name_keys)
                if name in in_folder:
                    raise row.problem(f"{', '.join(map(repr, name))} stands here twice", "each entry once in a folder")
                in_folder[name] = entry
            if self.own_first:
                new = {name: entry for name, entry in in_folder.items() if name not in laid}
                laid = new | {name: in_folder.get(name, entry) for name, entry in laid.items()}
            else:
                laid |= in_folder
        if not laid:
            raise InputProblem(f"has no [[{self.array}]]", file=self.file)
        return tuple(laid.values())

    def rows(self, folder: Path) -> Iterator[Row]:
        """The entries that stand in one folder, unread. Raises InputProblem."""
        on_demand = self.on_demand if folder == shipped_tables() else ()
        for path in self._files(folder):
            data = read_table(path, self.array, on_demand)
            only_tables(data, str(path), self.array, *self.beside)
            yield from Row(data, str(path)).named_parts(self.array, self.name_keys[-1])

    def _files(self, folder: Path) -> list[Path]:
        inner, _, name = self.file.rpartition("/")
        if name == EVERY_FILE:
            return [path for path in items_of(folder / inner) if path.name.endswith(EVERY_FILE[1:])]
        path = folder / name
        return [path] if is_there(path) else []
