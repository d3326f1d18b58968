"""Everything of a formula besides its weights, as it is typed: and every field takes back what it shows."""

from __future__ import annotations

import pytest

from adapter.dough.models.tin import tapered_volume_l
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Bake, Formula, Line, Proof, Spell, StagePlan, Tin
from adapter.formula.problems import InputProblem
from adapter.work.formula_fields import (
    formula_fields,
    in_stage,
    line_fields,
    moved_line,
    moved_stage,
    tin_shown,
    tin_typed,
    with_formula_field,
    with_line_field,
)

LOAF = Formula(
    "Loaf",
    (
        Line("linseed", 40, "soaker"),
        Line("water", 60, "soaker"),
        Line("wholemeal rye flour", 400, "dough", note="fresh", temperature_c=18.5),
        Line("rye sourdough", 100, "dough", hydration=90),
    ),
    pieces=2,
    tin=Tin(0.24, 0.11, 0.21, 0.09, 0.095, True),
    proof=Proof(26.5, 80),
    bake=Bake(230, 96),
    note="Mix.\nBake.",
    plans=(StagePlan("dough", None, None, None, (Spell(1, 26), Spell(12, 5))), StagePlan("soaker", None, 8, 20)),
)


def test_every_field_takes_back_what_it_shows(catalogue: Catalogue) -> None:
    for field in formula_fields(LOAF):
        assert with_formula_field(LOAF, field.key, field.value) == LOAF, field
    for place in range(len(LOAF.lines)):
        for field in line_fields(LOAF, place, catalogue):
            assert with_line_field(LOAF, place, field.key, field.value) == (LOAF, place), field


@pytest.mark.parametrize(
    ("text", "sides", "lidded"),
    [
        ("24 x 11 x 9", (0.24, 0.11, 0.24, 0.11, 0.09), False),
        ("24×11×9 cm with lid", (0.24, 0.11, 0.24, 0.11, 0.09), True),
        ("rim 24 x 11, base 21 x 9, 9.5 high", (0.24, 0.11, 0.21, 0.09, 0.095), False),
        ("9 in x 5 in x 3 in", (0.2286, 0.127, 0.2286, 0.127, 0.0762), False),
        ("9 x 5 x 2.75 in", (0.2286, 0.127, 0.2286, 0.127, 0.06985), False),
        ('9x5x3", with lid', (0.2286, 0.127, 0.2286, 0.127, 0.0762), True),
        ("240 x 110 x 90 mm", (0.24, 0.11, 0.24, 0.11, 0.09), False),
    ],
)
def test_a_tin_is_typed_as_it_is_measured(text: str, sides: tuple[float, ...], lidded: bool) -> None:
    tin = tin_typed(text)
    assert tin is not None and tin.lidded is lidded
    measured = (tin.top_length_m, tin.top_width_m, tin.bottom_length_m, tin.bottom_width_m, tin.height_m)
    assert measured == pytest.approx(sides)
    assert tin_typed(tin_shown(tin)) == tin


@pytest.mark.parametrize(
    ("text", "litres"), [("20 cm round", 2.2), ("round, 8 in", 2.2), ("2 lb loaf tin", 2.0), ("1.5 litres", 1.5)]
)
def test_a_tin_told_otherwise_is_about_as_large(text: str, litres: float) -> None:
    tin = tin_typed(text)
    assert tin is not None
    sides = (tin.top_length_m, tin.top_width_m, tin.bottom_length_m, tin.bottom_width_m, tin.height_m)
    assert tapered_volume_l(*sides) == pytest.approx(litres, rel=0.15)


@pytest.mark.parametrize(
    ("key", "text"),
    [("tin", "24 x 11"), ("tin", "large"), ("tin", "20 cm"), ("pieces", "0"), ("pieces", "two"), ("oven_c", "900"),
     ("name", " "), ("rise", "much"), ("core_c", "20"), ("proof_c", "warm"), ("time of dough", "long"),
     ("name of dough", "")],
)  # fmt: skip
def test_what_cannot_be_is_one_line(key: str, text: str) -> None:
    with pytest.raises(InputProblem, match=r"is no (?!amount)|cannot be|out of reach|needs a name|hours"):
        with_formula_field(LOAF, key, text)


def test_only_a_sourdough_is_asked_for_its_water(catalogue: Catalogue) -> None:
    asked = [[field.key for field in line_fields(LOAF, place, catalogue)] for place in range(len(LOAF.lines))]
    assert ["hydration" in keys for keys in asked] == [False, False, False, True]


def test_a_line_goes_into_a_stage_that_is_there_or_a_new_one() -> None:
    formula, at = in_stage(LOAF, 2, "Soaker")
    assert at == 2 and formula.lines[2].stage == "soaker" and formula.stages() == ("soaker", "dough")
    formula, at = in_stage(LOAF, 3, "sourdough")
    assert at == 2 and formula.lines[2].ingredient == "rye sourdough"
    assert formula.stages() == ("soaker", "sourdough", "dough")
    formula, at = in_stage(LOAF, 1, "scald")
    assert at == 1 and formula.stages() == ("soaker", "scald", "dough"), "stages written one after the other stay so"


def test_a_line_moves_over_the_edge_of_its_stage_and_a_stage_with_its_lines() -> None:
    formula, at = moved_line(LOAF, 1, 1)
    assert at == 1 and formula.lines[1].stage == "dough"
    formula, at = moved_line(formula, 1, 1)
    assert at == 2 and [line.ingredient for line in formula.lines][1:3] == ["wholemeal rye flour", "water"]
    turned = moved_stage(LOAF, "dough", -1)
    assert turned.stages() == ("dough", "soaker") and set(turned.lines) == set(LOAF.lines)
    assert with_formula_field(LOAF, "name of soaker", "seeds").stages() == ("seeds", "dough")
    assert with_formula_field(LOAF, "name of soaker", "seeds").plan_of("seeds") is not None
