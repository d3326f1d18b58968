"""Every table, formula, pantry and log read, and what is wrong with them."""

from __future__ import annotations

import argparse
from pathlib import Path

from adapter.command_line.command import Command


def options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE", help="formula files to check as well")


def run(options: argparse.Namespace) -> str:
    from adapter.work.checking import check_files, check_tables

    lines, kitchen = check_tables()
    return "\n".join([*lines, *check_files(options.files, kitchen)])


COMMAND = Command("check every table, and files", options, run)
