"""Ripening and rising over time against published measurements, practice, and a second implementation.

The tables of check values marked "second implementation" were worked out by another program from the same equations
and parameters: agreement proves that both are the same model, not that the model is true. They hold within pH 0.05,
TTA 0.4, and 5 % in gas and hours.
"""

import math

import pytest

from adapter.dough.models.bubbles import Bubbles
from adapter.dough.models.course import Living
from adapter.dough.models.culture_pace import gas_warmth, salt_pace, sourdough_yeast_warmth, sugar_pace
from adapter.dough.models.ripening import YEAST_GROWTH_PER_H, ripen
from adapter.dough.models.warmth import Place, places, steady
from tests.references.ripening_doughs import (
    RIPE_RYE,
    RYE,
    TAP,
    WHITE,
    Part,
    medium,
    part,
    rye_sourdough,
)

PH, TTA, RELATIVE = 0.05, 0.4, 0.05


@pytest.mark.parametrize(
    ("starter", "t_c", "hours", "ph", "tta"),
    [
        (10, 26, 8, 4.32, 9.3),
        (10, 26, 12, 3.99, 14.2),
        (10, 26, 16, 3.84, 18.0),
        (10, 26, 24, 3.69, 23.1),
        (5, 26, 16, 3.90, 16.4),
        (20, 26, 16, 3.80, 19.1),
        (10, 20, 16, 4.06, 12.9),
        (10, 24, 16, 3.90, 16.5),
        (10, 30, 16, 3.76, 20.5),
        (10, 34, 16, 3.82, 17.8),
        (50, 5, 24, 4.29, 9.7),
    ],
)
def test_rye_sourdough_against_the_second_implementation(starter, t_c, hours, ph, tta) -> None:
    course = rye_sourdough(starter, t_c, hours)
    assert course.end.ph == pytest.approx(ph, abs=PH)
    assert course.tta(course.end) == pytest.approx(tta, abs=TTA)


@pytest.mark.parametrize(("t_c", "e7"), [(20, 3.4), (24, 5.6), (30, 5.0), (34, 1.1)])
def test_yeast_of_rye_sourdough_against_the_second_implementation(t_c, e7) -> None:
    assert rye_sourdough(10, t_c, 16).end.living.sourdough_yeast == pytest.approx(e7, rel=RELATIVE)


def test_wheat_sourdough_against_measurement() -> None:
    """PMC6950244 (Nutrients 2019, 11:2954): pH 4.26 and 3.55 after 4 and 24 h at 30 °C, lactic acid 28 and 93,
    acetic 6 and 20 mmol/kg. Lactic acid's pace is fitted to this dough, so only the course is a check; within 0.05
    of pH and a tenth of the acid.
    """
    culture = part(0.625, 0.55, 3.8, 0.12, 43.3, 10.2)
    dough = medium([(500.0, WHITE), (300.0, TAP), (200.0, culture)], 0.0)
    course = ripen(dough, Living(0.2 * 3.4, 0.2 * 2.1), steady(30.0), 24.0)
    for hours, ph, lactic, acetic in ((4.0, 4.26, 28.0, 6.0), (24.0, 3.55, 93.0, 20.0)):
        moment = course.at(hours)
        assert moment.ph == pytest.approx(ph, abs=PH)
        assert moment.lactic + dough.amounts_mmol[0] == pytest.approx(lactic, rel=0.1)
        assert moment.acetic + dough.amounts_mmol[1] == pytest.approx(acetic, rel=0.1)


def hours_to(course, bubbles: Bubbles, rise: float) -> float:
    return course.hours_to_rise(bubbles, rise)


@pytest.mark.parametrize(("rise", "hours"), [(0.53, 10), (0.87, 12), (1.29, 14), (1.80, 16)])
def test_poolish_against_the_second_implementation(rise, hours) -> None:
    """0.2 % fresh yeast at 21 °C; practice calls such a poolish ripe at 12 to 16 h [CP]."""
    course = ripen(medium([(1000.0, WHITE), (1000.0, TAP)], 0.0), Living(bakers_yeast=0.2), steady(21.0), 20.0)
    assert course.hours_to_rise(Bubbles(200.0 / 1.12, 112.0, 0.03, 0.9), rise) == pytest.approx(hours, rel=RELATIVE)


