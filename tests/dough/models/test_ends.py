"""Where models end: what cannot be is refused in a sentence; nothing to go over to, or no time for it, is nothing."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from adapter.dough.models.acidity import Species, charge, solve_ph
from adapter.dough.models.bubbles import Bubbles
from adapter.dough.models.course import Living
from adapter.dough.models.growing_acids import GROWING, GrowingAcids
from adapter.dough.models.heat import HeatLine, liquid_temperature, rule_of_factors, specific_heat
from adapter.dough.models.oven_kinds import crust_minutes
from adapter.dough.models.warmth import Place, cooling_hours, mean_warmth, places
from adapter.dough.models.yeast import effective_yeast
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import READINGS
from adapter.dough.readings.water_activity import INPUTS, of_food
from adapter.formula.model import Proof

LEAN = {"white wheat flour": 600.0, "water": 380.0, "salt": 11.0, "fresh yeast": 8.0}


@pytest.fixture(scope="module")
def dough(read: Callable[..., Measured]) -> Measured:
    return read(LEAN, proof=Proof(26.0, 60.0))


def test_what_cannot_be_is_refused(dough: Measured) -> None:
    medium, bubbles = dough.rise.medium, dough.rise.bubbles
    water = [HeatLine("water", 100.0, 4.18, 12.0, is_liquid=True)]
    for what, said in (
        (lambda: replace(bubbles, dough_ml=0.0), "a dough's volume has to be above zero"),
        (lambda: replace(bubbles, air=-0.1), "a dough's air has to be above zero"),
        (lambda: Bubbles(150.0, 60.0, 0.06, math.inf), "a dough's retention has to be above zero"),
        (lambda: replace(medium, water_g=0.0), "a living stage needs flour and water"),
        (lambda: replace(medium, flour_g=0.0), "a living stage needs flour and water"),
        (lambda: replace(medium, slurry_litres=0.0), "a living stage needs flour and water"),
        (lambda: specific_heat({"water": 1.0}, -0.1), "from 0 to 150 °C"),
        (lambda: specific_heat({"water": 1.0}, 150.1), "from 0 to 150 °C"),
        (lambda: specific_heat({"water": 1.1, "ash": -0.1}, 20.0), "the fraction of ash is -0.1"),
        (lambda: rule_of_factors(25.0, [], 3.0), "needs the temperature of the flour and of the room"),
        (lambda: crust_minutes(0.0, 230.0, 2.0), "a piece of dough weighs something"),
        (lambda: cooling_hours(0.0), "a dough weighs something"),
        (lambda: dough.rise.yeast_for(0.25), "no dough rises within 0.25 h"),
        (lambda: replace(dough.rise, medium=replace(medium, pace=0.0)).yeast_for(4.0), "yeast does not work in this"),
        (lambda: liquid_temperature(water, 46.0, 0.0, 0.0), "the wanted dough temperature"),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=said):
            what()
    for t_c in (0.0, 150.0):
        assert specific_heat({"water": 1.0}, t_c) > 4.1
    for acid in GROWING:
        species = [Species(name, (3.86,)) for name in GROWING if name != acid]
        with pytest.raises(ValueError, match=f"makes {acid} acid, which the table of acids does not have"):
            GrowingAcids(species, [1.0] * len(species), 0.0, 10.0, 500.0)


def test_water_alone_that_mixing_heats_has_nothing_else_to_cool(dough: Measured) -> None:
    water = [HeatLine("water", 100.0, 4.18, 12.0, is_liquid=True)]
    plan = liquid_temperature(water, 5.0, 0.0, 60.0)
    assert not plan.reachable and plan.flour_temperature_c is None
    assert "there is nothing else to warm or cool" in plan.note


def test_a_dough_that_is_taken_nowhere_stays_as_warm_as_it_is() -> None:
    assert places(21.0, (), 1.5)(7.0) == 21.0 == mean_warmth(21.0, (), 1.5, 7.0)
    spells = (Place(2.0, 30.0), Place(3.0, 5.0), Place(4.0, 25.0))
    assert mean_warmth(21.0, spells, 1.5, 0.0) == 21.0 == places(21.0, spells, 1.5)(0.0)
    at_once = places(21.0, spells, 0.0)
    assert [at_once(hours) for hours in (0.5, 2.5, 8.0, 20.0)] == [30.0, 5.0, 25.0, 25.0]
    assert mean_warmth(21.0, spells, 0.0, 1.0) == 30.0
    assert mean_warmth(21.0, spells, 0.0, 4.0) == pytest.approx((2.0 * 30.0 + 2.0 * 5.0) / 4.0)
    assert mean_warmth(21.0, spells, 0.0, 12.0) == pytest.approx((2.0 * 30.0 + 3.0 * 5.0 + 7.0 * 25.0) / 12.0)
    steps = 4000
    for hours in (1.0, 2.0, 4.5, 12.0):
        warmth = places(21.0, spells, 1.5)
        by_steps = sum(warmth(hours * (number + 0.5) / steps) for number in range(steps)) / steps
        assert mean_warmth(21.0, spells, 1.5, hours) == pytest.approx(by_steps, abs=1e-4)
    assert cooling_hours(1.0) == 0.25 < cooling_hours(320.0)


def test_beyond_its_end_a_course_stays_as_it_is(dough: Measured) -> None:
    course = dough.rise.over(3.0)
    assert course.rate_at(9.0) == course.rates[-1] and course.gas_at(9.0) == course.end.gas_ml
    assert course.at(9.0) == course.end and course.at(-1.0) == course.moments[0] == course.at(0.0)
    for before, after in zip(course.moments, course.moments[1:], strict=False):
        middle = 0.5 * (before.hours + after.hours)
        assert min(before.gas_ml, after.gas_ml) <= course.gas_at(middle) <= max(before.gas_ml, after.gas_ml)
        assert course.gas_at(after.hours) == pytest.approx(after.gas_ml)


def test_a_proof_of_no_time_makes_nothing(dough: Measured) -> None:
    assert replace(dough.rise, spells=(Place(0.0, 26.0),)).at_bake() is None


def test_yeast_beside_a_dough_that_had_none(dough: Measured) -> None:
    """Nothing to scale by: then the dough's own proof says it, and a dead one the search for the yeast."""
    rise = dough.rise
    without = replace(rise, living=Living())
    hours = rise.hours()
    assert rise.yeast_like(rise, hours) == rise.yeast_percent
    assert rise.yeast_like(without, hours) == pytest.approx(rise.yeast_percent, rel=0.02)
    assert without.yeast_near(hours) == pytest.approx(rise.yeast_percent, rel=0.02)
    still = replace(rise, medium=replace(rise.medium, pace=0.0))
    assert still.yeast_like(rise, hours) == rise.yeast_percent, "however much there is of it"


