"""Linear quantities by hand: value, slopes, and what happens at a cap."""

from __future__ import annotations

import pytest

from adapter.dough.readings.linear import Quantity
from adapter.dough.readings.slopes import partials

BRAN = Quantity((0.0, 3.0, 1.0), (1.0, 0.0, 0.0), 100.0, 100.0)
"""100 x (3 b + c) / a, at most 100."""


def test_a_share_and_its_slopes() -> None:
    """(3·10 + 20)/200: a quarter; d/da = −50/200² and d/db = 3/200, in %."""
    assert BRAN.value((200.0, 10.0, 20.0)) == pytest.approx(25.0)
    slopes = [-100 * 50 / 200**2, 100 * 3 / 200, 100 * 1 / 200]
    assert BRAN.gradient((200.0, 10.0, 20.0)) == pytest.approx(slopes)
    assert BRAN.slopes((200.0, 10.0, 20.0)) == pytest.approx(slopes)


@pytest.mark.parametrize(
    ("bran", "value", "moves"), [(66.0, 99.0, True), (200 / 3, 100.0, False), (90.0, 100.0, False)]
)
def test_at_its_cap_it_does_not_move_though_the_programme_keeps_its_slope(
    bran: float, value: float, moves: bool
) -> None:
    totals = (200.0, bran, 0.0)
    assert BRAN.value(totals) == pytest.approx(value)
    assert any(BRAN.gradient(totals)) is moves
    assert any(BRAN.slopes(totals))


def test_an_amount_in_grams_has_no_share_to_lose() -> None:
    mass = Quantity((1.0, 1.0, 0.0), None, 1.0)
    assert mass.value((3.0, 4.0, 5.0)) == 7.0
    assert mass.gradient((3.0, 4.0, 5.0)) == [1.0, 1.0, 0.0]


def test_slopes_by_differences() -> None:
    """Twice the value of a square. Of x^7 they lie 35 x^4 h^2 above 7 x^6: h is 1e-4 at ten; at nought it is 1e-6."""
    square = partials(lambda x: x[0] ** 2 + 3.0 * x[1], [10.0, 0.0])
    assert square == pytest.approx([20.0, 3.0], rel=1e-8)
    for at in (10.0, -10.0):
        (slope,) = partials(lambda x: x[0] ** 7, [at])
        assert slope - 7e6 == pytest.approx(35.0 * 1e4 * 1e-8, rel=0.05)
    (at_nothing,) = partials(lambda x: x[0] ** 3, [0.0])
    assert at_nothing == pytest.approx(1e-12, rel=1e-3)
