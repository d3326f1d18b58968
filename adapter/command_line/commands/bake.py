"""The plan from dough to slice: temperature, tin, proof, oven, clock."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.command_line.command import Command
from adapter.command_line.loading import kitchen_for, log_of, read_file_and_stamp
from adapter.command_line.options import number, with_file, with_json, with_pantry, with_save
from adapter.command_line.printing import printed
from adapter.command_line.saving import not_over_unasked, save_variant

if TYPE_CHECKING:
    from datetime import datetime

    from adapter.dough.bake.plan import BakePlan
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.formula.model import Formula

TIMETABLES = (".ics", ".txt")


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
    parser.add_argument(
        "--stage",
        action="append",
        default=[],
        metavar='"NAME: HOURS h C"',
        help='hours and warmth of a stage for this day, such as "sourdough: 14 h 24" or "dough: 1 h 26, 12 h 5"',
    )
    parser.add_argument(
        "--ripe",
        action="append",
        default=[],
        metavar='"NAME by TIME at C with %%"',
        help="a stage that is to be ripe by a time, with two of time, warmth and starter in %% of the stage given; "
        "all three say when to set it",
    )
    parser.add_argument("--there", type=number, metavar="G", help="grams of ripe culture there is to build up from")
    parser.add_argument("--cold-night", action="store_true", help="prove the dough over a night in the fridge")
    parser.add_argument("--machine", action="store_true", help="mixed by a machine, not by hand")
    parser.add_argument("--timetable", type=Path, metavar="OUT", help="write the times: .ics for a calendar, or .txt")
    with_save(parser)
    with_pantry(parser)
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    from datetime import datetime

    from adapter.dough.bake.inputs import BakeInputs
    from adapter.dough.bake.mixing import Temperatures
    from adapter.dough.bake.note import Note
    from adapter.dough.bake.plan import bake_plan, day_in_formula
    from adapter.dough.readings.measured import measure
    from adapter.files.log_file import calibrated_kitchen, log_folders, read_log
    from adapter.words.bake_report import bake_report, bake_text
    from adapter.words.clock_times import ready_time, start_time
    from adapter.words.stage_typing import stage_typed

    if options.timetable is not None:
        _may_write(options)
    kitchen = kitchen_for(options)
    formula, stamp = read_file_and_stamp(options.file, kitchen)
    kitchen, unread = calibrated_kitchen(kitchen, log_folders(options.file))
    now = datetime.now()
    temperatures = Temperatures(options.room_c, options.fridge_c, tap_c=options.tap_c, by_machine=options.machine)
    formula, said, set_at = _made_ripe(kitchen, formula, options.ripe, now)
    inputs = BakeInputs(
        temperatures,
        options.dough_c,
        options.proof_c,
        options.rise_percent,
        options.oven_c,
        options.core_c,
        start_time(options.start, now) if options.start is not None else set_at if options.ready is None else None,
        None if options.ready is None else ready_time(options.ready, now),
        tuple(stage_typed(text, formula) for text in options.stage),
        options.cold_night,
        options.there,
    )
    plan = bake_plan(measure(kitchen, formula), inputs, now)
    if options.save is not None:
        text = save_variant(day_in_formula(plan, inputs), options, stamp, kitchen)
        if text is not None:
            return text
    more = [*(Note("stage", text) for text in said), *(Note("log", f"A log was left out: {text}") for text in unread)]
    data = bake_report(plan, read_log(log_of(options.file)), more, formula.note)
    if options.timetable is not None:
        _write_timetable(options.timetable, formula.name, plan)
    return printed(options, data, lambda report: bake_text(report, (*plan.notes, *more)) + _written(options))


def _written(options: argparse.Namespace) -> str:
    """The files that were written besides, a line each."""
    paths = [path for path in (options.save, options.timetable) if path is not None]
    return "".join(f"\n{end}{path} written" for path, end in zip(paths, ("\n", ""), strict=False))


def _may_write(options: argparse.Namespace) -> None:
    """Raises InputProblem for a suffix that is no timetable's, or a file that is there and was not to be."""
    from adapter.formula.plain_text import shown
    from adapter.formula.problems import InputProblem

    if options.timetable.suffix.lower() not in TIMETABLES:
        raise InputProblem(
            f"'{shown(options.timetable.suffix)}' says nothing about a timetable",
            right="a name that ends in .ics or .txt",
        )
    not_over_unasked(options.timetable, options)


def _write_timetable(path: Path, name: str, plan: BakePlan) -> None:
    from datetime import UTC, datetime

    from adapter.exports.calendar_ics import calendar
    from adapter.files.atomic import write_whole
    from adapter.formula.problems import InputProblem
    from adapter.words.timetable import timetable, timetable_text

    rows = timetable(plan)
    if not rows:
        raise InputProblem("does not rise, so that it has no timetable", where=f"formula {name!r}")
    is_calendar = path.suffix.lower() == ".ics"
    text = calendar(name, rows, datetime.now(UTC)) if is_calendar else timetable_text(name, rows)
    write_whole(path, text.encode("utf-8"))


def _made_ripe(
    kitchen: Kitchen, formula: Formula, wishes: list[str], now: datetime
) -> tuple[Formula, list[str], datetime | None]:
    """The formula with its stages set so that each is ripe as asked, a line for each, and when the first is set."""
    from adapter.dough.bake.ripe_by import ripe_by
    from adapter.words.stage_report import ripe_by_text
    from adapter.words.stage_typing import ripe_typed

    said, times = [], []
    for text in wishes:
        wish = ripe_typed(text, formula, now)
        found = ripe_by(kitchen, formula, wish.stage, wish.hours, wish.temperature_c, wish.starter_percent)
        formula = found.formula
        set_at = wish.set_at(found.hours, now)
        times += [] if set_at is None else [set_at]
        said.append(ripe_by_text(found, wish.stage, set_at))
    return formula, said, min(times, default=None)


COMMAND = Command("from dough to slice: temperature, tin, proof, oven, clock", options, run)
