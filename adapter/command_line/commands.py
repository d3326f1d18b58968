"""What each command prints: numbers from the core, as text for people or JSON for scripts."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.dough.kitchen import Kitchen
    from adapter.dough.readings import Measured
    from adapter.formula.model import Formula
    from adapter.formula.pantry import Pantry
    from adapter.swaps.swapper import Swapper

Data = dict[str, Any]


def kitchen_and_pantry(options: argparse.Namespace) -> tuple[Kitchen, Pantry | None]:
    """The tables, with the baker's own laid over them, and the pantry that was named or that the baker keeps."""
    from dataclasses import replace

    from adapter.dough.kitchen import load_kitchen
    from adapter.dough.own_figures import with_own_figures
    from adapter.files.places import own_pantry_path, own_table_folders

    kitchen = load_kitchen(own_table_folders())
    path: Path | None = getattr(options, "pantry", None)
    own = own_pantry_path()
    if path is None and own.is_file():
        path = own
    if path is None:
        return kitchen, None
    from adapter.files.pantry_file import read_pantry

    pantry = read_pantry(path, kitchen.catalogue)
    return replace(kitchen, catalogue=with_own_figures(kitchen.catalogue, pantry)), pantry


def read_file(path: Path, kitchen: Kitchen) -> Formula:
    """A formula file, or a sample that ships with the program by its name."""
    from adapter.files.formula_file import read_formula, read_sample
    from adapter.files.places import sample_named

    if not path.exists():
        sample = sample_named(str(path))
        if sample is not None:
            return read_sample(sample, kitchen.catalogue)
    return read_formula(path, kitchen.catalogue)


def measured_file(path: Path, kitchen: Kitchen) -> Measured:
    from adapter.dough.readings import measure

    return measure(kitchen, read_file(path, kitchen))


def _swapper(kitchen: Kitchen, formula: Formula) -> Swapper:
    from adapter.files.places import own_table_folders
    from adapter.swaps.programme import Solver
    from adapter.swaps.rules import load_rules
    from adapter.swaps.swapper import Swapper

    rules = load_rules(kitchen.catalogue, (*kitchen.quantities, "ph"), own_table_folders())
    return Swapper(kitchen, rules, formula, Solver())


def shown(options: argparse.Namespace, data: Data, text: Callable[[Data], str]) -> str:
    return json.dumps(data, ensure_ascii=False, indent=2) if options.json else text(data)


def balance(options: argparse.Namespace) -> str:
    from adapter.files.plain_report import balance_text
    from adapter.files.reports import balance_report

    kitchen, _ = kitchen_and_pantry(options)
    return shown(options, balance_report(measured_file(options.file, kitchen)), balance_text)


def offers(options: argparse.Namespace) -> str:
    from adapter.files.plain_report import offers_text
    from adapter.files.reports import offers_report

    kitchen, pantry = kitchen_and_pantry(options)
    formula = read_file(options.file, kitchen)
    swapper = _swapper(kitchen, formula)
    if options.line is None:
        places = list(range(len(formula.lines)))
    else:
        places = _places(formula, [options.line], kitchen)
    found = [offer for place in places for offer in swapper.offers(place)]
    found.sort(key=lambda offer: offer.drift)
    return shown(options, offers_report(found, pantry), offers_text)


def swap(options: argparse.Namespace) -> str:
    from adapter.files.formula_file import write_formula
    from adapter.files.plain_report import swap_text
    from adapter.files.reports import swap_report
    from adapter.swaps.variant import follow

    kitchen, pantry = kitchen_and_pantry(options)
    formula = read_file(options.file, kitchen)
    into = [kitchen.catalogue.resolve(name).name for name in options.into]
    holds = [_hold(name, formula, kitchen) for name in options.hold]
    offer = _swapper(kitchen, formula).free_swap(
        _places(formula, options.out, kitchen), into, options.share, holds, _typed(options.grams, into, kitchen)
    )
    if options.save is not None:
        saved = follow(formula, offer.after.formula, offer.step())
        write_formula(saved, options.save, catalogue=kitchen.catalogue)
    return shown(options, swap_report(offer, pantry), swap_text)


def _hold(name: str, formula: Formula, kitchen: Kitchen) -> str:
    """A hold by the name of a reading, or of an ingredient for its line."""
    from adapter.dough.readings import READINGS
    from adapter.swaps.swapper import LINE_HOLD

    key = name.strip().lower().replace(" ", "_")
    if key in READINGS:
        return key
    try:
        ingredient = kitchen.catalogue.resolve(name.removeprefix(LINE_HOLD)).name
    except InputProblem:
        raise InputProblem(
            f"cannot hold {name!r}", right="a reading such as ph or tta, or a line's ingredient"
        ) from None
    _places(formula, [ingredient], kitchen)
    return LINE_HOLD + ingredient


def _places(formula: Formula, names: Sequence[str], kitchen: Kitchen) -> list[int]:
    """The lines of the named ingredients. Raises InputProblem for one that is not in the formula."""
    places: list[int] = []
    for name in names:
        ingredient = kitchen.catalogue.resolve(name).name
        found = list(formula.find(ingredient))
        if not found:
            lines = ", ".join(dict.fromkeys(line.ingredient for line in formula.lines))
            raise InputProblem(f"{ingredient} is not in {formula.name}", right=f"its lines: {lines}")
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
        typed[ingredient.name] = grams_of(amount, ingredient.property("density_g_ml") or None)
    return typed


def compare(options: argparse.Namespace) -> str:
    from adapter.dough.readings import measure
    from adapter.files.plain_report import compare_text
    from adapter.files.reports import compare_report

    kitchen, _ = kitchen_and_pantry(options)
    formulas = [read_file(path, kitchen) for path in options.files]
    first = measure(kitchen, formulas[0])
    variants = [first, *(measure(kitchen, formula, first.book) for formula in formulas[1:])]
    return shown(options, compare_report(variants), compare_text)


def export(options: argparse.Namespace) -> str:
    from adapter.files.exports import export_file

    kitchen, _ = kitchen_and_pantry(options)
    export_file(measured_file(options.file, kitchen), options.out)
    return f"{options.out} written"


def ingredients(options: argparse.Namespace) -> str:
    from adapter.files.plain_report import ingredients_text
    from adapter.files.reports import ingredients_report

    kitchen, _ = kitchen_and_pantry(options)
    found = kitchen.catalogue.search(" ".join(options.words))
    return shown(options, ingredients_report(found), ingredients_text)


def why(options: argparse.Namespace) -> str:
    from adapter.dough.why import explain, lines_of

    kitchen, _ = kitchen_and_pantry(options)
    return "\n".join(lines_of(explain(measured_file(options.file, kitchen), options.reading)))


def check(options: argparse.Namespace) -> str:
    from adapter.files.checking import check_files, check_tables

    lines = [*check_tables(), *check_files(options.files)]
    return "\n".join(lines)
