"""What a command is, and which there are: every module in `commands/` is one, by its name.

Modules are loaded only when their command is called, or when the help lists all of them.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pkgutil import iter_modules

PACKAGE = "adapter.command_line.commands"


@dataclass(frozen=True, slots=True)
class Command:
    """`options` adds what the command takes to its parser; `run` gives the text that it prints."""

    summary: str
    options: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], str]


@cache
def command_names() -> tuple[str, ...]:
    """The names of all commands, by the alphabet: those of their modules, with hyphens."""
    found = iter_modules(import_module(PACKAGE).__path__)
    return tuple(sorted(module.name.replace("_", "-") for module in found))


def command_named(name: str) -> Command:
    command = import_module(f"{PACKAGE}.{name.replace('-', '_')}").COMMAND
    assert isinstance(command, Command)
    return command
