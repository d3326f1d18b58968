"""The Bake screen's inputs: everything follows them, what cannot be is one line, a changed formula is a step."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path

import pytest
from baking import NO_TIN_ROLLS, TOO_SMALL, fault, field, figures, put, to_bake
from driving import command, press, running, screen_lines, screen_text, settled, typed, written

from adapter.screens.bake.curves import Curve
from adapter.screens.bake.screen import BakeScreen


@pytest.fixture
def loaf(tmp_path: Path) -> Path:
    return written(tmp_path / "breads")


# ---------------------------------------------------------------- inputs


async def test_everything_follows_while_an_input_is_typed(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        before = figures(screen)
        core = screen.query_one("#core", Curve)
        drawn = core.text
        screen.fields.go_to("oven_c")
        await typed(pilot, "230")
        await settled(app, pilot)
        looked = figures(screen)
        assert looked["bake"] != before["bake"] and "at 230 °C" in looked["bake"][1]
        assert looked["starch"] != before["starch"]
        assert core.text != drawn
        assert "230▏" in screen_text(app)
        assert screen.day.choices.oven_c is None
        await press(app, pilot, "escape")
        assert isinstance(app.screen, BakeScreen)
        assert figures(screen) == before and core.text == drawn
        await typed(pilot, "230")
        await press(app, pilot, "enter")
        assert screen.day.choices.oven_c == 230.0 and figures(screen)["bake"] == looked["bake"]


async def test_arrows_step_and_backspace_goes_back_to_what_is_written(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        before = figures(screen)
        screen.fields.go_to("fridge_c")
        await press(app, pilot, *["right"] * 14)
        assert field(screen, "fridge_c") == "20"
        assert figures(screen)["dough_c"] != before["dough_c"]
        assert figures(screen)["proof"][0] != before["proof"][0]  # there is no water to warm: a warmer dough is quicker
        await press(app, pilot, "backspace")
        assert figures(screen) == before


async def test_leaving_an_input_takes_what_is_typed(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        screen.fields.go_to("room_c")
        await typed(pilot, "17")
        await press(app, pilot, "down")
        assert screen.day.choices.room_c == 17.0 and screen.fields.key == "fridge_c"
        await typed(pilot, "8")
        await press(app, pilot, "tab")
        assert screen.day.choices.fridge_c == 8.0 and screen.part == "figures"


async def test_letters_go_into_a_clock_time_and_nowhere_else(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await command(app, pilot, "sliced by")
        await typed(pilot, "sat 18:00")
        assert "sat 18:00▏" in screen_text(app)
        await press(app, pilot, "enter")
        assert screen.day.choices.ready is not None and screen.day.choices.ready.weekday() == 5
        screen.fields.go_to("room_c")
        await typed(pilot, "1w7")
        assert "17▏" in screen_text(app)


CANNOT_BE = (
    ("core_c", "99.6", "a core of 99.6 °C is never reached: at most 99.5 °C"),
    ("core_c", "20", "a core of 20 °C is raw dough (80 to 99.5 °C)"),
    ("oven_c", "104", "an oven at 104 °C does not bake bread: between 105"),
    ("proof_c", "60", "a proof at 60 °C is not possible (4 to 47 °C)"),
    ("rise_percent", "0", "a rise of 0 % is not possible (1 to 400 %)"),
    ("wanted_c", "70", "the wanted dough temperature at 70 °C is not possible"),
    ("room_c", "90", "a room at 90 °C is not possible"),
    ("tap_c", "90", "tap water at 90 °C is not possible"),
    ("room_c", "1.2.3", "1.2.3 is not a temperature of the room"),
    ("dough_g", "5000", "the tin is too small: 5001 g of dough"),
    ("dough_g", "0", "above zero"),
    ("pieces", "1.5", "1.5 pieces cannot be"),
    ("pieces", "0", "0 pieces cannot be"),
    ("rise_h", "0.1", "no dough rises within 0.25 h"),
    ("rise_h", "0.3", "% yeast"),
    ("ready", "2020-01-01 08:00", "2020-01-01 08:00 is past"),
    ("start", "2020-01-01 08:00", "2020-01-01 08:00 is past"),
    ("ready", "today 00:00", "is past"),
    ("start", "25:00", "25:00 is no clock time"),
)


async def test_what_cannot_be_is_a_line_at_its_field_and_the_page_stays(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "fridge_c", "9")
        before, plan = figures(screen), screen.day.plan
        for key, text, said in CANNOT_BE:
            await put(app, pilot, key, text)
            assert said in fault(screen, key), (key, text)
            assert "\n" not in fault(screen, key)
            lines = screen_lines(app)
            label = next(each.label for each in screen.fields.fields if each.key == key)
            place = next(
                number for number, line in enumerate(lines) if re.search(rf"{label} +{re.escape(text)} ", line[:45])
            )
            assert lines[place + 1].lstrip().startswith("! ")
            assert screen.said.startswith("! ") and said[:20] in screen.said
            assert figures(screen) == before and screen.day.plan is plan
            assert field(screen, key) == text  # what was typed is there to be mended
            assert field(screen, "fridge_c") == "9"
            assert app.session.open_bench.formula.adapted is None
            screen.fields.go_to(key)
            await press(app, pilot, "enter", "escape")
            assert fault(screen, key) == "" and figures(screen) == before


async def test_a_fault_does_not_stand_in_the_way_of_other_inputs(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "oven_c", "90")
        before = figures(screen)
        await put(app, pilot, "rise_percent", "40")
        assert figures(screen)["proof"] != before["proof"]
        assert "an oven at 90 °C" in fault(screen, "oven_c")
        await put(app, pilot, "oven_c", "200")
        assert fault(screen, "oven_c") == "" and "at 200 °C" in figures(screen)["bake"][1]


async def test_a_fault_goes_when_another_input_makes_it_possible(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rolls in two hours: not with a rise of 120 %, but with one of 20 %."""
    monkeypatch.setattr(BakeScreen, "now", staticmethod(lambda: datetime(2026, 11, 24, 8, 0)))
    async with running([written(tmp_path, NO_TIN_ROLLS, "rolls.toml")]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "ready", "10:20")
        assert "would have begun" in fault(screen, "ready") and "the earliest is" in fault(screen, "ready")
        await put(app, pilot, "rise_percent", "20")
        assert fault(screen, "ready") == "" and screen.day.plan is not None
        assert screen.day.plan.plan[-1].at == datetime(2026, 11, 24, 10, 20)


