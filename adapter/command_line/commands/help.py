"""Help on the program, or on one of its commands."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command, command_names


def options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("command", nargs="?", choices=command_names(), metavar="COMMAND", help="the command to tell of")


def run(options: argparse.Namespace) -> str:
    from adapter.command_line.parsers import command_parser, screen_parser

    parser = screen_parser() if options.command is None else command_parser(options.command)
    return parser.format_help().rstrip("\n")


COMMAND = Command("help on the program, or on a command", options, run)
