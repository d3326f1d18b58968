"""What a formula reads: lines, readings, allergens, what lies outside its band."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command
from adapter.command_line.loading import kitchen_for, measured_file
from adapter.command_line.options import with_file, with_json, with_pantry
from adapter.command_line.printing import printed


def options(parser: argparse.ArgumentParser) -> None:
    with_file(parser)
    with_pantry(parser)
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    from adapter.words.reports import balance_report
    from adapter.words.text_report import balance_text

    kitchen = kitchen_for(options)
    return printed(options, balance_report(measured_file(options.file, kitchen)), balance_text)


COMMAND = Command("readings of a formula", options, run)
