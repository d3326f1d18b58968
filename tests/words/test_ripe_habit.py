"""What is said of ripeness comes out of the table of kinds, a baker's own row as well."""

from __future__ import annotations

from dataclasses import replace

from adapter.dough.tables.stage_kinds import load_stage_kinds
from adapter.words.stage_report import ripe_habit


def test_ripe_habit_tells_the_table() -> None:
    """Numbers of stage_kinds.toml: common practice, no source."""
    assert ripe_habit(load_stage_kinds()) == (
        "A sourdough is called ripe at about pH 3.95 (4.1 to 3.8), a yeast preferment when it has risen by about 115 % "
        "(80 to 165) and before it falls: a habit of bakers, not a constant of nature."
    )


def test_ripe_habit_tells_own_rows() -> None:
    kinds = dict(load_stage_kinds())
    kinds["sourdough"] = replace(kinds["sourdough"], ripe_ph=(), ripe_rise=(100.0, 150.0, 200.0))
    assert "A sourdough is called ripe when it has risen by about 150 % (100 to 200)" in ripe_habit(kinds)