async def test_a_plan_that_has_begun_is_not_called_past(loaf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(BakeScreen, "now", staticmethod(lambda: datetime(2026, 11, 24, 8, 0)))
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "start", "09:00")
        monkeypatch.setattr(BakeScreen, "now", staticmethod(lambda: datetime(2026, 11, 24, 11, 0)))
        await put(app, pilot, "oven_c", "170")
        assert screen.day.faults == {} and screen.day.plan is not None
        assert screen.day.plan.plan[0].at == datetime(2026, 11, 24, 9, 0)


async def test_inputs_stay_for_the_loaf_and_the_kitchen_stays_for_all(loaf: Path, tmp_path: Path) -> None:
    other = written(tmp_path / "breads", NO_TIN_ROLLS, "rolls.toml")
    async with running([loaf, other]) as (app, pilot):
        await typed(pilot, "dark trial")
        await press(app, pilot, "enter")
        screen = await to_bake(app, pilot)
        await put(app, pilot, "room_c", "15")
        await put(app, pilot, "oven_c", "175")
        await press(app, pilot, "q", "b")
        assert isinstance(app.screen, BakeScreen) and app.screen is not screen
        assert (field(app.screen, "room_c"), field(app.screen, "oven_c")) == ("15", "175")
        await press(app, pilot, "q", "q", "escape")
        await typed(pilot, "plain rolls")
        await press(app, pilot, "enter", "b")
        assert isinstance(app.screen, BakeScreen)
        assert field(app.screen, "room_c") == "15" and field(app.screen, "oven_c") != "175"


# ---------------------------------------------------------------- steps of the variant


