"""The rows of a pasted text: columns side by side put under each other, lonely amounts joined to their names."""

from __future__ import annotations

import re

MOST_LINES = 2000
_GAP = re.compile(r"\t+| {3,}")


def unfolded(text: str) -> list[tuple[str, str]]:
    """The lines of the text with the line before each, columns side by side put under each other."""
    raw = [line.rstrip() for line in text.splitlines()[:MOST_LINES]]
    parts = [[part.strip() for part in _GAP.split(line.strip()) if part.strip()] for line in raw]
    pairs = [part for part in parts if len(part) == 2]
    if len(pairs) >= 3 and _side_by_side(pairs):
        left = [part[0] if part else "" for part in parts if len(part) < 3]
        right = [part[1] for part in parts if len(part) == 2]
        indented = [
            line.strip() for line, part in zip(raw, parts, strict=True) if len(part) == 1 and line.startswith(" " * 12)
        ]
        rows = [row for row in left if row not in indented] + ["", *right, *indented]
    else:
        rows = [" ".join(part) for part in parts]
    rows = _joined(rows)
    return list(zip(rows, ["", *rows], strict=False))


def _side_by_side(pairs: list[list[str]]) -> bool:
    """Whether two columns tell different things, and not the name and the amount of the same."""
    amount = re.compile(r"^[\d.,/\s¼½¾⅓⅔]*\s?[^\W\d_]{0,12}\.?\s*(?:\(?[\d.,]+\s?%\)?)?$")
    tables = sum(
        1
        for left, right in pairs
        if (amount.match(right) and re.match(r"[\d¼½¾⅓⅔]", right)) or (amount.match(left) and len(left) < 12)
    )
    return tables * 2 < len(pairs)


def _joined(rows: list[str]) -> list[str]:
    """An amount alone on its line belongs to the name on the next."""
    joined: list[str] = []
    lonely = re.compile(
        r"^[\d.,/\s¼½¾⅓⅔⅛-]+\s?(?:g|kg|ml|l|dl|cl|oz|lb|cups?|tbsp|tsp|EL|TL|msk|tsk|spsk)?\.?$", re.IGNORECASE
    )
    for row in rows:
        if joined and lonely.match(joined[-1]) and joined[-1].strip() and re.match(r"[^\W\d_]", row):
            joined[-1] = f"{joined[-1]} {row}"
        else:
            joined.append(row)
    return joined
