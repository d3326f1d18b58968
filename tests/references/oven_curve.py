"""The middle of a loaf after any number of minutes: the model's curve, of which the program shows even steps."""

from __future__ import annotations

from adapter.dough.models.oven import Loaf, _Kitchen


def core_temperature(
    loaf: Loaf, minutes: float, oven_c: float, start_c: float, h: float | None = None, oven_factor: float = 1.0
) -> float:
    """°C in the middle of the loaf after so many minutes."""
    return _Kitchen(loaf, oven_c, start_c, h, oven_factor).core_after(minutes)
