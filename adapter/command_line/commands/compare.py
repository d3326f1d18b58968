"""Variants side by side; the first is what the others are compared with."""

from __future__ import annotations

import argparse
from pathlib import Path

from adapter.command_line.command import Command
from adapter.command_line.loading import kitchen_for, measured_file
from adapter.command_line.options import with_json, with_pantry
from adapter.command_line.printing import printed, terminal_width
from adapter.formula.problems import InputProblem


def options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", type=Path, metavar="FILE", help="two or more formula files")
    with_pantry(parser)
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    from adapter.formula.problems import file_name
    from adapter.words.reports import compare_report
    from adapter.words.text_report import compare_text

    if len(options.files) < 2:
        raise InputProblem("one file has nothing to be compared with", where="compare", right="two or more files")
    kitchen = kitchen_for(options)
    # Each by its own book formula, so that it reads here as it does in balance.
    variants = [measured_file(path, kitchen) for path in options.files]
    data = compare_report(variants)
    for variant, path in zip(data["variants"], options.files, strict=True):
        variant["file"] = file_name(path)
    return printed(options, data, lambda report: compare_text(report, terminal_width()))


COMMAND = Command("variants side by side", options, run)
