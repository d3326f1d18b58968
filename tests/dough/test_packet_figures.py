"""The figures that a packet could replace: what the table has, and the inverse of laying own figures over it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from catalogues import with_ingredient

from adapter.dough.own_figures import own
from adapter.dough.packet_figures import LABELS, figures_of, with_usual_spread
from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import measure
from adapter.formula.model import Formula, Line
from adapter.formula.pantry import MEASUREMENT_KEYS, Measured, Measurement
from adapter.formula.problems import InputProblem
from adapter.words.stock_words import recalibrated
from adapter.words.text_report import figure_text


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return load_kitchen()


def test_every_figure_has_a_name() -> None:
    assert set(LABELS) == set(MEASUREMENT_KEYS)


def test_an_own_figure_is_read_back_as_it_was_given(kitchen: Kitchen) -> None:
    """own() and figures_of() are each other's inverse, for every ingredient and figure of the tables."""
    tried = 0
    for ingredient in kitchen.catalogue:
        for key, figure in figures_of(ingredient).items():
            given = Measured(figure.value * 0.97 + (0.1 if figure.value == 0 else 0.0), 0.02)
            try:
                found = figures_of(own(ingredient, Measurement(**{key: given})))
            except InputProblem:
                continue
            tried += 1
            assert found[key].value == pytest.approx(given.value, rel=1e-9), (ingredient.name, key)
    assert tried > 800


# CH3COOH is 60.052 g/mol (NIST Chemistry WebBook): 5 g in 100 g are 0.0833 mol, titrated by 83.3 mL of 0.1 M NaOH
# per 10 g; to pH 8.5 and from pH 3 all but a few parts in a hundred of it.
def test_tta_of_vinegar_by_stoichiometry(kitchen: Kitchen) -> None:
    figures = figures_of(kitchen.catalogue.get("cider vinegar"))
    assert figures["acid_percent"].value == pytest.approx(5.0, abs=0.05)
    assert figures["tta"].value == pytest.approx(figures["acid_percent"].value * 1000 / 60.052, rel=0.03)


def test_composition_of_a_sourdough_is_not_asked_for(kitchen: Kitchen) -> None:
    assert set(figures_of(kitchen.catalogue.get("rye sourdough"))) == {"ph", "tta"}


def test_a_spread_where_none_was_given() -> None:
    assert with_usual_spread("ph", Measured(4.0)).spread == 0.05
    assert with_usual_spread("sugar", Measured(4.0)).spread == pytest.approx(0.2)
    assert with_usual_spread("sugar", Measured(4.0, 1.0)).spread == 1.0


def test_what_a_figure_changes_is_named_largest_first(kitchen: Kitchen) -> None:
    formula = Formula("x", (Line("wholemeal rye flour", 500.0), Line("kefir", 400.0), Line("salt", 9.0)))
    before = measure(kitchen, formula)
    assert recalibrated(before, before) == ""
    changed = own(kitchen.catalogue.get("kefir"), Measurement(ph=Measured(4.0)))
    after = measure(replace(kitchen, catalogue=with_ingredient(kitchen.catalogue, changed)), formula)
    said = recalibrated(before, after)
    was, now = (figure_text("ph", measured.value("ph")) for measured in (before, after))
    assert f"pH {was} ± " in said and f"→ {now} ± " in said
    assert "salt" not in said
