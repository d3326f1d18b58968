"""The command line: the same numbers as the screens, as text for people and as JSON for scripts.

Exit 0 on success; 2 on bad input, with one line on standard error and nothing written; 1 for a fault of our own.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from adapter.command_line.command import command_named, command_names
from adapter.command_line.parsers import command_parser, complete, screen_parser
from adapter.command_line.printing import leave_output, put, put_problem
from adapter.formula.problems import InputProblem, os_problem

OWN_FAULT = 1
BAD_INPUT = 2
STOPPED = 130
TRACEBACK_VARIABLE = "OTHERLOAF_TRACEBACK"
ASKED_BY_SHELL = "_ARGCOMPLETE"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command, or open the screen when none is named. Returns the exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    if ASKED_BY_SHELL in os.environ:
        complete()
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
    chosen = screen_parser().parse_args(words)
    for path in chosen.files:
        _check_file(path)
    if not all(stream is not None and stream.isatty() for stream in (sys.__stdin__, sys.__stderr__)):
        raise InputProblem("the screen needs a terminal", right="a command such as balance works without")
    from adapter.screens.app import run_app

    return run_app(chosen.files)


def _check_file(path: Path) -> None:
    """Whether the screen could open what is named: a formula file or a sample."""
    from adapter.files.places import near_formulas, sample_named
    from adapter.files.toml.source import exists
    from adapter.formula.problems import file_name

    if exists(path):
        if not path.is_file():
            raise InputProblem("is no file", file=file_name(path), right="the name of a formula file")
        return
    if sample_named(str(path)) is None:
        from difflib import get_close_matches

        near = [*get_close_matches(str(path)[:40], command_names(), n=1), *near_formulas(path)]
        right = f"nearest: {', '.join(near)}" if near else "a formula file, or a command such as balance"
        raise InputProblem("there is no such file, sample or command", file=file_name(path), right=right)
