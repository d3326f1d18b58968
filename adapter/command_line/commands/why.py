"""How a reading was worked out."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command
from adapter.command_line.formula_lines import reading_key
from adapter.command_line.loading import kitchen_for, measured_file
from adapter.command_line.options import with_file, with_json, with_pantry
from adapter.command_line.printing import fitted_to_terminal, json_text


def options(parser: argparse.ArgumentParser) -> None:
    with_file(parser)
    parser.add_argument("reading", metavar="READING", help="such as ph, effective_hydration, rise_time")
    with_pantry(parser)
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    from adapter.dough.why.explain_reading import explain, lines_of
    from adapter.words.why_report import why_report

    kitchen = kitchen_for(options)
    explanation = explain(measured_file(options.file, kitchen), reading_key(options.reading))
    if options.json:
        return json_text(why_report(explanation))
    return fitted_to_terminal("\n".join(lines_of(explanation)))


COMMAND = Command("how a reading was worked out", options, run)
