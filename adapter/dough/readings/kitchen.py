"""Everything that a reading needs besides the formula: tables, vectors, and what this kitchen has measured."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from adapter.dough.models.oven import SPREAD
from adapter.dough.models.yeast import GAS_ML_PER_H_PER_G
from adapter.dough.readings.linear import Quantity
from adapter.dough.readings.living import Follower, Pace
from adapter.dough.readings.registry import READING_KEYS, READINGS, quantities
from adapter.dough.readings.totals import Composer
from adapter.dough.tables.bands import Bands, Tolerance, load_bands, load_tolerances
from adapter.dough.tables.cautions import Caution, load_cautions
from adapter.dough.tables.loaf_classes import LoafClass, load_loaf_classes
from adapter.dough.tables.stage_kinds import StageKind, load_stage_kinds
from adapter.dough.tables.work_steps import WorkStep, load_work_steps
from adapter.formula.catalogue import Catalogue, load_catalogue

GAS_SPREAD = 0.25
"""How far the gas rate of one kitchen may lie from the model's, relative half-width [A]."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """What the bake log of this kitchen says: gas per g of yeast and hour, and a factor on the bake time.

    The spreads are relative half-widths; `bakes` counts the logged rises, `oven_bakes` the logged bake times.
    `souring` and `raising` are how much faster than the model this kitchen's culture sours and its yeast makes gas, by
    `ripenings` logged stages.
    """

    gas_ml: float = GAS_ML_PER_H_PER_G
    gas_spread: float = GAS_SPREAD
    oven_factor: float = 1.0
    oven_spread: float = SPREAD
    bakes: int = 0
    oven_bakes: int = 0
    souring: float = 1.0
    raising: float = 1.0
    ripenings: int = 0


@dataclass(frozen=True)
class Kitchen:
    """Every table, with the composer that turns lines into totals."""

    catalogue: Catalogue
    tolerances: Mapping[str, Tolerance]
    bands: Bands
    classes: tuple[LoafClass, ...]
    cautions: tuple[Caution, ...]
    steps: tuple[WorkStep, ...]
    stage_kinds: Mapping[str, StageKind]
    calibration: Calibration = field(default_factory=Calibration)
    composer: Composer = field(init=False, repr=False, compare=False)
    quantities: Mapping[str, Quantity] = field(init=False, repr=False, compare=False)
    follower: Follower = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        composer = Composer(self.catalogue)
        object.__setattr__(self, "composer", composer)
        own = self.calibration
        own_pace = Pace(own.gas_ml, own.souring, own.raising)
        object.__setattr__(self, "follower", Follower(composer, own_pace, self.stage_kinds))
        object.__setattr__(self, "quantities", quantities(composer.layout, self.catalogue.substances))

    @property
    def keepable(self) -> tuple[str, ...]:
        """What a rule may keep: every linear quantity, and the readings that the balancing programme can keep too."""
        return tuple(dict.fromkeys((*self.quantities, *(reading.key for reading in READINGS if reading.is_row))))


def load_kitchen(own_folders: Iterable[Path] = ()) -> Kitchen:
    """Read every table: the shipped ones with a baker's own laid over them."""
    folders = tuple(own_folders)
    return Kitchen(
        load_catalogue(folders),
        load_tolerances(READING_KEYS, folders),
        load_bands(READING_KEYS, folders),
        load_loaf_classes(folders),
        load_cautions(folders),
        load_work_steps(folders),
        load_stage_kinds(folders),
    )
