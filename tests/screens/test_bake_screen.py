"""The Bake screen: everything on one page, following every input, and the same numbers as the command line."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from driving import DARK_LOAF, press, running, screen_lines, screen_text, settled, typed, written
from textual.pilot import Pilot

from adapter.command_line import main
from adapter.files.bake_log import read_log
from adapter.files.bake_report import bake_figures
from adapter.files.formula_file import read_formula
from adapter.files.places import own_formulas
from adapter.formula.model import Formula
from adapter.screens.app import OtherloafApp
from adapter.screens.bake import PARTS, BakeScreen
from adapter.screens.bake_log import BakeLogForm
from adapter.screens.bake_why import WhyBake, WhyKitchen
from adapter.screens.formulas import FormulasScreen
from adapter.screens.widgets.bake_curves import Curve

READY = "2031-05-03 08:00"
SIZES = [(80, 24), (120, 34), (200, 60)]
NO_TIN_ROLLS = """
[formula]
name = "Plain rolls"
pieces = 12
[[line]]
ingredient = "white wheat flour"
grams = 600
[[line]]
ingredient = "milk"
grams = 250
[[line]]
ingredient = "water"
grams = 130
[[line]]
ingredient = "salt"
grams = 11
[[line]]
ingredient = "fresh yeast"
grams = 14
"""
TOO_SMALL = DARK_LOAF.replace("length_cm = 22", "length_cm = 11")
NOTHING_RAISES = DARK_LOAF.replace('[[line]]\ningredient = "fresh yeast"\ngrams = 9\n', "")


def cli(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    """What `otherloaf bake … --json` prints."""
    assert main(["bake", *words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


async def to_bake(app: OtherloafApp, pilot: Pilot[None]) -> BakeScreen:
    await press(app, pilot, "b")
    screen = app.screen
    assert isinstance(screen, BakeScreen)
    return screen


async def put(app: OtherloafApp, pilot: Pilot[None], key: str, text: str, end: str = "enter") -> None:
    """Type a text over an input, and end with a key."""
    screen = app.screen
    assert isinstance(screen, BakeScreen)
    screen.to_part("fields")
    screen.fields.go_to(key)
    screen.fields.begin()
    await settled(app, pilot)
    await typed(pilot, text)
    await press(app, pilot, end)


def figures(screen: BakeScreen) -> dict[str, tuple[str, str]]:
    """Numbers as they stand in the list."""
    return {each.key: (each.value, each.beside) for each in screen.figures.figures}


def field(screen: BakeScreen, key: str) -> str:
    return next(each.value for each in screen.fields.fields if each.key == key)


def fault(screen: BakeScreen, key: str) -> str:
    return next(each.fault for each in screen.fields.fields if each.key == key)


@pytest.fixture
def loaf(tmp_path: Path) -> Path:
    return written(tmp_path / "breads")


# ---------------------------------------------------------------- the same as the command line


@pytest.mark.parametrize(
    ("words", "inputs"),
    [
        ((), {}),
        (("--room-c", "16.5", "--fridge-c", "4", "--tap-c", "9"), {"room_c": "16.5", "fridge_c": "4", "tap_c": "9"}),
        (
            ("--dough-c", "24", "--proof-c", "29.5", "--rise-percent", "45"),
            {"wanted_c": "24", "proof_c": "29.5", "rise_percent": "45"},
        ),
        (("--oven-c", "185", "--core-c", "98.5"), {"oven_c": "185", "core_c": "98,5"}),
    ],
)
async def test_screen_and_command_line_agree_to_the_last_digit(
    loaf: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], inputs: dict[str, str]
) -> None:
    said = cli(capsys, str(loaf), "--ready", READY, *words)
    async with running([loaf], (200, 60)) as (app, pilot):
        screen = await to_bake(app, pilot)
        for key, text in inputs.items():
            await put(app, pilot, key, text)
        await put(app, pilot, "ready", READY)
        assert json.loads(json.dumps(screen.data)) == said
        assert figures(screen) == {each.key: (each.value, each.beside) for each in bake_figures(said)}
        text = screen_text(app)
    assert (
        f"{said['bake_min']['value']:.0f} min ({said['bake_min']['low']:.0f} to {said['bake_min']['high']:.0f})" in text
    )
    assert f"{said['proof_h']['value']:.1f} h ({said['proof_h']['low']:.1f} to {said['proof_h']['high']:.1f})" in text
    assert f"{100 * said['tin_fill']:.0f} % full" in text
    assert f"{said['dough_temperature_c']:.1f} °C" in text
    assert f"{said['loss_percent']['low']:.0f} to {said['loss_percent']['high']:.0f} %" in text
    assert f"{said['wait_h']['low']:.0f} to {said['wait_h']['high']:.0f} h" in text
    for step in said["plan"]:
        assert re.search(rf"{step['at'][-5:]} +{step['step']}", text)
    words_shown = " ".join(text.split())
    for caution in said["cautions"]:
        assert caution in words_shown


async def test_by_machine_and_in_pieces_they_agree_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path, NO_TIN_ROLLS, "rolls.toml")
    said = cli(capsys, str(path), "--ready", READY, "--machine")
    async with running([path]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await press(app, pilot, "m")
        await put(app, pilot, "ready", READY)
        assert json.loads(json.dumps(screen.data)) == said
        assert "tin" not in figures(screen)
        assert figures(screen)["dough_g"] == ("1005 g", "12 pieces of 84 g")


@pytest.mark.parametrize("sample", ["hut_dark_tin_loaf", "stove_side_sour_rye"])
async def test_a_sample_agrees_with_its_log(sample: str, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The log of a sample lies among the baker's own formulas, wherever it is written from."""
    assert main(["log", sample, "--rise-h", "1.5", "--core-c", "97", "--bake-min", "130", "--mark", "4"]) == 0
    capsys.readouterr()
    said = cli(capsys, sample, "--ready", READY)
    assert said["kitchen"]["oven_bakes"] == 1 and len(said["bakes"]) == 1
    async with running() as (app, pilot):
        first = app.screen
        assert isinstance(first, FormulasScreen)
        found = [entry for entry in first.entries if entry.place is not None and entry.place.name == f"{sample}.toml"]
        first.open_entry(found[0])
        await settled(app, pilot)
        screen = await to_bake(app, pilot)
        await put(app, pilot, "ready", READY)
        assert json.loads(json.dumps(screen.data)) == said
        assert "4/5" in screen_text(app)


