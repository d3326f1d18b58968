"""What the screens share: the tables once they are read, the pantry, the open bench and where it came from."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from adapter.dough.kitchen import Kitchen
from adapter.files.atomic import Stamp
from adapter.formula.pantry import Pantry
from adapter.swaps.bench import Bench
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule


@dataclass
class Tables:
    """Everything read from the tables; reading takes a tenth of a second, so it happens after the first paint."""

    kitchen: Kitchen
    rules: tuple[Rule, ...]


@dataclass
class Session:
    """State that outlives a screen. `tables` is None until they are read in the background."""

    tables: Tables | None = None
    solver: Solver = field(default_factory=Solver)
    pantry: Pantry | None = None
    pantry_path: Path | None = None
    pantry_stamp: Stamp | None = None
    bench: Bench | None = None
    source: Path | None = None
    stamp: Stamp | None = None
    saved: dict[int, object] = field(default_factory=dict)
