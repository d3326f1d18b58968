"""What each command prints: numbers from the core, as text for people or JSON for scripts."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Collection, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from adapter.command_line.printing import json_text
from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.dough.readings.measured import Measured
    from adapter.files.atomic import Stamp
    from adapter.formula.model import Formula
    from adapter.formula.pantry import Pantry
    from adapter.swaps.swapper import Swapper

Data = dict[str, Any]


"""How the names of bake logs end; said here too, so that a kitchen without logs need not load what reads them."""


def kitchen_and_pantry(options: argparse.Namespace) -> tuple[Kitchen, Pantry | None]:
    """The tables with the baker's own over them, what the bake logs say, and the pantry named or kept."""
    from dataclasses import replace

    from adapter.dough.own_figures import with_own_figures
    from adapter.dough.readings.kitchen import load_kitchen
    from adapter.files.places import own_pantry_path, own_table_folders

    kitchen = _calibrated(load_kitchen(own_table_folders()), options)
    path: Path | None = getattr(options, "pantry", None)
    own = own_pantry_path()
    if path is None and own.is_file():
        path = own
    if path is None:
        return kitchen, None
    from adapter.files.pantry_file import read_pantry

    pantry = read_pantry(path, kitchen.catalogue)
    return replace(kitchen, catalogue=with_own_figures(kitchen.catalogue, pantry)), pantry


def _calibrated(kitchen: Kitchen, options: argparse.Namespace) -> Kitchen:
    """Yeast and oven as logged among the baker's own formulas and beside the files at hand, to be saved as well."""
    from adapter.files.places import holds_logs, own_formulas_path
    from adapter.files.toml.source import exists

    read: list[Path] = [*getattr(options, "files", ()), *([options.file] if hasattr(options, "file") else [])]
    folders = dict.fromkeys((own_formulas_path(), *(path.parent for path in read if exists(path))))
    if getattr(options, "save", None) is not None:
        folders[options.save.parent] = None
    if not any(holds_logs(folder) for folder in folders):
        return kitchen
    from adapter.files.log_file import calibrated_kitchen

    return calibrated_kitchen(kitchen, folders)[0]


def read_file(path: Path, kitchen: Kitchen) -> Formula:
    """A formula file, or a sample that ships with the program by its name."""
    return read_file_and_stamp(path, kitchen)[0]


def read_file_and_stamp(path: Path, kitchen: Kitchen) -> tuple[Formula, Stamp | None]:
    """The same with the stamp by which a save notices that another program wrote the file; none for a sample."""
    from adapter.files.formula_file import read_formula_and_stamp, read_sample
    from adapter.files.places import sample_named
    from adapter.files.toml.source import exists

    if not exists(path):
        sample = sample_named(str(path))
        if sample is not None:
            return read_sample(sample, kitchen.catalogue), None
    return read_formula_and_stamp(path, kitchen.catalogue)


def measured_file(path: Path, kitchen: Kitchen) -> Measured:
    from adapter.dough.readings.measured import measure

    return measure(kitchen, read_file(path, kitchen))


def _swapper(kitchen: Kitchen, formula: Formula) -> Swapper:
    from adapter.files.places import own_table_folders
    from adapter.swaps.programme import Solver
    from adapter.swaps.rules import load_rules
    from adapter.swaps.swapper import Swapper

    rules = load_rules(kitchen.catalogue, kitchen.keepable, own_table_folders())
    return Swapper(kitchen, rules, formula, Solver())


def shown(options: argparse.Namespace, data: Data, text: Callable[[Data], str]) -> str:
    return json_text(data) if options.json else text(data)


def balance(options: argparse.Namespace) -> str:
    from adapter.words.reports import balance_report
    from adapter.words.text_report import balance_text

    kitchen, _ = kitchen_and_pantry(options)
    return shown(options, balance_report(measured_file(options.file, kitchen)), balance_text)


