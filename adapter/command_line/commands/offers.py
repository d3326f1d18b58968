"""What could stand in for the lines of a formula, as a baker would reach for it."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from adapter.command_line.command import Command
from adapter.command_line.formula_lines import lines_named
from adapter.command_line.loading import kitchen_and_pantry, read_file, swapper_for
from adapter.command_line.options import with_file, with_json, with_pantry
from adapter.command_line.printing import printed
from adapter.formula.model import Formula


def options(parser: argparse.ArgumentParser) -> None:
    with_file(parser)
    parser.add_argument("--line", metavar="NAME", help="only for this ingredient")
    with_pantry(parser)
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    from adapter.words.reports import offers_report
    from adapter.words.text_report import offers_text

    kitchen, pantry = kitchen_and_pantry(options)
    formula = read_file(options.file, kitchen)
    swapper = swapper_for(kitchen, formula)
    if options.line is None:
        places = list(range(len(formula.lines)))
    else:
        places = lines_named(formula, [options.line], kitchen)
    found = [offer for place in _one_of_each(formula, places) for offer in swapper.offers(place, pantry=pantry)]
    return printed(options, offers_report(found, pantry), offers_text)


def _one_of_each(formula: Formula, places: Sequence[int]) -> list[int]:
    """Lines of the same thing in the same stage have the same offers, in proportion: the heaviest of them speaks."""
    heaviest: dict[tuple[object, ...], int] = {}
    for place in places:
        line = formula.lines[place]
        key = (line.ingredient, line.stage, line.hydration, line.reaches)
        if key not in heaviest or line.grams > formula.lines[heaviest[key]].grams:
            heaviest[key] = place
    return sorted(heaviest.values())


COMMAND = Command("what could stand in for its lines", options, run)
