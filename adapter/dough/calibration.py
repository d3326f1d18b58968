"""Making the model this kitchen's own: a robust mean of what its bakes say, with the model as one voice among them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

ONE_BAKE_SPREAD = 0.20
"""Half-width (95 %) of what a single bake says, relative: clocks, rulers and the eye for "risen" [A]."""

HUBER_SIGMAS = 1.5
_ROUNDS = 200


@dataclass(frozen=True, slots=True)
class Calibrated:
    """A factor on the model's value, its relative half-width, and how many bakes speak for it."""

    factor: float
    spread: float
    bakes: int


def calibrated(factors: Sequence[float], model_spread: float, bake_spread: float = ONE_BAKE_SPREAD) -> Calibrated:
    """Robust mean of observed / predicted, with the model's own 1 and its relative half-width as the first voice.

    Huber's estimator on the logarithms (Huber 1964): a bake further than 1.5 standard deviations from the mean keeps
    only the pull of one that stands at 1.5, so that one odd bake cannot swing the rest. Raises ValueError for a
    factor that is not above zero.

    >>> calibrated([], 0.25)
    Calibrated(factor=1.0, spread=0.25, bakes=0)
    """
    if not all(math.isfinite(factor) and factor > 0.0 for factor in factors):
        raise ValueError("what a bake says of the model has to be above zero")
    if not factors:
        return Calibrated(1.0, model_spread, 0)
    points = [(0.0, model_spread / 2.0), *((math.log(factor), bake_spread / 2.0) for factor in factors)]
    mean = _weighted_median(points)
    for _ in range(_ROUNDS):
        weights = [_weight(value - mean, sigma) for value, sigma in points]
        moved = sum(w * value for w, (value, _) in zip(weights, points, strict=True)) / sum(weights)
        if abs(moved - mean) < 1e-12:
            break
        mean = moved
    weights = [_weight(value - mean, sigma) for value, sigma in points]
    scatter = sum(w * (value - mean) ** 2 for w, (value, _) in zip(weights, points, strict=True)) / len(points)
    spread = 2.0 * math.sqrt(max(1.0, scatter) / sum(weights))
    return Calibrated(math.exp(mean), spread, len(factors))


def _weight(distance: float, sigma: float) -> float:
    full = 1.0 / sigma**2
    far = abs(distance) / sigma
    return full if far <= HUBER_SIGMAS else full * HUBER_SIGMAS / far


def _weighted_median(points: Sequence[tuple[float, float]]) -> float:
    ordered = sorted(points)
    half = sum(1.0 / sigma**2 for _, sigma in ordered) / 2.0
    passed = 0.0
    for value, sigma in ordered:
        passed += 1.0 / sigma**2
        if passed >= half:
            return value
    return ordered[-1][0]
