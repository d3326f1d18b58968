"""Ingredients found by words of a name, an alias or a kind."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command
from adapter.command_line.loading import kitchen_for
from adapter.command_line.options import with_json
from adapter.command_line.printing import printed


def options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", nargs="*", metavar="WORDS", help="words of a name, an alias or a kind")
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    from adapter.words.reports import ingredients_report
    from adapter.words.text_report import ingredients_text

    kitchen = kitchen_for(options)
    words = " ".join(options.words)
    found = kitchen.catalogue.search(words)
    if not found:
        raise kitchen.catalogue.not_found(words)
    return printed(options, ingredients_report(found), ingredients_text)


COMMAND = Command("find ingredients", options, run)
