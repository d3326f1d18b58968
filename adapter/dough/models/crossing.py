"""Where a function crosses zero between two ends: the secant between both closes in."""

from __future__ import annotations

from collections.abc import Callable

_MOST_STEPS = 60


def crossing(
    function: Callable[[float], float], low: float, high: float, below: float, above: float, near: float
) -> float:
    """The x between two ends at which a function crosses zero, to about `near`.

    `below` and `above` are its values at the ends, of opposite sign. An end that stays twice counts less and less,
    so that both close in (Anderson and Björck's rule, from memory).

    >>> round(crossing(lambda x: x**3 - 2.0, 0.0, 2.0, -2.0, 6.0, 1e-9), 6)
    1.259921
    """
    x, before, side = low, high, 0
    for _ in range(_MOST_STEPS):
        before, x = x, high - above * (high - low) / (above - below)
        value = function(x)
        if value == 0.0 or (side and abs(x - before) <= near):
            break
        if (value < 0.0) == (below < 0.0):
            if side < 0:
                above *= _left(value, below)
            low, below, side = x, value, -1
        else:
            if side > 0:
                below *= _left(value, above)
            high, above, side = x, value, 1
    return x


def _left(value: float, replaced: float) -> float:
    part = 1.0 - value / replaced
    return part if part > 0.0 else 0.5
