"""Totals: what each gram brings, added up; sourdoughs taken apart; nothing lost on the way."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rows import each

from adapter.dough.models.acidity import solve_ph
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.stage_uses import pooled
from adapter.dough.readings.totals import BASE_KEYS, Composer
from adapter.formula.catalogue import load_catalogue
from adapter.formula.model import Formula, Line, StagePlan
from adapter.formula.problems import InputProblem

Read = Callable[..., Measured]

NAMES = sorted(load_catalogue().ingredients)
grams = st.floats(0.0, 2000.0)
amounts = st.dictionaries(st.sampled_from(NAMES), grams, min_size=1, max_size=8)


def total(kitchen: Kitchen, lines: list[Line]) -> dict[str, float]:
    return dict(zip(kitchen.composer.layout.keys, kitchen.composer.totals(lines), strict=True))


def test_sums_that_are_carried_on_are_those_of_a_fresh_start_to_the_last_digit(kitchen: Kitchen) -> None:
    flour, water, salt, honey = (Line(name, 500.0) for name in ("white wheat flour", "water", "salt", "honey"))
    kept = Composer(kitchen.catalogue)
    for lines in (
        [flour, water, salt],
        [flour, water, salt, honey],
        [flour, water.with_grams(310.7), salt, honey],
        [flour, water.with_grams(310.7), salt, honey.with_grams(0.1), water.with_grams(3.3)],
        [water, flour, salt],
        [],
        [flour, water, salt],
    ):
        found = kept.totals(lines)
        assert found == Composer(kitchen.catalogue).totals(lines)
        found[0] = -1.0  # what is handed out is the caller's own


# --- additive -------------------------------------------------------------------------------------


@given(amounts, amounts)
def test_mixing_adds_up(kitchen: Kitchen, first: dict[str, float], second: dict[str, float]) -> None:
    one = [Line(name, weight) for name, weight in first.items()]
    two = [Line(name, weight) for name, weight in second.items()]
    parts = (total(kitchen, one), total(kitchen, two))
    for key, value in total(kitchen, [*one, *two]).items():
        assert value == pytest.approx(parts[0][key] + parts[1][key], rel=1e-12, abs=1e-9), key


@given(amounts, st.floats(0.01, 50.0))
def test_a_larger_batch_is_a_multiple(kitchen: Kitchen, mixed: dict[str, float], times: float) -> None:
    once = total(kitchen, [Line(name, weight) for name, weight in mixed.items()])
    many = total(kitchen, [Line(name, times * weight) for name, weight in mixed.items()])
    for key, value in many.items():
        assert value == pytest.approx(times * once[key], rel=1e-9, abs=1e-9), key


@given(amounts)
def test_order_and_stages_do_not_matter(kitchen: Kitchen, mixed: dict[str, float]) -> None:
    lines = [Line(name, weight) for name, weight in mixed.items()]
    turned = [Line(name, weight, stage=f"stage {weight}") for name, weight in reversed(mixed.items())]
    for key, value in total(kitchen, turned).items():
        assert value == pytest.approx(total(kitchen, lines)[key], rel=1e-12, abs=1e-9)


# --- each ingredient ------------------------------------------------------------------------------


@each("name", NAMES)
def test_a_gram_is_a_gram_and_its_figures(name: str, kitchen: Kitchen) -> None:
    """Mass 1, figures per 100 g, flour and rye as parts of it, millimoles from mmol/kg."""
    ingredient = kitchen.catalogue.get(name)
    one = total(kitchen, [Line(name, 1.0, reaches=100.0)])  # mashed: whole fruit keeps acid and sugar to itself
    assert one["mass"] == 1.0
    assert 0 <= one["rye"] <= one["flour"] + 1e-12 <= 1 + 1e-12
    assert all(one[key] >= 0 for key in one if key not in ("fixed_charge", "held"))
    if ingredient.preferment:
        return
    for key, figure in ingredient.figures.items():
        written = "label_salt" if key == "salt" else key
        assert one[written] == pytest.approx(figure.value / 100, rel=1e-12)
    assert 0.0 <= one["salt"] <= one["label_salt"]
    assert one["dry_flour"] == pytest.approx(one["flour"] * (1 - one["water"]), rel=1e-12)
    acids: dict[str, float] = {}
    for group, _, mmol in ingredient.acidity.groups if ingredient.acidity else ():
        acids[group] = acids.get(group, 0.0) + mmol / 1000
    assert {key: value for key, value in one.items() if key not in BASE_KEYS and value} == pytest.approx(
        {key: value for key, value in acids.items() if value}
    )


@each("name", NAMES)
def test_an_ingredient_alone_has_its_own_ph(name: str, kitchen: Kitchen) -> None:
    """The strong ions are set at load so that neat, or as 10 g in 100 mL, it has the pH of the table.

    A sourdough's are set without its flour's own moisture: within 0.001 there.
    """
    acidity = kitchen.catalogue.get(name).acidity
    if acidity is None or acidity.ph is None:
        return
    one = kitchen.composer.totals([Line(name, 1000.0, reaches=100.0)])
    layout = kitchen.composer.layout
    litres = one[layout.index["water"]] / 1000 + (10.0 if acidity.slurry else 0.0)
    ph = solve_ph(one[layout.first_species :], layout.species, one[layout.index["fixed_charge"]], litres)
    assert ph == pytest.approx(acidity.ph.value, abs=1e-3 if kitchen.catalogue.get(name).preferment else 1e-9)


# --- sourdough ------------------------------------------------------------------------------------


@pytest.mark.parametrize("hydration", [None, 50.0, 80.0, 100.0, 160.0])
def test_a_sourdough_is_its_flour_its_water_and_its_acids(hydration: float | None, kitchen: Kitchen) -> None:
    """Flour inside counts as flour, rye as rye; water is the flour's own and what was added."""
    catalogue = kitchen.catalogue
    sour = catalogue.get("rye sourdough").preferment
    assert sour is not None
    share = 100 / (100 + (sour.hydration if hydration is None else hydration))
    one = total(kitchen, [Line("rye sourdough", 100.0, hydration=hydration)])
    flour = total(kitchen, [Line(sour.flour, 100.0 * share)])
    assert one["flour"] == one["prefermented"] == one["rye"] == pytest.approx(100 * share)
    assert one["water"] == pytest.approx(flour["water"] + 100 * (1 - share))
    for key in ("starch", "fibre", "protein", "ash", "wholegrain", "held", "liquefaction", "dry_flour"):
        assert one[key] == pytest.approx(flour[key]), key
    assert one["mass"] == 100.0
    assert one["cells"] * 1e10 == pytest.approx(100 * sour.cells_per_g * share * (100 + sour.hydration) / 100)


