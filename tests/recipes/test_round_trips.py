"""Formulas written as JSON-LD, Markdown and CSV and read again keep every gram."""

from __future__ import annotations

import random
from importlib.resources import files

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import measure
from adapter.exports.forms import export_text
from adapter.files.formula_file import read_sample
from adapter.formula.model import Formula, Line
from adapter.recipes.lines import LineReader
from adapter.recipes.read_recipe import formula_of
from adapter.recipes.sources import read_bytes

SAMPLES = sorted(
    path.name
    for path in files("sample_formulas").iterdir()
    if path.name.endswith(".toml") and path.name != "pantry.toml"
)


def _again(formula: Formula, suffix: str, kitchen: Kitchen, reader: LineReader) -> Formula:
    text = export_text(measure(kitchen, formula), suffix)
    recipe = read_bytes(text.encode(), reader, f"loaf{suffix}")[0]
    assert [line.text for line in recipe.lines if not line.sure] == []
    return formula_of(recipe, kitchen.catalogue)


@pytest.mark.parametrize("suffix", [".jsonld", ".md", ".csv"])
@pytest.mark.parametrize("sample", SAMPLES)
def test_samples_keep_every_gram(sample: str, suffix: str, kitchen: Kitchen, reader: LineReader) -> None:
    formula = read_sample(files("sample_formulas") / sample, kitchen.catalogue)
    again = _again(formula, suffix, kitchen, reader)
    assert [(line.ingredient, line.grams) for line in again.lines] == [
        (line.ingredient, line.grams) for line in formula.lines
    ]
    if suffix != ".jsonld":
        assert [line.stage for line in again.lines] == [line.stage for line in formula.lines]
    if suffix == ".md":
        assert (again.name, again.tin, again.bake) == (formula.name, formula.tin, formula.bake)


@pytest.mark.parametrize("suffix", [".jsonld", ".csv"])
def test_every_ingredient_of_the_tables_comes_back(suffix: str, kitchen: Kitchen, reader: LineReader) -> None:
    draw = random.Random(5)
    names = [item.name for item in kitchen.catalogue]
    lines = tuple(Line(name, round(draw.uniform(0.5, 900), draw.choice((0, 1, 2)))) for name in names)
    faults = []
    text = export_text(measure(kitchen, Formula("All of it", lines)), suffix)
    read = read_bytes(text.encode(), reader, f"all{suffix}")[0].lines
    assert len(read) == len(lines)
    for line, found in zip(lines, read, strict=True):
        if (found.ingredient, found.grams) != (line.ingredient, line.grams):
            faults.append(f"{line.grams} g {line.ingredient}: {found.grams} g {found.ingredient}")
    assert not faults, "\n".join(faults)
