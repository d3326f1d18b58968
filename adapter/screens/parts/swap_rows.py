"""A swap of an answer as a row, or as two where one is too narrow: what comes in is never left out."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

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


def sure_text(proven: bool, gap: float) -> str:
    """How near an answer is to the best there is."""
    from adapter.words.adapt_report import EXACTLY

    if proven:
        return "proven best" if gap <= EXACTLY else f"proven to {100 * gap:.1f} %"
    return f"at most {100 * gap:.1f} % from the best"


def warning_rows(text: str, width: int) -> list[Row]:
    """A sentence over the rows that is never highlighted, whole on as many rows as it takes."""
    return [Row((line,), "warn", True) for line in wrap(f"! {text}", width, subsequent_indent="  ")]
