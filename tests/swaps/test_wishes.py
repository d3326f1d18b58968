"""Wishes by themselves: how many there may be, which contradict each other, when an aim is missed as it is shown."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from adapter.dough.readings.measured import Measured
from adapter.formula.pantry import Pantry, Stock
from adapter.formula.problems import InputProblem
from adapter.swaps.wishes import Aim, Wishes, held_within, price_known, read_aim, shown_value, value_of


def test_how_many_ways_and_swaps_may_be_asked_for() -> None:
    for ways, most in ((1, 0), (9, 30), (3, None)):
        assert Wishes(ways=ways, most_swaps=most).ways == ways
    for more, right in (({"ways": 0}, "1 to 9"), ({"ways": 10}, "1 to 9"), ({"most_swaps": -1}, "0 to 30"),
                        ({"most_swaps": 31}, "0 to 30")):  # fmt: skip
        with pytest.raises(InputProblem) as caught:
            Wishes(**more)  # type: ignore[arg-type]
        assert caught.value.right == right


def test_which_wishes_contradict_each_other() -> None:
    little, much, both = Aim("salt", 1.0, 1.6, "little"), Aim("salt", 1.7, 2.0, "much"), Aim("salt", 1.6, 1.7, "both")
    assert len(Wishes(aims=(little, both, Aim("fat", 0.0, 1.0, "lean"))).aims) == 3, "they touch"
    for aims in ((little, much), (much, little), (both, little, much)):
        with pytest.raises(InputProblem, match="contradict each other"):
            Wishes(aims=aims)
    with pytest.raises(InputProblem, match="both contradicts holding salt"):
        Wishes(aims=(both,), holds=("fat", "salt"))
    assert Wishes(aims=(both,), holds=("fat",)).holds == ("fat",)


def test_by_which_word_something_is_ruled_out() -> None:
    said = Wishes(without=("dairy", "honey"), words_of={"kefir": frozenset(["dairy"])})
    assert said.is_ruled_out_by("kefir", ("dairy",)) and not said.is_ruled_out_by("kefir", ("honey",))
    assert said.is_ruled_out_by("butter", ("honey",)), "by all of them where that is not told"
    assert not said.is_ruled_out_by("butter", ("egg",)) and not said.is_ruled_out_by("kefir", ())


@pytest.mark.parametrize(
    ("key", "value", "shown"),
    [
        ("salt", 1.604, 1.6), ("salt", 1.606, 1.61), ("tta", 7.24, 7.0), ("tta", 7.26, 7.5), ("ph", 4.94, 4.9),
        ("price", 3.456, 3.46), ("price", math.inf, math.inf), ("water_activity", 0.9514, 0.951),
    ],
)  # fmt: skip
def test_a_value_as_it_is_shown(key: str, value: float, shown: float) -> None:
    assert shown_value(key, value) == pytest.approx(shown)


def test_an_aim_is_missed_by_what_is_shown() -> None:
    """Salt has two places: 1.596 shows as 1.60 and is no miss, 1.594 is one, by what it lacks of the end itself."""
    aim = Aim("salt", 1.6, 1.8, "salt=1.6..1.8")
    for value, miss in ((1.594, -0.006), (1.596, 0.0), (1.7, 0.0), (1.804, 0.0), (1.806, 0.006), (math.inf, math.inf)):
        assert aim.misses(value) == pytest.approx(miss), value
    assert Aim("salt", -math.inf, 1.8, "").misses(0.0) == 0.0 == Aim("salt", 1.6, math.inf, "").misses(99.0)


def test_an_aim_in_words(read: Callable[..., Measured]) -> None:
    """A sign makes it a change, a per cent one of what there is; the value may have a comma, and a million at most."""
    dough = read({"white wheat flour": 500.0, "water": 300.0, "salt": 10.0})
    store = Pantry("store", tuple(Stock(name, None, 2.0) for name in ("white wheat flour", "salt")))
    hydration, price = dough.value("hydration"), value_of("price", dough, store)
    assert price == price_known(dough.formula, store) == pytest.approx(1.02)
    for text, low, high in (
        ("hydration=+3", hydration + 3.0, hydration + 3.0), ("hydration = -3,5", hydration - 3.5, hydration - 3.5),
        ("hydration=−10 %", 0.9 * hydration, 0.9 * hydration), ("hydration=50%", 0.5 * hydration, 0.5 * hydration),
        ("hydration=.5..+1", 0.5, hydration + 1.0), ("fat=..1000000", -math.inf, 1e6),
        ("price=..+50%", -math.inf, 1.53),
    ):  # fmt: skip
        aim = read_aim(text, dough, store)
        assert (aim.low, aim.high) == (pytest.approx(low), pytest.approx(high)), text
    assert read_aim("hydration = +3 ", dough, None).said == "hydration=+3"
    for text, said in (
        ("fat=..1000001", "out of reach"), ("fat=1..0.5", "runs downwards"), ("fat=..-99", "below nothing"),
        ("fat=..", "says no value"), ("fat", "says no value"), ("fat= ", "says no value"), ("fat=1 2", "is no wish"),
    ):  # fmt: skip
        with pytest.raises(InputProblem, match=said) as caught:
            read_aim(text, dough, None)
        assert caught.value.where == "aim"
    for text, pantry in (("price=3", None), ("price=+1", Pantry("empty", ())), ("price=..50%", Pantry("empty", ()))):
        with pytest.raises(InputProblem, match="a price needs a store"):
            read_aim(text, dough, pantry)
    assert read_aim("price=..3", dough, Pantry("empty", ())).high == 3.0, "what is to be needs no price now"
    assert price_known(dough.formula, None) is None and math.isinf(value_of("price", dough, None))


def test_of_a_long_wish_sixty_characters_are_told(read: Callable[..., Measured]) -> None:
    dough, long = read({"white wheat flour": 500.0, "water": 300.0}), "0" * 70
    for text in (f"fat=1.{long}..0.5", f"fat=-99.{long}", f"fat={long}x", f"fat={'9' * 70}"):
        with pytest.raises(InputProblem) as caught:
            read_aim(text, dough, None)
        assert repr(text[:60]) in str(caught.value)
    with pytest.raises(InputProblem) as caught:
        read_aim(f"{long}=3", dough, None)
    assert repr(long[:60]) in str(caught.value)


@pytest.mark.parametrize(
    ("key", "value", "tolerance", "below", "above"),
    [
        ("salt", 1.97, 0.05, 0.004, 0.004),
        ("salt", 1.973, 0.05, 0.004, 0.0015),
        ("salt", 1.967, 0.05, 0.0015, 0.004),
        ("salt", 1.9749, 0.05, 0.004, 0.0),
        ("salt", 1.973, 0.01, 0.0008, 0.0008),
        ("tta", 7.0, 0.5, 0.04, 0.04),
        ("tta", 7.23, 0.5, 0.04, 0.0),
        ("tta", 7.2, 0.5, 0.04, 0.025),
        ("dough_mass", 1234.5, 1.0, 0.08, 0.08),
        ("lactose", 0.3, 1.0, 0.08, 0.08),
        ("rise_time", math.inf, 0.5, 0.04, 0.04),
    ],
)
def test_how_far_what_is_held_may_move(key: str, value: float, tolerance: float, below: float, above: float) -> None:
    """8 % of what a baker notices, and no further than it is shown the same: within 0.45 of a step of what is shown."""
    assert held_within(key, value, tolerance) == (pytest.approx(below, abs=1e-9), pytest.approx(above, abs=1e-9))
