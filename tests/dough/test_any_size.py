"""A thimble of dough is the same dough: laboratories knead doughs of a gram of flour, and bake by them.

What counts in % of flour, in hours and in °C stays the same where every weight is a thousandth; what counts in grams is
a thousandth. No weight here is above a gram, so that nothing may hang on a gram being much or little.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from adapter.dough.bake.mending import stage_notes
from adapter.dough.bake.mixing import Temperatures, mixing_plan, unwarmed_c
from adapter.dough.bake.ripe_by import builds, ripe_by
from adapter.dough.bake.stages import stage_rows
from adapter.dough.readings.differences import difference
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.dough.why.explain_reading import explain
from adapter.formula.model import Formula, Line, Proof, StagePlan
from adapter.swaps.candidates import candidates
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes

THIMBLE = 1e-3
MASSES = ("flour_mass", "dough_mass")
BY_SIZE = (*MASSES, "starch_attack")
"""The starch attack hangs on how fast a loaf of its size is hot."""

LOAF = Formula(
    "loaf",
    (
        Line("wheat sourdough", 30.0, "levain"), Line("white wheat flour", 120.0, "levain"),
        Line("water", 120.0, "levain"),
        Line("white wheat flour", 150.0, "poolish"), Line("water", 150.0, "poolish"),
        Line("fresh yeast", 0.4, "poolish"),
        Line("linseed", 40.0, "soaker"), Line("water", 80.0, "soaker"),
        Line("white wheat flour", 450.0), Line("wholemeal rye flour", 130.0), Line("wheat bran", 20.0),
        Line("buttermilk", 180.0), Line("water", 110.0), Line("honey", 35.0), Line("molasses", 12.0),
        Line("butter", 25.0), Line("salt", 17.0), Line("fresh yeast", 6.0), Line("baking soda", 1.5),
    ),
    proof=Proof(27.0, 70.0),
    plans=(StagePlan("levain", "sourdough", 5.0, 26.0), StagePlan("poolish", "poolish", 12.0, 20.0)),
)  # fmt: skip


def thimble_of(formula: Formula) -> Formula:
    return formula.with_lines(line.with_grams(THIMBLE * line.grams) for line in formula.lines)


@pytest.fixture(scope="module")
def both(kitchen: Kitchen) -> tuple[Measured, Measured]:
    return measure(kitchen, LOAF), measure(kitchen, thimble_of(LOAF))


def test_readings_with_their_spreads_and_reasons(both: tuple[Measured, Measured]) -> None:
    large, small = both
    assert max(line.grams for line in small.formula.lines) < 1.0
    for key in READING_KEYS:
        times = THIMBLE if key in MASSES else 1.0
        if key in BY_SIZE[-1:]:
            continue
        assert small.value(key) == pytest.approx(times * large.value(key), rel=1e-5), key
        assert small.spread(key) == pytest.approx(times * large.spread(key), rel=1e-3, abs=1e-9), key
        shown, other = explain(large, key), explain(small, key)
        assert [each.ingredient for each in other.inputs] == [each.ingredient for each in shown.inputs], key
        assert [each.amount for each in other.inputs] == pytest.approx([THIMBLE * each.amount for each in shown.inputs])
        assert [each.effect for each in other.contributors[:6]] == pytest.approx(
            [times * each.effect for each in shown.contributors[:6]], rel=5e-3, abs=1e-7
        ), key


def test_what_a_change_of_it_moves(kitchen: Kitchen, both: tuple[Measured, Measured]) -> None:
    """Less honey and a line of malt syrup more: the same change. (Its spread is not: a scale has its steps.)"""
    changed = [line.with_grams(20.0) if line.ingredient == "honey" else line for line in LOAF.lines]
    other = LOAF.with_lines((*changed, Line("malt syrup", 15.0)))
    afters = [measure(kitchen, formula) for formula in (other, thimble_of(other))]
    for key in READING_KEYS:
        if key not in BY_SIZE:
            first, second = (difference(before, after, key) for before, after in zip(both, afters, strict=True))
            assert second.change == pytest.approx(first.change, rel=1e-3, abs=1e-6), key


def test_its_stages_and_what_mends_them(both: tuple[Measured, Measured]) -> None:
    large, small = (stage_rows(measured) for measured in both)
    assert [row.stage for row in small] == ["levain", "poolish"]
    for one, other in zip(large, small, strict=True):
        assert other.grams == pytest.approx(THIMBLE * one.grams)
        assert (other.ph, other.tta, other.rise_percent) == pytest.approx((one.ph, one.tta, one.rise_percent), rel=1e-4)
        assert one.ripe_h is not None and other.ripe_h is not None
        assert other.ripe_h.value == pytest.approx(one.ripe_h.value, rel=1e-3) and other.state == one.state
        amounts = [[amount.grams for amount in row.steps[0].amounts] for row in (one, other)]
        assert amounts[1] == pytest.approx([THIMBLE * grams for grams in amounts[0]])
    told = [[note.text.split(" g ")[0] for note in stage_notes(each, stage_rows(each))] for each in both]
    without_grams = [[text.rpartition(", or ")[0] for text in side] for side in told]
    assert without_grams[0] == without_grams[1] and any(without_grams[0])


def test_the_water_that_it_takes(kitchen: Kitchen) -> None:
    """Of what weighs ten milligrams at least: less than a scale could ever show brings no warmth."""
    poured = LOAF.with_lines(line for line in LOAF.lines if line.grams >= 10.0)
    dry = poured.with_lines(line for line in poured.lines if line.ingredient != "water")
    hints = []
    for formula in (poured, dry):
        bowls = [measure(kitchen, each) for each in (formula, thimble_of(formula))]
        for places in (Temperatures(), Temperatures(room_c=34.0, tap_c=24.0), Temperatures(room_c=8.0, fridge_c=3.0)):
            for wanted_c in (16.0, 24.0, 30.0):
                large, small = (mixing_plan(measured, wanted_c, places) for measured in bowls)
                assert small.liquid.reachable is large.liquid.reachable
                assert small.liquid.balance_c == pytest.approx(large.liquid.balance_c)
                assert small.liquid.ice_g == pytest.approx(THIMBLE * large.liquid.ice_g)
                assert (small.dough_c, small.rule_c) == pytest.approx((large.dough_c, large.rule_c))
                assert small.hint.partition(" from ")[2] == large.hint.partition(" from ")[2]
                hints.append(large.hint)
            assert unwarmed_c(bowls[1], places) == pytest.approx(unwarmed_c(bowls[0], places))
    assert any(hints) and not all(hints)


def test_a_stage_that_is_to_be_ripe_at_a_time(kitchen: Kitchen) -> None:
    for formula, stage, hours in ((LOAF, "levain", 8.0), (LOAF, "poolish", 14.0)):
        large, small = (ripe_by(kitchen, each, stage, hours, 23.0) for each in (formula, thimble_of(formula)))
        assert small.starter_percent == pytest.approx(large.starter_percent, rel=2e-3)
        assert small.starter_g == pytest.approx(THIMBLE * large.starter_g, rel=2e-3)
        lines = [[line.grams for line in each.formula.lines] for each in (large, small)]
        assert lines[1] == pytest.approx([THIMBLE * grams for grams in lines[0]], rel=2e-3)


def test_builds_of_a_little_starter(kitchen: Kitchen) -> None:
    for hours in (None, 16.0, 24.0):
        large = builds(kitchen, "wheat sourdough", 30.0, 700.0, hours, 25.0)
        small = builds(kitchen, "wheat sourdough", 0.03, 0.7, hours, 25.0)
        assert [build.hours for build in small] == pytest.approx([build.hours for build in large], rel=1e-3)
        grams = [[amount.grams for build in each for amount in build.amounts] for each in (large, small)]
        assert grams[1] == pytest.approx([THIMBLE * each for each in grams[0]], rel=1e-3)


# --- swaps ----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def swappers(swapper: Callable[[Formula], Swapper]) -> tuple[Swapper, Swapper]:
    return swapper(LOAF), swapper(thimble_of(LOAF))


def test_the_same_swaps_fit_with_a_thousandth_of_the_grams(swappers: tuple[Swapper, Swapper]) -> None:
    large, small = swappers
    for place, line in enumerate(LOAF.lines):
        fitting = [list(each.fitting(place, ())) for each in swappers]
        assert fitting[1] == fitting[0] and (fitting[0] or line.ingredient == "baking soda")
        for rule, out, chosen in fitting[0][:: max(len(fitting[0]) // 3, 1)]:
            grams = large.typical_amounts(rule, out, chosen)
            assert small.typical_amounts(rule, out, chosen) == pytest.approx(
                [THIMBLE * each for each in grams], rel=1e-3, abs=1e-6
            ), (rule.id, chosen)


def test_the_same_lines_are_called_for(
    swappers: tuple[Swapper, Swapper], swapper: Callable[[Formula], Swapper]
) -> None:
    """Of a hundredth, where honey is a third of a gram: all but what would come in with less than a twentieth."""
    wishes = Wishes(ruled_out=dict.fromkeys(("honey", "buttermilk", "butter", "wheat bran", "linseed"), "said"))
    hundredth = swapper(LOAF.with_lines(line.with_grams(0.01 * line.grams) for line in LOAF.lines))
    large, small = (candidates(each, wishes, frozenset()) for each in (swappers[0], hundredth))
    assert [each.name for each in small] == [each.name for each in large if all(g >= 5.0 for g in each.typical)]
    assert {LOAF.lines[place].ingredient for each in small for place in each.places} >= set(wishes.ruled_out)
