"""A loaf as it is wished: from this store, without that, a reading at a value; and several bakes from one store."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.command_line.command import Command
from adapter.command_line.formula_lines import hold_named, lines_named
from adapter.command_line.loading import kitchen_and_pantry, kitchen_for, read_file_and_stamp, swapper_for
from adapter.command_line.options import with_holds, with_json, with_save
from adapter.command_line.printing import printed
from adapter.command_line.saving import not_over_unasked, save_variant
from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.formula.model import Formula
    from adapter.formula.pantry import Pantry
    from adapter.swaps.bakes import Bakes
    from adapter.swaps.swapper import Swapper
    from adapter.swaps.wishes import Wishes

OWN = Path()
"""--pantry without a name: the baker's own."""


def options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", metavar="FILE[=COUNT]", help="a formula, or several with how many of each")
    parser.add_argument(
        "--pantry",
        nargs="?",
        type=Path,
        const=OWN,
        metavar="NAME",
        help="from this store (a file; else your own, or for a sample that of the samples)",
    )
    wishes(parser)


def wishes(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--without", nargs="+", action="extend", default=[], metavar="WHAT",
        help="an ingredient, a kind, an allergen group, animal or alcohol: in no swap and in no line",
    )  # fmt: skip
    parser.add_argument(
        "--aim", nargs="+", action="extend", default=[], metavar="READING=VALUE",
        help="salt=1.6, sweetness=-30%%, hydration=+3, fibre=12.., price=..3.50, rise_time=..8",
    )  # fmt: skip
    with_holds(parser)
    parser.add_argument("--keep", nargs="+", action="extend", default=[], metavar="LINE", help="lines that stay")
    parser.add_argument("--refuse", nargs="+", action="extend", default=[], metavar="SWAP", help="swaps not to make")
    parser.add_argument("--pin", nargs="+", action="extend", default=[], metavar="SWAP", help="swaps to make")
    parser.add_argument("--ways", type=int, default=1, metavar="N", help="so many different answers (1 to 9)")
    parser.add_argument("--most-swaps", type=int, metavar="N", help="no more swaps than this")
    parser.add_argument("--by", metavar="DATE", help="what spoils by then goes first (several bakes)")
    parser.add_argument(
        "--seconds", type=float, metavar="S", help="how long to look at most (default 5, for several bakes 30)"
    )
    with_save(parser)
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    named = [_with_count(text) for text in options.files]
    options.files = [path for path, _ in named]
    if options.pantry == OWN:
        options.pantry = None
        kitchen, pantry = kitchen_and_pantry(options)
        if pantry is None:
            raise InputProblem("there is no store of your own", where="adapt", right="--pantry FILE, or keep one")
    elif options.pantry is None:
        kitchen = kitchen_for(options)
        pantry = None
    else:
        options.pantry = _pantry_path(options.pantry)
        kitchen, pantry = kitchen_and_pantry(options)
    if len(named) > 1 or named[0][1] is not None:
        return _several(options, named, kitchen, pantry)
    if options.by is not None:
        raise InputProblem("--by is for several bakes", where="adapt", right="FILE=COUNT, such as loaf.toml=1")
    return answer_for(options, named[0][0], kitchen, pantry)


def _with_count(text: str) -> tuple[Path, int | None]:
    path, equals, count = text.rpartition("=")
    if not equals:
        return Path(text), None
    try:
        number = int(count)
    except ValueError:
        right = "FILE=COUNT, such as loaf.toml=9"
        raise InputProblem(f"{count[:20]!r} is no count", where="adapt", right=right) from None
    return Path(path), number


def _pantry_path(path: Path) -> Path:
    """A pantry file, or the sample store by a word of its name."""
    from adapter.files.places import sample_pantry
    from adapter.files.toml.source import exists

    if exists(path):
        return path
    store = sample_pantry()
    return store if store is not None and str(path) in ("sample", "pantry", "store") else path


def wishes_of(
    options: argparse.Namespace, swapper: Swapper, pantry: Pantry | None, others: Sequence[Swapper] = ()
) -> Wishes:
    """What the options ask for, of one formula. A line that only `others` have is held and kept there."""
    from adapter.files.places import own_table_folders
    from adapter.swaps.ruled_out import load_without, ruled_out_by
    from adapter.swaps.wishes import SECONDS, Wishes, read_aim

    kitchen, formula = swapper.kitchen, swapper.formula
    words = load_without(own_table_folders())
    ruled_out, words_of = ruled_out_by(options.without, kitchen.catalogue, words)
    holds: list[str] = []
    for names, is_line in ((options.hold, False), (options.keep, True)):
        for name in names:
            try:
                holds += _holds_of(name, is_line, formula, kitchen)
            except InputProblem:
                if not any(_has_line(name, is_line, other.formula, kitchen) for other in others):
                    raise
    if options.seconds is not None and not 0.05 <= options.seconds <= 600:
        raise InputProblem(f"{options.seconds:g} seconds", where="adapt", right="0.05 to 600")
    return Wishes(
        pantry,
        tuple(dict.fromkeys(options.without)),
        ruled_out,
        tuple(read_aim(text, swapper.measured, pantry) for text in options.aim),
        tuple(dict.fromkeys(holds)),
        options.ways,
        options.most_swaps,
        frozenset(options.refuse),
        frozenset(options.pin),
        SECONDS if options.seconds is None else options.seconds,
        words_of=words_of,
    )


