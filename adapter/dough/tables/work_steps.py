"""Steps of the work that take their time whatever the dough: work_steps.toml."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from importlib.resources.abc import Traversable

from adapter.formula.problems import InputProblem
from adapter.formula.tables import Row, read_table, rows, shipped_tables

TABLE = "work_steps.toml"
MIX, SHAPE = "mix", "shape and put to proof"
_KEYS = frozenset({"name", "stage", "kind", "hours", "tag", "source"})


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


def load_work_steps(own_folders: Iterable[Traversable] = ()) -> tuple[WorkStep, ...]:
    """work_steps.toml, a baker's own over the shipped ones by name. Raises InputProblem."""
    found: dict[str, WorkStep] = {}
    for folder in (shipped_tables(), *own_folders):
        path = folder / TABLE
        if path.is_file():
            for row in rows(read_table(path), "step", str(path)):
                step = _step(row)
                found[step.name] = step
    for name in (MIX, SHAPE):
        if name not in found:
            raise InputProblem(f"step {name!r} is missing", file=TABLE)
    return tuple(found.values())


def _step(row: Row) -> WorkStep:
    row.known_keys(_KEYS)
    hours = row.number("hours")
    if not 0 < hours <= 96:
        raise row.problem("hours", f"is {hours:g}", "above 0 and at most 96")
    return WorkStep(
        row.text("name"),
        row.text("stage").casefold() if row.has("stage") else None,
        row.text("kind") if row.has("kind") else None,
        hours,
        row.tag(),
        row.text("source"),
    )