@pytest.mark.parametrize(("rise", "hours"), [(0.48, 8), (0.59, 12), (0.87, 24)])
def test_night_in_the_fridge_against_the_second_implementation(rise, hours) -> None:
    """1,000 g white, 600 g water, 10 g yeast, 24 °C into a fridge of 5 °C. The gas that such a rise takes, within 5 %.

    The second implementation's +30 % at 4 h is missed: +35 % here.
    """
    warmth = places(24.0, [Place(24.0, 5.0)], 3.0)
    dough = medium([(1000.0, WHITE), (600.0, TAP)], 0.0)
    moment = ripen(dough, Living(bakers_yeast=1.0), warmth, 24.0).at(hours)
    bubbles = Bubbles(161.0 / 1.12, 72.0, 0.06, 0.79)
    assert moment.gas_ml == pytest.approx(bubbles.gas_needed(rise, moment.temperature_c), rel=RELATIVE)


@pytest.mark.parametrize(
    ("yeast_percent", "values"),
    [(2.0, ((1, 5.59, 1.6), (2, 5.37, 1.9), (4, 5.22, 2.1))), (1e-5, ((1, 6.05, 1.2), (2, 6.00, 1.3), (4, 5.91, 1.3)))],
)
def test_acids_of_yeast_against_the_second_implementation(yeast_percent, values) -> None:
    """1,000 white, 600 water, 20 salt at 27 °C at pace 1; TTA of the pinch is not given there and follows pH."""
    dough = medium([(1000.0, WHITE), (600.0, TAP)], 0.0, salt_g=20.0, pace=1.0)
    course = ripen(dough, Living(bakers_yeast=yeast_percent), steady(27.0), 4.0)
    for hours, ph, tta in values:
        moment = course.at(float(hours))
        assert moment.ph == pytest.approx(ph, abs=PH)
        assert course.tta(moment) == pytest.approx(tta, abs=TTA)


def from_course(course) -> Part:
    """A ripened stage as a part of a dough."""
    moment, dough = course.end, course.medium
    lactic, acetic, succinic, fixed = moment.made()
    made = (lactic, acetic, succinic, *(0.0,) * (len(dough.species) - 3))
    amounts = tuple((amount + more) / 1000.0 for amount, more in zip(dough.amounts_mmol, made, strict=True))
    return Part(amounts, (dough.fixed_charge_mmol + fixed) / 1000.0, dough.flour_g / 1000.0, dough.water_g / 1000.0)


def test_rye_dough_raised_by_sourdough_against_the_second_implementation() -> None:
    """900 g rye sourdough ripened 15 h, 550 g wholemeal rye, 300 g water at 28 °C: +35 % in about 1.9 h, pH 4.36 to
    4.2, TTA 9.9 to 12. The second implementation left the salt out of this dough, as its pH and TTA tell.
    """
    stage = rye_sourdough(10, 26, 15)
    dough = medium([(900.0, from_course(stage)), (550.0, RYE), (300.0, TAP)], 1.0, working=True)
    living, share = stage.end.living, 900.0 / 1750.0
    start = Living(living.bacteria * share, living.sourdough_yeast * share)
    course = ripen(dough, start, steady(28.0), 4.0)
    bubbles = Bubbles(175.0 / 1.17, dough.water_g / dough.flour_g * 100.0, 0.03, 0.55)
    hours = course.hours_to_rise(bubbles, 0.35)
    assert hours == pytest.approx(1.9, rel=RELATIVE)
    assert course.moments[0].ph == pytest.approx(4.36, abs=PH)
    assert course.tta(course.moments[0]) == pytest.approx(9.9, abs=TTA)
    assert course.at(hours).ph == pytest.approx(4.2, abs=PH)
    assert course.tta(course.at(hours)) == pytest.approx(12.0, abs=TTA)


