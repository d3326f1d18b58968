from adapter.dough.models.gluten import retention
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
