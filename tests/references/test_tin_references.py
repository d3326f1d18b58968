"""Volume, fill and dough for a tin against geometry and common practice."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.dough.models.proof import unrisen_density
from adapter.dough.models.tin import (
    dough_for_tin,
    fill_of_tin,
    fill_warning,
    scale_factor,
    tapered_volume_l,
)
from adapter.dough.tables.loaf_classes import shipped_loaf_classes

side = st.floats(0.03, 0.6)


def of_class(name):
    return next(row for row in shipped_loaf_classes() if row.name == name)


def usual_dough(name, volume_l, rye_share):
    """Grams for a tin by what the program takes: the class's fill, spring and usual rise, the model's density."""
    row = of_class(name)
    rise = 1.0 + row.default_rise_percent / 100.0
    return dough_for_tin(volume_l, row.fill.middle, unrisen_density(rye_share), rise, row.spring.middle)


@given(side, side, side, side, side)
def test_prismoid_formula_is_the_integral_of_its_slices(tl, tw, bl, bw, h):
    # Geometry: the area at height x is the product of two lines, so Gauss's two points integrate it exactly.
    nodes = [0.5 - 0.5 / math.sqrt(3.0), 0.5 + 0.5 / math.sqrt(3.0)]
    litres = 1000.0 * h * sum(0.5 * (bl + (tl - bl) * x) * (bw + (tw - bw) * x) for x in nodes)
    assert tapered_volume_l(tl, tw, bl, bw, h) == pytest.approx(litres, rel=1e-12)


@given(side, side, side)
def test_upright_sides_are_the_special_case(length, width, height):
    assert tapered_volume_l(length, width, length, width, height) == pytest.approx(
        1000.0 * length * width * height, rel=1e-12
    )


def test_frustum_of_a_pyramid():
    # Euclid XII: a third of h·(A + a + √(A·a)) where both rectangles have the same proportions.
    litres = 1000.0 * 0.1 / 3.0 * (0.06 + 0.015 + math.sqrt(0.06 * 0.015))
    assert tapered_volume_l(0.30, 0.20, 0.15, 0.10, 0.10) == pytest.approx(litres, rel=1e-12)


def test_dense_rye_in_a_straight_tin():
    # Common practice, no source: a straight tin 22 x 10 x 10 cm takes 1.6 to 1.9 kg of dense rye dough.
    volume = tapered_volume_l(0.22, 0.10, 0.22, 0.10, 0.10)
    assert volume == pytest.approx(2.2)
    assert 1600.0 <= usual_dough("dense lidded rye", volume, rye_share=1.0) <= 1900.0


def test_wheat_tin_takes_3_2_to_3_6_ml_per_gram():
    # Common practice, no source.
    assert 3.2 <= 2000.0 / usual_dough("wheat tin", 2.0, rye_share=0.0) <= 3.6


@given(st.floats(0.5, 6.0), st.floats(0.3, 1.2), st.floats(1.0, 1.25), st.floats(1.0, 4.0), st.floats(1.0, 1.4))
def test_fill_of_the_dough_for_a_fill(volume, fill, density, rise, spring):
    dough = dough_for_tin(volume, fill, density, rise, spring)
    if fill <= rise * spring:
        assert fill_of_tin(dough, volume, density, rise, spring) == pytest.approx(fill, rel=1e-12)


def test_warnings_below_80_and_above_97_percent():
    # science.md, section 8: the lid jams above 0.97; below 0.80 the tin is too large.
    assert "79 %" in fill_warning(0.79, lidded=True)
    assert "79 %" in fill_warning(0.79, lidded=False)
    assert fill_warning(0.80, lidded=True) is None
    assert fill_warning(0.97, lidded=True) is None
    assert "lid" in fill_warning(0.98, lidded=True)
    assert fill_warning(1.10, lidded=False) is None
    assert "rim" in fill_warning(1.40, lidded=False)


def test_a_tin_smaller_than_the_dough_is_one_sentence():
    with pytest.raises(ValueError, match=r"too small: 2400 g of dough are 2\.04 L .* holds 1\.80 L"):
        fill_of_tin(2400.0, 1.8, 1.175, 1.3, 1.02)


def test_scaling_to_grams_and_to_pieces():
    assert scale_factor(1742.0, 871.0) == 0.5
    assert scale_factor(900.0, 12 * 90.0) == pytest.approx(1.2)


@pytest.mark.parametrize("bad", [0.0, -0.1, math.nan, math.inf])
def test_impossible_sizes(bad):
    for call in (
        lambda: tapered_volume_l(0.2, bad, 0.2, 0.1, 0.1),
        lambda: tapered_volume_l(0.2, 0.1, 0.2, 0.1, bad),
        lambda: dough_for_tin(2.0, 0.9, bad, 1.3, 1.0),
        lambda: fill_of_tin(bad, 2.0, 1.1, 1.3, 1.0),
        lambda: scale_factor(bad, 100.0),
    ):
        with pytest.raises(ValueError, match="above zero"):
            call()
