"""Tables as neat TOML text of our own hand: for new files, and for the entries added to a person's file."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+\Z")
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r", "\b": "\\b", "\f": "\\f"}
_QUOTED = frozenset('"\\')
_STEERING = frozenset(("Cc", "Cf", "Zl", "Zp"))
MULTI_LINE_KEYS = frozenset(("note",))
SET_APART = frozenset((("adapted",), ("stock",), ("stage",)))
"""Tables whose inner tables get headers of their own; others are written inline."""


def document(tables: Mapping[str, Any]) -> str:
    """TOML of tables in the order given; values that belong to no table first."""
    loose = {key: value for key, value in tables.items() if not _is_table(value)}
    blocks = [block_body(loose)] if loose else []
    for key, value in tables.items():
        if _is_table(value):
            blocks += table_blocks((key,), value)
    return "\n".join(blocks)


def table_blocks(path: tuple[str, ...], value: Any) -> list[str]:
    """A table, or every entry of an array of tables, as text with its header; tables set apart follow it."""
    header = ".".join(map(key_text, path))
    if isinstance(value, list):
        return ["\n".join(_with_inner(path, f"[[{header}]]\n", entry)) for entry in value]
    return _with_inner(path, f"[{header}]\n", value)


def _with_inner(path: tuple[str, ...], header: str, table: Mapping[str, Any]) -> list[str]:
    inner = {key: item for key, item in table.items() if path in SET_APART and _is_table(item)}
    body = block_body({key: item for key, item in table.items() if key not in inner})
    texts = [header + body] if body or not inner or path != ("stage",) else []
    for key, item in inner.items():
        texts += table_blocks((*path, key), item)
    return texts


def block_body(table: Mapping[str, Any]) -> str:
    return "".join(f"{key_text(key)} = {_long_value(key, value)}\n" for key, value in table.items())


def key_text(key: str) -> str:
    return key if _BARE_KEY.match(key) else string(key)


def value_text(value: Any) -> str:
    """A value on a single line, read back as exactly the same value."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return string(value)
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, Mapping):
        inside = ", ".join(f"{key_text(key)} = {value_text(item)}" for key, item in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    return "[" + ", ".join(map(value_text, value)) + "]"


def string(text: str) -> str:
    return '"' + _escaped(text) + '"'


def _long_value(key: str, value: Any) -> str:
    if key in MULTI_LINE_KEYS and isinstance(value, str) and "\n" in value:
        return '"""\n' + "\n".join(map(_escaped, value.split("\n"))) + '"""'
    return value_text(value)


def _escaped(text: str) -> str:
    if text.isascii() and text.isprintable() and not _QUOTED.intersection(text):
        return text
    return "".join(map(_escaped_character, text))


def _escaped_character(character: str) -> str:
    """Quotes, and whatever could steer a terminal or turn its writing round, as an escape."""
    escape = _ESCAPES.get(character)
    if escape is not None or unicodedata.category(character) not in _STEERING:
        return escape or character
    return f"\\u{ord(character):04x}" if ord(character) < 0x10000 else f"\\U{ord(character):08x}"


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping) or (
        isinstance(value, list) and bool(value) and all(isinstance(item, Mapping) for item in value)
    )
