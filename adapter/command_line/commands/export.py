"""A formula in another form, chosen by the suffix of the file that is named."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.command_line.command import Command
from adapter.command_line.formula_lines import lines_named
from adapter.command_line.loading import STANDARD_STREAM, kitchen_for, measured_file, swapper_for
from adapter.command_line.options import with_file, with_force, with_pantry
from adapter.command_line.saving import not_over_unasked

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.dough.readings.measured import Measured
    from adapter.swaps.swapper import Swapper
    from adapter.words.timetable import TimetableRow


def options(parser: argparse.ArgumentParser) -> None:
    with_file(parser)
    from adapter.exports.forms import formula_forms

    forms = "; ".join(f"{form.suffix}: {form.title}" for form in formula_forms())
    parser.add_argument("out", type=Path, metavar="OUT", help=f"{forms}; - for standard output, with --as")
    parser.add_argument("--as", dest="suffix", metavar="SUFFIX", help="the form, where OUT is -: such as .md")
    parser.add_argument(
        "--options",
        nargs="*",
        metavar="INGREDIENT",
        help="on a card: what to take for what a reader lacks; named, only for these",
    )
    parser.add_argument("--cups", action="store_true", help="on a card: cups and spoons beside the grams")
    when = parser.add_mutually_exclusive_group()
    when.add_argument("--start", metavar="HH:MM", help="clock times on a card or calendar: when the work begins")
    when.add_argument("--ready", metavar="TIME", help='or when the loaf is to be sliced, such as "Sat 08:00"')
    with_force(parser)
    with_pantry(parser)


def run(options: argparse.Namespace) -> str:
    from adapter.exports.form import ForReaders
    from adapter.exports.forms import export_file, export_text, form_of
    from adapter.formula.problems import InputProblem, file_name

    to_output = str(options.out) == STANDARD_STREAM
    if not to_output:
        not_over_unasked(options.out, options)
    kitchen = kitchen_for(options)
    measured = measured_file(options.file, kitchen)
    told = ForReaders()
    suffix = _dotted(options.suffix) if to_output else options.out.suffix
    try:
        form = form_of(suffix)
    except InputProblem as problem:
        raise problem.in_file(file_name(options.out)) from None
    if form.for_readers:
        from adapter.words.reader_options import reasons_of

        swapper = swapper_for(kitchen, measured.formula)
        told = ForReaders(_sentences(options, kitchen, swapper), reasons_of(swapper.rules), options.cups)
    if form.for_readers or form.for_calendars:
        told = replace(told, timetable=_day(options, measured))
    if to_output:
        return export_text(measured, suffix, told).rstrip("\n")
    export_file(measured, options.out, told)
    return f"{file_name(options.out)} written"


def _dotted(suffix: str | None) -> str:
    """A form as it is named, "csv" or ".csv"."""
    return f".{suffix.removeprefix('.')}" if suffix else ""


def _day(options: argparse.Namespace, measured: Measured) -> Sequence[TimetableRow]:
    """The timetable of the day whose beginning or end is told; none without either."""
    from datetime import datetime

    from adapter.dough.bake.inputs import BakeInputs
    from adapter.dough.bake.plan import bake_plan
    from adapter.words.clock_times import ready_time, start_time
    from adapter.words.timetable import timetable

    if options.start is None and options.ready is None:
        return ()
    now = datetime.now()
    start = None if options.start is None else start_time(options.start, now)
    ready = None if options.ready is None else ready_time(options.ready, now)
    return timetable(bake_plan(measured, BakeInputs(start=start, ready=ready), now))


def _sentences(options: argparse.Namespace, kitchen: Kitchen, swapper: Swapper) -> list[str]:
    """What to take for what a reader lacks: of every line, of the named ones, or of none."""
    from adapter.words.reader_options import reader_options

    if options.options is None:
        return []
    wanted = {
        swapper.formula.lines[place].ingredient for place in lines_named(swapper.formula, options.options, kitchen)
    }
    offered = reader_options(swapper)
    return [option.sentence for option in offered if not wanted or option.ingredient in wanted]


COMMAND = Command("write a formula in another form", options, run)
