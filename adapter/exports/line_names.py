"""What a line is called in a table of several formulas."""

from __future__ import annotations

from adapter.swaps.comparison import AlignedLine


def line_name(line: AlignedLine) -> str:
    """An ingredient as it stands in a table: with its hydration where the formula gives one."""
    return line.ingredient if line.hydration is None else f"{line.ingredient} ({line.hydration:g} % water)"
