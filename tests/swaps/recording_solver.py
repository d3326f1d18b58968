"""A solver that keeps the last programme it was given, and what an answer costs."""

from __future__ import annotations

from collections.abc import Sequence

from adapter.swaps.programme import Column, Part, Solution, Solver, Target


class RecordingSolver(Solver):
    def solve(self, columns: Sequence[Column], targets: Sequence[Target], parts: Sequence[Part] = ()) -> Solution:
        self.asked = (columns, targets, parts)
        self.answer = super().solve(columns, targets, parts)
        return self.answer
