"""The bake log: what was measured after baking, kept as TOML beside the formula, and what it says of this kitchen."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from adapter.dough.bake.calibration import calibrated
from adapter.dough.bake.culture import raising_factor, souring_factor, stage_of
from adapter.dough.bake.plan import risen_loaf
from adapter.dough.bake.proofing import at_temperature, rise_over
from adapter.dough.models.oven import SPREAD, bake_minutes
from adapter.dough.models.yeast import GAS_ML_PER_H_PER_G
from adapter.dough.readings.kitchen import GAS_SPREAD, Calibration, Kitchen
from adapter.dough.readings.measured import Measured
from adapter.files.atomic import write_whole
from adapter.files.places import LOG_SUFFIX, own_formulas_path
from adapter.files.stamp import stamp_of
from adapter.files.toml.layout import document
from adapter.files.toml.source import exists, parse, read_text
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem, file_name
from adapter.formula.row import Row, keys_of

MARKS = (1, 5)
MOST_SPREAD = 0.9
CULTURE_SPREAD = 0.5
"""How far one kitchen's culture may lie from the model's, relative half-width [A]."""
LEAST_GAS_SHARE = 0.1
"""Of the gas that a culture's bacteria make, at least so much more has to be left for its yeast to have made [A]."""
DECIMALS = 4
"""Of the numbers that are written: far below what anybody measures."""
MEASURED_RANGES = {
    "dough_c": (0.0, 60.0, "°C", "the dough's temperature"),
    "proof_c": (0.0, 60.0, "°C", "the temperature of the proof"),
    "rise_percent": (1.0, 400.0, "%", "the rise"),
    "rise_h": (0.3, 48.0, "h", "the time of the rise"),
    "oven_c": (105.0, 400.0, "°C", "the oven"),
    "core_c": (20.0, 99.5, "°C", "the core"),
    "bake_min": (1.0, 2880.0, "min", "the time in the oven"),
    "mark": (1.0, 5.0, "", "the mark"),
    "stage_h": (0.3, 240.0, "h", "the hours of the stage"),
    "stage_c": (0.0, 60.0, "°C", "the warmth of the stage"),
    "stage_ph": (3.0, 8.0, "pH", "the pH of the stage"),
    "stage_tta": (0.1, 60.0, "mL", "the TTA of the stage"),
    "peak_h": (0.3, 96.0, "h", "the time to the stage's peak"),
}
"""Lowest and highest that can have been measured, with the unit and what it is."""


@dataclass(frozen=True, slots=True)
class Bake:
    """One bake as it was. Temperatures °C; `rise_percent` was reached after `rise_h`, `core_c` after `bake_min`.

    `gas_factor` and `oven_factor` are observed / predicted by the uncalibrated model for the formula of that day:
    they are kept, since the formula may change afterwards. Of one living stage, named by `stage`: its pH and TTA after
    `stage_h` at `stage_c` (None: as planned), and when it peaked; `souring_factor` and `raising_factor` are what that
    says of the culture.
    """

    at: datetime
    formula: str
    dough_c: float | None = None
    proof_c: float | None = None
    rise_percent: float | None = None
    rise_h: float | None = None
    oven_c: float | None = None
    core_c: float | None = None
    bake_min: float | None = None
    crumb: str = ""
    notes: str = ""
    mark: int | None = None
    gas_factor: float | None = None
    oven_factor: float | None = None
    stage: str = ""
    stage_h: float | None = None
    stage_c: float | None = None
    stage_ph: float | None = None
    stage_tta: float | None = None
    peak_h: float | None = None
    souring_factor: float | None = None
    raising_factor: float | None = None


FACTORS = ("gas_factor", "oven_factor", "souring_factor", "raising_factor")
_NUMBERS = tuple(key for key in (*MEASURED_RANGES, *FACTORS) if key != "mark")


def log_path(formula_path: Path) -> Path:
    """Where the bakes of a formula file are kept: beside it."""
    return formula_path.with_name(formula_path.stem + LOG_SUFFIX)


