"""What the spread of a difference is made of: figures that do not cancel, the scale, what is left of the model."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import pytest

from adapter.dough.readings.differences import difference
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.linear import dot
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.model import Step
from adapter.swaps.variant import Variant

Read = Callable[..., Measured]


def dough(more: Mapping[str, float]) -> dict[str, float]:
    base = {"wholemeal rye flour": 400.0, "white wheat flour": 200.0, "water": 400.0, "salt": 12.0, "fresh yeast": 9.0}
    return {name: base.get(name, 0.0) + more.get(name, 0.0) for name in {**base, **more}}


def difference_without_scale(one: Measured, two: Measured, key: str) -> float:
    """Spread of a difference from the figures alone: the contributions of both, shared ones cancelling."""
    parts = dict(two.contributions(key))
    for figure, part in one.contributions(key).items():
        parts[figure] = parts.get(figure, 0.0) - part
    return math.sqrt(sum(part * part for part in parts.values()))


@pytest.mark.parametrize(
    "more", [{"water": 12.0, "caraway": 4.0}, {"kefir": 2400.0, "honey": 9.0}], ids=["little", "much"]
)
def test_what_the_scale_and_the_model_add_to_a_difference(more: dict[str, float], read: Read, kitchen: Kitchen) -> None:
    """In squares: half a step of the scale (a gram, a tenth below 10 g) on each weight of either side that differs,
    and what is left of the model's error, in full from three tenths of the dough exchanged.
    """
    before = read(dough({}))
    after = read(dough(more), before)
    for key in ("ph", "tta", "hydration", "sugar", "salt"):
        squares, exchanged = difference_without_scale(before, after, key) ** 2, 0.0
        for side, other in ((before, after), (after, before)):
            weights = {line.ingredient: line.grams for line in other.formula.lines}
            for line in side.formula.lines:
                change = abs(line.grams - weights.get(line.ingredient, 0.0))
                slope = dot(side.gradient(key), kitchen.composer.vector(line, side.uses))
                if change:
                    squares += (0.5 * (1.0 if line.grams >= 9.95 else 0.1) * slope) ** 2
                exchanged += 0.5 * change / sum(each.grams for each in side.formula.lines)
        model = kitchen.tolerances[key].model_spread_difference * min(1.0, exchanged / 0.3)
        assert difference(before, after, key).spread == pytest.approx(math.sqrt(squares + model**2), rel=1e-9), key
        assert (exchanged > 0.3) == ("kefir" in more)


def test_a_dough_without_yeast_is_compared_with_another_loaf(read: Read) -> None:
    """Each is measured against its own book; one of them makes no gas, so that nothing can be as quick."""
    still, quicker = read({**dough({}), "fresh yeast": 0.0}), read(dough({"fresh yeast": 4.0}), read(dough({})))
    change = difference(still, quicker, "pace")
    assert change.before == 1.0 and change.change > 0.2 and math.isfinite(change.spread)
    assert difference(quicker, still, "pace").change == -change.change


def test_a_difference_does_not_hang_on_what_was_compared_before(read: Read) -> None:
    """What was worked out of two formulas is kept for those two."""
    after, others = read(dough({"kefir": 200.0})), [read(dough(more)) for more in ({"honey": 90.0}, {"water": 30.0})]
    keys = ("hydration", "sugar", "ph", "salt")
    alone = [[difference(other, read(dough({"kefir": 200.0})), key) for key in keys] for other in others]
    for _ in range(2):
        assert [[difference(other, after, key) for key in keys] for other in others] == alone
        for place, key in enumerate(keys):
            assert [difference(other, after, key) for other in others] == [row[place] for row in alone]


def test_a_formula_is_read_against_its_own_book_unless_another_is_given(read: Read, kitchen: Kitchen) -> None:
    book, other = read(dough({})), read(dough({"honey": 20.0}))
    lines = [line.with_grams(4.0) if line.ingredient == "fresh yeast" else line for line in book.formula.lines]
    changed = Variant.of(book.formula).then(book.formula.with_lines(lines), Step("amount")).formula
    own = measure(kitchen, changed)
    assert own.book.formula.lines == book.formula.lines and own.value("pace") < 0.6
    assert measure(kitchen, changed, other).book is other
    assert measure(kitchen, book.formula).book.value("pace") == 1.0
