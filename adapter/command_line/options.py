"""Options of the commands, and what their texts may be."""

from __future__ import annotations

import argparse
import math
from pathlib import Path


def _with_file(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE", help="a formula file, or the name of a sample")


def _with_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON for scripts")


def _with_pantry(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--pantry", type=Path, metavar="FILE", help="a pantry file (default: your own, if you keep one)"
    )


def balance_options(parser: argparse.ArgumentParser) -> None:
    _with_file(parser)
    _with_pantry(parser)
    _with_json(parser)


def offers_options(parser: argparse.ArgumentParser) -> None:
    _with_file(parser)
    parser.add_argument("--line", metavar="NAME", help="only for this ingredient")
    _with_pantry(parser)
    _with_json(parser)


def swap_options(parser: argparse.ArgumentParser) -> None:
    _with_file(parser)
    parser.add_argument("--out", nargs="+", action="extend", required=True, metavar="NAME", help="what goes out")
    parser.add_argument("--into", nargs="+", action="extend", required=True, metavar="NAME", help="what comes in")
    parser.add_argument(
        "--share", type=_percent, metavar="PERCENT", help="how much of what goes out (default: the rule's)"
    )
    _with_holds(parser)
    parser.add_argument(
        "--grams", nargs="+", action="extend", default=[], metavar="NAME=GRAMS", help="a typed amount of what comes in"
    )
    _with_save(parser)
    _with_pantry(parser)
    _with_json(parser)


def make_do_options(parser: argparse.ArgumentParser) -> None:
    _with_file(parser)
    _with_holds(parser)
    _with_save(parser)
    _with_pantry(parser)
    _with_json(parser)


def _with_holds(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--hold",
        nargs="+",
        action="extend",
        default=[],
        metavar="READING",
        help="a reading that must not move, or an ingredient for its line (line:salt for the line of salt)",
    )


def _with_save(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--save", type=Path, metavar="OUT", help="write the adapted formula to this file")
    parser.add_argument("--name", metavar="NAME", help="its name there (default: the formula's)")
    _with_force(parser)


def _with_force(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--force", action="store_true", help="write over a file that is there already")


def _percent(text: str) -> float:
    try:
        value = float(text.strip().removesuffix("%"))
    except ValueError:
        value = float("nan")
    if not 0 < value <= 100:
        raise argparse.ArgumentTypeError(f"{text!r} is not above 0 and at most 100")
    return value


def compare_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", type=Path, metavar="FILE", help="two or more formula files")
    _with_pantry(parser)
    _with_json(parser)


def export_options(parser: argparse.ArgumentParser) -> None:
    _with_file(parser)
    parser.add_argument("out", type=Path, metavar="OUT", help=".toml formula, .md card, .csv table, .json, .jsonld")
    parser.add_argument("--options", action="store_true", help="on a card: what to take for what a reader lacks")
    _with_force(parser)
    _with_pantry(parser)


def ingredients_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", nargs="*", metavar="WORDS", help="words of a name, an alias or a kind")
    _with_json(parser)


def why_options(parser: argparse.ArgumentParser) -> None:
    _with_file(parser)
    parser.add_argument("reading", metavar="READING", help="such as ph, effective_hydration, rise_time")
    _with_pantry(parser)


def bake_options(parser: argparse.ArgumentParser) -> None:
    _with_file(parser)
    when = parser.add_mutually_exclusive_group()
    when.add_argument("--start", metavar="HH:MM", help='when the work begins; also "Sat 09:00"')
    when.add_argument("--ready", metavar='"YYYY-MM-DD HH:MM"', help='when the loaf is to be sliced; also "Sat 08:00"')
    for option, default, what in (
        ("--room-c", 20.0, "room"),
        ("--fridge-c", 6.0, "fridge or cellar"),
        ("--tap-c", 12.0, "tap water"),
        ("--dough-c", None, "wanted dough"),
        ("--proof-c", None, "proving place"),
        ("--oven-c", None, "oven"),
        ("--core-c", None, "core of the loaf when it is done"),
    ):
        parser.add_argument(option, type=_number, default=default, metavar="C", help=f"temperature of the {what}, °C")
    parser.add_argument("--rise-percent", type=_number, metavar="N", help="how far it is to rise")
    parser.add_argument("--machine", action="store_true", help="mixed by a machine, not by hand")
    _with_pantry(parser)
    _with_json(parser)


def log_options(parser: argparse.ArgumentParser) -> None:
    _with_file(parser)
    for option, what in (
        ("--dough-c", "dough temperature, °C"),
        ("--proof-c", "temperature of the proving place, °C"),
        ("--rise-percent", "how far it rose, %%"),
        ("--rise-h", "in how many hours"),
        ("--oven-c", "oven, °C"),
        ("--core-c", "core when it came out, °C"),
        ("--bake-min", "minutes in the oven"),
    ):
        parser.add_argument(option, type=_number, metavar="N", help=what)
    parser.add_argument("--crumb", default="", help="what the crumb was like")
    parser.add_argument("--notes", default="", help="anything else")
    parser.add_argument("--mark", type=int, metavar="1-5", help="a mark out of five")
    _with_pantry(parser)


def _number(text: str) -> float:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if not math.isfinite(value):
        raise argparse.ArgumentTypeError(f"{text!r} is no number")
    return value


def check_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE", help="formula files to check as well")