def test_an_acid_of_four_protons() -> None:
    """Pyrophosphoric acid (pKa 0.9, 2.1, 6.7, 9.3, from memory) half neutralised: charges sum to nought, by hand."""
    pkas, amount, base = (0.9, 2.1, 6.7, 9.3), 10.0, 25.0
    ph = solve_ph([amount], [Species("pyrophosphoric", pkas)], base, 1.0)

    def lost(at_ph: float) -> float:
        steps = [math.prod(10.0 ** (at_ph - pka) for pka in pkas[:number]) for number in range(5)]
        return sum(number * step for number, step in enumerate(steps)) / sum(steps)

    water = 1000.0 * (10.0 ** (ph - 14.0) - 10.0**-ph)
    assert amount * lost(ph) + water == pytest.approx(base, abs=1e-6)
    assert charge([amount], [Species("pyrophosphoric", pkas)], ph, 1.0) == pytest.approx(base, abs=1e-6)


def test_food_without_water_has_no_water_activity() -> None:
    assert of_food([0.0] * len(INPUTS)) == 0.0


def test_how_far_a_dough_lies_above_a_value(dough: Measured) -> None:
    """Nothing above its own value; below a higher one; and what more of everything does has the reading's own sign."""
    for reading in READINGS:
        value = dough.value(reading.key)
        own, slopes = reading.above(dough, value)
        assert own == pytest.approx(0.0, abs=1e-6) and len(slopes) == len(dough.totals), reading.key
        assert reading.above(dough, value + 0.5)[0] < 0.0 < reading.above(dough, value - 0.5)[0], reading.key
    mass = next(reading for reading in READINGS if reading.key == "dough_mass")
    above, slopes = mass.above(dough, 900.0)
    assert above == pytest.approx(sum(LEAN.values()) - 900.0)
    assert sum(slope for slope in slopes) == pytest.approx(1.0), "a gram is a gram"


def test_yeast_for_what_no_yeast_can_do_is_sought_no_further_than_a_hundred_times_the_flour(dough: Measured) -> None:
    """A dough that is to rise a hundredthousandfold in an hour: the search ends at the most that it takes."""
    most = replace(dough.rise, rise_fraction=1e5).yeast_for(1.0)
    assert math.isfinite(most) and effective_yeast(most) == pytest.approx(1e4)


def test_where_no_yeast_works_more_of_it_is_no_help(dough: Measured) -> None:
    """In the frost and in the heat: what there is stays, of little yeast and of much."""
    for percent in (dough.rise.yeast_percent, 4.0):
        living = dough.rise.living._replace(bakers_yeast=percent)
        for place_c in (0.0, 47.0):
            still = replace(dough.rise, living=living, temperature_c=place_c, dough_c=None)
            assert still.yeast_for(9.0) == pytest.approx(percent)
