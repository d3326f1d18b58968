"""`bake` and `log`: the plan from dough to slice, and what was measured."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.command_line.commands import kitchen_and_pantry, measured_file, shown
from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from datetime import datetime

MEASURED_RANGES = {
    "dough_c": (0.0, 60.0, "°C"),
    "proof_c": (0.0, 60.0, "°C"),
    "rise_percent": (1.0, 400.0, "%"),
    "rise_h": (0.25, 48.0, "h"),
    "oven_c": (105.0, 500.0, "°C"),
    "core_c": (20.0, 99.5, "°C"),
    "bake_min": (1.0, 2880.0, "min"),
    "mark": (1.0, 5.0, ""),
}
"""Lowest and highest that can have been measured, with the unit."""


def bake(options: argparse.Namespace) -> str:
    from datetime import datetime

    from adapter.dough.bake_plan import BakeInputs, bake_plan
    from adapter.dough.cautions import load_cautions
    from adapter.dough.mixing import Temperatures
    from adapter.dough.work_steps import load_work_steps
    from adapter.files.bake_log import calibrated_kitchen, log_folders, read_log
    from adapter.files.bake_report import bake_report, bake_text
    from adapter.files.places import own_table_folders

    folders = own_table_folders()
    kitchen, _ = kitchen_and_pantry(options)
    kitchen, unread = calibrated_kitchen(kitchen, log_folders(options.file))
    now = datetime.now()
    temperatures = Temperatures(options.room_c, options.fridge_c, tap_c=options.tap_c, by_machine=options.machine)
    inputs = BakeInputs(
        temperatures,
        options.dough_c,
        options.proof_c,
        options.rise_percent,
        options.oven_c,
        options.core_c,
        _start(options.start, now),
        _ready(options.ready),
    )
    measured = measured_file(options.file, kitchen)
    plan = bake_plan(measured, inputs, now, load_work_steps(folders), load_cautions(folders))
    data = bake_report(plan, read_log(log_of(options.file)))
    data["notes"] += [f"A log was left out: {note}" for note in unread]
    return shown(options, data, bake_text)


def log_of(path: Path) -> Path:
    """The log of a formula: beside its file; for a sample by its name, among the baker's own formulas."""
    from adapter.files.bake_log import log_path
    from adapter.files.places import own_formulas_path, sample_named
    from adapter.files.toml_source import exists

    sample = None if exists(path) else sample_named(str(path))
    return log_path(path if sample is None else own_formulas_path() / sample.name)


def _start(text: str | None, now: datetime) -> datetime | None:
    """The next time that the clock shows HH:MM."""
    from datetime import datetime, timedelta

    if text is None:
        return None
    try:
        clock = datetime.strptime(text.strip(), "%H:%M").time()
    except ValueError:
        raise InputProblem(f"--start {text!r} is no clock time", right="such as 09:00") from None
    start = datetime.combine(now.date(), clock)
    return start if start >= now.replace(second=0, microsecond=0) else start + timedelta(days=1)


def _ready(text: str | None) -> datetime | None:
    from datetime import datetime

    if text is None:
        return None
    try:
        return datetime.strptime(text.strip(), "%Y-%m-%d %H:%M")
    except ValueError:
        raise InputProblem(f"--ready {text!r} is no date and time", right="such as 2027-01-30 08:00") from None


def log(options: argparse.Namespace) -> str:
    from datetime import datetime

    from adapter.files.atomic import file_name
    from adapter.files.bake_log import Bake, add_bake, with_factors
    from adapter.files.bake_report import bake_data, logged_text
    from adapter.files.places import with_folder
    from adapter.formula.plain_text import clean

    _check_measured(options)
    kitchen, _ = kitchen_and_pantry(options)
    measured = measured_file(options.file, kitchen)
    bake = Bake(
        datetime.now().replace(microsecond=0),
        measured.formula.name,
        options.dough_c,
        options.proof_c,
        options.rise_percent,
        options.rise_h,
        options.oven_c,
        options.core_c,
        options.bake_min,
        clean(options.crumb),
        clean(options.notes),
        options.mark,
    )
    bake = with_factors(bake, measured)
    path = log_of(options.file)
    bakes = add_bake(with_folder(path), bake)
    return "\n".join([f"{file_name(path)}:", *(logged_text(bake_data(item)) for item in bakes)])


def _check_measured(options: argparse.Namespace) -> None:
    """Raise InputProblem for what cannot have been measured, and where nothing was."""
    given = {key: getattr(options, key) for key in MEASURED_RANGES if getattr(options, key) is not None}
    if not given and not options.crumb.strip() and not options.notes.strip():
        raise InputProblem("nothing was measured", where="log", right="such as --rise-h 1.8 --rise-percent 30")
    for key, value in given.items():
        low, high, unit = MEASURED_RANGES[key]
        if not low <= value <= high:
            option = "--" + key.replace("_", "-")
            raise InputProblem(f"{option} {value:g} cannot be", right=f"{low:g} to {high:g} {unit}".rstrip())
