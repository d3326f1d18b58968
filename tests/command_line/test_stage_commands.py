"""Stages with hours on the command line: planned, typed for the day, ripe by a time, built up, logged."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

STAGED = """\
[formula]
name = "Two builds and a cold night"

[stage."sourdough, first"]
hours = 8
temperature_c = 26

[stage."sourdough, second"]
hours = 12
temperature_c = 24

[stage.dough]
temperature_c = [{ hours = 1, temperature_c = 26 }, { hours = 12, temperature_c = 5 }]

[proof]
temperature_c = 26
rise_percent = 40
"""
LINES = (
    ("sourdough, first", "rye sourdough", 30),
    ("sourdough, first", "wholemeal rye flour", 60),
    ("sourdough, first", "water", 60),
    ("sourdough, second", "wholemeal rye flour", 250),
    ("sourdough, second", "water", 250),
    ("dough", "medium rye flour", 300),
    ("dough", "bread flour", 350),
    ("dough", "water", 360),
    ("dough", "salt", 19),
)


@pytest.fixture
def staged(tmp_path: Path) -> Path:
    path = tmp_path / "two builds.toml"
    rows = [f'[[line]]\nstage = "{stage}"\ningredient = "{name}"\ngrams = {grams}' for stage, name, grams in LINES]
    path.write_text(STAGED + "\n" + "\n\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_stages_as_the_issue_has_them(staged: Path, data: Callable[..., Any]) -> None:
    stages = data("bake", staged)["stages"]
    keys = ["stage", "kind", "hours", "temperature_c", "ph", "tta", "rise_percent", "ripe_h", "steps"]
    assert [list(stage) for stage in stages] == [keys] * 3
    first, second, dough = stages
    assert (first["kind"], first["hours"], first["temperature_c"]) == ("sourdough", 8.0, 26.0)
    assert list(first["ripe_h"]) == ["low", "value", "high"]
    assert first["ripe_h"]["low"] < first["ripe_h"]["value"] < first["ripe_h"]["high"]
    assert second["steps"][0]["amounts"][0] == {"ingredient": "sourdough, first", "grams": 150.0}
    assert dough["temperature_c"] == [{"hours": 1.0, "temperature_c": 26.0}, {"hours": 12.0, "temperature_c": 5.0}]


def test_a_formula_without_hours_has_no_stages(data: Callable[..., Any]) -> None:
    assert data("bake", "hollin_mixed_rye")["stages"] == []


def test_hours_typed_for_the_day(staged: Path, data: Callable[..., Any], refused: Callable[..., str]) -> None:
    usual = data("bake", staged)["stages"]
    longer = data("bake", staged, "--stage", "sourdough, second: 18 h 24", "--stage", "dough: 2 h 26, 10 h 5")["stages"]
    assert longer[1]["hours"] == 18.0 and longer[1]["ph"] < usual[1]["ph"]
    assert longer[2]["hours"] == 12.0
    assert "is no stage" in refused("bake", staged, "--stage", "leaven: 4 h 24")
    assert "no time and warmth" in refused("bake", staged, "--stage", "dough: for ever")
    assert "cannot be" in refused("bake", staged, "--stage", "dough: 4 h 200")


def test_ripe_by_a_time_says_how(staged: Path, data: Callable[..., Any], refused: Callable[..., str]) -> None:
    found = data("bake", staged, "--ripe", "sourdough, first in 12 h at 24")
    assert any("% starter at 24.0 °C is ripe in 12.0 h" in note for note in found["notes"])
    assert found["stages"][0]["ripe_h"]["value"] == pytest.approx(12.0, abs=0.1)
    cooler = data("bake", staged, "--ripe", "sourdough, first in 10 h with 20 %")
    assert 15.0 < cooler["stages"][0]["temperature_c"] < 22.0, "fed 1:2:2 it peaks after 5 to 8 h at 20 °C [P, a chart]"
    assert "two are given" in refused("bake", staged, "--ripe", "sourdough, first in 12 h")


def test_builds_from_what_is_there(data: Callable[..., Any], refused: Callable[..., str]) -> None:
    found = data("bake", "hollin_mixed_rye", "--there", 30)
    (stage,) = found["stages"]
    last = stage["steps"][-1]
    assert sum(part["grams"] for part in last["amounts"]) == pytest.approx(520.0)
    assert any(step["step"].startswith("feed the sourdough") for step in found["plan"])


def test_a_stage_is_logged_and_teaches(staged: Path, run: Callable[..., Any], data: Callable[..., Any]) -> None:
    usual = data("bake", staged)["stages"][1]
    measured = usual["ph"] - 0.2
    logged = run("log", staged, "--stage", "sourdough, second", "--stage-ph", f"{measured:.2f}", "--peak-h", 8)
    assert logged.code == 0 and "sourdough, second: pH" in logged.out
    after = data("bake", staged)
    assert after["stages"][1]["ph"] < usual["ph"] - 0.05
    assert after["kitchen"]["souring_factor"] > 1.05 and after["kitchen"]["ripenings"] == 1


def test_a_stage_in_a_file_that_cannot_be_is_one_line(
    staged: Path, refused: Callable[..., str], tmp_path: Path
) -> None:
    text = staged.read_text(encoding="utf-8")
    for wrong, said in (
        ("hours = 8", "hours = 0"),
        ("hours = 8", "hours = 900"),
        ("hours = 8", 'hours = "long"'),
        ("hours = 8", 'hours = 8\nkind = "leaven"'),
        ('temperature_c = 26\n\n[stage."sourdough, second', 'temperature_c = [5]\n\n[stage."sourdough, second'),
        ("hours = 1,", "hours = -1,"),
    ):
        path = tmp_path / "wrong.toml"
        path.write_text(text.replace(wrong, said, 1), encoding="utf-8")
        assert 'stage."' in refused("bake", path)


def test_spells_listed_under_hours_are_the_same(
    staged: Path, data: Callable[..., Any], refused: Callable[..., str]
) -> None:
    plain = data("bake", staged)["stages"]
    text = staged.read_text(encoding="utf-8")
    staged.write_text(text.replace("temperature_c = [{", "hours = [{"), encoding="utf-8")
    assert data("bake", staged)["stages"] == plain
    staged.write_text(text.replace("temperature_c = [{", "temperature_c = 5\nhours = [{"), encoding="utf-8")
    assert "one list" in refused("bake", staged)
