"""The track of a level: a bubble, the book formula in the middle, brackets at what a baker notices."""

from __future__ import annotations

import math
from dataclasses import dataclass

from adapter.screens.parts.columns import Span

BUBBLE, OPEN_BUBBLE = "●", "○"
RAIL, MIDDLE = "┄", "┊"
FARTHEST = 6.0
"""Steps at which the bubble reaches the end of its track."""


def bubble_offset(steps: float, half: int, bracket: int) -> int:
    """Cells from the middle: within the brackets up to one step, outside them beyond it, at the end from FARTHEST."""
    size = abs(steps)
    if size <= 1.0:
        cells = round(size * (bracket - 1))
    else:
        share = min(1.0, math.log(size) / math.log(FARTHEST))
        cells = bracket + 1 + round(share * (half - bracket - 1))
    return cells if steps >= 0 else -cells


def bracket_offset(half: int) -> int:
    """Cells from the middle to a bracket."""
    return max(2, min(half - 1, round(0.45 * half)))


@dataclass(frozen=True)
class Track:
    """A cell that draws the track to its width. No steps, or no number, draws it without a bubble."""

    steps: float | None
    clear: bool = True
    held: bool = False

    def __call__(self, width: int) -> tuple[Span, ...]:
        half = (width - 1) // 2
        if half < 3:
            return ((" " * width, ""),)
        bracket = bracket_offset(half)
        cells = [(RAIL, "track")] * (2 * half + 1)
        cells[half] = (MIDDLE, "track")
        for place, sign in ((half - bracket, "["), (half + bracket, "]")):
            cells[place] = (sign, "strong" if self.held else "faint")
        if self.steps is not None and not math.isnan(self.steps):
            place = half + bubble_offset(self.steps, half, bracket)
            outside = abs(self.steps) > 1.0 and self.clear
            cells[place] = (BUBBLE if self.clear else OPEN_BUBBLE, "warn" if outside else "strong")
        cells += [(" ", "")] * (width - len(cells))
        return joined(cells)


def joined(cells: list[Span]) -> tuple[Span, ...]:
    """Cells as spans of one style each."""
    spans: list[Span] = []
    for text, style in cells:
        if spans and spans[-1][1] == style:
            spans[-1] = (spans[-1][0] + text, style)
        else:
            spans.append((text, style))
    return tuple(spans)
