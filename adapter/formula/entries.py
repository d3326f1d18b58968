"""A file of long entries, of which most programs need few: the named parts of an entry are parsed when asked for.

Such a part stands under a header of its own, as in [ingredient.figures]; the rest of the file is parsed at once. This
is for the tables that ship with the program: in a baker's own, a fault is to be told when the file is read.
"""

from __future__ import annotations

import re
from functools import partial
from typing import Any

from adapter.formula.on_demand import OnDemand
from adapter.formula.problems import InputProblem
from adapter.formula.toml_text import tables_of_text

_HEADER = re.compile(r"(\[?)([\w.]+)\]{1,2}[ \t]*(?:#.*)?\r?(?:\n|\Z)")
"""What follows the first bracket of a header."""
_LONG_TEXTS = ('"""', "'''")
"""Within a text of several lines, what looks like a header need not be one."""


def entries_of_text(text: str, file: str, array: str, parts: tuple[str, ...]) -> dict[str, Any]:
    """The tables of a TOML text; in each entry of the array, the named parts are `OnDemand`. Raises InputProblem."""
    if any(mark in text for mark in _LONG_TEXTS):
        return tables_of_text(text, file)
    names = {f"{array}.{part}": part for part in parts}
    pieces = text.split("\n[")
    at_once = [pieces[0]]
    on_demand: list[dict[str, OnDemand[Any]]] = []
    for number, piece in enumerate(pieces[1:], start=1):
        header = _HEADER.match(piece)
        part = names.get(header[2]) if header else None
        if part is not None and on_demand:
            on_demand[-1][part] = OnDemand(partial(_part, pieces, number, file, array, part))
            continue
        at_once.append(piece)
        if header and header[1] and header[2] == array:
            on_demand.append({})
    try:
        data = tables_of_text("\n[".join(at_once), file)
    except InputProblem:
        return tables_of_text(text, file)  # which names the line of the whole text
    entries = data.get(array)
    if not isinstance(entries, list) or len(entries) != len(on_demand):
        return tables_of_text(text, file)
    for entry, its_parts in zip(entries, on_demand, strict=True):
        entry.update(its_parts)
    return data


def _part(pieces: list[str], number: int, file: str, array: str, part: str) -> Any:
    """One part, parsed under its header; a fault names the line of the whole text."""
    text = f"[{pieces[number]}\n"
    try:
        table = tables_of_text(text, file)
    except InputProblem:
        lines_before = "\n[".join(pieces[:number]).count("\n") + 1
        table = tables_of_text("\n" * lines_before + text, file)
    return table[array][part]
