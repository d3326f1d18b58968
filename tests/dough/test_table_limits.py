"""The last number that a table may have, and the first that it may not: each named with its key."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from adapter.dough.readings.registry import READING_KEYS
from adapter.dough.tables.bands import load_bands, load_tolerances
from adapter.dough.tables.loaf_classes import load_loaf_classes
from adapter.dough.tables.stage_kinds import StageKind, load_stage_kinds
from adapter.dough.tables.work_steps import load_work_steps
from adapter.formula.model import LIVING_KINDS
from adapter.formula.problems import InputProblem

SOURCE = 'tag = "own"\nsource = "tried at home"\n'
TOLERANCE = f"""[[tolerance]]
reading = "salt"
value = 0.05
unit = "% of flour"
weight = 1.0
model_spread = 0.1
model_spread_relative = 0.1
model_spread_difference = 0.1
{SOURCE}"""
BANDS = f"""[[style]]
name = "all rye"
min_rye = 99
max_rye = 100
{SOURCE}
[[band]]
style = "all rye"
reading = "salt"
low = 1.2
high = 1.8
{SOURCE}"""
STEP = f"""[[step]]
name = "toast the seeds"
kind = "seed"
hours = 0.3
{SOURCE}"""
STAGE_KIND = f"""[[stage_kind]]
name = "poolish"
ripe_rise = [70, 100, 150]
most_rise = 200
gas_kept = 0.5
least_starter = 0.02
most_starter = 3
coldest_c = 4
warmest_c = 30
{SOURCE}"""
LOAF_CLASS = f"""[[loaf_class]]
name = "home loaf"
min_rye = 10
max_rye = 90
lidded = "any"
in_tin = "any"
oven = "open"
core_c = 96
loss_percent = [8, 13]
wait_h = [0.5, 2]
keeps_d = [1, 3]
spring = [1.15, 1.30]
fill = [0.85, 1.10]
default_rise_percent = 130
default_proof_c = 28
default_oven_c = 190
why = "So it is at home."
{SOURCE}"""

Loader = Callable[[list[Path]], object]
TABLES: dict[str, tuple[str, Loader]] = {
    "tolerances.toml": (TOLERANCE, lambda folders: load_tolerances(READING_KEYS, folders)),
    "bands.toml": (BANDS, lambda folders: load_bands(READING_KEYS, folders)),
    "work_steps.toml": (STEP, load_work_steps),
    "stage_kinds.toml": (STAGE_KIND, load_stage_kinds),
    "loaf_classes.toml": (LOAF_CLASS, load_loaf_classes),
}
LIMITS: dict[str, list[tuple[str, tuple[object, ...], tuple[object, ...]]]] = {
    "tolerances.toml": [
        ("value", (0.001,), (0, -1)),
        *((key, (0, 0.5), (-0.1,)) for key in ("weight", "model_spread", "model_spread_relative")),
        ("model_spread_difference", (0, 0.5), (-0.1,)),
    ],
    "bands.toml": [
        ("min_rye", (0, 99.9), (-0.1, 100)),
        ("max_rye", (99.5,), (99, 100.1)),
        ("low", (1.79, -1), (1.8, 2)),
    ],
    "work_steps.toml": [("hours", (0.01, 96), (0, -1, 96.1))],
    "stage_kinds.toml": [
        ("most_rise", (50, 1000), (49.9, 1000.1)),
        ("gas_kept", (0.1, 1), (0.09, 1.01)),
        ("least_starter", (0.001, 3), (0.0009, 50.1, 3.1)),
        ("most_starter", (0.02, 95), (0.01, 95.1)),
        ("coldest_c", (0, 30), (-0.1, 30.1)),
        ("warmest_c", (4, 45), (3.9, 45.1)),
        ("ripe_rise", ([70, 71, 72],), ([70, 70, 150], [70, 100, 100], [70, 100], [100, 70, 150])),
    ],
    "loaf_classes.toml": [
        ("min_rye", (0, 89.9), (-0.1, 90)),
        ("max_rye", (10.1, 100), (10, 100.1)),
        ("core_c", (94, 99.5), (93.9, 99.6)),
        ("default_rise_percent", (1, 400), (0.9, 400.1)),
        ("default_proof_c", (0, 60), (-0.1, 60.1)),
        ("default_oven_c", (105, 400), (104.9, 400.1)),
        ("wait_h", ([2, 2], [0.1, 999_999]), ([0, 2], [3, 2], [1, 1_000_000], [1], [1, 2, 3])),
        ("fill", ([0.9, 0.9],), ([0, 1],)),
        ("lidded", ("true", "false"), ("3", '"both"')),
        ("oven", ('"hearth"', '"open"', '"lidded"'), ('"hot"', "3")),
    ],
}


@pytest.mark.parametrize("file", LIMITS)
def test_limits_of_a_table(file: str, tmp_path: Path) -> None:
    text, load = TABLES[file]
    for key, good, bad in LIMITS[file]:
        for value, is_good in [*((each, True) for each in good), *((each, False) for each in bad)]:
            (tmp_path / file).write_text(re.sub(rf"(?m)^{key} = .*$", f"{key} = {value}", text), encoding="utf-8")
            try:
                load([tmp_path])
            except InputProblem as problem:
                assert not is_good, (key, value, str(problem))
                assert problem.file is not None and file in problem.file and "'" in str(problem)
            else:
                assert is_good, (key, value)


def test_a_loaf_that_stands_in_no_tin_needs_no_fill(tmp_path: Path) -> None:
    bare = re.sub(r"(?m)^fill = .*\n", "", LOAF_CLASS)
    path = tmp_path / "loaf_classes.toml"
    path.write_text(bare.replace('in_tin = "any"', "in_tin = false"), encoding="utf-8")
    assert load_loaf_classes([tmp_path])[0].fill is None
    for may in ('"any"', "true"):
        path.write_text(bare.replace('in_tin = "any"', f"in_tin = {may}"), encoding="utf-8")
        with pytest.raises(InputProblem, match="fill is missing"):
            load_loaf_classes([tmp_path])


def test_what_a_stage_keeps_of_its_gas_and_how_high_it_stands() -> None:
    """Stiff, up to 60 % water, its kind's own share of the gas; from 80 % all of it; half-way half of the rest. It
    stands as high as its kind where it keeps nine tenths of its gas, in proportion where it keeps less.
    """
    kinds = load_stage_kinds()
    kind = replace(kinds["biga"], gas_kept=0.6, most_rise=300.0)
    kept = [kind.gas_kept_at(hydration) for hydration in (40.0, 60.0, 70.0, 75.0, 80.0, 120.0)]
    assert kept == pytest.approx([0.6, 0.6, 0.8, 0.9, 1.0, 1.0])
    assert [kind.highest_percent(retention) for retention in (0.9, 0.45)] == pytest.approx([300.0, 150.0])


def test_what_the_program_counts_on_has_its_row(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every kind of stage that lives, and the two steps of work that every dough has."""
    monkeypatch.setattr("adapter.dough.tables.stage_kinds.LIVING_KINDS", LIVING_KINDS | {"yoghurt"})
    with pytest.raises(InputProblem, match="kind 'yoghurt' is missing") as caught:
        load_stage_kinds()
    assert caught.value.right == 'a [[stage_kind]] with name = "yoghurt"' and caught.value.file == "stage_kinds.toml"
    monkeypatch.setattr("adapter.dough.tables.work_steps.SHAPE", "tread")
    with pytest.raises(InputProblem, match="step 'tread' is missing"):
        load_work_steps()


