"""Living stages on the Bake screen: their rows, curves and inputs, nights, the timetable, and what stays for a loaf."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from baking import cli, field, put, to_bake
from driving import command, press, running, screen_text, settled, typed, written

from adapter.files.log_file import read_log
from adapter.screens.bake.curves import Curve
from adapter.screens.bake.log_form import BakeLogForm
from adapter.screens.bake.screen import BakeScreen
from adapter.words.bake_report import stage_figures

NIGHT_RYE = """
[formula]
name = "Night rye"
[[line]]
ingredient = "whole rye flour"
grams = 250
stage = "sourdough"
[[line]]
ingredient = "water"
grams = 250
stage = "sourdough"
[[line]]
ingredient = "ripe rye sourdough"
grams = 25
stage = "sourdough"
[[line]]
ingredient = "white wheat flour"
grams = 500
[[line]]
ingredient = "water"
grams = 300
[[line]]
ingredient = "salt"
grams = 14
[[line]]
ingredient = "fresh yeast"
grams = 5
[stage."sourdough"]
kind = "sourdough"
hours = 14
temperature_c = 24
"""
HOURS, WARMTH, RIPE = "hours/sourdough", "warmth/sourdough", "ripe/sourdough"
EVENING = datetime(2026, 11, 24, 18, 0)


@pytest.fixture
def rye(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(BakeScreen, "now", staticmethod(lambda: EVENING))
    return written(tmp_path / "breads", NIGHT_RYE, "night_rye.toml")


async def test_a_stage_has_its_number_its_curves_and_what_is_weighed_in(rye: Path) -> None:
    async with running([rye]) as (app, pilot):
        screen = await to_bake(app, pilot)
        (stage,) = screen.data["stages"]
        shown = {each.key: (each.value, each.beside) for each in screen.figures.figures}
        assert shown["stage/sourdough"][0] == f"pH {stage['ph']:.1f}, +{stage['rise_percent']:.0f} %"
        assert f"ripe at {stage['ripe_h']['value']:.1f} h" in shown["stage/sourdough"][1]
        assert [each.value for each in stage_figures(screen.data)] == [shown["stage/sourdough"][0]]
        rise, core = screen.query_one("#rise", Curve), screen.query_one("#core", Curve)
        assert (rise.title, core.y_unit) == ("rise", "°C")
        screen.fields.go_to(HOURS)
        await settled(app, pilot)
        assert (rise.title, rise.y_unit, core.y_unit) == ("sourdough", "%", "pH")
        assert rise.wanted == (14.0, pytest.approx(stage["rise_percent"], abs=0.01))
        assert core.points[0][1] > core.points[-1][1]  # it sours
        assert f"pH {stage['ph']:.1f}" in screen_text(app)
        await press(app, pilot, "w")
        assert "250 g wholemeal rye flour, 250 g water, 25 g rye sourdough" in " ".join(screen_text(app).split())
        await press(app, pilot, "escape")
        screen.fields.go_to("oven_c")
        await settled(app, pilot)
        assert (rise.title, core.y_unit) == ("rise", "°C")


async def test_hours_and_warmth_are_typed_stepped_and_given_back(rye: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = cli(capsys, str(rye), "--stage", "sourdough: 18 h 26")
    async with running([rye]) as (app, pilot):
        screen = await to_bake(app, pilot)
        before = screen.data["stages"][0]
        await put(app, pilot, HOURS, "18")
        await put(app, pilot, WARMTH, "25")
        await press(app, pilot, "right")
        assert field(screen, WARMTH) == "26"
        assert screen.data["stages"] == said["stages"]
        assert screen.data["stages"][0]["ph"] < before["ph"]
        await put(app, pilot, HOURS, "2 h 26, 12 h 5")
        assert field(screen, HOURS) == "14" and screen.data["stages"][0]["ph"] > before["ph"]
        await press(app, pilot, "backspace")
        assert screen.data["stages"][0] == before
        await put(app, pilot, HOURS, "900")
        assert "900 h cannot be" in screen_text(app) and screen.data["stages"][0] == before


@pytest.mark.parametrize("wish", ["by 06:00 at 24", "by 06:00 with 8 %", "at 24 with 8"])
async def test_ripe_in_time_is_solved_for_what_is_left_open(rye: Path, wish: str) -> None:
    async with running([rye]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, RIPE, wish)
        (stage,) = screen.data["stages"]
        assert stage["ripe_h"]["value"] == pytest.approx(stage["hours"], abs=0.1)
        if "by" in wish:
            assert stage["hours"] == pytest.approx(12.0)
            assert {step["step"]: step["at"] for step in screen.data["plan"]}["mix"] == "2026-11-25 06:00"
        if "at" in wish:
            assert stage["temperature_c"] == pytest.approx(24.0)
        culture = next(line.grams for line in app.session.open_bench.formula.lines if "sourdough" in line.ingredient)
        if "with" in wish:
            assert culture == pytest.approx(0.08 * 525, abs=0.1)
            assert field(screen, "starter/sourdough") == "8"
        assert "% starter" in screen.said and "is ripe in" in screen.said
        await press(app, pilot, "u")
        assert app.session.open_bench.formula.dough_grams() == 1344.0
        assert [line.grams for line in app.session.open_bench.formula.lines][2] == 25.0


async def test_a_little_starter_is_fed_up_with_amounts_in_the_clock(rye: Path) -> None:
    async with running([rye]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "there_g", "5")
        builds = screen.data["stages"][0]
        assert builds["stage"].startswith("builds of") and len(builds["steps"]) >= 1
        assert builds["steps"][0]["amounts"][0]["grams"] == 5.0
        assert "feed the sourdough" in screen.data["plan"][0]["step"]
        assert "gives 25 g" in " ".join(screen_text(app).split())


async def test_the_night_in_the_fridge_is_offered_and_taken(rye: Path) -> None:
    async with running([rye]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "start", "20:00")
        await put(app, pilot, HOURS, "6")
        plan = screen.day.plan
        assert plan is not None and plan.cold_night is not None
        assert any("A night in the fridge fits" in note for note in screen.data["notes"])
        screen.fields.go_to("cold_night")
        await press(app, pilot, "right")
        assert field(screen, "cold_night") == "yes"
        assert any("into the cold, 6 °C" in step["step"] for step in screen.data["plan"])


async def test_the_plan_is_moved_off_the_night(rye: Path) -> None:
    async with running([rye]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "start", "19:00")
        await put(app, pilot, HOURS, "6")  # mixed at 01:00
        assert screen.day.plan is not None and screen.day.plan.off_night is not None
        await command(app, pilot, "off the night")
        steps = [datetime.strptime(step["at"], "%Y-%m-%d %H:%M") for step in screen.data["plan"]]
        assert not any(at.hour >= 23 or at.hour < 5 for at in steps[:-1])
        assert all(at.minute % 5 == 0 for at in steps)
        assert not any("into the night" in note for note in screen.data["notes"])


async def test_what_is_set_for_a_loaf_outlives_the_program(rye: Path) -> None:
    async with running([rye]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "oven_c", "215")
        await put(app, pilot, HOURS, "18")
        await put(app, pilot, "ready", "2026-11-26 18:00")
        data = screen.data
    async with running([rye]) as (app, pilot):
        screen = await to_bake(app, pilot)
        assert (field(screen, "oven_c"), field(screen, HOURS)) == ("215", "18")
        assert screen.data == data
        for key in ("oven_c", HOURS, "ready"):
            await put(app, pilot, key, "")
            await press(app, pilot, "backspace")
        assert not app.session.open_piece.needs_draft


async def test_the_log_takes_a_day_and_what_was_measured_of_the_stage(rye: Path) -> None:
    async with running([rye]) as (app, pilot):
        await to_bake(app, pilot)
        await press(app, pilot, "l")
        form = app.screen
        assert isinstance(form, BakeLogForm)
        for key, text in {"at": "2026-11-21 15:30", "stage_ph": "3.9", "stage_h": "14", "peak_h": "9:30"}.items():
            form.query_one(f"#{key}").focus()
            await pilot.pause()
            await typed(pilot, text)
        await settled(app, pilot)
        await press(app, pilot, "ctrl+s")
        (bake,) = read_log(rye.with_name("night_rye.bakes.toml"))
        assert bake.at == datetime(2026, 11, 21, 15, 30)
        assert (bake.stage, bake.stage_ph, bake.stage_h, bake.peak_h) == ("sourdough", 3.9, 14.0, 9.5)
        assert bake.souring_factor is not None and bake.raising_factor is not None


async def test_the_day_can_be_kept_in_the_formula(rye: Path) -> None:
    async with running([rye]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "oven_c", "215")
        await put(app, pilot, HOURS, "18")
        before = screen.data
        await press(app, pilot, "k")
        formula = app.session.open_bench.formula
        plan = formula.plan_of("sourdough")
        assert plan is not None and (plan.total_hours, formula.bake.oven_c) == (18.0, 215.0)
        assert screen.day.choices.stages == () and screen.day.choices.oven_c is None
        assert screen.data == before
        await press(app, pilot, "k")
        assert "nothing is set" in screen_text(app)


@pytest.mark.parametrize("size", [(80, 24), (120, 34), (200, 60)])
async def test_no_step_of_the_clock_is_cut(rye: Path, size: tuple[int, int]) -> None:
    async with running([rye], size) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "there_g", "5")
        screen.to_part("clock")
        await settled(app, pilot)
        shown = " ".join(screen_text(app).replace("▸", " ").split())
        assert "…" not in shown.split("clock", 1)[1].split("may be sliced")[0] or size[0] > 80
        assert "build 1" in shown