def offers(options: argparse.Namespace) -> str:
    from adapter.words.reports import offers_report
    from adapter.words.text_report import offers_text

    kitchen, pantry = kitchen_and_pantry(options)
    formula = read_file(options.file, kitchen)
    swapper = _swapper(kitchen, formula)
    if options.line is None:
        places = list(range(len(formula.lines)))
    else:
        places = places_of(formula, [options.line], kitchen)
    # Lines that are alike have the same offers: told once.
    alike = {formula.lines[place].weighed: place for place in reversed(places)}
    found = [offer for place in sorted(alike.values()) for offer in swapper.offers(place, pantry=pantry)]
    return shown(options, offers_report(found, pantry), offers_text)


def swap(options: argparse.Namespace) -> str:
    from adapter.files.atomic import file_name
    from adapter.swaps.variant import follow
    from adapter.words.reports import swap_report
    from adapter.words.text_report import swap_text

    if options.name is not None and options.save is None:
        raise InputProblem("--name names what is saved", where="swap", right="--save OUT beside it")
    kitchen, pantry = kitchen_and_pantry(options)
    formula, stamp = read_file_and_stamp(options.file, kitchen)
    out = places_of(formula, options.out, kitchen, one_each=True)
    into = _incoming(options.into, {formula.lines[place].ingredient for place in out}, kitchen)
    holds = list(dict.fromkeys(hold_of(name, formula, kitchen) for name in options.hold))
    offer = _swapper(kitchen, formula).free_swap(out, into, options.share, holds, _typed(options.grams, into, kitchen))
    data = swap_report(offer, pantry)
    if options.save is not None:
        _save(follow(formula, offer.after.formula, offer.step()), options, stamp, kitchen)
        data["saved"] = file_name(options.save)
    return shown(options, data, swap_text)


def make_do(options: argparse.Namespace) -> str:
    from adapter.files.atomic import file_name
    from adapter.swaps.pantry_plan import make_do as plan_for
    from adapter.swaps.variant import follow
    from adapter.words.make_do_report import make_do_report, make_do_text

    kitchen, pantry = kitchen_and_pantry(options)
    if pantry is None:
        raise InputProblem(
            "there is no pantry to make do with", where="make-do", right="--pantry FILE, or keep your own"
        )
    formula, stamp = read_file_and_stamp(options.file, kitchen)
    holds = list(dict.fromkeys(hold_of(name, formula, kitchen) for name in options.hold))
    plan = plan_for(_swapper(kitchen, formula), pantry, holds)
    data = make_do_report(plan)
    if options.save is not None:
        _save(follow(formula, plan.after.formula, plan.step), options, stamp, kitchen)
        data["saved"] = file_name(options.save)
    return shown(options, data, make_do_text)


def not_over_unasked(path: Path, force: bool) -> None:
    """Raises InputProblem where something would be written over that was not to be."""
    from adapter.files.atomic import file_name
    from adapter.files.toml.source import exists

    if not force and exists(path):
        raise InputProblem("is there already", file=file_name(path), right="another name, or --force to write over it")


def _save(saved: Formula, options: argparse.Namespace, stamp: Stamp | None, kitchen: Kitchen) -> None:
    from dataclasses import replace

    from adapter.files.formula_file import write_formula
    from adapter.formula.plain_text import clean

    if options.name is not None:
        saved = replace(saved, name=clean(options.name) or saved.name)
    over_itself = os.path.realpath(options.save) == os.path.realpath(options.file)
    not_over_unasked(options.save, options.force)
    write_formula(saved, options.save, stamp if over_itself else None, kitchen.catalogue)


def _incoming(names: Sequence[str], going: Collection[str], kitchen: Kitchen) -> list[str]:
    """The catalogue's names of what comes in, each once. Raises InputProblem for one that goes out as well."""
    into = list(dict.fromkeys(kitchen.catalogue.resolve(name).name for name in names))
    for name in into:
        if name in going:
            raise InputProblem(f"{name} cannot go out and come in at once", right="--share for a part of a line")
    return into


