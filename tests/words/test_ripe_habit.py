"""What is said of ripeness comes out of the row of the stage's own kind, a baker's own row as well."""

from __future__ import annotations

from dataclasses import replace

import pytest

from adapter.dough.tables.stage_kinds import load_stage_kinds
from adapter.words.stage_report import ripe_habit


def test_ripe_habit_tells_the_table() -> None:
    """Numbers of stage_kinds.toml: common practice, no source."""
    kinds = load_stage_kinds()
    assert ripe_habit(kinds["sourdough"]) == (
        "Bakers call a stage of this kind (sourdough) ripe at about pH 4.0 (4.4 to 3.8), one with much starter "
        "at its peak, about pH 4.25: a habit, no constant of nature."
    )
    assert ripe_habit(kinds["poolish"]) == (
        "Bakers call a stage of this kind (poolish) ripe when it has risen by about 115 % (80 to 165) and before it "
        "falls: a habit, no constant of nature."
    )


@pytest.mark.parametrize("name", [name for name, kind in load_stage_kinds().items() if kind.ripe_rise])
def test_each_kind_has_its_own_numbers(name: str) -> None:
    kind = load_stage_kinds()[name]
    low, best, high = kind.ripe_rise
    assert f"({name}) ripe when it has risen by about {best:g} % ({low:g} to {high:g})" in ripe_habit(kind)


def test_ripe_habit_tells_own_rows() -> None:
    own = replace(load_stage_kinds()["sourdough"], ripe_ph=(), ripe_rise=(100.0, 150.0, 200.0))
    assert "ripe when it has risen by about 150 % (100 to 200)" in ripe_habit(own)
