"""What is asked of a swap: which lines go out, what comes in, how much of it, what is held and what is typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from adapter.formula.problems import InputProblem
from adapter.swaps.rules import Rule

DEFAULT_MOVES = ("water", "salt")

LINE_HOLD = "line:"
"""Prefix of a hold on a line: "line:honey". Other holds are reading keys."""


@dataclass(frozen=True, slots=True)
class Request:
    """One swap as it is asked for.

    `out` are places of lines, the line that was chosen first; `chosen` are the ingredients coming in, in the order of
    the rule's slots (none: the lines are left out). `share_percent` of the lines goes out. `moves` are names or kinds
    of the lines that may give way, `keep` the readings that a swap without a rule keeps. `typed` fixes the grams of an
    ingredient that comes in.
    """

    out: tuple[int, ...]
    chosen: tuple[str, ...]
    rule: Rule | None = None
    share_percent: float = 100.0
    holds: tuple[str, ...] = ()
    moves: tuple[str, ...] = DEFAULT_MOVES
    typed: Mapping[str, float] = field(default_factory=dict)
    keep: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not 0 < self.share_percent <= 100:
            raise InputProblem(f"share {self.share_percent:g} %", right="above 0 and at most 100")

    @classmethod
    def by_rule(
        cls,
        rule: Rule,
        out: tuple[int, ...],
        chosen: tuple[str, ...],
        share_percent: float | None = None,
        holds: tuple[str, ...] = (),
        typed: Mapping[str, float] | None = None,
    ) -> Request:
        """A swap as a rule makes it; the rule's own share unless one is given."""
        share = rule.share_percent if share_percent is None else share_percent
        return cls(out, chosen, rule, share, holds, rule.moves, typed or {})
