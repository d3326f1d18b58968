"""The best set of swaps for what the pantry holds."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command
from adapter.command_line.formula_lines import hold_named
from adapter.command_line.loading import kitchen_and_pantry, read_file_and_stamp, swapper_for
from adapter.command_line.options import with_file, with_holds, with_json, with_pantry, with_save
from adapter.command_line.printing import printed
from adapter.command_line.saving import save_variant
from adapter.formula.problems import InputProblem


def options(parser: argparse.ArgumentParser) -> None:
    with_file(parser)
    with_holds(parser)
    with_save(parser)
    with_pantry(parser)
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    from adapter.formula.problems import file_name
    from adapter.swaps.pantry_plan import make_do as plan_for
    from adapter.swaps.variant import follow
    from adapter.words.make_do_report import make_do_report, make_do_text

    kitchen, pantry = kitchen_and_pantry(options)
    if pantry is None:
        raise InputProblem(
            "there is no pantry to make do with", where="make-do", right="--pantry FILE, or keep your own"
        )
    formula, stamp = read_file_and_stamp(options.file, kitchen)
    holds = list(dict.fromkeys(hold_named(name, formula, kitchen) for name in options.hold))
    plan = plan_for(swapper_for(kitchen, formula), pantry, holds)
    data = make_do_report(plan)
    if options.save is not None:
        text = save_variant(follow(formula, plan.after.formula, plan.step), options, stamp, kitchen)
        if text is not None:
            return text
        data["saved"] = file_name(options.save)
    return printed(options, data, make_do_text)


COMMAND = Command("bake it from what the pantry holds: the best set of swaps", options, run)
