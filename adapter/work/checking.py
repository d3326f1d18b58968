"""Checking every table and file: what each holds, or its fault with file, entry and key.

What a table's own reader cannot see is looked at here: names that point from one table into another, files and keys
that nobody reads, and whether every formula there is can be read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

from adapter.dough import tables
from adapter.dough.allergens import group_of
from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import measure
from adapter.dough.readings.registry import BY_KEY, READING_KEYS
from adapter.dough.tables import cautions, loaf_classes, work_steps
from adapter.files.formula_file import read_sample
from adapter.files.formula_tables import formula_from_tables, unknown_keys
from adapter.files.log_file import logs_in, read_log
from adapter.files.pantry_file import pantry_from_text, read_pantry, read_sample_pantry
from adapter.files.places import (
    LOG_SUFFIX,
    own_formulas,
    own_formulas_path,
    own_pantry_path,
    own_table_folders,
    sample_named,
    sample_pantry,
    samples,
)
from adapter.files.toml.source import exists, parse, read_text
from adapter.formula.catalogue import TABLE as INGREDIENTS
from adapter.formula.catalogue import spelling
from adapter.formula.model import Formula
from adapter.formula.plain_text import clean, shown
from adapter.formula.problems import InputProblem, file_name
from adapter.formula.row import Row
from adapter.formula.tables import Table, items_of, shipped_tables
from adapter.formula.toml_text import is_there
from adapter.recipes.word_tables import check_word_tables
from adapter.swaps.ruled_out import TABLE as WITHOUT
from adapter.swaps.ruled_out import load_without
from adapter.swaps.rules import TABLE as RULES
from adapter.swaps.rules import load_rules
from adapter.words.reports import out_of_band

ORGANIC = frozenset(("lactic", "acetic", "citric", "malic", "gluconic", "succinic", "aconitic", "ascorbic", "tartaric"))
ACIDS_MAY_DIFFER = 0.1
"""Share by which the acids may weigh more or less than the figure says [A]."""

ALLERGEN_GROUPS = (
    "gluten", "crustaceans", "egg", "fish", "peanut", "soya", "milk", "nuts", "celery", "mustard", "sesame",
    "sulphites", "lupin", "molluscs",
)  # fmt: skip
"""The fourteen of Annex II of Regulation (EU) 1169/2011; a member is written after a colon ("gluten: rye")."""


def laid_over() -> tuple[Table, ...]:
    """Every table that a baker's own may lie over: those of the catalogue, the dough and the rules."""
    modules = (import_module(f"{tables.__name__}.{module.name}") for module in iter_modules(tables.__path__))
    return (INGREDIENTS, *(table for module in modules for table in module.TABLES), RULES, WITHOUT)


@dataclass(frozen=True, slots=True)
class Checked:
    """What reading one file told: lines that say so, or its fault."""

    file: str
    lines: tuple[str, ...]
    fault: InputProblem | None = None


def check_tables() -> tuple[list[str], list[Path], Kitchen]:
    """Read every table and sample there is, shipped and own: what they hold, and the baker's own files still to read.

    Raises InputProblem for the first thing wrong.
    """
    folders = own_table_folders()
    for folder in folders:
        _check_file_names(folder)
    kitchen = load_kitchen(folders)
    rules = load_rules(kitchen.catalogue, kitchen.keepable, folders)
    load_without(folders)
    _check_links(shipped_tables(), kitchen)
    for folder in folders:
        _check_links(folder, kitchen)
    lines = [
        f"{len(kitchen.catalogue)} ingredients, {len(rules)} rules, {len(kitchen.tolerances)} tolerances, "
        f"{len(kitchen.bands.bands)} bands, {len(kitchen.classes)} classes of loaf, {len(kitchen.cautions)} cautions, "
        f"{len(kitchen.steps)} steps of work, {len(kitchen.stage_kinds)} kinds of stages: in order"
    ]
    lines.append(check_word_tables(kitchen.catalogue))
    lines += _doubtful_aliases(kitchen)
    lines += _doubtful_acids(kitchen)
    lines += _doubtful_tolerances(kitchen)
    lines += [line for folder in folders for line in _retired_keys(folder)]
    lines += _pantry_lines(kitchen)
    for sample in samples():
        _read(read_sample(sample, kitchen.catalogue), kitchen)
    lines.append(f"{len(samples())} sample formulas: in order")
    logs = logs_in((own_formulas_path(),))
    return lines, [*own_formulas(), *logs], kitchen


def check_files(paths: Iterable[Path], kitchen: Kitchen) -> list[Checked]:
    """Read formulas, pantries and bake logs; for a formula also what lies outside its band or is not understood."""
    return [_checked(path, kitchen) for path in paths]


def _checked(path: Path, kitchen: Kitchen) -> Checked:
    try:
        return Checked(file_name(path), tuple(_file_lines(path, kitchen)))
    except InputProblem as problem:
        return Checked(file_name(path), (), problem)


def _file_lines(path: Path, kitchen: Kitchen) -> list[str]:
    sample = None if exists(path) else sample_named(str(path))
    if sample is not None:
        return [f"{file_name(path)}, a sample: in order", *_read(read_sample(sample, kitchen.catalogue), kitchen)]
    if path.name.endswith(LOG_SUFFIX):
        return _log_lines(path)
    file = file_name(path)
    text = read_text(path)
    data = parse(text, file)
    if "formula" not in data and ("pantry" in data or "stock" in data):
        pantry = pantry_from_text(text, kitchen.catalogue, file)
        return [f"{file}: a pantry of {len(pantry.stock)} entries, in order"]
    formula = formula_from_tables(data, kitchen.catalogue, file)
    unknown = [f"  {key} means nothing to the program and is left as it is" for key in unknown_keys(data)]
    unknown += [
        f"  [reasons] {key} is no reading, so nothing shows it" for key, _ in formula.reasons if key not in READING_KEYS
    ]
    return [f"{file}: in order", *unknown, *_read(formula, kitchen)]


