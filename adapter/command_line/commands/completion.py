"""What makes a shell complete commands, options, samples and readings."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command

SHELLS = ("bash", "zsh", "fish")


def options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shell", choices=SHELLS, help="the shell that is to complete")


def run(options: argparse.Namespace) -> str:
    from argcomplete.shell_integration import shellcode

    return shellcode(["otherloaf"], shell=options.shell)


COMMAND = Command("what a shell needs to complete this program's words", options, run)
