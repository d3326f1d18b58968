"""What copying leaves in a text: numbers of lines, heads and feet of pages, words and brackets parted at line ends."""

from __future__ import annotations

import re
from itertools import pairwise

LEAST_NUMBERED = 6
"""From so many lines on, numbered one by one, the numbers are those of the lines and no amounts."""

_NUMBERED = re.compile(r"^\s*(\d{1,3})\s{1,4}(?=\S)")
_PAGE = re.compile(r"(?<![^\W_])(?:page|p\.|pg\.|Seite|S\.|sida|side)\s?\d{1,4}$", re.IGNORECASE)
_LONE_NUMBER = re.compile(r"[-–]\s?\d{1,4}\s?[-–]")
LONGEST_PAGE = 12
_PARTED = re.compile(r"[^\W\d_]{2,}-$")
_JOINED_WITH_HYPHEN = re.compile(
    r"\b(?:all|self|low|non|semi|half|extra|whole|stone|free|fast|easy|well|high|full|fat|quick|active)-$",
    re.IGNORECASE,
)
LONGEST_JOINED = 300


def cleaned(text: str) -> tuple[str, list[str]]:
    """The text without what copying left in it, and the heads and feet of pages that stood in it."""
    rows = _without_line_numbers(text.splitlines())
    rows, asides = _without_pages(rows)
    return "\n".join(_rejoined(rows)), asides


def _without_line_numbers(rows: list[str]) -> list[str]:
    found = [_NUMBERED.match(row) for row in rows]
    numbers = [int(hit[1]) for hit in found if hit]
    written = sum(1 for row in rows if row.strip())
    one_by_one = all(later == before + 1 for before, later in pairwise(numbers))
    if len(numbers) < LEAST_NUMBERED or not one_by_one or len(numbers) < 0.7 * written:
        return rows
    return [row[hit.end() :] if hit else row for row, hit in zip(rows, found, strict=True)]


def _without_pages(rows: list[str]) -> tuple[list[str], list[str]]:
    """ "Rye breads      page 48" is no line of the recipe; in the first line, it stands behind the title."""
    kept: list[str] = []
    asides: list[str] = []
    for row in rows:
        bare = row.strip()
        page = _PAGE.search(bare, max(0, len(bare) - LONGEST_PAGE))
        head = bare[: page.start()] if page else bare
        if _LONE_NUMBER.fullmatch(bare):
            asides.append(bare)
        elif page is None or (head and not head.endswith(("  ", "\t"))):
            kept.append(row)
        elif head and not any(line.strip() for line in kept):
            kept.append(head.rstrip())
            asides.append(page[0])
        else:
            asides.append(" ".join(bare.split()))
    return kept, asides


def _rejoined(rows: list[str]) -> list[str]:
    """Lines whose last word or bracket goes on in the next are one."""
    joined: list[str] = []
    for row in rows:
        before = joined[-1].rstrip() if joined else ""
        bare = row.strip()
        if not before or not bare or len(before) > LONGEST_JOINED or "|" in row:
            joined.append(row)
        elif _PARTED.search(before) and bare[0].islower():
            joined[-1] = f"{before if _JOINED_WITH_HYPHEN.search(before) else before[:-1]}{bare}"
        elif before.rfind("(") > before.rfind(")") and ")" in bare and "(" not in bare.partition(")")[0]:
            joined[-1] = f"{before} {bare}"
        else:
            joined.append(row)
    return joined
