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

    Huber's estimator on the logarithms (Huber 1964) for the bakes, with the model as a normal prior: a bake further
    than 1.5 standard deviations from the mean keeps only the pull of one that stands at 1.5, the model keeps its full
    pull. So one odd bake cannot swing the rest, not even the first one; several that agree can move the mean as far
    as they stand. Raises ValueError for a factor that is not above zero.

    >>> calibrated([], 0.25)
    Calibrated(factor=1.0, spread=0.25, bakes=0)
    """
    if not all(math.isfinite(factor) and factor > 0.0 for factor in factors):
        raise ValueError("what a bake says of the model has to be above zero")
    if not factors:
        return Calibrated(1.0, model_spread, 0)
    said = sorted(math.log(factor) for factor in factors)
    model, sigma = (2.0 / model_spread) ** 2, bake_spread / 2.0
    mean = 0.0
    for _ in range(_ROUNDS):
        weights = [_weight(value - mean, sigma) for value in said]
        moved = sum(w * value for w, value in zip(weights, said, strict=True)) / (model + sum(weights))
        if abs(moved - mean) < 1e-12:
            break
        mean = moved
    weights = [_weight(value - mean, sigma) for value in said]
    squares = model * mean**2 + sum(w * (value - mean) ** 2 for w, value in zip(weights, said, strict=True))
    scatter = max(1.0, squares / (1 + len(said)))
    return Calibrated(math.exp(mean), 2.0 * math.sqrt(scatter / (model + sum(weights))), len(said))


def _weight(distance: float, sigma: float) -> float:
    full = 1.0 / sigma**2
    far = abs(distance) / sigma
    return full if far <= HUBER_SIGMAS else full * HUBER_SIGMAS / far
