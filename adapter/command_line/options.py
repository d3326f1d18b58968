"""Options that several commands take, and what their texts may be."""

from __future__ import annotations

import argparse
import math
from pathlib import Path


def with_file(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE", help="a formula file, or the name of a sample")


def with_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON for scripts")


def with_pantry(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--pantry", type=Path, metavar="FILE", help="a pantry file (default: your own, if you keep one)"
    )


def with_holds(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--hold",
        nargs="+",
        action="extend",
        default=[],
        metavar="READING",
        help="a reading that must not move, or an ingredient for its line (line:salt for the line of salt)",
    )


def with_save(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--save",
        type=Path,
        metavar="OUT",
        help="write the adapted formula to this file; - prints it and nothing else",
    )
    parser.add_argument("--name", metavar="NAME", help="its name there (default: the formula's)")
    with_force(parser)


def with_force(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--force", action="store_true", help="write over a file that is there already")


def percent(text: str) -> float:
    try:
        value = float(text.strip().removesuffix("%"))
    except ValueError:
        value = float("nan")
    if not 0 < value <= 100:
        raise argparse.ArgumentTypeError(f"{text!r} is not above 0 and at most 100")
    return value


def number(text: str) -> float:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if not math.isfinite(value):
        raise argparse.ArgumentTypeError(f"{text!r} is no number")
    return value