def _holds_of(name: str, is_line: bool, formula: Formula, kitchen: Kitchen) -> list[str]:
    from adapter.swaps.request import LINE_HOLD

    if not is_line:
        return [hold_named(name, formula, kitchen)]
    return [LINE_HOLD + formula.lines[place].ingredient for place in lines_named(formula, [name], kitchen)]


def _has_line(name: str, is_line: bool, formula: Formula, kitchen: Kitchen) -> bool:
    with suppress(InputProblem):
        return bool(_holds_of(name, is_line, formula, kitchen))
    return False


def answer_for(
    options: argparse.Namespace, path: Path, kitchen: Kitchen, pantry: Pantry | None, flat: bool = False
) -> str:
    """The ways of one formula; the first is saved where that is asked for."""
    from adapter.formula.problems import file_name
    from adapter.swaps.adapt import adapt, names_of_swaps
    from adapter.swaps.variant import follow
    from adapter.words.adapt_report import adapt_report, adapt_text

    formula, stamp = read_file_and_stamp(path, kitchen)
    swapper = swapper_for(kitchen, formula)
    wishes = wishes_of(options, swapper, pantry)
    if wishes.refused:
        for name in sorted(wishes.refused - names_of_swaps(swapper, wishes)):
            raise InputProblem(f"the swap {name[:60]!r} is none of those that can be", right="one that a way names")
    answer = adapt(swapper, wishes)
    data = adapt_report(answer)
    if options.save is not None:
        if not answer.ways:
            raise InputProblem("there is no way to save", where="adapt", right="fewer wishes")
        options.file = path
        saved = follow(formula, answer.ways[0].after.formula, answer.ways[0].step)
        text = save_variant(saved, options, stamp, kitchen)
        if text is not None:
            return text
        data["saved"] = file_name(options.save)
    # make-do told one plan before there were ways: its keys stay
    first: Mapping[str, object] = data["ways"][0] if flat and data["ways"] else {}
    return printed(options, {**first, **data}, lambda _: adapt_text(data))


def _several(
    options: argparse.Namespace, named: Sequence[tuple[Path, int | None]], kitchen: Kitchen, pantry: Pantry | None
) -> str:
    from adapter.swaps.bakes import plan_bakes
    from adapter.swaps.swapper import Swapper
    from adapter.words.adapt_report import bakes_report, bakes_text

    if options.name is not None:
        raise InputProblem("--name names one formula", where="adapt", right="one FILE without a count")
    if options.ways != 1:
        raise InputProblem("--ways is for one formula", where="adapt", right="one FILE without a count")
    if options.refuse or options.pin:
        raise InputProblem("--refuse and --pin are for one formula", where="adapt", right="one FILE without a count")
    read = [read_file_and_stamp(path, kitchen)[0] for path, _ in named]
    first = swapper_for(kitchen, read[0])
    swappers = [first] + [Swapper(kitchen, first.rules, formula, first.balancer.solver) for formula in read[1:]]
    wishes = [wishes_of(options, swapper, pantry, swappers) for swapper in swappers]
    counts = [1 if count is None else count for _, count in named]
    targets = _targets(options, [path for path, _ in named])
    bakes = plan_bakes(swappers, counts, wishes, _date(options.by), options.seconds)
    data = bakes_report(bakes, options.without)
    if targets:
        data["saved"] = _save_all(bakes, targets, options, kitchen)
    return printed(options, data, bakes_text)


def _targets(options: argparse.Namespace, paths: Sequence[Path]) -> list[Path]:
    """Where each formula is saved, in the folder named. Raises InputProblem before anything is worked out."""
    if options.save is None:
        return []
    if not options.save.is_dir():
        raise InputProblem("several formulas are saved into a folder", where="--save", right="a folder that is there")
    found = [options.save / f"{path.name.removesuffix('.toml')}.toml" for path in paths]
    if len(set(found)) < len(found):
        raise InputProblem("two of the formulas have the same file name", where="--save", right="each formula once")
    for target in found:
        not_over_unasked(target, options)
    return found


def _save_all(bakes: Bakes, targets: Sequence[Path], options: argparse.Namespace, kitchen: Kitchen) -> list[str]:
    from adapter.files.formula_saving import write_formula
    from adapter.formula.problems import file_name
    from adapter.swaps.variant import follow

    if not bakes.ways:
        raise InputProblem("there is no way to save", where="adapt", right="fewer wishes")
    for way, target in zip(bakes.ways, targets, strict=True):
        saved = follow(way.before.formula, way.after.formula, way.step)
        write_formula(saved, target, None, kitchen.catalogue)
    return [file_name(target) for target in targets]


def _date(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputProblem(f"{text[:20]!r} is no date", where="adapt", right="such as 2031-06-16") from None


COMMAND = Command("a loaf as you wish it: from a store, without something, a reading at a value", options, run)
