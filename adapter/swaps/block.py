"""One formula of a programme: its wishes, the swaps it may take, and where its columns stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from adapter.formula.model import Amount, Formula
from adapter.swaps.aim_rows import AimRow, aim_rows
from adapter.swaps.candidates import Candidate
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes


@dataclass(frozen=True, slots=True)
class Chosen:
    """One swap of an answer: the candidate, the part of its lines that goes out (0 to 1), and grams coming in."""

    candidate: Candidate
    share: float
    into: tuple[Amount, ...]


@dataclass
class Block:
    """One formula of the programme, with where its columns stand."""

    swapper: Swapper
    wishes: Wishes
    candidates: Sequence[Candidate]
    count: float = 1.0
    short: frozenset[str] = frozenset()
    keys: list[str] = field(default_factory=list)
    first_row: int = 0
    shares: list[int] = field(default_factory=list)
    choices: list[int] = field(default_factory=list)
    incoming: list[list[int]] = field(default_factory=list)
    movers: dict[int, int] = field(default_factory=dict)
    leaving: dict[int, dict[int, float]] = field(default_factory=dict)
    stays: dict[int, int] = field(default_factory=dict)
    aim_rows: tuple[AimRow, ...] = ()

    def __post_init__(self) -> None:
        balancer = self.swapper.balancer
        held_readings = [key for key in self.wishes.holds if key in self.swapper.kitchen.keepable]
        aimed = {aim.key for aim in self.wishes.aims}
        self.keys = [key for key in dict.fromkeys((*balancer.soft, *held_readings)) if key not in aimed]
        wishes = self.wishes
        self.aim_rows = tuple(row for aim in wishes.aims for row in aim_rows(self.swapper, aim, wishes.pantry))

    @property
    def formula(self) -> Formula:
        return self.swapper.formula

    @property
    def flour(self) -> float:
        return self.swapper.measured.amount("flour")