def check_measured(bake: Bake) -> None:
    """Raise InputProblem for a number that cannot have been measured, and for a bake of which nothing is said."""
    given = {key: getattr(bake, key) for key in MEASURED_RANGES if getattr(bake, key) is not None}
    if not given and not bake.crumb.strip() and not bake.notes.strip():
        raise InputProblem("nothing was measured", where="log", right="at least one number, or a note")
    for key, value in given.items():
        low, high, unit, what = MEASURED_RANGES[key]
        if not low <= value <= high:
            raise InputProblem(
                f"{what}: {value:g} {unit}".rstrip() + " cannot be", right=f"{low:g} to {high:g} {unit}".rstrip()
            )


def with_factors(bake: Bake, measured: Measured) -> Bake:
    """A bake with what it says of the model: gas made over gas predicted, minutes taken over minutes predicted.

    Raises InputProblem for a rise within the lag, or numbers that cannot be.
    """
    check_measured(bake)
    souring, raising, by_yeast = _culture_factors(bake, measured)
    by_rise = _gas_factor(bake, measured)
    return replace(
        bake,
        gas_factor=by_yeast if by_rise is None else by_rise,
        oven_factor=_oven_factor(bake, measured),
        souring_factor=souring,
        raising_factor=raising,
    )


def _culture_factors(bake: Bake, measured: Measured) -> tuple[float | None, float | None, float | None]:
    """What a measured stage says: how the culture sours, how it rises, how bakers' yeast does. Raises InputProblem."""
    if bake.stage_ph is None and bake.stage_tta is None and bake.peak_h is None:
        return None, None, None
    if not bake.stage:
        raise InputProblem("which stage was measured is not said", where="log", right="its name")
    stage = stage_of(measured, bake.stage)
    hours = stage.hours if bake.stage_h is None else bake.stage_h
    souring = None
    if stage.start.bacteria > 0.0:
        souring = souring_factor(stage, hours, bake.stage_c, bake.stage_ph, bake.stage_tta)
    raising = None if bake.peak_h is None else raising_factor(stage, bake.peak_h, bake.stage_c)
    return (souring, raising, None) if stage.start.sourdough_yeast > 0.0 else (souring, None, raising)


def _gas_factor(bake: Bake, measured: Measured) -> float | None:
    """Gas that the rise took over the gas that the model makes in that time, at the dough's mean temperature.

    With the temperatures of dough and place both known, the dough goes over from one to the other; with one known,
    it stayed there; with none, the formula's own counts.
    """
    if bake.rise_h is None:
        return None
    rise_percent = 100.0 * measured.rise.rise_fraction if bake.rise_percent is None else bake.rise_percent
    if bake.dough_c is not None and bake.proof_c is not None:
        rise = rise_over(measured, bake.proof_c, bake.dough_c, rise_percent)
    else:
        known = [value for value in (bake.dough_c, bake.proof_c, measured.rise.temperature_c) if value is not None]
        rise = at_temperature(replace(measured.rise, rise_fraction=rise_percent / 100.0), known[0])
    if not rise.is_alive or bake.rise_h <= 0.0:
        return None
    model = replace(rise, medium=replace(rise.medium, gas_ml=GAS_ML_PER_H_PER_G))
    end = model.over(bake.rise_h).end
    by_bacteria = end.bacteria_gas_ml
    needed = model.bubbles.gas_needed(model.rise_fraction, end.temperature_c) - by_bacteria
    return max(needed, LEAST_GAS_SHARE * by_bacteria) / end.yeast_gas_ml if end.yeast_gas_ml > 0.0 else None


def _oven_factor(bake: Bake, measured: Measured) -> float | None:
    if bake.bake_min is None or bake.core_c is None:
        return None
    conditions = measured.conditions
    loaf = measured.loaf if bake.rise_percent is None else risen_loaf(measured, bake.rise_percent)
    try:
        predicted = bake_minutes(
            loaf,
            conditions.oven_c if bake.oven_c is None else bake.oven_c,
            bake.core_c,
            conditions.start_c if bake.proof_c is None else bake.proof_c,
        )
    except ValueError as fault:
        raise InputProblem(str(fault)) from None
    return bake.bake_min / predicted.value


def read_log(path: Path) -> tuple[Bake, ...]:
    """The bakes of a log file, oldest first; none where there is no file. Raises InputProblem."""
    if not exists(path):
        return ()
    text = read_text(path)
    file = file_name(path)
    return tuple(map(_bake, Row(parse(text, file), file).parts("bake", "bake", "at")))


