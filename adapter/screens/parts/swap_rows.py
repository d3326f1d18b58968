"""A swap of an answer as a row, or as two where one is too narrow: what comes in is never left out."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from adapter.screens.parts.columns import Items
from adapter.screens.parts.rows import Row


def swap_rows(out: str, into: str, why: Sequence[str], width: int) -> list[Row]:
    """`why` is left out where there is no room for it: it is said of the highlighted swap."""
    reasons = tuple(f"  ({text})" for text in why)
    if cell_len(f"{out} → {into}") <= width:
        return [Row((Items((out, f" → {into}", *reasons)),))]
    indent = " " * (len(out) - len(out.lstrip()) + 2)
    return [Row((Items((out,)),)), Row((Items((f"{indent}→ {into}", *reasons)),))]
