"""Steps of the work that take their time whatever the dough: work_steps.toml."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from adapter.formula.problems import InputProblem
from adapter.formula.row import Row, keys_of
from adapter.formula.tables import Table

TABLE = Table("work_steps.toml", "step", "steps of work")
TABLES = (TABLE,)
MIX, SHAPE = "mix", "shape and put to proof"


@dataclass(frozen=True, slots=True)
class WorkStep:
    """A step and its hours. It is there when a stage begins with `stage`, an ingredient is of `kind`, or always."""

    name: str
    stage: str | None
    kind: str | None
    hours: float
    tag: str
    source: str

    def applies(self, stages: Iterable[str], kinds: Iterable[str]) -> bool:
        if self.stage is None and self.kind is None:
            return True
        by_stage = self.stage is not None and any(name.casefold().startswith(self.stage) for name in stages)
        return by_stage or (self.kind is not None and self.kind in kinds)


def load_work_steps(own_folders: Iterable[Path] = ()) -> tuple[WorkStep, ...]:
    """work_steps.toml, a baker's own over the shipped ones by name. Raises InputProblem."""
    steps = TABLE.load(own_folders, _step)
    for name in (MIX, SHAPE):
        if all(step.name != name for step in steps):
            raise InputProblem(f"step {name!r} is missing", file=TABLE.file)
    return steps


def _step(row: Row) -> WorkStep:
    row.known_keys(keys_of(WorkStep))
    hours = row.number("hours")
    if not 0 < hours <= 96:
        raise row.fault("hours", f"is {hours:g}", "above 0 and at most 96")
    return WorkStep(
        row.text("name"),
        row.text("stage").casefold() if row.has("stage") else None,
        row.text("kind") if row.has("kind") else None,
        hours,
        row.tag(),
        row.text("source"),
    )
