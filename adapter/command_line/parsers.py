"""The parsers of the words after `otherloaf`: of the screen, of each command, and of all of them for completion."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any, NoReturn

from adapter.command_line.command import command_named, command_names
from adapter.command_line.printing import put
from adapter.formula.problems import InputProblem


class OneLineParser(argparse.ArgumentParser):
    """An argument parser whose complaints are a single line."""

    def error(self, message: str) -> NoReturn:
        command = self.prog.removeprefix("otherloaf").strip()
        raise InputProblem(message, where=command or None, right=f"see {self.prog} --help")

    def _get_values(self, action: argparse.Action, arg_strings: list[str]) -> Any:
        """A value "--", as in --pantry=--, is one as any other: some versions of argparse take it away."""
        if action.option_strings and action.nargs in (None, "+") and arg_strings == ["--"]:
            value = self._get_value(action, "--")
            self._check_value(action, value)
            return value if action.nargs is None else [value]
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


def screen_parser() -> OneLineParser:
    """What stands after `otherloaf` when no command is named: files to open."""
    parser = OneLineParser(
        prog="otherloaf",
        description="Turn a written bread formula into another loaf that still works.",
        epilog="commands (each has --help); without one the screen opens:\n"
        + "\n".join(f"  {name:<12} {command_named(name).summary}" for name in command_names()),
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action=ShowVersion, nargs=0, help="show the version and leave")
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE", help="formula files or samples to open")
    return parser


def command_parser(name: str) -> OneLineParser:
    """The parser of what stands after a command's name."""
    parser = OneLineParser(prog=f"otherloaf {name}", description=command_named(name).summary)
    command_named(name).options(parser)
    return parser


def complete() -> None:
    """Answer a shell that asks how a word may go on, and leave."""
    import argcomplete
    from argcomplete.completers import FilesCompleter

    from adapter.command_line.completing import give_completers

    parser = argparse.ArgumentParser(prog="otherloaf")
    commands = parser.add_subparsers()
    for name in command_names():
        command = command_named(name)
        taken = commands.add_parser(name, help=command.summary)
        command.options(taken)
        give_completers(taken)
    argcomplete.autocomplete(parser, default_completer=FilesCompleter(["toml"]))