def test_acids_and_cells_of_a_sourdough_belong_to_its_flour(kitchen: Kitchen) -> None:
    """The same flour soured with more water holds the same millimoles."""
    firm = total(kitchen, [Line("rye sourdough", 160.0, hydration=60.0)])
    soft = total(kitchen, [Line("rye sourdough", 250.0, hydration=150.0)])
    for key in ("flour", "lactic", "acetic", "buffer 4.5", "fixed_charge", "cells"):
        assert firm[key] == pytest.approx(soft[key], rel=1e-12), key


def test_every_flour_counts_in_the_readings(read: Read) -> None:
    dough = read({"wholemeal rye flour": 300, "white wheat flour": 100, "rye sourdough": 200, "water": 250})
    assert dough.value("flour_mass") == pytest.approx(500)
    assert dough.value("rye_share") == pytest.approx(80)
    assert dough.value("prefermented_flour") == pytest.approx(20)
    assert dough.value("dough_mass") == pytest.approx(850)


@pytest.mark.parametrize(
    ("flour", "sourdough"),
    [
        ("wholemeal rye flour", "rye sourdough"),
        ("white wheat flour", "wheat sourdough"),
        ("wholemeal wheat flour", "wholemeal wheat sourdough"),
    ],
)
def test_flour_and_water_of_a_sourdough_stage_are_that_sourdough(flour: str, sourdough: str, kitchen: Kitchen) -> None:
    """150 g flour and 150 g water set to ripen are 300 g of ripe sourdough; only the water's own lime is over."""
    stage = "Sourdough, 14 h"
    ripened = total(kitchen, [Line(flour, 150.0, stage), Line("water", 150.0, stage)])
    ready = total(kitchen, [Line(sourdough, 300.0)])
    water = total(kitchen, [Line("water", 150.0)])
    for key, value in ripened.items():
        over = water[key] if key in ("carbonic", "ash", "salt", "label_salt", "fixed_charge") else 0.0
        missing = 150.0 - water["water"] if key == "water" else 0.0
        assert value - over + missing == pytest.approx(ready[key], rel=1e-9, abs=1e-9), key


