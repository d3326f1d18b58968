"""The Bake screen: everything on one page, and the same numbers as the command line."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from baking import NO_TIN_ROLLS, READY, cli, figures, put, to_bake
from driving import command, press, running, screen_text, settled, typed, written

from adapter.command_line import main
from adapter.files.formula_file import read_formula
from adapter.files.places import own_formulas
from adapter.formula.model import Formula
from adapter.screens.bake.curves import Curve
from adapter.screens.bake.screen import PARTS
from adapter.screens.bake.why import WhyBake, WhyKitchen
from adapter.screens.formulas.screen import FormulasScreen
from adapter.words.bake_report import bake_figures

SIZES = [(80, 24), (120, 34), (200, 60)]


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
        assert figures(screen) == {each.key: (each.value, each.beside) for each in bake_figures(said, ())}
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
        await command(app, pilot, "hand, machine")
        await put(app, pilot, "ready", READY)
        assert json.loads(json.dumps(screen.data)) == said
        assert "tin" not in figures(screen)
        assert figures(screen)["dough_g"] == ("1005 g", "12 pieces of 84 g")


@pytest.mark.parametrize("sample", ["hut_everyday_loaf", "stove_side_sour_rye"])
async def test_a_sample_agrees_with_its_log(sample: str, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The log of a sample lies among the baker's own formulas, wherever it is written from."""
    assert main(["log", sample, "--rise-h", "1.5", "--core-c", "97", "--bake-min", "130", "--mark", "4"]) == 0
    capsys.readouterr()
    said = cli(capsys, sample, "--ready", READY)
    assert said["kitchen"]["oven_bakes"] == 1 and len(said["bakes"]) == 1
    async with running(size=(200, 60)) as (app, pilot):
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
    assert main(["log", "hut_everyday_loaf", "--mark", "4"]) == 0
    assert own_formulas() == ()


async def test_a_scaled_variant_is_saved_and_read_again(
    loaf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], read_back: Callable[[Path], Formula]
) -> None:
    """What was done here goes into the file, and the command line reads the same from it."""
    async with running([loaf]) as (app, pilot):
        screen = await to_bake(app, pilot)
        await command(app, pilot, "pieces")
        await typed(pilot, "2")
        await press(app, pilot, "enter")
        app.session.open_piece.save(tmp_path / "two.toml")
        await put(app, pilot, "ready", READY)
        shown = figures(screen)
    assert read_back(tmp_path / "two.toml").pieces == 2
    said = cli(capsys, str(tmp_path / "two.toml"), "--ready", READY)
    assert shown == {each.key: (each.value, each.beside) for each in bake_figures(said, ())}


@pytest.fixture
def read_back() -> Callable[[Path], Formula]:
    from adapter.formula.catalogue import load_catalogue

    catalogue = load_catalogue()
    return lambda path: read_formula(path, catalogue)


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
            first, *rest = step["step"].split()  # a long step goes on in the next row
            assert re.search(rf"{step['at'][-5:]} +{first}", seen["clock"])
            assert all(word in seen["clock"] for word in rest)
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
        for _ in range(24):  # by the time of day more or less is to be told of the night
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
        "import sys; import adapter.screens.app, adapter.screens.bench.screen; "
        "assert 'textual_plotext' not in sys.modules and 'plotext' not in sys.modules; "
        "import adapter.screens.bake.screen; assert 'textual_plotext' in sys.modules; "
        "assert 'numpy' not in sys.modules and 'pint' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
