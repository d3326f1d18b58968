"""A number with the range it is shown with."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Span:
    """A number with the range it is shown with."""

    low: float
    value: float
    high: float
