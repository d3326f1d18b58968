"""What a list says of a swap in closed form, against the same swap with its own proof followed hour by hour."""

from __future__ import annotations

from pathlib import Path

import pytest

from adapter.dough.models.near_rise import NearRise
from adapter.dough.readings.kitchen import Kitchen
from adapter.files.formula_file import read_sample
from adapter.swaps.bench import Bench
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule
from adapter.swaps.swapper import Swapper
from adapter.swaps.yeast import yeast_grams

SAMPLES = Path(__file__).parents[2] / "sample_formulas"
NAMES = sorted(path.name for path in SAMPLES.glob("*.toml") if path.name != "pantry.toml")
MOST_DRIFT, MOST_PH, MOST_HOURS = 0.2, 0.03, 0.15
PINCH_G, GRAM = 0.35, 1.05
"""Three steps of the scale below 10 g of yeast, where a sourdough makes most of the gas, and one from there on."""


@pytest.mark.parametrize("name", NAMES)
def test_a_listed_swap_is_nearly_the_refined_one(
    name: str, kitchen: Kitchen, rules: list[Rule], solver: Solver
) -> None:
    formula = read_sample(SAMPLES / name, kitchen.catalogue)
    swapper = Swapper(kitchen, rules, formula, solver)
    in_closed_form = 0
    for place in range(len(formula.lines)):
        for listed in swapper.offers(place)[::4]:
            refined = swapper.refined(listed)
            assert listed.listed and not refined.listed
            rise = listed.after.rise
            in_closed_form += isinstance(rise, NearRise) and not rise.is_followed
            grams = yeast_grams(refined.after)
            told = (formula.lines[place].ingredient, listed.chosen, listed.share_percent)
            assert abs(yeast_grams(listed.after) - grams) <= (PINCH_G if grams < 9.95 else GRAM), told
            assert abs(listed.drift - refined.drift) <= MOST_DRIFT, told
            first, second = listed.after.value, refined.after.value
            assert abs(first("ph") - second("ph")) <= MOST_PH, told
            assert first("rise_time") == pytest.approx(second("rise_time"), abs=MOST_HOURS), told
    assert in_closed_form > 5


def test_what_is_taken_from_a_list_is_the_refined_swap(kitchen: Kitchen, rules: list[Rule], solver: Solver) -> None:
    """To the last digit the swap that is asked for by name."""
    formula = read_sample(SAMPLES / "hut_everyday_loaf.toml", kitchen.catalogue)
    bench = Bench.open(kitchen, rules, solver, formula)
    (place,) = formula.find("sour whey")
    listed = bench.offers(place)[2]
    swap = bench.swapper().free_swap((place,), listed.chosen, listed.share_percent)
    if swap.rule != listed.rule:
        swap = bench.swapper().solve(listed.request)
    bench.apply(listed)
    assert bench.formula.lines == swap.after.formula.lines
    assert bench.now.value("ph") == swap.after.value("ph")
