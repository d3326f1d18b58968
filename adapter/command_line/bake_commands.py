"""`bake` and `log`: the plan from dough to slice, and what was measured."""

from __future__ import annotations

import argparse
from pathlib import Path

from adapter.command_line.commands import kitchen_and_pantry, measured_file, read_file, shown


def bake(options: argparse.Namespace) -> str:
    from datetime import datetime

    from adapter.dough.bake.mixing import Temperatures
    from adapter.dough.bake.plan import BakeInputs, bake_plan
    from adapter.dough.readings.measured import measure
    from adapter.files.log_file import calibrated_kitchen, log_folders, read_log
    from adapter.words.bake_report import bake_report, bake_text
    from adapter.words.clock_times import ready_time, start_time

    kitchen, _ = kitchen_and_pantry(options)
    formula = read_file(options.file, kitchen)
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
        None if options.start is None else start_time(options.start, now),
        None if options.ready is None else ready_time(options.ready, now),
    )
    plan = bake_plan(measure(kitchen, formula), inputs, now)
    data = bake_report(plan, read_log(log_of(options.file)))
    data["notes"] += [f"A log was left out: {note}" for note in unread]
    return shown(options, data, bake_text)


def log_of(path: Path) -> Path:
    """The log of a formula: beside its file; for a sample by its name, among the baker's own formulas."""
    from adapter.files.log_file import log_path
    from adapter.files.places import own_formulas_path, sample_named
    from adapter.files.toml.source import exists

    sample = None if exists(path) else sample_named(str(path))
    return log_path(path if sample is None else own_formulas_path() / sample.name)


def log(options: argparse.Namespace) -> str:
    from datetime import datetime

    from adapter.files.atomic import file_name
    from adapter.files.log_file import Bake, add_bake, with_factors
    from adapter.files.places import with_folder
    from adapter.words.bake_report import bake_data, logged_text

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
        options.crumb,
        options.notes,
        options.mark,
    )
    bake = with_factors(bake, measured)
    path = log_of(options.file)
    bakes = add_bake(with_folder(path), bake)
    return "\n".join([f"{file_name(path)}:", *(logged_text(bake_data(item)) for item in bakes)])
