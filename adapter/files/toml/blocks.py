"""A TOML text cut into its tables with every comment and space kept, so that single tables can be changed.

Only for text that a TOML reader has accepted. Comment lines directly above a header belong to its table.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import tomli

_TOKEN = re.compile(
    r'"""(?:\\[\s\S]|(?!""")[^\\])*"{3,5}'
    r"|'''(?:(?!''')[\s\S])*'{3,5}"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|#[^\n]*"
    r"|[\[\]{}\n]"
)


@dataclass(frozen=True, slots=True)
class Block:
    """One table: comment lines above it, its header line, its keys, and what follows the last key.

    The text before the first header is a block without path.
    """

    lead: str
    header: str
    keys: str
    tail: str
    path: tuple[str, ...] = ()
    is_array: bool = False

    def text(self) -> str:
        return self.lead + self.header + self.keys + self.tail

    def comments(self) -> list[str]:
        """Every comment in it, without the spaces around."""
        return comments_of(self.text())


def split_blocks(text: str) -> list[Block]:
    """The blocks of a TOML text in order; their texts joined are the text (with a line end at its end)."""
    if not text.endswith("\n"):
        text += "\n"
    headers = _header_lines(text)
    starts = [_lead_start(text, start) for start, _ in headers]
    blocks = [_block(text, 0, 0, 0, starts[0] if starts else len(text))]
    for (header_start, header_end), start, end in zip(headers, starts, [*starts[1:], len(text)], strict=True):
        blocks.append(_block(text, start, header_start, header_end, end))
    return blocks


def comments_of(text: str) -> list[str]:
    return [token[0].rstrip() for token in _TOKEN.finditer(text) if token[0].startswith("#")]


def _block(text: str, start: int, header_start: int, header_end: int, end: int) -> Block:
    header = text[header_start:header_end]
    body = text[header_end:end]
    cut = _end_of_keys(body)
    path, is_array = _header_path(header)
    return Block(text[start:header_start], header, body[:cut], body[cut:], path, is_array)


def _header_lines(text: str) -> list[tuple[int, int]]:
    """(start, end) of every line that opens a table."""
    found = []
    for start, end, first in _logical_lines(text):
        if first == "[":
            found.append((start, end))
    return found


def _end_of_keys(body: str) -> int:
    cut = 0
    for _, end, first in _logical_lines(body):
        if first not in ("", "#"):
            cut = end
    return cut


def _logical_lines(text: str) -> list[tuple[int, int, str]]:
    """(start, end, first character that is no space) of lines, where an open string or bracket joins lines."""
    lines = []
    start = depth = 0
    for token in _TOKEN.finditer(text):
        mark = token[0]
        if mark in "[{":
            depth += 1
        elif mark in "]}":
            depth -= 1
        elif mark == "\n" and depth == 0:
            lines.append((start, token.end(), text[start : token.end()].strip()[:1]))
            start = token.end()
    return lines


def _lead_start(text: str, header_start: int) -> int:
    """Where the comment lines directly above a header begin."""
    start = header_start
    while start > 0:
        above = text.rfind("\n", 0, start - 1) + 1
        if not text[above:start].lstrip().startswith("#"):
            break
        start = above
    return start


def _header_path(header: str) -> tuple[tuple[str, ...], bool]:
    if not header:
        return (), False
    table: Any = tomli.loads(header)
    path = []
    while table:
        key, inner = next(iter(table.items()))
        path.append(key)
        table = inner[0] if isinstance(inner, list) else inner
    return tuple(path), header.lstrip().startswith("[[")
