"""Gas that gluten and rye hold, and how soon a crust takes colour."""

import pytest

from adapter.dough.models.gluten import retention
from adapter.dough.models.oven import Loaf
from adapter.dough.models.oven_kinds import crust_minutes


def test_gluten_holds_gas_and_rye_holds_some() -> None:
    """Wheat about 0.9, coarse rye 0.45 to 0.65 [M]; rice flour has neither and holds least."""
    assert retention(10.0, 0.0) == retention(14.0, 0.0) == 0.9
    assert 0.45 <= retention(0.0, 1.0) <= 0.65
    assert retention(0.0, 0.0) < retention(0.0, 0.5) < retention(0.0, 1.0) < retention(8.0, 0.0)


def test_crust_of_small_pieces() -> None:
    """Baking textbooks: 50 g soft rolls at 200 °C 12 to 15 min, baguettes of 350 g at 240 °C 20 to 25 min [M]."""
    assert 12.0 <= crust_minutes(50.0, 200.0, 15.0) <= 15.0
    assert 20.0 <= crust_minutes(350.0, 240.0, 1.0) <= 25.0
    assert crust_minutes(50.0, 220.0, 0.0) < crust_minutes(50.0, 200.0, 0.0)


def test_a_flat_loaf_browns_like_a_small_one_and_a_stick_like_a_piece_of_it() -> None:
    """A loaf of usual shape like itself; a lean cake of 900 g in a tin of 37 × 26 cm like a roll: 20 to 26 min [CP]."""
    assert [Loaf(*each, 2.85).browns_as_g for each in ((60.0, 0.15, 0.15, 0.1), (1000.0, 0.24, 0.16, 0.1))] == [
        60,
        1000,
    ]
    cake = Loaf(900.0, 0.37, 0.26, 0.027, 2.85)
    assert 100.0 < cake.browns_as_g < 180.0 and 20.0 <= crust_minutes(cake.browns_as_g, 220.0, 2.0) <= 26.0
    assert 250.0 < Loaf(350.0, 0.55, 0.06, 0.028, 2.85).browns_as_g < 350.0


def test_a_flat_piece_browns_like_the_usual_one_with_as_much_crust() -> None:
    """Volume over surface is the same for a flat piece and for the loaf of 2.4 : 1.6 : 1, of the same crumb, that it
    browns like; nothing browns like more than it weighs; a longer stick browns like as much of a piece of it.
    """
    for flat in (Loaf(900.0, 0.37, 0.26, 0.027, 2.85), Loaf(400.0, 0.30, 0.30, 0.02, 2.85)):
        grams = flat.browns_as_g
        unit = (flat.volume_m3 * grams / flat.mass_g / (2.4 * 1.6)) ** (1.0 / 3.0)
        alike = Loaf(grams, 2.4 * unit, 1.6 * unit, unit, 2.85)
        piece_m = min(flat.length_m, 1.5 * flat.width_m)
        low, wide, long = sorted((piece_m, flat.width_m, flat.height_m))
        crust = 2.0 * (low * wide + low * long + wide * long)
        assert alike.volume_m3 / alike.surface_m2 == pytest.approx(low * wide * long / crust, rel=0.01)
        assert grams < 0.5 * flat.mass_g
    for sides in ((0.1, 0.1, 0.1), (0.15, 0.12, 0.11)):
        assert Loaf(800.0, *sides, 2.85).browns_as_g == 800.0
    for turned in ((0.06, 0.55, 0.028), (0.028, 0.06, 0.55)):
        assert Loaf(350.0, *turned, 2.85).browns_as_g == pytest.approx(Loaf(350.0, 0.55, 0.06, 0.028, 2.85).browns_as_g)
    shares = [Loaf(1000.0, length_m, 0.06, 0.02, 2.85).browns_as_g for length_m in (0.06, 0.089, 0.091, 0.5)]
    assert shares[0] > shares[1] > shares[2] == pytest.approx(shares[3]), "no flatter from one and a half widths on"
