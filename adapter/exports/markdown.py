"""Text into Markdown so that it shows verbatim: a name can start no heading, link, table cell or tag."""

from __future__ import annotations

import re
from collections.abc import Sequence

from adapter.formula.plain_text import clean, clean_block

_SPECIAL = re.compile(r"([\\`*_\[\]<>|~#&])")
_LINK = re.compile(r"(?i)(?<=[a-z]):(?=//)|(?<=\S)@(?=\S)|(?<=\bwww)\.|(?<=\bmailto):|(?<=\bxmpp):")
_LINE_START = re.compile(r"^(\s*)(?:([-+=])|(\d{1,9})([.)]))")


def escaped(text: str) -> str:
    """A single line for the inside of a heading, a paragraph or a table cell."""
    return _starts_nothing(_inline(clean(text, 2000)))


def escaped_block(text: str) -> str:
    """Lines that stay lines."""
    lines = clean_block(text).split("\n")
    shown = [_starts_nothing(_inline(line.strip())) for line in lines]
    return "\n".join(
        line + ("\\" if line and following else "") for line, following in zip(shown, [*shown[1:], ""], strict=True)
    )


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], numeric: Sequence[int] = ()) -> list[str]:
    """A table; cells are Markdown already. Columns in `numeric` stand to the right."""
    rule = ["---:" if column in numeric else "---" for column in range(len(heads))]
    return [f"| {' | '.join(row)} |" for row in (heads, rule, *rows)]


def _inline(text: str) -> str:
    return _LINK.sub(lambda found: "\\" + found[0], _SPECIAL.sub(r"\\\1", text))


def _starts_nothing(line: str) -> str:
    return _LINE_START.sub(lambda found: _broken(found), line)


def _broken(found: re.Match[str]) -> str:
    space, mark, number, point = found.groups()
    return f"{space}\\{mark}" if mark else f"{space}{number}\\{point}"