def _bake(row: Row) -> Bake:
    row.known_keys(keys_of(Bake))
    at = row.data.get("at")
    if not isinstance(at, datetime):
        raise row.fault("at", "is no date and time", "such as 2026-11-24T09:30:00")
    given: dict[str, Any] = {key: row.maybe_number(key) for key in _NUMBERS}
    for key in FACTORS:
        value = given[key]
        if value is not None and value <= 0:
            raise row.fault(key, f"is {value:g}", "above zero")
    return Bake(
        at=at,
        formula=clean(row.text("formula")),
        crumb=clean(str(row.data.get("crumb", ""))),
        notes=clean(str(row.data.get("notes", ""))),
        mark=row.whole("mark", *MARKS),
        stage=clean(str(row.data.get("stage", ""))),
        **given,
    )


def add_bake(path: Path, *bakes: Bake) -> tuple[Bake, ...]:
    """Write one more bake, or several, at the end of a log, whole or not at all; all bakes of the log afterwards.

    What stands there stays as it is, comments too. Raises InputProblem, also where another program wrote meanwhile.
    """
    for bake in bakes:
        check_measured(bake)
    stamp = stamp_of(path)
    before = read_log(path)
    text = read_text(path).rstrip("\n") + "\n\n" if before else ""
    added = tuple(_cleaned(bake) for bake in bakes)
    write_whole(path, (text + document({"bake": [_table(bake) for bake in added]})).encode("utf-8"), stamp)
    return (*before, *added)


def _cleaned(bake: Bake) -> Bake:
    words: dict[str, Any] = {key: clean(getattr(bake, key)) for key in ("formula", "crumb", "notes", "stage")}
    return replace(bake, **words)


def _table(bake: Bake) -> dict[str, Any]:
    values = {key: getattr(bake, key) for key in Bake.__slots__}
    return {
        key: round(value, DECIMALS) if isinstance(value, float) else value
        for key, value in values.items()
        if value not in (None, "")
    }


def log_folders(formula_path: Path | None) -> tuple[Path, ...]:
    """Where this kitchen's logs lie: the baker's own formulas, and the folder of the formula at hand."""
    beside = (formula_path.parent,) if formula_path is not None and formula_path.exists() else ()
    return (own_formulas_path(), *beside)


def logs_in(folders: Iterable[Path]) -> list[Path]:
    """Every log file of some folders, by name; a folder that cannot be read counts as empty."""
    found: dict[Path, None] = {}
    for folder in folders:
        try:
            found.update(dict.fromkeys(sorted(Path(os.path.realpath(path)) for path in folder.glob(f"*{LOG_SUFFIX}"))))
        except OSError:
            continue
    return list(found)


def calibration_from(bakes: Sequence[Bake]) -> Calibration:
    """What the bakes of a kitchen say together: a robust mean with the model as one voice among them."""
    gas = calibrated([bake.gas_factor for bake in bakes if bake.gas_factor is not None], GAS_SPREAD)
    oven = calibrated([bake.oven_factor for bake in bakes if bake.oven_factor is not None], SPREAD)
    souring = calibrated([bake.souring_factor for bake in bakes if bake.souring_factor is not None], CULTURE_SPREAD)
    raising = calibrated([bake.raising_factor for bake in bakes if bake.raising_factor is not None], CULTURE_SPREAD)
    return Calibration(
        GAS_ML_PER_H_PER_G * gas.factor,
        min(gas.spread, MOST_SPREAD),
        oven.factor,
        min(oven.spread, MOST_SPREAD),
        gas.bakes,
        oven.bakes,
        souring.factor,
        raising.factor,
        max(souring.bakes, raising.bakes),
    )


def calibrated_kitchen(kitchen: Kitchen, folders: Iterable[Path]) -> tuple[Kitchen, tuple[str, ...]]:
    """The kitchen with what its logs say, and a note for each log that could not be read."""
    bakes: list[Bake] = []
    notes: list[str] = []
    for path in logs_in(folders):
        try:
            bakes += read_log(path)
        except InputProblem as problem:
            notes.append(str(problem))
    calibration = calibration_from(bakes)
    if not math.isfinite(calibration.gas_ml) or calibration == kitchen.calibration:
        return kitchen, tuple(notes)
    return replace(kitchen, calibration=calibration), tuple(notes)
