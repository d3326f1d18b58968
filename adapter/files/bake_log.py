"""The bake log: what was measured after baking, kept as TOML beside the formula, and what it says of this kitchen."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from adapter.dough.bake_plan import at_temperature
from adapter.dough.calibration import calibrated
from adapter.dough.kitchen import GAS_SPREAD, Calibration, Kitchen
from adapter.dough.oven import SPREAD, bake_minutes
from adapter.dough.readings import Measured
from adapter.dough.yeast_pace import GAS_ML_PER_H_PER_G, LAG_H
from adapter.files.atomic import file_name, write_whole
from adapter.files.places import own_formulas_path
from adapter.files.toml_layout import document
from adapter.files.toml_source import parse, read_text
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.formula.tables import Row, rows

SUFFIX = ".bakes.toml"
MARKS = (1, 5)
_KEYS = frozenset(
    {
        "at", "formula", "dough_c", "proof_c", "rise_percent", "rise_h", "oven_c", "core_c", "bake_min", "crumb",
        "notes", "mark", "gas_factor", "oven_factor",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Bake:
    """One bake as it was. Temperatures °C; `rise_percent` was reached after `rise_h`, `core_c` after `bake_min`.

    `gas_factor` and `oven_factor` are observed / predicted by the uncalibrated model for the formula of that day:
    they are kept, since the formula may change afterwards.
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


def log_path(formula_path: Path) -> Path:
    """Where the bakes of a formula file are kept: beside it."""
    return formula_path.with_name(formula_path.stem + SUFFIX)


def with_factors(bake: Bake, measured: Measured) -> Bake:
    """A bake with what it says of the model: gas made over gas predicted, minutes taken over minutes predicted.

    Raises InputProblem for a rise within the lag, or numbers that cannot be.
    """
    return replace(bake, gas_factor=_gas_factor(bake, measured), oven_factor=_oven_factor(bake, measured))


def _gas_factor(bake: Bake, measured: Measured) -> float | None:
    if bake.rise_h is None:
        return None
    if not LAG_H < bake.rise_h <= 48:
        raise InputProblem(f"a rise in {bake.rise_h:g} h cannot be", right="0.25 to 48 h")
    rise = measured.rise
    if bake.rise_percent is not None:
        if not 1 <= bake.rise_percent <= 400:
            raise InputProblem(f"a rise of {bake.rise_percent:g} % cannot be", right="1 to 400 %")
        rise = replace(rise, rise_fraction=bake.rise_percent / 100.0)
    dough_c = bake.dough_c if bake.dough_c is not None else bake.proof_c
    rise = at_temperature(measured, rise, rise.temperature_c if dough_c is None else dough_c)
    model = replace(rise, gas_ml=GAS_ML_PER_H_PER_G)
    predicted = model.rate(bake.rise_h) * (bake.rise_h - LAG_H)
    return model.gas_needed() / predicted if predicted > 0 else None


def _oven_factor(bake: Bake, measured: Measured) -> float | None:
    if bake.bake_min is None or bake.core_c is None:
        return None
    if not 1 <= bake.bake_min <= 2880:
        raise InputProblem(f"{bake.bake_min:g} minutes in the oven cannot be", right="1 to 2880 minutes")
    conditions = measured.conditions
    try:
        predicted = bake_minutes(
            measured.loaf,
            conditions.oven_c if bake.oven_c is None else bake.oven_c,
            bake.core_c,
            conditions.start_c if bake.proof_c is None else bake.proof_c,
        )
    except ValueError as fault:
        raise InputProblem(str(fault)) from None
    return bake.bake_min / predicted.value


def read_log(path: Path) -> tuple[Bake, ...]:
    """The bakes of a log file, oldest first; none where there is no file. Raises InputProblem."""
    if not path.exists():
        return ()
    text, _ = read_text(path)
    file = file_name(path)
    return tuple(_bake(row) for row in rows(parse(text, file), "bake", file, name_key="at"))


def _bake(row: Row) -> Bake:
    row.known_keys(_KEYS)
    at = row.data.get("at")
    if not isinstance(at, datetime):
        raise row.problem("at", "is no date and time", "such as 2026-11-24T09:30:00")
    mark = row.number("mark") if row.has("mark") else None
    if mark is not None and (mark != int(mark) or not MARKS[0] <= mark <= MARKS[1]):
        raise row.problem("mark", f"is {mark:g}", "1 to 5")

    def number(key: str) -> float | None:
        return row.number(key) if row.has(key) else None

    def factor(key: str) -> float | None:
        value = number(key)
        if value is not None and value <= 0:
            raise row.problem(key, f"is {value:g}", "above zero")
        return value

    return Bake(
        at,
        clean(row.text("formula")),
        number("dough_c"),
        number("proof_c"),
        number("rise_percent"),
        number("rise_h"),
        number("oven_c"),
        number("core_c"),
        number("bake_min"),
        clean(str(row.data.get("crumb", ""))),
        clean(str(row.data.get("notes", ""))),
        None if mark is None else int(mark),
        factor("gas_factor"),
        factor("oven_factor"),
    )


def add_bake(path: Path, bake: Bake) -> tuple[Bake, ...]:
    """Write one more bake into a log, whole or not at all; all bakes of the log afterwards."""
    if bake.mark is not None and not MARKS[0] <= bake.mark <= MARKS[1]:
        raise InputProblem(f"a mark of {bake.mark}", right="1 to 5")
    bakes = (*read_log(path), bake)
    tables = {"bake": [_table(item) for item in bakes]}
    write_whole(path, document(tables).encode("utf-8"))
    return bakes


def _table(bake: Bake) -> dict[str, Any]:
    values = {key: getattr(bake, key) for key in Bake.__slots__}
    return {key: value for key, value in values.items() if value not in (None, "")}


def log_folders(formula_path: Path | None) -> tuple[Path, ...]:
    """Where this kitchen's logs lie: the baker's own formulas, and the folder of the formula at hand."""
    beside = (formula_path.parent,) if formula_path is not None and formula_path.exists() else ()
    return (own_formulas_path(), *beside)


def logs_in(folders: Iterable[Path]) -> list[Path]:
    """Every log file of some folders, by name; a folder that cannot be read counts as empty."""
    found: dict[Path, None] = {}
    for folder in folders:
        try:
            found.update(dict.fromkeys(sorted(path.resolve() for path in folder.glob(f"*{SUFFIX}"))))
        except OSError:
            continue
    return list(found)


def calibration_from(bakes: Sequence[Bake]) -> Calibration:
    """What the bakes of a kitchen say together: a robust mean with the model as one voice among them."""
    gas = calibrated([bake.gas_factor for bake in bakes if bake.gas_factor is not None], GAS_SPREAD)
    oven = calibrated([bake.oven_factor for bake in bakes if bake.oven_factor is not None], SPREAD)
    return Calibration(
        GAS_ML_PER_H_PER_G * gas.factor,
        gas.spread,
        oven.factor,
        min(oven.spread, 0.9),
        gas.bakes,
        oven.bakes,
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
