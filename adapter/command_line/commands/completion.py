"""What makes a shell complete commands, options, samples and readings."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command

SHELLS = ("bash", "zsh", "fish")
ZSH_BEGINS = "(( ${+functions[compdef]} )) || { autoload -Uz compinit && compinit -i }"
"""A zsh without a start file of its own has not begun its completion yet."""


def options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shell", choices=SHELLS, help="the shell that is to complete")


def run(options: argparse.Namespace) -> str:
    from argcomplete.shell_integration import shellcode

    code = shellcode(["otherloaf"], shell=options.shell)
    return code.replace("\n", f"\n{ZSH_BEGINS}\n", 1) if options.shell == "zsh" else code


COMMAND = Command("what a shell needs to complete this program's words", options, run)