def test_a_soaker_does_not_ripen(kitchen: Kitchen) -> None:
    for stage in ("dough", "soaker", "finish"):
        assert total(kitchen, [Line("wholemeal rye flour", 100.0, stage)])["prefermented"] == 0.0


# --- fermentation ---------------------------------------------------------------------------------


def test_acids_of_fermentation_come_with_yeast_and_only_then(read: Read) -> None:
    """What bakers' yeast makes is succinic, acetic and fixed charge as 4 : 2 : −6 [A]; none of it without gas."""
    plain = {"white wheat flour": 1000, "water": 600, "salt": 18}
    without, with_ = read(plain), read({**plain, "instant yeast": 5})
    assert without.acids_made == ()
    made = {with_.layout.keys[place]: amount for place, amount in with_.acids_made}
    assert made["succinic"] == pytest.approx(2.0 * made["acetic"])
    assert made["fixed_charge"] == pytest.approx(-3.0 * made["acetic"])
    assert 0.0 < made["succinic"] < 4.0
    assert with_.value("ph") < without.value("ph")


def test_a_pinch_of_yeast_brings_a_pinch_of_acid(read: Read) -> None:
    """0.1 mg of yeast in a kilo of flour is no sourer than none; a spoonful is."""
    plain = {"white wheat flour": 1000, "water": 600, "salt": 18}
    none = read(plain).value("ph")
    falls = [none - read({**plain, "fresh yeast": grams}).value("ph") for grams in (1e-4, 1e-3, 1e-2, 0.1, 1.0, 20.0)]
    assert falls == sorted(falls)
    assert falls[0] < 0.01
    assert falls[-1] > 0.5


def test_straight_dough_falls_to_about_5_2(read: Read) -> None:
    """A: from about 6.1 to 5.2; wheat dough falls to about 5.3 [P]. Here within 0.3."""
    plain = {"white wheat flour": 1000, "water": 600, "salt": 18}
    assert read(plain).value("ph") == pytest.approx(6.1, abs=0.2)
    assert read({**plain, "fresh yeast": 20}).value("ph") == pytest.approx(5.25, abs=0.3)


# --- no flour, unknown things ---------------------------------------------------------------------


@pytest.mark.parametrize("mixed", [{}, {"water": 100}, {"white wheat flour": 0, "water": 100}, {"butter": 3}])
def test_a_formula_without_flour_is_one_line(mixed: dict[str, float], read: Read) -> None:
    with pytest.raises(InputProblem, match="flour"):
        read(mixed)


def test_a_composer_of_its_own_agrees(kitchen: Kitchen, dark_loaf: Formula) -> None:
    """Vectors are kept once worked out: a fresh composer gives the same to the last digit."""
    fresh = Composer(kitchen.catalogue)
    for _ in range(3):
        assert fresh.totals(dark_loaf.lines) == kitchen.composer.totals(dark_loaf.lines)


