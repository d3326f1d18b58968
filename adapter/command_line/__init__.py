"""The command line: the same numbers as the screens, as text for people and as JSON for scripts.

Exit 0 on success; 2 on bad input, with one line on standard error and nothing written.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from adapter.command_line import bake_commands, commands, options
from adapter.formula.problems import InputProblem

BAD_INPUT = 2

Command = tuple[Callable[[argparse.Namespace], str], Callable[[argparse.ArgumentParser], None], str]
COMMANDS: dict[str, Command] = {
    "balance": (commands.balance, options.balance_options, "readings of a formula"),
    "offers": (commands.offers, options.offers_options, "what could stand in for its lines"),
    "swap": (commands.swap, options.swap_options, "swap ingredients and see what changes"),
    "compare": (commands.compare, options.compare_options, "variants side by side"),
    "export": (commands.export, options.export_options, "write a formula in another form"),
    "ingredients": (commands.ingredients, options.ingredients_options, "find ingredients"),
    "bake": (bake_commands.bake, options.bake_options, "from dough to slice: temperature, tin, proof, oven, clock"),
    "log": (bake_commands.log, options.log_options, "note down a bake, beside its formula"),
    "why": (commands.why, options.why_options, "how a reading was worked out"),
    "check": (commands.check, options.check_options, "check every table, and formula files"),
}


class OneLineParser(argparse.ArgumentParser):
    """An argument parser whose complaints are a single line."""

    def error(self, message: str) -> NoReturn:
        raise InputProblem(message, where=self.prog, right=f"see {self.prog} --help")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command, or open the screen when none is named. Returns the exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        if words and words[0] in COMMANDS:
            chosen = _parser().parse_args(words)
            text = COMMANDS[words[0]][0](chosen)
            print(text)
            sys.stdout.flush()
            return 0
        return _open_screen(words)
    except InputProblem as problem:
        print(f"otherloaf: {_one_line(str(problem))}", file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        # The reader of our output has gone (as `head` does); what is left must not raise again at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _one_line(text: str) -> str:
    from adapter.formula.plain_text import clean

    return clean(text, 2000)


def _open_screen(words: Sequence[str]) -> int:
    parser = OneLineParser(
        prog="otherloaf",
        description="Turn a written bread formula into another loaf that still works.",
        epilog="Commands: " + ", ".join(COMMANDS) + ". Each has --help. Without one the screen opens.",
    )
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE", help="formula files to open")
    chosen = parser.parse_args(words)
    for path in chosen.files:
        if not path.is_file():
            raise InputProblem("is no file", file=str(path), right="a formula file, or a command such as balance")
    from adapter.screens.app import run_app

    run_app(chosen.files)
    return 0


def _parser() -> OneLineParser:
    parser = OneLineParser(prog="otherloaf")
    commands = parser.add_subparsers(dest="command", required=True)
    for name, (_, describe, help_text) in COMMANDS.items():
        describe(commands.add_parser(name, help=help_text, description=help_text))
    return parser