def test_limits_of_a_kind_that_is_ripe_by_its_ph(tmp_path: Path) -> None:
    """The pH falls; raised by much starter it is ripe between its first and its best; it peaks where a dough can."""
    text = STAGE_KIND.replace(
        "ripe_rise = [70, 100, 150]", "ripe_ph = [4.4, 4.0, 3.8]\nraised_ph = 4.2\npeak_rise = 115"
    )
    path = tmp_path / "stage_kinds.toml"

    def read(key: str, value: object) -> StageKind:
        path.write_text(re.sub(rf"(?m)^{key} = .*$", f"{key} = {value}", text), encoding="utf-8")
        return load_stage_kinds([tmp_path])["poolish"]

    for key, good, bad in (
        ("raised_ph", (4.0, 4.4), (3.99, 4.41)),
        ("peak_rise", (20, 400), (19.9, 400.1)),
        ("ripe_ph", ([4.4, 4.1, 3.8],), ([4.4, 4.4, 3.8], [4.4, 4.0, 4.0], [3.8, 4.0, 4.4], [4.4, 4.0])),
    ):
        for value in good:
            assert getattr(read(key, value), key) in (value, tuple(value) if isinstance(value, list) else value)
        for value in bad:
            with pytest.raises(InputProblem):
                read(key, value)
    path.write_text(text.replace("raised_ph = 4.2\npeak_rise = 115\n", ""), encoding="utf-8")
    plain = load_stage_kinds([tmp_path])["poolish"]
    assert (plain.raised_ph, plain.peak_rise, plain.ripe_rise) == (4.0, 0.0, ())
    for both in (text.replace("ripe_ph", "ripe_rise = [70, 100, 150]\nripe_ph"), re.sub("ripe_ph = .*", "", text)):
        path.write_text(both, encoding="utf-8")
        with pytest.raises(InputProblem, match="is ripe by its pH or by its rise"):
            load_stage_kinds([tmp_path])
