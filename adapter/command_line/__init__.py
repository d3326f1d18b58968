"""The command line: the same numbers as the screens, as text for people and as JSON for scripts.

Exit 0 on success; 2 on bad input, with one line on standard error and nothing written; 1 for a fault of our own.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

from adapter.command_line.command import command_named, command_names
from adapter.command_line.printing import leave_output, put, put_problem
from adapter.formula.problems import InputProblem, os_problem

OWN_FAULT = 1
BAD_INPUT = 2
STOPPED = 130
TRACEBACK_VARIABLE = "OTHERLOAF_TRACEBACK"


class OneLineParser(argparse.ArgumentParser):
    """An argument parser whose complaints are a single line."""

    def error(self, message: str) -> NoReturn:
        command = self.prog.removeprefix("otherloaf").strip()
        raise InputProblem(message, where=command or None, right=f"see {self.prog} --help")

    def _get_values(self, action: argparse.Action, arg_strings: list[str]) -> Any:
        """A value "--", as in --pantry=--, is one as any other: some versions of argparse take it away."""
        if action.option_strings and action.nargs is None and arg_strings == ["--"]:
            value = self._get_value(action, "--")
            self._check_value(action, value)
            return value
        return super()._get_values(action, arg_strings)

    def _print_message(self, message: str, file: object = None) -> None:
        """Help goes the way of all our output, so that it fits the terminal's encoding."""
        put(message.rstrip("\n"))


class ShowVersion(argparse.Action):
    """Prints the version; the package's data are looked up only then."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        from importlib.metadata import PackageNotFoundError, version

        try:
            put(f"otherloaf {version('otherloaf')}")
        except PackageNotFoundError:
            put("otherloaf, not installed: run from a folder of its source")
        parser.exit()


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command, or open the screen when none is named. Returns the exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        if words and words[0] in command_names():
            put(command_named(words[0]).run(command_parser(words[0]).parse_args(words[1:])))
            return 0
        return _open_screen(words)
    except InputProblem as problem:
        put_problem(problem)
        return BAD_INPUT
    except BrokenPipeError:
        # The reader of our output has gone, as `head` does when it has enough.
        leave_output()
        return 0
    except KeyboardInterrupt:
        return STOPPED
    except OSError as error:
        # Whatever could not be read or written and was met nowhere before: the system's fault, or the path's.
        put_problem(os_problem(error, str(error.filename or "a file"), "used"))
        return BAD_INPUT
    except Exception as fault:
        if os.environ.get(TRACEBACK_VARIABLE):
            raise
        put_problem(_own_fault(fault))
        return OWN_FAULT


def _own_fault(fault: Exception) -> InputProblem:
    return InputProblem(
        f"this is a fault of the program and not of your input: {type(fault).__name__} {fault}",
        right=f"set {TRACEBACK_VARIABLE}=1 to see where",
    )


def _open_screen(words: Sequence[str]) -> int:
    parser = OneLineParser(
        prog="otherloaf",
        description="Turn a written bread formula into another loaf that still works.",
        epilog="commands (each has --help); without one the screen opens:\n"
        + "\n".join(f"  {name:<12} {command_named(name).summary}" for name in command_names()),
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action=ShowVersion, nargs=0, help="show the version and leave")
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE", help="formula files to open")
    chosen = parser.parse_args(words)
    for path in chosen.files:
        _check_file(path)
    if not all(stream is not None and stream.isatty() for stream in (sys.__stdin__, sys.__stderr__)):
        raise InputProblem("the screen needs a terminal", right="a command such as balance works without")
    from adapter.screens.app import run_app

    return run_app(chosen.files)


def _check_file(path: Path) -> None:
    from adapter.files.toml.source import exists
    from adapter.formula.problems import file_name

    if not exists(path):
        from difflib import get_close_matches

        near = get_close_matches(str(path)[:40], command_names(), n=1)
        right = f"a formula file, or a command such as {near[0] if near else 'balance'}"
        raise InputProblem("there is no such file or command", file=file_name(path), right=right)
    if not path.is_file():
        raise InputProblem("is no file", file=file_name(path), right="the name of a formula file")


def command_parser(name: str) -> OneLineParser:
    """The parser of what stands after a command's name."""
    command = command_named(name)
    parser = OneLineParser(prog=f"otherloaf {name}", description=command.summary)
    command.options(parser)
    return parser
