"""Every living stage is asked for in the log, and each that was measured is an entry of its own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.plan import bake_plan
from adapter.dough.readings.measured import Measured
from adapter.files.log_file import add_bake, calibration_from, read_log, with_factors
from adapter.formula.model import Formula, Line, StagePlan
from adapter.screens.bake.log_form import bakes_from, questions_for, stages_asked

NOW = datetime(2031, 5, 4, 8, 0)
LINES = (
    Line("wheat sourdough", 20.0, "levain"),
    Line("white wheat flour", 100.0, "levain"),
    Line("water", 100.0, "levain"),
    Line("white wheat flour", 200.0, "poolish"),
    Line("water", 200.0, "poolish"),
    Line("fresh yeast", 0.4, "poolish"),
    Line("white wheat flour", 600.0),
    Line("water", 300.0),
    Line("salt", 18.0),
)
PLANS = (StagePlan("levain", "sourdough", 9.0, 25.0), StagePlan("poolish", None, 13.0, 21.0))


def test_each_measured_stage_is_an_entry_and_tells_of_its_own_life(
    read: Callable[..., Measured], tmp_path: Path
) -> None:
    measured = read(Formula("two stages", LINES, plans=PLANS))
    plan = bake_plan(measured, BakeInputs(), NOW)
    assert stages_asked(plan) == ("levain", "poolish")
    keys = [question.key for question in questions_for(plan)]
    assert len(keys) == len(set(keys)) and {"stage_ph", "peak_h-2"} <= set(keys)
    typed = {"stage_ph": "3.9", "peak_h": "8", "peak_h-2": "11", "mark": "4", "notes": "a warm night"}
    bakes = tuple(with_factors(bake, measured) for bake in bakes_from(typed, "two stages", NOW, plan))
    assert [(bake.stage, bake.peak_h, bake.mark) for bake in bakes] == [("levain", 8.0, 4), ("poolish", 11.0, None)]
    levain, poolish = bakes
    assert levain.souring_factor is not None and levain.raising_factor is not None and levain.gas_factor is None
    assert poolish.raising_factor is None and poolish.gas_factor is not None and poolish.gas_factor > 1.0
    path = tmp_path / "two.bakes.toml"
    add_bake(path, *bakes)
    assert [bake.stage for bake in read_log(path)] == ["levain", "poolish"]
    learned = calibration_from(read_log(path))
    assert learned.ripenings == 1 and learned.bakes == 1 and learned.gas_ml > 86.0
