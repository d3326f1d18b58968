"""`bake` and `log`: the plan from dough to slice, and what was measured."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from adapter.command_line.commands import kitchen_and_pantry, measured_file, read_file, shown
from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from datetime import datetime


def bake(options: argparse.Namespace) -> str:
    from datetime import datetime

    from adapter.dough.bake_plan import BakeInputs, bake_plan
    from adapter.dough.mixing import Temperatures
    from adapter.dough.readings import measure
    from adapter.files.bake_log import calibrated_kitchen, log_folders, log_path, read_log
    from adapter.files.bake_report import bake_report, bake_text

    kitchen, _ = kitchen_and_pantry(options)
    kitchen, _ = calibrated_kitchen(kitchen, log_folders(options.file))
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
    plan = bake_plan(measure(kitchen, read_file(options.file, kitchen)), inputs, now)
    return shown(options, bake_report(plan, read_log(log_path(options.file))), bake_text)


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

    from adapter.files.bake_log import Bake, add_bake, log_path, with_factors
    from adapter.files.bake_report import bake_data, logged_text

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
    path = log_path(options.file)
    bakes = add_bake(path, with_factors(bake, measured))
    return "\n".join([f"{path}:", *(logged_text(bake_data(item)) for item in bakes)])
