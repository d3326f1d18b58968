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
