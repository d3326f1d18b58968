"""Text from files and keyboards made harmless: no control, bidi or invisible characters, no stray line breaks.

Brackets, backslashes and everything else that can be seen stay as they were written.
"""

from __future__ import annotations

import unicodedata

NAME_LIMIT = 500
BLOCK_LIMIT = 20_000
MESSAGE_LIMIT = 60

_REMOVED = frozenset(("Cc", "Cf", "Cs"))
_BREAKS = frozenset(("Zl", "Zp"))


def clean(text: str, limit: int = NAME_LIMIT) -> str:
    """One line of plain text: whitespace collapsed to single spaces, cut with an ellipsis beyond `limit` characters.

    Control characters (C0, DEL, C1), format characters (bidi controls, zero-width characters, soft hyphen) and
    lone surrogates are dropped; line and paragraph separators count as a space.
    """
    if text.isprintable():  # then there is nothing to drop, and no space but the plain one
        return _cut(" ".join(text.split()), limit)
    kept = "".join(map(_kept, text))
    return _cut(" ".join(kept.split()), limit)


def clean_block(text: str, limit: int = BLOCK_LIMIT) -> str:
    """Several lines of plain text: every line as `clean` leaves it, but with its inner spacing; ends trimmed."""
    lines = ((line if line.isprintable() else "".join(map(_kept, line))).rstrip() for line in text.splitlines())
    return _cut("\n".join(lines).strip(), limit)


def shown(text: object, limit: int = MESSAGE_LIMIT) -> str:
    """A short, harmless form of anything a person gave, for quoting it in a message."""
    return clean(str(text)[: 20 * limit], limit)


def _kept(character: str) -> str:
    if character.isspace():
        return " "
    category = unicodedata.category(character)
    if category in _BREAKS:
        return " "
    return "" if category in _REMOVED else character


def _cut(text: str, limit: int) -> str:
    return text if len(text) <= limit else text[: limit - 1].rstrip() + "…"
