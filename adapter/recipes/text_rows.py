"""The rows of a pasted text: columns side by side put under each other, lonely amounts joined to their names."""

from __future__ import annotations

import re

from adapter.recipes.spaced_table import drawn

MOST_LINES = 2000
_AMOUNT = re.compile(r"^[\d.,/\s¼½¾⅓⅔]*\s?[^\W\d_]{0,12}\.?\s*(?:\(?[\d.,]+\s?%\)?)?$")
_LEADERS = re.compile(r" \.{3,} ?")
_GAP = re.compile(r"\t+| {3,}")


def unfolded(text: str) -> tuple[list[tuple[str, str]], dict[str, str]]:
    """The lines of the text with the line before each, columns side by side put under each other; and of lines that
    were laid out anew, how they were written.
    """
    lines = text.splitlines()[:MOST_LINES]
    written: dict[str, str] = {}
    raw = [_without_leaders(line.rstrip()) for line in lines]
    cells = [[part.strip() for part in _GAP.split(line.strip()) if part.strip()] for line in raw]
    parts = [_two_parts(row) for row in drawn(cells)]
    pairs = [part for part in parts if len(part) == 2]
    if len(pairs) >= 3 and _side_by_side(pairs):
        parts = [[" ".join(part)] if len(part) == 2 and _one_ingredient(*part) else part for part in parts]
        left = [part[0] if part else "" for part in parts if len(part) < 3]
        right = [part[1] for part in parts if len(part) == 2]
        indented = [
            line.strip() for line, part in zip(raw, parts, strict=True) if len(part) == 1 and line.startswith(" " * 12)
        ]
        rows = [row for row in left if row not in indented] + ["", *right, *indented]
    else:
        rows = [" ".join(part) for part in parts]
        written = {row: line.strip() for row, line in zip(rows, lines, strict=True)}
    rows = _joined(rows)
    return list(zip(rows, ["", *rows], strict=False)), written


def _without_leaders(line: str) -> str:
    """ "Water ....... 68 % ... 680 g" as columns; a single row of points before an amount is left as it is."""
    return _LEADERS.sub("   ", line) if len(_LEADERS.findall(line)) > 1 else line


def _two_parts(parts: list[str]) -> list[str]:
    """ "flour", "600 g", "1. Soak the seeds." of one row: the first two name an ingredient, the third tells a step."""
    if len(parts) != 3 or len(parts[2].split()) < 3:
        return parts
    if _one_ingredient(parts[0], parts[1]):
        return [f"{parts[0]} {parts[1]}", parts[2]]
    return parts


def _side_by_side(pairs: list[list[str]]) -> bool:
    """Whether two columns tell different things, and not the name and the amount of the same."""
    return sum(_one_ingredient(left, right) for left, right in pairs) * 2 < len(pairs)


def _one_ingredient(left: str, right: str) -> bool:
    """Whether two cells are the name and the amount of one ingredient, in either order."""
    behind = bool(_AMOUNT.match(right) and re.match(r"[\d¼½¾⅓⅔]", right))
    return behind or bool(_AMOUNT.match(left) and len(left) < 12)


def _joined(rows: list[str]) -> list[str]:
    """An amount alone on its line belongs to the name on the next."""
    joined: list[str] = []
    lonely = re.compile(
        r"^(?=\D{0,2}[\d¼½¾⅓⅔⅛])[\d.,/\s¼½¾⅓⅔⅛-]+\s?(?:g|kg|ml|l|dl|cl|oz|lb|cups?|tbsp|tsp|EL|TL|msk|tsk|spsk)?\.?$",
        re.IGNORECASE,
    )
    for row in rows:
        if joined and lonely.match(joined[-1]) and joined[-1].strip() and re.match(r"[^\W\d_]", row):
            joined[-1] = f"{joined[-1]} {row}"
        else:
            joined.append(row)
    return joined