def test_gas_that_a_dense_rye_takes() -> None:
    """Second implementation: 146 mL for +30 %, 158 mL dough and 85 mL water, air 4 %, retention 0.55, 25 °C."""
    assert Bubbles(158.0, 85.0, 0.04, 0.55).gas_needed(0.30, 25.0) == pytest.approx(146.0, abs=0.5)


# --- published and practised --------------------------------------------------------------------------------


def test_gas_of_warmth() -> None:
    """30 °C over 20 °C: 2.0 to 2.6; about 7 to 12 % a degree at 25 °C, the trade's "about 10 %" [CP]."""
    assert 2.0 <= gas_warmth(30.0) / gas_warmth(20.0) <= 2.6
    assert 1.07 <= gas_warmth(25.5) / gas_warmth(24.5) <= 1.12
    assert gas_warmth(5.0) / gas_warmth(27.0) < 0.06


def test_gas_of_salt_and_sugar() -> None:
    """Unsalted over 2 % salt 1.10 to 1.35 [CP]; 4 % sugar over none 1.0 to 1.25 (Marek and Bushuk 1967 [P])."""
    assert 1.10 <= salt_pace(0.0) / salt_pace(2.0 / 0.6) <= 1.35
    assert salt_pace(8.0 / 0.6) < 0.1
    assert 1.0 <= sugar_pace(4.0) / sugar_pace(0.0) <= 1.25


def test_sourdough_yeast_grows_half_as_fast_at_20_as_at_its_best() -> None:
    """Gänzle 1998: 0.19 to 0.23 per hour at 20 °C, none at 8 °C [P]."""
    assert 0.19 <= YEAST_GROWTH_PER_H * sourdough_yeast_warmth(20.0) <= 0.23
    assert sourdough_yeast_warmth(8.0) == 0.0


def test_bakers_yeast_grows_as_textbooks_say() -> None:
    """Half a per cent of yeast makes 1.7 to 2.0 of itself in 6 h (textbook, +88 % [M]); two per cent grow little."""
    dough = medium([(1000.0, WHITE), (600.0, TAP)], 0.0)

    def grown(percent: float) -> float:
        return ripen(dough, Living(bakers_yeast=percent), steady(28.0), 6.0).end.living.bakers_yeast / percent

    assert 1.7 <= grown(0.5) <= 2.0
    assert grown(2.0) < 1.3


def test_wheat_sourdough_bread_doubles_in_a_morning() -> None:
    """Textbooks: 15 % prefermented flour, 24 °C, doubled in 4 to 6.5 h [M]; within the spread of 40 % that it has."""
    wheat = part(0.5, 0.55, 3.8, 0.12, 60.0, 12.0)
    dough = medium([(300.0, wheat), (850.0, WHITE), (550.0, TAP)], 0.0, salt_g=20.0, working=True)
    share = 300.0 / 1720.0
    course = ripen(dough, Living(4.0 * share, 4.0 * share), steady(24.0), 14.0)
    hours = course.hours_to_rise(Bubbles(172.0 / 1.12, dough.water_g / dough.flour_g * 100.0, 0.06, 0.9), 1.0)
    assert 0.6 * hours <= 6.5
    assert 1.4 * hours >= 4.0


def test_rye_dough_with_salt_is_slower() -> None:
    def hours(salt_g: float) -> float:
        dough = medium([(900.0, RIPE_RYE), (550.0, RYE), (300.0, TAP)], 1.0, salt_g=salt_g, working=True)
        share = 900.0 / (1750.0 + salt_g)
        course = ripen(dough, Living(4.0 * share, 3.0 * share), steady(28.0), 12.0)
        bubbles = Bubbles((1750.0 + salt_g) / 11.7, dough.water_g / dough.flour_g * 100.0, 0.03, 0.55)
        return course.hours_to_rise(bubbles, 0.35)

    assert hours(0.0) < hours(18.0) < hours(36.0) < math.inf
