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

_HEADER = re.compile(r"^\[\[?([\w.]+)\]\]?[ \t]*(?:#.*)?$", re.MULTILINE)
_LONG_TEXT = re.compile("\"\"\"|'''")
"""Within a text of several lines, what looks like a header need not be one."""


def entries_of_text(text: str, file: str, array: str, parts: tuple[str, ...]) -> dict[str, Any]:
    """The tables of a TOML text; in each entry of the array, the named parts are `OnDemand`. Raises InputProblem."""
    headers = [] if _LONG_TEXT.search(text) else list(_HEADER.finditer(text))
    if not headers:
        return tables_of_text(text, file)
    at_once = [text[: headers[0].start()]]
    on_demand: list[dict[str, OnDemand[Any]]] = []
    for header, following in zip(headers, [*headers[1:], None], strict=True):
        start, end = header.start(), following.start() if following else len(text)
        part = header[1].removeprefix(f"{array}.")
        if on_demand and part in parts:
            on_demand[-1][part] = OnDemand(partial(_part, text, start, end, file, array, part))
        else:
            at_once.append(text[start:end])
            if header[0].startswith(f"[[{array}]]"):
                on_demand.append({})
    try:
        data = tables_of_text("".join(at_once), file)
    except InputProblem:
        return tables_of_text(text, file)  # which names the line of the whole text
    entries = data.get(array)
    if not isinstance(entries, list) or len(entries) != len(on_demand):
        return tables_of_text(text, file)
    for entry, its_parts in zip(entries, on_demand, strict=True):
        entry.update(its_parts)
    return data


def _part(text: str, start: int, end: int, file: str, array: str, part: str) -> Any:
    """One part, parsed under its header; a fault names the line of the whole text."""
    try:
        table = tables_of_text(text[start:end], file)
    except InputProblem:
        table = tables_of_text("\n" * text.count("\n", 0, start) + text[start:end], file)
    return table[array][part]