def _read(formula: Formula, kitchen: Kitchen) -> list[str]:
    return [f"  {text}" for _, text in out_of_band(measure(kitchen, formula))]


def _log_lines(path: Path) -> list[str]:
    file = file_name(path)
    data = parse(read_text(path), file)
    unknown = [f"  {shown(key)} means nothing to the program and is left as it is" for key in data if key != "bake"]
    return [f"{file}: a log of {len(read_log(path))} bakes, in order", *unknown]


def _pantry_lines(kitchen: Kitchen) -> Iterator[str]:
    if is_there(own_pantry_path()):
        pantry = read_pantry(own_pantry_path(), kitchen.catalogue)
        yield f"your pantry: {len(pantry.stock)} entries, in order"
    sample = sample_pantry()
    if sample is not None:
        yield f"the sample pantry: {len(read_sample_pantry(sample, kitchen.catalogue).stock)} entries, in order"


def _check_file_names(folder: Path) -> None:
    """A table under a name that nothing reads is a table that silently does nothing."""
    known = tuple(dict.fromkeys(table.file for table in laid_over()))
    for item in items_of(folder):
        if item.name.endswith(".toml") and item.name not in known:
            right = ", ".join(known)
            raise InputProblem("is no table that can be laid over the shipped ones", file=str(item), right=right)


def _check_links(folder: Path, kitchen: Kitchen) -> None:
    """Names by which one table points into another."""
    catalogue = kitchen.catalogue
    for row in work_steps.TABLE.rows(folder):
        _check_known(row, "kind", row.names("kind"), catalogue.kinds())
    for row in cautions.TABLE.rows(folder):
        when = row.part("when")
        if when is not None:
            _check_known(when, "kind", when.names("kind"), catalogue.kinds())
            _check_ingredients(when, "ingredient", when.names("ingredient"), kitchen)
            _check_allergens(when, "allergen", when.names("allergen"))
    for row in INGREDIENTS.rows(folder):
        _check_allergens(row, "allergens", row.texts("allergens"))


def _doubtful_acids(kitchen: Kitchen) -> Iterator[str]:
    """Ingredients whose acids do not weigh what their figure of organic acids says."""
    molar_mass = {name: acid.molar_mass for name, acid in kitchen.catalogue.substances.acids.items()}
    for ingredient in kitchen.catalogue:
        if ingredient.acidity is None or ingredient.preferment is not None:
            continue
        groups = ingredient.acidity.groups
        grams = sum(mmol * molar_mass[name] / 1e4 for name, _, mmol in groups if name in ORGANIC & molar_mass.keys())
        said = ingredient.figure("organic_acids")
        if grams > 0 and abs(grams - said) > ACIDS_MAY_DIFFER * max(grams, said) + 0.05:
            yield f"  {clean(ingredient.name)}: organic_acids {said:g} g, but its acids weigh {grams:.2g} g in 100 g"


def _doubtful_tolerances(kitchen: Kitchen) -> Iterator[str]:
    """Tolerances in another unit than their reading's: the number is read in the reading's unit all the same."""
    for key, tolerance in kitchen.tolerances.items():
        reading = BY_KEY[key]
        units = ["% of the book"] if reading.percent_of_book else [reading.unit, reading.short_unit, reading.label]
        told = "% of the book" if tolerance.unit.startswith("% of the book") else tolerance.unit
        if told not in units:
            right = next(unit for unit in units if unit)
            yield f"  the tolerance of {key} is in {clean(tolerance.unit)!r}, but its number counts in {right!r}"


def _retired_keys(folder: Path) -> Iterator[str]:
    """Keys of an own table that once meant something."""
    for row in loaf_classes.TABLE.rows(folder):
        for key in sorted(loaf_classes.RETIRED.intersection(row.data)):
            yield f"  {row.file}, {row.where}: {key} has no effect any more and may go"


def _check_known(row: Row, key: str, names: Sequence[str], known: Iterable[str]) -> None:
    words = sorted(known)
    for name in names:
        if name not in words:
            raise row.fault(key, f"{name!r} is unknown", "one of " + ", ".join(words))


def _check_ingredients(row: Row, key: str, names: Sequence[str], kitchen: Kitchen) -> None:
    """Ingredients by their own names: an alias is never met in a formula, so it may only stand beside its name."""
    for name in names:
        try:
            meant = kitchen.catalogue.resolve(name).name
        except InputProblem as problem:
            raise row.fault(key, f"names an {problem.what}", problem.right) from None
        if meant not in names:
            raise row.fault(key, f"{name!r} is an alias", f"write {meant!r}")


def _check_allergens(row: Row, key: str, names: Sequence[str]) -> None:
    for name in names:
        if group_of(name) not in ALLERGEN_GROUPS:
            raise row.fault(key, f"{name!r} is no allergen group", "one of " + ", ".join(ALLERGEN_GROUPS))


def _doubtful_aliases(kitchen: Kitchen) -> list[str]:
    """Aliases that two ingredients claim: the first has it, so the second is not found by it."""
    found = []
    for ingredient in kitchen.catalogue:
        for alias in ingredient.aliases:
            meant = kitchen.catalogue.resolve(alias).name if spelling(alias) else ingredient.name
            if meant != ingredient.name:
                found.append(f"  {clean(alias)!r} of {clean(ingredient.name)} means {clean(meant)} already")
    return found
