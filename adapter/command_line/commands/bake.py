"""The plan from dough to slice: temperature, tin, proof, oven, clock."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command
from adapter.command_line.loading import kitchen_and_pantry, log_of, read_file
from adapter.command_line.options import number, with_file, with_json, with_pantry
from adapter.command_line.printing import printed


def options(parser: argparse.ArgumentParser) -> None:
    with_file(parser)
    when = parser.add_mutually_exclusive_group()
    when.add_argument("--start", metavar="HH:MM", help='when the work begins; also "Sat 09:00"')
    when.add_argument("--ready", metavar='"YYYY-MM-DD HH:MM"', help='when the loaf is to be sliced; also "Sat 08:00"')
    for option, default, what in (
        ("--room-c", 20.0, "room"),
        ("--fridge-c", 6.0, "fridge or cellar"),
        ("--tap-c", 12.0, "tap water"),
        ("--dough-c", None, "wanted dough"),
        ("--proof-c", None, "proving place"),
        ("--oven-c", None, "oven"),
        ("--core-c", None, "core of the loaf when it is done"),
    ):
        parser.add_argument(option, type=number, default=default, metavar="C", help=f"temperature of the {what}, °C")
    parser.add_argument("--rise-percent", type=number, metavar="N", help="how far it is to rise")
    parser.add_argument("--machine", action="store_true", help="mixed by a machine, not by hand")
    with_pantry(parser)
    with_json(parser)


def run(options: argparse.Namespace) -> str:
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
    return printed(options, data, bake_text)


COMMAND = Command("from dough to slice: temperature, tin, proof, oven, clock", options, run)
