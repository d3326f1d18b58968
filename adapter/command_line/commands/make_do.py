"""Make do: the short word for adapt --pantry."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command
from adapter.command_line.commands.adapt import answer_for, wishes
from adapter.command_line.loading import kitchen_and_pantry
from adapter.command_line.options import with_file, with_pantry
from adapter.formula.problems import InputProblem


def options(parser: argparse.ArgumentParser) -> None:
    with_file(parser)
    with_pantry(parser)
    wishes(parser)


def run(options: argparse.Namespace) -> str:
    kitchen, pantry = kitchen_and_pantry(options)
    if pantry is None:
        raise InputProblem(
            "there is no pantry to make do with", where="make-do", right="--pantry FILE, or keep your own"
        )
    return answer_for(options, options.file, kitchen, pantry, flat=True)


COMMAND = Command("bake it from what the pantry holds: the short word for adapt --pantry", options, run)