def test_a_sum_is_carried_on_from_the_first_line_that_differs(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Formulas of a list of swaps begin alike: only what comes after that is added up anew."""
    composer, added = Composer(kitchen.catalogue), []
    sparse = composer._sparse
    monkeypatch.setattr(composer, "_sparse", lambda key, line, uses: added.append(line) or sparse(key, line, uses))
    flour, water, salt, honey = (Line(name, 500.0) for name in ("white wheat flour", "water", "salt", "honey"))
    for lines, anew in (
        ([flour, water, salt], 3),
        ([flour, water, salt], 0),
        ([flour, water, salt, honey], 1),
        ([flour, water, salt.with_grams(9.0), honey], 2),
        ([water, flour, salt], 3),
    ):
        added.clear()
        composer.totals(lines)
        assert len(added) == anew, lines


def test_of_what_has_gone_whole_nothing_is_left_by_rounding(kitchen: Kitchen) -> None:
    """Syrups gone from a sum leave no trace of sugar, be there much or little of it; a speck that stays, stays."""
    composer, flour = kitchen.composer, Line("white wheat flour", 500.0)
    for size in (1.0, 1e-6, 1e4):
        weights = {"honey": 33.3, "molasses": 47.1, "maple syrup": 12.7, "rice syrup": 5.9}
        syrups = [Line(name, size * grams) for name, grams in weights.items()]
        before = pooled(syrups, {})
        totals = composer.totals_of(before)
        left = composer.totals_near(totals, before, pooled([flour], {}))
        fresh = composer.totals([flour])
        assert [place for place, value in enumerate(left) if bool(value) is not bool(fresh[place])] == []
        assert left == pytest.approx(fresh, rel=1e-9, abs=1e-9 * size)
        speck = [syrups[0].with_grams(1e-10 * syrups[0].grams)]
        little = composer.totals_near(totals, before, pooled(speck, {}))
        assert little[composer.layout.index["fructose"]] > 0.0


def test_acids_made_are_all_that_the_lines_did_not_bring(read: Read) -> None:
    """In a sourdough that is followed for its hours, and in the proof of the dough that it raises."""
    lines = (
        Line("rye sourdough", 20.0, "sour"), Line("wholemeal rye flour", 180.0, "sour"), Line("water", 160.0, "sour"),
        Line("white wheat flour", 300.0), Line("water", 200.0), Line("salt", 9.0), Line("fresh yeast", 4.0),
    )  # fmt: skip
    dough = read(Formula("sour", lines, plans=(StagePlan("sour", "sourdough", 14.0, 27.0),)))
    brought = dough.kitchen.composer.totals(lines, dough.uses)
    made = {dough.layout.keys[place]: amount for place, amount in dough.acids_made}
    for key in ("lactic", "acetic", "succinic", "fixed_charge"):
        place = dough.layout.index[key]
        assert made[key] == pytest.approx(dough.totals[place] - brought[place], rel=1e-9), key
    ((stage,),) = (dough.stages,)
    assert 0.0 < stage.end.made()[0] * 0.36 < made["lactic"], "mmol to the kg of 360 g, and more in the proof"


def test_what_white_flour_may_hold_is_unsure_of_every_other_flour(kitchen: Kitchen) -> None:
    """Held water counts beyond that of white flour, by which all are compared: more there is less here, and none of
    what is no flour. Of a sourdough as much as it has of flour.
    """
    index, white = kitchen.composer.layout.index, kitchen.catalogue.get("white wheat flour").properties["held_water"]
    sour = kitchen.catalogue.get("rye sourdough").preferment
    assert white.spread > 0.0 and sour is not None
    shares = {"wholemeal rye flour": 1.0, "rye sourdough": 100.0 / (100.0 + sour.hydration), "kefir": None}
    for name, share in {**shares, "white wheat flour": None}.items():
        moved = dict(kitchen.composer.directions(Line(name, 1.0))).get(("white wheat flour", "held_water"))
        assert moved == (None if share is None else ((index["held"], pytest.approx(-share * white.spread)),)), name
