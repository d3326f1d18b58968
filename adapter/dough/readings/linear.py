"""Quantities that are linear in grams: a weighted sum of the totals, absolute or over another.

One definition serves three uses: the value of a reading, its gradient for the spread, and its row in the
balancing programme.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from adapter.dough.readings.totals import Layout
from adapter.formula.substances import Substances

Weights = tuple[float, ...]
Parts = tuple[tuple[int, float], ...]
Amounts = Mapping[str, float]
"""Weights of the totals by name; the totals that are not named weigh nothing."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """scale x (top . totals) / (below . totals); `below` None means an absolute amount in grams."""

    top: Weights
    below: Weights | None
    scale: float
    cap: float | None = None
    top_parts: Parts = field(init=False, repr=False, compare=False)
    below_parts: Parts = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "top_parts", parts_of(self.top))
        object.__setattr__(self, "below_parts", parts_of(self.below or ()))

    def value(self, totals: Sequence[float]) -> float:
        raw = self.scale * sparse_dot(self.top_parts, totals)
        if self.below is not None:
            raw /= sparse_dot(self.below_parts, totals)
        return raw if self.cap is None else min(raw, self.cap)

    def gradient(self, totals: Sequence[float]) -> list[float]:
        """Change of the value per unit of each total; none where the value stands at its cap."""
        return _whole(self.slope_parts(totals), len(totals))

    def slope_parts(self, totals: Sequence[float]) -> Parts:
        """The parts of the gradient that are not zero, with their places."""
        if self.below is None:
            return tuple([(place, self.scale * weight) for place, weight in self.top_parts])
        base = sparse_dot(self.below_parts, totals)
        top = sparse_dot(self.top_parts, totals)
        if self.cap is not None and self.scale * (top / base) >= self.cap:
            return ()
        return self._parts_at(base, self.scale * top / base)

    def slopes(self, totals: Sequence[float]) -> list[float]:
        """Change per unit of each total as if there were no cap: what the balancing programme keeps."""
        if self.below is None:
            return [self.scale * weight for weight in self.top]
        ratio = self.scale * sparse_dot(self.top_parts, totals) / sparse_dot(self.below_parts, totals)
        return self._slopes_at(totals, ratio)

    def above(self, totals: Sequence[float], value: float) -> tuple[float, list[float]]:
        """How far it lies above a value, as if there were no cap, and the slopes of that: a ratio is at a value
        where top - value x below is nought, which is straight in grams.
        """
        if self.below is None:
            return self.scale * sparse_dot(self.top_parts, totals) - value, self.slopes(totals)
        slopes = self._slopes_at(totals, value)
        return dot(slopes, totals), slopes

    def _slopes_at(self, totals: Sequence[float], value: float) -> list[float]:
        return _whole(self._parts_at(sparse_dot(self.below_parts, totals), value), len(totals))

    def _parts_at(self, base: float, value: float) -> Parts:
        slopes = {place: self.scale * weight for place, weight in self.top_parts}
        for place, weight in self.below_parts:
            slopes[place] = slopes.get(place, 0.0) - value * weight
        return tuple([(place, slope / base) for place, slope in sorted(slopes.items()) if slope])


@dataclass(frozen=True, kw_only=True)
class Share:
    """How a linear quantity is made of the totals: `top` in % of one of them, or in grams where `below` is None.

    `top` names the totals and their weights, or works them out where they hang on the acids and sugars of the tables.
    """

    key: str
    top: Amounts | Callable[[Layout, Substances], Amounts]
    below: str | None = "flour"
    cap: float | None = None

    def quantity(self, layout: Layout, substances: Substances) -> Quantity:
        """The same over the totals of one catalogue."""
        top = self.top(layout, substances) if callable(self.top) else self.top
        if self.below is None:
            return Quantity(_weights(layout, top), None, 1.0, self.cap)
        return Quantity(_weights(layout, top), _weights(layout, {self.below: 1.0}), 100.0, self.cap)


def _weights(layout: Layout, amounts: Amounts) -> Weights:
    for name in amounts:
        if name not in layout.index:
            raise LookupError(f"{name!r} is no total (dough/readings/totals.py has them)")
    return tuple(amounts.get(key, 0.0) for key in layout.keys)


def parts_of(weights: Sequence[float]) -> Parts:
    """The weights that are not zero, with their places."""
    return tuple((place, weight) for place, weight in enumerate(weights) if weight)


def _whole(parts: Parts, size: int) -> list[float]:
    """The parts at their places, zero elsewhere."""
    whole = [0.0] * size
    for place, weight in parts:
        whole[place] = weight
    return whole


def sparse_dot(parts: Parts, totals: Sequence[float]) -> float:
    return sum([weight * totals[place] for place, weight in parts])


def dot(weights: Sequence[float], totals: Sequence[float]) -> float:
    return sum([w * t for w, t in zip(weights, totals, strict=True)])