def hold_of(name: str, formula: Formula, kitchen: Kitchen) -> str:
    """A hold by the name of a reading, or of an ingredient for its line."""
    from adapter.dough.readings.registry import READING_KEYS
    from adapter.swaps.request import LINE_HOLD

    key = reading_key(name)
    if key in READING_KEYS:
        return key
    try:
        ingredient = kitchen.catalogue.resolve(name.removeprefix(LINE_HOLD)).name
    except InputProblem:
        raise InputProblem(
            f"cannot hold {name!r}", right="a reading such as ph or tta, or a line's ingredient"
        ) from None
    places_of(formula, [ingredient], kitchen)
    return LINE_HOLD + ingredient


def places_of(formula: Formula, names: Sequence[str], kitchen: Kitchen, *, one_each: bool = False) -> list[int]:
    """The lines of the named ingredients, of one stage where it is named as in "water@soaker".

    Raises InputProblem for one that is not in the formula, and with `one_each` where two stages hold it.
    """
    places: list[int] = []
    for written in names:
        name, at, stage = written.partition("@")
        ingredient = kitchen.catalogue.resolve(name).name
        found = list(formula.find(ingredient))
        if not found:
            lines = ", ".join(dict.fromkeys(line.ingredient for line in formula.lines))
            raise InputProblem(f"{ingredient} is not in {formula.name}", right=f"its lines: {lines}")
        stages = list(dict.fromkeys(formula.lines[place].stage for place in found))
        if at:
            found = [place for place in found if formula.lines[place].stage.casefold() == stage.strip().casefold()]
            if not found:
                raise InputProblem(f"there is no {ingredient} in {stage!r}", right="one of " + ", ".join(stages))
        elif one_each and len(stages) > 1:
            right = " or ".join(f'"{ingredient}@{each}"' for each in stages)
            raise InputProblem(f"{ingredient} stands in {len(stages)} stages: name one", right=right)
        places += [place for place in found if place not in places]
    return places


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


def compare(options: argparse.Namespace) -> str:
    from adapter.files.atomic import file_name
    from adapter.words.reports import compare_report
    from adapter.words.text_report import compare_text

    if len(options.files) < 2:
        raise InputProblem("one file has nothing to be compared with", where="compare", right="two or more files")
    kitchen, _ = kitchen_and_pantry(options)
    # Each by its own book formula, so that it reads here as it does in balance.
    variants = [measured_file(path, kitchen) for path in options.files]
    data = compare_report(variants)
    for variant, path in zip(data["variants"], options.files, strict=True):
        variant["file"] = file_name(path)
    return shown(options, data, compare_text)


def export(options: argparse.Namespace) -> str:
    from adapter.exports.formula_forms import export_file
    from adapter.files.atomic import file_name

    not_over_unasked(options.out, options.force)
    kitchen, _ = kitchen_and_pantry(options)
    measured = measured_file(options.file, kitchen)
    instead: list[str] = []
    reasons: dict[str, str] = {}
    if options.out.suffix.lower() == ".md":
        from adapter.words.reader_options import reader_options, reasons_of

        swapper = _swapper(kitchen, measured.formula)
        reasons = reasons_of(swapper.rules)
        instead = reader_options(swapper) if options.options else []
    export_file(measured, options.out, instead, reasons)
    return f"{file_name(options.out)} written"


def ingredients(options: argparse.Namespace) -> str:
    from adapter.words.reports import ingredients_report
    from adapter.words.text_report import ingredients_text

    kitchen, _ = kitchen_and_pantry(options)
    words = " ".join(options.words)
    found = kitchen.catalogue.search(words)
    if not found:
        raise kitchen.catalogue.not_found(words)
    return shown(options, ingredients_report(found), ingredients_text)


def why(options: argparse.Namespace) -> str:
    from adapter.dough.why.explain_reading import explain, lines_of

    kitchen, _ = kitchen_and_pantry(options)
    return "\n".join(lines_of(explain(measured_file(options.file, kitchen), reading_key(options.reading))))


def reading_key(text: str) -> str:
    """A reading as a person may write it: "pH", "effective hydration", "rise-time"."""
    return "_".join(text.strip().lower().replace("-", " ").replace("_", " ").split())


def check(options: argparse.Namespace) -> str:
    from adapter.work.checking import check_files, check_tables

    lines, kitchen = check_tables()
    return "\n".join([*lines, *check_files(options.files, kitchen)])
