"""The form of the bake log: what was measured goes beside the formula, and the kitchen learns from it."""

from __future__ import annotations

from pathlib import Path

import pytest
from baking import to_bake
from driving import DARK_LOAF, press, running, screen_text, settled, typed, written
from textual.pilot import Pilot
from textual.widgets import Input

from adapter.files.log_file import read_log
from adapter.screens.app import OtherloafApp
from adapter.screens.bake.log_form import BakeLogForm


@pytest.fixture
def loaf(tmp_path: Path) -> Path:
    return written(tmp_path / "breads")


# ---------------------------------------------------------------- the bake log


async def answer(app: OtherloafApp, pilot: Pilot[None], **texts: str) -> BakeLogForm:
    form = app.screen
    assert isinstance(form, BakeLogForm)
    for key, text in texts.items():
        form.query_one(f"#{key}").focus()
        await pilot.pause()
        await typed(pilot, text)
    await settled(app, pilot)
    return form


async def test_a_logged_bake_is_kept_beside_the_file_and_the_kitchen_learns(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        before = screen.day.plan
        assert before is not None
        await press(app, pilot, "l")
        form = await answer(
            app, pilot, dough_c="21", rise_h="1:50", bake_min="150", core_c="97", mark="4", crumb="moist", notes="good"
        )
        assert "planned" in screen_text(app)
        await press(app, pilot, "ctrl+s")
        assert app.screen is screen and not form.is_attached
        (bake,) = read_log(loaf.with_name("dark_trial_loaf.bakes.toml"))
        assert (bake.rise_h, bake.bake_min, bake.mark, bake.crumb) == (pytest.approx(1.8333), 150.0, 4, "moist")
        assert (bake.proof_c, bake.rise_percent, bake.oven_c) == (before.place_c, 30.0, 160.0)  # as planned
        after = screen.day.plan
        assert after is not None
        assert before.bake_min.value < after.bake_min.value < 150.0
        assert after.proof_h.value < before.proof_h.value
        assert f"proof {before.proof_h.value:.1f} → {after.proof_h.value:.1f} h" in screen.said
        assert f"oven {before.bake_min.value:.0f} → {after.bake_min.value:.0f} min" in screen.said
        assert "4/5" in screen_text(app)
        assert app.session.open_bench.kitchen.calibration.bakes == 1
        await press(app, pilot, "q")
        assert app.session.open_bench.now.kitchen.calibration.oven_bakes == 1


async def test_a_sample_is_logged_among_the_own_formulas(home: Path) -> None:
    async with running() as (app, pilot):
        await typed(pilot, "hut everyday")
        await press(app, pilot, "enter")
        await to_bake(app, pilot)
        await press(app, pilot, "l")
        await answer(app, pilot, mark="5")
        await press(app, pilot, "ctrl+s")
        assert [bake.mark for bake in read_log(home / "formulas" / "hut_everyday_loaf.bakes.toml")] == [5]


async def test_the_steps_done_are_logged_for_the_variant_that_is_shown(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "v")
        screen = await to_bake(app, pilot)
        await press(app, pilot, "l")
        await answer(app, pilot, mark="2")
        await press(app, pilot, "ctrl+s")
        (bake,) = read_log(loaf.with_name("dark_trial_loaf.bakes.toml"))
        assert bake.formula == app.session.open_bench.formula.name != "Dark trial loaf"
        screen.to_part("log")
        await settled(app, pilot)
        assert bake.formula in screen_text(app)


CANNOT_BE: tuple[tuple[dict[str, str], str], ...] = (
    ({"oven_c": "90"}, "! oven: 90 °C cannot be (105 to 400 °C)"),
    ({"core_c": "120"}, "! core when it came out: 120 °C cannot be"),
    ({"mark": "9"}, "! mark: 9 cannot be (1 to 5)"),
    ({"mark": "2.5"}, "! mark: 2.5 cannot be (1 to 5)"),
    ({"rise_h": "soon"}, "! in: soon is not a time in hours"),
    ({"dough_c": "warm"}, "! dough after mixing: warm is not a number"),
    ({}, "! nothing was measured"),
)


async def test_a_form_that_cannot_be_is_one_line_and_loses_nothing(loaf: Path) -> None:
    async with running([loaf], (80, 24)) as (app, pilot):
        await to_bake(app, pilot)
        for texts, said in CANNOT_BE:
            await press(app, pilot, "l")
            form = await answer(app, pilot, **texts)
            await press(app, pilot, "ctrl+s")
            assert app.screen is form and said in screen_text(app)
            assert not loaf.with_name("dark_trial_loaf.bakes.toml").exists()
            await press(app, pilot, "escape", "l")
            again = app.screen
            assert isinstance(again, BakeLogForm)
            assert {key: text for key, text in again.texts.items() if text} == texts
            for key in texts:
                again.query_one(f"#{key}", Input).value = ""
            await press(app, pilot, "escape")


async def test_a_log_that_cannot_be_written_or_read_is_one_line(loaf: Path) -> None:
    log = loaf.with_name("dark_trial_loaf.bakes.toml")
    log.write_text("[[bake]\n", encoding="utf-8")
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        assert "dark_trial_loaf.bakes.toml" in screen.said and "is not TOML" in screen.said
        assert screen.day.plan is not None
        await press(app, pilot, "l")
        await answer(app, pilot, mark="3")
        await press(app, pilot, "ctrl+s")
        assert app.screen is screen and screen.said.startswith("! ")
        assert log.read_text(encoding="utf-8") == "[[bake]\n"
        await press(app, pilot, "l")
        assert isinstance(app.screen, BakeLogForm) and app.screen.texts["mark"] == "3"


async def test_brackets_and_control_signs_are_only_text(tmp_path: Path) -> None:
    text = DARK_LOAF.replace("Dark trial loaf", "[bold]Dark[/] [@click=app.quit]loaf[/]")
    path = written(tmp_path, text, "odd.toml")
    async with running([path]) as (app, pilot):
        screen = await to_bake(app, pilot)
        assert "[bold]Dark[/]" in screen_text(app)
        await press(app, pilot, "l")
        await answer(app, pilot, notes="[red]x")
        await press(app, pilot, "ctrl+s")
        screen.to_part("log")
        await settled(app, pilot)
        assert "[red]x" in screen_text(app)