async def test_fit_the_tin_is_a_step_that_the_bench_undoes(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        suits = screen.data["tin_suits_g"]
        written_g = screen.data["dough_g"]
        await press(app, pilot, "z")
        bench = app.session.open_bench
        assert bench.formula.adapted is not None and len(bench.formula.adapted.steps) == 1
        assert screen.data["dough_g"] == pytest.approx(suits, abs=6.0)
        assert "u undoes it" in screen.said and "scaled by" in screen.said
        await press(app, pilot, "q", "u")
        assert app.session.open_bench.now.amount("mass") == pytest.approx(written_g)
        await press(app, pilot, "b")
        assert isinstance(app.screen, BakeScreen)
        assert app.screen.data["dough_g"] == pytest.approx(written_g)


@pytest.mark.parametrize(
    ("key", "text", "mass", "pieces"),
    [("pieces", "3", 3 * 1472.0, 3), ("grams", "1600", 1600.0, 1)],
)
async def test_to_pieces_and_to_grams(loaf: Path, key: str, text: str, mass: float, pieces: int) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await command(app, pilot, key)
        await typed(pilot, text)
        await settled(app, pilot)
        assert screen.data["dough_g"] == pytest.approx(mass, abs=6.0)  # looked at before it is taken
        assert app.session.open_bench.formula.adapted is None
        await press(app, pilot, "enter")
        formula = app.session.open_bench.formula
        assert (formula.dough_grams(), formula.pieces) == (pytest.approx(mass, abs=6.0), pieces)
        await press(app, pilot, "u")
        assert app.session.open_bench.formula.dough_grams() == 1472.0
        await press(app, pilot, "r")
        assert app.session.open_bench.formula.pieces == pieces


async def test_yeast_for_a_wanted_time(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "proof_c", "30")
        await command(app, pilot, "yeast")
        await typed(pilot, "1:45")
        await press(app, pilot, "enter")
        assert screen.data["proof_h"]["value"] == pytest.approx(1.75, rel=0.03)
        assert "fresh yeast" in screen.said
        assert app.session.open_bench.formula.adapted is not None


async def test_a_tin_smaller_than_the_dough_can_be_mended_here(tmp_path: Path) -> None:
    path = written(tmp_path, TOO_SMALL, "small.toml")
    async with running([path]) as (app, pilot):
        screen = await to_bake(app, pilot)
        assert screen.day.plan is None
        assert "the tin is too small: 1472 g of dough" in fault(screen, "dough_g")
        assert "the tin is too small" in screen.said
        await put(app, pilot, "room_c", "18")
        assert field(screen, "room_c") == "18" and fault(screen, "room_c") == ""
        await press(app, pilot, "w")
        assert app.screen is screen
        await press(app, pilot, "z")
        assert screen.day.plan is not None and screen.day.problem == ""
        assert screen.data["tin_fill"] == pytest.approx(0.935, abs=0.01)
        assert fault(screen, "dough_g") == ""
        fitted = figures(screen)
        await press(app, pilot, "u")
        assert figures(screen) == fitted  # the last plan that worked stays, and it says so
        assert "the tin is too small" in screen.said and "the last plan" in screen.said
        assert "the tin is too small" in fault(screen, "dough_g")


async def test_enter_on_an_input_that_was_not_touched_changes_nothing(loaf: Path) -> None:
    """The hours are shown to a tenth: taking them up must not move the yeast."""
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        before, choices = figures(screen), screen.day.choices
        for key in [each.key for each in screen.fields.fields if not each.fixed]:
            screen.fields.go_to(key)
            await press(app, pilot, "enter", "enter")
        assert figures(screen) == before and screen.day.choices == choices
        assert app.session.open_bench.formula.adapted is None


async def test_without_a_tin_and_without_yeast(tmp_path: Path) -> None:
    path = written(tmp_path, NO_TIN_ROLLS.replace('"fresh yeast"', '"caraway"'), "flat.toml")
    async with running([path]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await press(app, pilot, "z")
        assert "no tin" in screen.said
        assert "does not rise" in screen_text(app)
        assert "no times: this dough does not rise" in screen_text(app)
        await put(app, pilot, "rise_h", "2")
        assert "there is no yeast" in fault(screen, "rise_h")
