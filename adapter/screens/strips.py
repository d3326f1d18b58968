"""Lines that were painted are freed as soon as others take their place.

Textual's strips remember what was cut from them; where that is the whole strip they remember themselves, and only a
collection of garbage, for which a key has to wait, would free them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.style import Style
from textual.strip import Strip

_divide, _crop = Strip.divide, Strip.crop_extend


def _divided(self: Strip, cuts: Iterable[int]) -> Sequence[Strip]:
    length = self.cell_length
    within = [cut for cut in cuts if cut <= length]
    return [self] if within == [length] else _divide(self, within)


def _cropped(self: Strip, start: int, end: int, style: Style | None) -> Strip:
    return self if start <= 0 and end == self.cell_length else _crop(self, start, end, style)


def forget_whole_strips() -> None:
    """Let strips that are asked for the whole of themselves answer without remembering it."""
    Strip.divide = _divided  # type: ignore[method-assign]
    Strip.crop_extend = _cropped  # type: ignore[method-assign]
