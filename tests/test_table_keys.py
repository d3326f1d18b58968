"""Every key of every table does something: whatever the tables say is looked at by what works out or shows."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import fields, replace
from datetime import datetime

import pytest

from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.plan import bake_plan
from adapter.dough.bake.ripe_by import ripe_by
from adapter.dough.bake.stages import stage_rows
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.dough.tables.bands import Band, Style, Tolerance
from adapter.dough.tables.cautions import Caution
from adapter.dough.tables.loaf_classes import LoafClass
from adapter.dough.tables.stage_kinds import StageKind
from adapter.dough.tables.work_steps import WorkStep
from adapter.dough.why.explain_bake import BAKE_KEYS, explain_bake
from adapter.dough.why.explain_reading import explain
from adapter.exports.forms import export_text, formula_forms
from adapter.files.formula_file import read_sample
from adapter.files.places import samples
from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Acidity, Contents, Figure, Ingredient, Preferment
from adapter.formula.model import Formula, Line, StagePlan
from adapter.formula.substances import Acid, Sugar
from adapter.swaps.rules import MostOfFlour, Rule, ShareLimit
from adapter.swaps.swapper import Swapper
from adapter.words.offer_words import step_text
from adapter.words.reader_options import reasons_of
from adapter.words.reports import ingredients_report, offers_report
from adapter.work.checking import _doubtful_acids, _doubtful_tolerances

ROWS = (
    Acid, Acidity, Band, Caution, Contents, Figure, Ingredient, LoafClass, MostOfFlour, Preferment, Rule, ShareLimit,
    StageKind, Style, Sugar, Tolerance, WorkStep,
)  # fmt: skip
OF_ITSELF = frozenset(("tag", "source", "basis", "name", "note", "key", "reading", "style", "family", "say"))
"""What a row says of itself: by what it is found, in what its numbers are and where they
are from. A row without is refused."""
BY_ITSELF = frozenset(("__eq__", "__hash__", "__repr__", "__init__", "__post_init__", "replace", "_replace"))


@contextmanager
def watched() -> Iterator[set[tuple[type, str]]]:
    """What is looked at meanwhile: the class of the row and the name of the field."""
    looked_at: set[tuple[type, str]] = set()
    before = {}

    def watching(kind: type) -> Callable[[object, str], object]:
        def look(row: object, name: str) -> object:
            if sys._getframe(1).f_code.co_name not in BY_ITSELF:
                looked_at.add((kind, name))
            return object.__getattribute__(row, name)

        return look

    for kind in ROWS:
        before[kind] = kind.__getattribute__
        kind.__getattribute__ = watching(kind)  # type: ignore[method-assign, assignment]
    try:
        yield looked_at
    finally:
        for kind in ROWS:
            kind.__getattribute__ = before[kind]  # type: ignore[method-assign]


def use_everything(kitchen: Kitchen, formula: Formula, swapper: Callable[[Formula], Swapper]) -> None:
    measured = measure(kitchen, formula)
    for key in READING_KEYS:
        explain(measured, key)
    plan = bake_plan(measured, BakeInputs(), datetime(2031, 5, 4, 8, 0))
    for key in BAKE_KEYS:
        if key != "tin" or plan.tin_fill is not None:
            explain_bake(measured, plan, key)
    for form in formula_forms():
        export_text(measured, form.suffix)
    swaps = swapper(formula)
    for place in range(min(len(formula.lines), 5)):
        offers = swaps.offers(place)
        offers_report(offers, None)
        for offer in offers[:2]:
            step_text(offer.step())
    reasons_of(swaps.rules)
    catalogue = Catalogue(kitchen.catalogue.ingredients, kitchen.catalogue.substances)
    ingredients_report(catalogue.search("rye"))


def let_stages_ripen(kitchen: Kitchen) -> None:
    lines = (
        Line("rye sourdough", 20.0, "sourdough"), Line("wholemeal rye flour", 100.0, "sourdough"),
        Line("water", 100.0, "sourdough"), Line("fresh yeast", 0.3, "poolish"),
        Line("white wheat flour", 100.0, "poolish"), Line("water", 100.0, "poolish"),
    )  # fmt: skip
    formula = Formula("two stages", lines, plans=(StagePlan("poolish", hours=12.0), StagePlan("sourdough", hours=12.0)))
    for row in stage_rows(measure(kitchen, formula)):
        ripe_by(kitchen, formula, row.stage, 12.0, 24.0)
        ripe_by(kitchen, formula, row.stage, 14.0, None, 8.0 if row.kind == "sourdough" else 0.2)


@pytest.fixture(scope="module")
def looked_at(kitchen: Kitchen, swapper: Callable[[Formula], Swapper], dark_loaf: Formula) -> set[tuple[type, str]]:
    with watched() as seen:
        for item in samples()[:2]:
            use_everything(kitchen, read_sample(item, kitchen.catalogue), swapper)
        use_everything(kitchen, dark_loaf, swapper)
        let_stages_ripen(kitchen)
        assert [*_doubtful_acids(kitchen), *_doubtful_tolerances(kitchen)] == []
    return seen


@pytest.mark.parametrize("kind", ROWS)
def test_every_key_is_looked_at(kind: type, looked_at: set[tuple[type, str]]) -> None:
    told = {field.name for field in fields(kind) if field.metadata.get("keys", True)} - OF_ITSELF
    assert sorted(name for name in told if (kind, name) not in looked_at) == []


def test_a_tolerance_in_another_unit_than_its_reading_is_told(kitchen: Kitchen) -> None:
    grams = replace(kitchen.tolerances["salt"], unit="g")
    (line,) = _doubtful_tolerances(replace(kitchen, tolerances={**kitchen.tolerances, "salt": grams}))
    assert "salt is in 'g'" in line and "'% of flour'" in line
