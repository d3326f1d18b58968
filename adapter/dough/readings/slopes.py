"""How slopes are put together: differences of a smooth function, chained with the gradients of what goes into it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from adapter.dough.readings.linear import dot
from adapter.dough.readings.reading import Dough


def partials(function: Callable[[Sequence[float]], float], inputs: Sequence[float]) -> list[float]:
    """Central differences of a smooth function; a step of a hundred-thousandth of the input, at least a millionth."""
    found = []
    for place, value in enumerate(inputs):
        step = max(1e-5 * abs(value), 1e-6)
        up, down = list(inputs), list(inputs)
        up[place], down[place] = value + step, value - step
        found.append((function(up) - function(down)) / (2.0 * step))
    return found


def chain(slopes: Sequence[float], gradients: Sequence[Sequence[float]]) -> list[float]:
    """Gradient of a function of inputs: its slope along each, times that input's gradient."""
    return [dot(slopes, column) for column in zip(*gradients, strict=True)]


def placed(dough: Dough, names: Sequence[str], parts: Sequence[float]) -> list[float]:
    """A gradient that is zero but for the named totals."""
    gradient = [0.0] * len(dough.totals)
    for name, part in zip(names, parts, strict=True):
        gradient[dough.layout.index[name]] = part
    return gradient


def scaled(dough: Dough, key: str, factor: float) -> list[float]:
    """The gradient of a reading times a factor."""
    return [factor * part for part in dough.gradient(key)]


def ratio_gradient(dough: Dough, name: str, scale: float) -> list[float]:
    """The gradient of scale x a total / flour."""
    flour = dough.amount("flour")
    gradient = [0.0] * len(dough.totals)
    gradient[dough.layout.index[name]] += scale / flour
    gradient[dough.layout.index["flour"]] -= scale * dough.amount(name) / flour**2
    return gradient
