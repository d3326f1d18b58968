"""One swap that a person names, and what changes."""

from __future__ import annotations

import argparse
from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from adapter.command_line.command import Command
from adapter.command_line.formula_lines import hold_named, lines_named
from adapter.command_line.loading import kitchen_and_pantry, read_file_and_stamp, swapper_for
from adapter.command_line.options import percent, with_file, with_holds, with_json, with_pantry, with_save
from adapter.command_line.printing import printed
from adapter.command_line.saving import save_variant
from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen


def options(parser: argparse.ArgumentParser) -> None:
    with_file(parser)
    parser.add_argument(
        "--out", nargs="+", action="extend", required=True, metavar="NAME[@STAGE]", help="what goes out"
    )
    parser.add_argument("--into", nargs="+", action="extend", required=True, metavar="NAME", help="what comes in")
    parser.add_argument(
        "--share", type=percent, metavar="PERCENT", help="how much of what goes out (default: the rule's)"
    )
    with_holds(parser)
    parser.add_argument(
        "--grams", nargs="+", action="extend", default=[], metavar="NAME=GRAMS", help="a typed amount of what comes in"
    )
    with_save(parser)
    with_pantry(parser)
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    from adapter.formula.problems import file_name
    from adapter.swaps.variant import follow
    from adapter.words.reports import swap_report
    from adapter.words.text_report import swap_text

    if options.name is not None and options.save is None:
        raise InputProblem("--name names what is saved", where="swap", right="--save OUT beside it")
    kitchen, pantry = kitchen_and_pantry(options)
    formula, stamp = read_file_and_stamp(options.file, kitchen)
    out = lines_named(formula, options.out, kitchen, one_stage_each=True)
    into = _incoming(options.into, {formula.lines[place].ingredient for place in out}, kitchen)
    holds = list(dict.fromkeys(hold_named(name, formula, kitchen) for name in options.hold))
    offer = swapper_for(kitchen, formula).free_swap(
        out, into, options.share, holds, _typed(options.grams, into, kitchen)
    )
    data = swap_report(offer, pantry)
    if options.save is not None:
        text = save_variant(follow(formula, offer.after.formula, offer.step()), options, stamp, kitchen)
        if text is not None:
            return text
        data["saved"] = file_name(options.save)
    return printed(options, data, swap_text)


def _incoming(names: Sequence[str], going: Collection[str], kitchen: Kitchen) -> list[str]:
    """The catalogue's names of what comes in, each once. Raises InputProblem for one that goes out as well."""
    into = list(dict.fromkeys(kitchen.catalogue.resolve(name).name for name in names))
    for name in into:
        if name in going:
            raise InputProblem(f"{name} cannot go out and come in at once", right="--share for a part of a line")
    return into


def _typed(words: Sequence[str], into: Sequence[str], kitchen: Kitchen) -> dict[str, float]:
    """Typed amounts "NAME=GRAMS" of incoming ingredients."""
    from adapter.formula.amounts import grams_of

    typed = {}
    for word in words:
        name, found, amount = word.rpartition("=")
        ingredient = kitchen.catalogue.resolve(name) if found else None
        if ingredient is None or ingredient.name not in into:
            raise InputProblem(f"--grams {word!r} names nothing that comes in", right="NAME=GRAMS")
        typed[ingredient.name] = grams_of(amount, ingredient.property("density_g_ml"), ingredient.property("each_g"))
    return typed


COMMAND = Command("swap ingredients and see what changes", options, run)
