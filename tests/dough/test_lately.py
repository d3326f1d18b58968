"""What was worked out of the last few objects: once each, for as long as they are the last."""

from __future__ import annotations

from adapter.dough.readings.lately import Lately


def test_each_is_made_once_and_the_one_asked_for_longest_ago_is_forgotten() -> None:
    """By the object, not by what it is equal to: two that are equal are made each for itself."""
    made: list[list[int]] = []
    lately: Lately[list[int], int] = Lately(lambda item: made.append(item) or len(made), 2)
    one, two, like_one = [1], [2], [1]
    assert one not in lately
    assert [lately.of(item) for item in (one, two, one, like_one)] == [1, 2, 1, 3]
    assert (one in lately, two in lately, like_one in lately, len(lately)) == (True, False, True, 2)
    assert [lately.of(item) for item in (like_one, one, two)] == [3, 1, 4] and like_one not in lately
