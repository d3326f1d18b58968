"""What was measured after a bake, written down beside its formula."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command
from adapter.command_line.loading import kitchen_for, log_of, measured_file
from adapter.command_line.options import number, with_file, with_pantry


def options(parser: argparse.ArgumentParser) -> None:
    with_file(parser)
    for option, what in (
        ("--dough-c", "dough temperature, °C"),
        ("--proof-c", "temperature of the proving place, °C"),
        ("--rise-percent", "how far it rose, %%"),
        ("--rise-h", "in how many hours"),
        ("--oven-c", "oven, °C"),
        ("--core-c", "core when it came out, °C"),
        ("--bake-min", "minutes in the oven"),
        ("--stage-h", "hours that the stage stood when it was measured (default: as planned)"),
        ("--stage-c", "how warm it stood, °C (default: as planned)"),
        ("--stage-ph", "pH of the stage"),
        ("--stage-tta", "TTA of the stage, mL"),
        ("--peak-h", "hours until the stage stood highest"),
    ):
        parser.add_argument(option, type=number, metavar="N", help=what)
    parser.add_argument("--stage", default="", metavar="NAME", help="the living stage that was measured")
    parser.add_argument("--crumb", default="", help="what the crumb was like")
    parser.add_argument("--notes", default="", help="anything else")
    parser.add_argument("--mark", type=int, metavar="1-5", help="a mark out of five")
    with_pantry(parser)


def run(options: argparse.Namespace) -> str:
    from datetime import datetime

    from adapter.files.log_file import Bake, add_bake, with_factors
    from adapter.files.places import with_folder
    from adapter.formula.problems import file_name
    from adapter.words.bake_report import bake_data, logged_text
    from adapter.words.stage_typing import stage_named

    kitchen = kitchen_for(options)
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
        stage=stage_named(options.stage, measured.formula) if options.stage else "",
        stage_h=options.stage_h,
        stage_c=options.stage_c,
        stage_ph=options.stage_ph,
        stage_tta=options.stage_tta,
        peak_h=options.peak_h,
    )
    bake = with_factors(bake, measured)
    path = log_of(options.file)
    bakes = add_bake(with_folder(path), bake)
    return "\n".join([f"{file_name(path)}:", *(logged_text(bake_data(item)) for item in bakes)])


COMMAND = Command("note down a bake, beside its formula", options, run)