def test_a_log_is_no_formula(home: Path) -> None:
    assert main(["log", "hut_dark_tin_loaf", "--mark", "4"]) == 0
    assert own_formulas() == ()


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
        await press(app, pilot, "d")
        await typed(pilot, "sat 18:00")
        assert "sat 18:00▏" in screen_text(app)
        await press(app, pilot, "enter")
        assert screen.day.choices.ready is not None and screen.day.choices.ready.weekday() == 5
        screen.fields.go_to("room_c")
        await typed(pilot, "1w7")
        assert "17▏" in screen_text(app)


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
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
    ],
)
async def test_what_cannot_be_is_a_line_at_its_field_and_the_page_stays(
    loaf: Path, key: str, text: str, said: str
) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "fridge_c", "9")
        before, plan = figures(screen), screen.day.plan
        await put(app, pilot, key, text)
        assert said in fault(screen, key)
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
        await press(app, pilot, "t")
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
    [("p", "3", 3 * 1472.0, 3), ("g", "1600", 1600.0, 1)],
)
async def test_to_pieces_and_to_grams(loaf: Path, key: str, text: str, mass: float, pieces: int) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await press(app, pilot, key)
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
        await press(app, pilot, "y")
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
        await press(app, pilot, "t")
        assert screen.day.plan is not None and screen.day.problem == ""
        assert screen.data["tin_fill"] == pytest.approx(0.935, abs=0.01)
        assert fault(screen, "dough_g") == ""


