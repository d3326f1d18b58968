"""Kinds of stages that live: when each is ripe, and within what its starter and warmth are sought: stage_kinds.toml."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from adapter.formula.model import LIVING_KINDS
from adapter.formula.problems import InputProblem
from adapter.formula.row import Row, keys_of
from adapter.formula.tables import Table

TABLE = Table("stage_kinds.toml", "stage_kind", "kinds of stages")
TABLES = (TABLE,)
BEST_RETENTION = 0.9
"""Share of its gas that a dough keeps for which `most_rise` holds."""
STIFF_HYDRATION, SOFT_HYDRATION = 60.0, 80.0
"""All water, the flour's own too, in % of it: up to the one `gas_kept` holds, from the other on all gas is kept [A]."""


@dataclass(frozen=True, slots=True)
class StageKind:
    """When a living stage of this kind may be used, is at its best, is past it: by pH, or by its rise in %.

    One that is ripe by its pH may be taken less sour once it has risen to its peak. Starter is ripe culture in % of the
    whole stage, or fresh yeast in % of its flour.
    """

    name: str
    ripe_ph: tuple[float, ...]
    ripe_rise: tuple[float, ...]
    raised_ph: float
    peak_rise: float
    most_rise: float
    gas_kept: float
    least_starter: float
    most_starter: float
    coldest_c: float
    warmest_c: float
    tag: str
    source: str

    def highest_percent(self, retention: float) -> float:
        """How far, in %, it can rise before it falls back, keeping such a share of its gas."""
        return self.most_rise * retention / BEST_RETENTION

    def gas_kept_at(self, hydration: float) -> float:
        """Share of its gas that it keeps with so much water in % of its flour: a soft one is mixed through."""
        soft = (hydration - STIFF_HYDRATION) / (SOFT_HYDRATION - STIFF_HYDRATION)
        return self.gas_kept + (1.0 - self.gas_kept) * min(max(soft, 0.0), 1.0)


def load_stage_kinds(own_folders: Iterable[Path] = ()) -> Mapping[str, StageKind]:
    """stage_kinds.toml, a baker's own over the shipped ones by name. Raises InputProblem."""
    kinds = {kind.name: kind for kind in TABLE.load(own_folders, _kind)}
    for name in sorted(LIVING_KINDS):
        if name not in kinds:
            raise InputProblem(
                f"kind {name!r} is missing", file=TABLE.file, right=f'a [[stage_kind]] with name = "{name}"'
            )
    return kinds


def _kind(row: Row) -> StageKind:
    row.known_keys(keys_of(StageKind))
    name = row.text("name")
    if name not in LIVING_KINDS:
        raise row.fault("name", f"is {name!r}", "one of " + ", ".join(sorted(LIVING_KINDS)))
    if row.has("ripe_ph") == row.has("ripe_rise"):
        raise row.problem("is ripe by its pH or by its rise", "one of ripe_ph and ripe_rise")
    least, coldest = row.number("least_starter", low=0.001), row.number("coldest_c", low=0)
    ripe_ph, ripe_rise = _three(row, "ripe_ph", -1.0), _three(row, "ripe_rise", 1.0)
    first, best = ripe_ph[:2] if ripe_ph else (0.0, 0.0)
    return StageKind(
        name,
        ripe_ph,
        ripe_rise,
        row.number("raised_ph", low=best, high=first) if row.has("raised_ph") else best,
        row.number("peak_rise", low=20, high=400) if row.has("peak_rise") else 0.0,
        row.number("most_rise", low=50, high=1000),
        row.number("gas_kept", low=0.1, high=1),
        least,
        row.number("most_starter", low=least, high=95),
        coldest,
        row.number("warmest_c", low=coldest, high=45),
        row.tag(),
        row.text("source"),
    )


def _three(row: Row, key: str, sign: float) -> tuple[float, ...]:
    """Three numbers in the order of time: first usable, best, past it; none where the row has no such key."""
    if not row.has(key):
        return ()
    numbers = row.list_of_numbers(key)
    if len(numbers) != 3 or not sign * numbers[0] < sign * numbers[1] < sign * numbers[2]:
        raise row.fault(key, "is not three numbers in the order of time", "such as [80, 115, 165], or [4.1, 3.95, 3.8]")
    return numbers
