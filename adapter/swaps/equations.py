"""A few linear equations with as many unknowns, solved by Gauss: too few for a library to pay."""

from __future__ import annotations

from collections.abc import Sequence

LEAST_PIVOT = 1e-7
"""Equations of largest factor 1 that leave less than this of each other are not told apart."""


def only_answer(factors: Sequence[Sequence[float]], right: Sequence[float]) -> list[float] | None:
    """The unknowns with which each row's factors sum to its right side; None where the rows do not settle them.

    >>> only_answer([[1.0, 1.0], [1.0, -1.0]], [5.0, 1.0])
    [3.0, 2.0]
    >>> only_answer([[1.0, 1.0], [2.0, 2.0]], [5.0, 10.0])
    """
    size = len(factors)
    rows = []
    for row, value in zip(factors, right, strict=True):
        largest = max([abs(factor) for factor in row])
        if not largest > 0.0:
            return None
        rows.append([*[factor / largest for factor in row], value / largest])
    for at in range(size):
        best = max(range(at, size), key=lambda number: abs(rows[number][at]))
        pivot = rows[best]
        if abs(pivot[at]) < LEAST_PIVOT:
            return None
        rows[at], rows[best] = pivot, rows[at]
        for number in range(at + 1, size):
            row = rows[number]
            factor = row[at] / pivot[at]
            if factor:
                rows[number] = [value - factor * other for value, other in zip(row, pivot, strict=True)]
    answer = [0.0] * size
    for at in reversed(range(size)):
        row = rows[at]
        known = sum([row[place] * answer[place] for place in range(at + 1, size)])
        answer[at] = (row[size] - known) / row[at]
    return answer