async def test_without_a_tin_and_without_yeast(tmp_path: Path) -> None:
    path = written(tmp_path, NO_TIN_ROLLS.replace('"fresh yeast"', '"caraway"'), "flat.toml")
    async with running([path]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await press(app, pilot, "t")
        assert "no tin" in screen.said
        assert "does not rise" in screen_text(app)
        assert "no times: this dough does not rise" in screen_text(app)
        await put(app, pilot, "rise_h", "2")
        assert "there is no yeast" in fault(screen, "rise_h")


# ---------------------------------------------------------------- curves, why, layout


async def test_the_curves_have_axes_and_meet_what_is_wanted(loaf: Path) -> None:
    async with running([loaf], (200, 60)) as (app, pilot):
        screen = await to_bake(app, pilot)
        rise, core = screen.query_one("#rise", Curve).text, screen.query_one("#core", Curve).text
        assert " h" in rise.splitlines()[-1] and " %" in rise
        assert " min" in core.splitlines()[-1] and "100 °C" in core
        for drawn in (rise, core):
            assert "┤" in drawn and "┬" in drawn and "│" in drawn and "─" in drawn
            assert len([sign for sign in drawn if "⠀" < sign <= "⣿"]) > 30


@pytest.mark.parametrize("theme", ["crust", "flour"])
@pytest.mark.parametrize("no_color", [False, True])
async def test_the_curve_can_be_seen_in_every_room(
    loaf: Path, theme: str, no_color: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Contrast of the curve's dots with their ground at least 3 : 1 (WCAG 2.1, 1.4.11, for graphics)."""
    if no_color:
        monkeypatch.setenv("NO_COLOR", "1")
    async with running([loaf]) as (app, pilot):
        await to_bake(app, pilot)
        app.theme = theme
        await settled(app, pilot)
        contrasts = []
        for strip in app.screen._compositor.render_strips():
            for line_filter in app._filters:
                if line_filter.enabled:
                    strip = strip.apply_filter(line_filter, app.screen.background_colors[1])
            for text, style, _ in strip:
                if style and style.color and style.bgcolor and any("⠀" < sign <= "⣿" for sign in text):
                    contrasts.append(_contrast(style.color.get_truecolor(), style.bgcolor.get_truecolor()))
        assert contrasts and min(contrasts) >= 3.0


def _contrast(first: tuple[int, int, int], second: tuple[int, int, int]) -> float:
    """Ratio of relative luminances, WCAG 2.1."""

    def luminance(colour: tuple[int, int, int]) -> float:
        parts = [value / 255 for value in colour]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    low, high = sorted((luminance(first), luminance(second)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("size", SIZES)
async def test_nothing_is_clipped(loaf: Path, size: tuple[int, int]) -> None:
    """Every number stands whole on some page, every part can be reached by Tab, no number is cut by an ellipsis."""
    async with running([loaf], size) as (app, pilot):
        screen = await to_bake(app, pilot)
        await put(app, pilot, "ready", READY)
        seen: dict[str, str] = {}
        screen.to_part(PARTS[0])
        for part in PARTS:
            await settled(app, pilot)
            assert screen.part == part
            seen[part] = screen_text(app)
            assert not re.search(r"\d…", seen[part])
            await press(app, pilot, "tab")
        assert screen.part == PARTS[0]
        for each in screen.figures.figures:
            assert re.search(rf"{re.escape(each.label)} +{re.escape(each.value)}", seen["figures"])
        for each in screen.fields.fields:
            assert re.search(rf"{re.escape(each.label)} +{re.escape(each.value)}", seen["fields"])
        for step in screen.data["plan"]:
            assert re.search(rf"{step['at'][-5:]} +{step['step']}", seen["clock"])
        assert "rise  30 % in" in seen["rise"] and "core  97 °C in" in seen["core"]
        if size != (80, 24):
            assert all("core  97 °C in" in text and "may be sliced" in text for text in seen.values())
        else:
            assert "core  97" not in seen["rise"] and "may be sliced" not in seen["fields"]


@pytest.mark.parametrize("size", SIZES)
async def test_cautions_can_be_read_to_their_end(loaf: Path, size: tuple[int, int]) -> None:
    async with running([loaf], size) as (app, pilot):
        screen = await to_bake(app, pilot)
        screen.to_part("cautions")
        await settled(app, pilot)
        pages = [screen_text(app)]
        for _ in range(12):
            await press(app, pilot, "down")
            pages.append(screen_text(app))
        shown = " ".join(" ".join(pages).split())
        assert "no medical advice." in shown and "Honey is not for infants" in shown


async def test_why_for_every_number_and_every_input(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        for part, count in (("figures", len(screen.figures.figures)), ("fields", len(screen.fields.fields))):
            screen.to_part(part)
            for _ in range(count):
                await pilot.press("w")
                await pilot.pause()
                assert isinstance(app.screen, WhyBake)
                await pilot.press("escape")
                await pilot.press("down")
        for part in ("rise", "core", "clock"):
            screen.to_part(part)
            await pilot.press("w")
            await pilot.pause()
            assert isinstance(app.screen, WhyBake)
            await pilot.press("escape")
        screen.to_part("log")
        await pilot.press("w")
        await pilot.pause()
        assert isinstance(app.screen, WhyKitchen)


def test_plotting_is_loaded_with_this_screen_and_not_before() -> None:
    code = (
        "import sys; import adapter.screens.app, adapter.screens.bench; "
        "assert 'textual_plotext' not in sys.modules and 'plotext' not in sys.modules; "
        "import adapter.screens.bake; assert 'textual_plotext' in sys.modules; "
        "assert 'numpy' not in sys.modules and 'pint' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


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
        await typed(pilot, "hut dark")
        await press(app, pilot, "enter")
        await to_bake(app, pilot)
        await press(app, pilot, "l")
        await answer(app, pilot, mark="5")
        await press(app, pilot, "ctrl+s")
        assert [bake.mark for bake in read_log(home / "formulas" / "hut_dark_tin_loaf.bakes.toml")] == [5]


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


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        ({"oven_c": "90"}, "! oven: 90 °C cannot be (105 to 400 °C)"),
        ({"core_c": "120"}, "! core when it came out: 120 °C cannot be"),
        ({"mark": "9"}, "! mark: 9 cannot be (1 to 5)"),
        ({"mark": "2.5"}, "! mark: 2.5 cannot be (1 to 5)"),
        ({"rise_h": "soon"}, "! in: soon is not a time in hours"),
        ({"dough_c": "warm"}, "! dough after mixing: warm is not a number"),
        ({}, "! nothing was measured"),
    ],
)
async def test_a_form_that_cannot_be_is_one_line_and_loses_nothing(
    loaf: Path, texts: dict[str, str], said: str
) -> None:
    async with running([loaf], (80, 24)) as (app, pilot):
        await to_bake(app, pilot)
        await press(app, pilot, "l")
        form = await answer(app, pilot, **texts)
        await press(app, pilot, "ctrl+s")
        assert app.screen is form and said in screen_text(app)
        assert not loaf.with_name("dark_trial_loaf.bakes.toml").exists()
        await press(app, pilot, "escape", "l")
        again = app.screen
        assert isinstance(again, BakeLogForm)
        assert {key: text for key, text in again.texts.items() if text} == texts


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


async def test_a_scaled_variant_is_saved_and_read_again(
    loaf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], read_back: Callable[[Path], Formula]
) -> None:
    """What was done here goes into the file, and the command line reads the same from it."""
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await press(app, pilot, "p")
        await typed(pilot, "2")
        await press(app, pilot, "enter")
        app.session.save(tmp_path / "two.toml")
        await put(app, pilot, "ready", READY)
        shown = figures(screen)
    assert read_back(tmp_path / "two.toml").pieces == 2
    said = cli(capsys, str(tmp_path / "two.toml"), "--ready", READY)
    assert shown == {each.key: (each.value, each.beside) for each in bake_figures(said)}


@pytest.fixture
def read_back() -> Callable[[Path], Formula]:
    from adapter.formula.catalogue import load_catalogue

    catalogue = load_catalogue()
    return lambda path: read_formula(path, catalogue)
