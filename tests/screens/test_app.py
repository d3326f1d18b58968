"""The frame: the table of actions, the footer, help, palette, themes, and what the first screen may load."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest
from driving import press, running, screen_lines, screen_text, settled, typed, written
from rich.cells import cell_len
from textual._styles_cache import StylesCache
from textual.binding import Binding
from textual.color import Color

from adapter import screens
from adapter.formula.problems import InputProblem
from adapter.screens.app import OtherloafApp
from adapter.screens.faults import fault_line
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.parts.actions import ACTIONS, actions_of, commands_of, footer_of
from adapter.screens.parts.columns import Column, Items, cut, lay_out, widths
from adapter.screens.parts.keyline import KeyLine
from adapter.screens.parts.registry import BEYOND_BENCH, BY_LETTER, SCREENS
from adapter.screens.parts.shell import OtherloafScreen
from adapter.screens.parts.text_view import wrapped
from adapter.screens.parts.track import BUBBLE, Track, bracket_offset, bubble_offset
from adapter.screens.theme import DARK, LIGHT, THEMES
from adapter.work.paths import check_no_sample, file_name_for, path_typed

TAKEN_BY_MULTIPLEXERS = {"ctrl+b", "ctrl+a"}


def screen_class(name: str) -> type[OtherloafScreen]:
    place = SCREENS[name]
    made = getattr(import_module(place.module), place.made)
    assert issubclass(made, OtherloafScreen) and name == made.NAME
    return made


@pytest.mark.parametrize("name", SCREENS)
def test_every_action_of_a_screen_does_something(name: str) -> None:
    screen = screen_class(name)()
    for action in actions_of(name):
        assert screen.method_of(action.name) is not None, f"{name}: {action.name}"


def test_every_screen_has_a_body_and_a_way_to_it() -> None:
    """By an action of its name; the list is there at the start, the bench and a recipe once something is opened."""
    opened = {action.name for action in ACTIONS} | {"formulas", "review", "bench"}
    assert {name for name in SCREENS if name not in opened} == set()
    assert [name for name in SCREENS if screen_class(name).body is OtherloafScreen.body] == []


def test_every_folder_of_a_screen_has_its_row() -> None:
    written_ones = Path(screens.__file__).parent.glob("*/screen.py")
    modules = {f"{screens.__name__}.{path.parent.name}.screen" for path in written_ones}
    assert modules == {place.module for place in SCREENS.values()}, "a row of SCREENS is missing, or its folder"


async def test_every_screen_can_be_opened_over_the_bench_and_left_again(tmp_path: Path) -> None:
    """All in one run of the app: one that cannot compose itself is noticed nowhere else before it has its own tests."""
    async with running([written(tmp_path)]) as (app, pilot):
        for name in BEYOND_BENCH:
            screen_in_front(app).go_to(name)
            await settled(app, pilot)
            assert name == screen_in_front(app).NAME, f"{name}: {screen_in_front(app).said}"
            assert screen_text(app).splitlines()[0].strip(), f"{name}: says nothing at the top"
            await press(app, pilot, "q")
            assert screen_in_front(app).NAME == "bench", f"{name}: q leaves it"
        painted = StylesCache.get_inner_outer.cache_info().currsize
        assert painted <= 2 * len(list(app.screen.walk_children())), "what screens that are gone had painted is kept"


def screen_in_front(app: OtherloafApp) -> OtherloafScreen:
    assert isinstance(app.screen, OtherloafScreen)
    return app.screen


@pytest.mark.parametrize("name", BY_LETTER)
def test_every_screen_has_a_text_to_copy(name: str) -> None:
    assert screen_class(name).text_to_copy is not OtherloafScreen.text_to_copy


@pytest.mark.parametrize("name", SCREENS)
def test_no_key_is_bound_twice_within_a_screen(name: str) -> None:
    seen: dict[str, str] = {}
    for binding in screen_class(name).BINDINGS:
        assert isinstance(binding, Binding)
        for key in binding.key.split(","):
            assert seen.setdefault(key, binding.action) == binding.action, f"{name}: {key}"


NAVIGATION = {"enter", "escape", "tab", "left", "right", "space", "delete"}
"""Keys that move, go on, go back or drop: what they do follows from where they are."""


def test_a_key_means_one_thing_on_every_screen() -> None:
    meanings: dict[str, set[str]] = {}
    for action in ACTIONS:
        for key in action.keys.split(","):
            if key and key not in NAVIGATION:
                meanings.setdefault(key, set()).add(action.name)
    assert {key: names for key, names in meanings.items() if len(names) > 1} == {}


def test_a_thing_to_do_has_the_same_key_on_every_screen() -> None:
    """On the list of formulas letters are typed, so that its actions are on other keys besides."""
    keys: dict[str, set[str]] = {}
    for action in ACTIONS:
        letters = {key for key in action.keys.split(",") if len(key) == 1}
        if letters:
            keys.setdefault(action.name, set()).update(letters)
    assert {name: letters for name, letters in keys.items() if len(letters) > 1} == {}


def test_every_action_is_of_a_screen_that_is_registered() -> None:
    for action in ACTIONS:
        assert set(action.screens) <= set(SCREENS), action


def test_no_action_depends_on_a_key_that_terminals_or_multiplexers_keep() -> None:
    for action in ACTIONS:
        keys = set(action.keys.split(","))
        assert not keys & TAKEN_BY_MULTIPLEXERS, action
        assert any("ctrl+shift" not in key and key != "ctrl+enter" and "alt+" not in key for key in keys), action


def test_footer_help_and_palette_come_from_the_one_table() -> None:
    assert [action.name for action in footer_of("bench", "formula")][:2] == ["take", "grams"]
    assert {action.name for action in footer_of("bench", "swaps")} >= {"take", "more_share", "help", "back"}
    assert {action.name for action in commands_of("bench")} >= {
        action.name for action in actions_of("bench") if action.palette
    }


@pytest.mark.parametrize("width", [60, 80, 100, 120, 200])
def test_the_footer_never_cuts_a_key_and_keeps_help(width: int) -> None:
    line = KeyLine(footer_of("bench", "formula"))
    fitting = line.fitting(width)
    text = " " + "  ".join(f"{action.key_shown} {action.label}" for action in fitting)
    assert len(text) <= width
    assert fitting[-1].name == "help"


async def test_help_lists_every_key_of_the_screen_and_closes() -> None:
    async with running(size=(120, 50)) as (app, pilot):
        await press(app, pilot, "question_mark")
        shown = " ".join(screen_text(app).split())
        assert shown.index("choose and go on") < shown.index("save, write, copy") < shown.index("the program")
        for action in actions_of("formulas"):
            assert action.help.split(".")[0].split(";")[0][:30] in shown, action
        await press(app, pilot, "escape")
        assert isinstance(app.screen, FormulasScreen)


async def test_the_palette_runs_an_action_by_its_name() -> None:
    async with running() as (app, pilot):
        await press(app, pilot, "ctrl+p")
        assert "Open  (Enter)" in screen_text(app)
        await typed(pilot, "dark or light")
        await press(app, pilot, "enter")
        assert app.theme == LIGHT


async def test_both_rooms_are_our_own_and_readable() -> None:
    """Contrast of text on its ground at least 4.5 : 1, accents and marks 3 : 1 (WCAG 2.1, 1.4.3 and 1.4.11)."""
    assert [theme.name for theme in THEMES] == [DARK, LIGHT]
    for theme in THEMES:
        for text, ground, least in (
            (theme.foreground, theme.background, 7.0),
            (theme.variables["faint"], theme.background, 4.5),
            (theme.variables["bar-text"], theme.variables["bar"], 4.5),
            (theme.variables["cursor-text"], theme.variables["cursor"], 4.5),
            (theme.accent, theme.background, 4.5),
            (theme.accent, theme.variables["bar"], 3.0),
            (theme.background, theme.accent, 4.5),
        ):
            assert contrast(str(text), str(ground)) >= least, (theme.name, text, ground)


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours by their relative luminance (WCAG 2.1)."""
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    parts = [part / 255 for part in Color.parse(colour).rgb]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


async def test_no_color_leaves_every_mark_to_see(monkeypatch: pytest.MonkeyPatch, home: Path) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running([written(home)]) as (app, pilot):
        assert app.no_color and not app.current_theme.ansi
        lines = screen_lines(app)
        assert lines[1].startswith("▸ formula")
        await press(app, pilot, "h")
        assert any("▸ = linseed" in line for line in screen_lines(app))


def test_the_first_screen_loads_nothing_heavy() -> None:
    """A process of its own: what stands in sys.modules once the first screen could be painted."""
    code = (
        "import sys, adapter.screens.app, adapter.screens.formulas.screen;"
        "heavy = {'pint', 'numpy', 'highspy', 'tomlkit', 'rapidfuzz', 'plotext', 'textual_plotext',"
        " 'adapter.dough', 'adapter.swaps'};"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == "[]"


async def test_bad_input_that_an_action_meets_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    def fault(screen: FormulasScreen) -> None:
        raise InputProblem("is [bold]odd[/]", file="x.toml", right="plain")

    monkeypatch.setattr(FormulasScreen, "action_open", fault)
    async with running() as (app, pilot):
        await press(app, pilot, "enter")
        assert isinstance(app.screen, FormulasScreen)
        assert "! x.toml: is [bold]odd[/] (plain)" in screen_text(app)


def test_a_fault_of_our_own_is_one_line_and_a_report(home: Path) -> None:
    try:
        raise RuntimeError("trial")
    except RuntimeError as error:
        line = fault_line(error)
    assert "\n" not in line and str(home / "drafts") in line
    assert "RuntimeError: trial" in (home / "fault_report.txt").read_text(encoding="utf-8")


# ---------------------------------------------------------------------- laying out


def test_a_number_is_never_cut_a_column_goes_instead() -> None:
    columns = (Column("", least=6), Column("grams", right=True), Column("%", right=True, drop=1))
    rows = [("wholemeal rye flour", "1234.5", "100.0")]
    for width in range(14, 60):
        given = widths(columns, rows, width)
        text = "".join(part for part, _ in lay_out(columns, rows[0], given))
        assert len(text) <= width
        assert "1234.5" in text
        assert ("100.0" in text) == (2 in given)
    assert 2 not in widths(columns, rows, 15)
    assert 2 in widths(columns, rows, 40)


def test_parts_with_numbers_are_left_out_whole() -> None:
    columns = (Column("", least=8),)
    cell = Items(("yoghurt 248 g", " + water 58 g", ", salt −1 g"))
    for width in range(8, 45):
        text = lay_out(columns, (cell,), {0: width})[0][0].rstrip()
        numbers = [word for word in text.replace("…", " ").split() if any(sign.isdigit() for sign in word)]
        assert set(numbers) <= {"248", "58", "−1"}, text
        assert len(text) <= width
    change = Items(("effective hydration +7.9 %", ", fat +1.1 %"))
    assert lay_out(columns, (change,), {0: 20})[0][0] == "effective h… +7.9 %…", "its name gives way before its number"


@pytest.mark.parametrize("line", ["word, é 日本 " * 2_000, "e" + "\u0301" * 5_000, ""], ids=["long", "marks", "none"])
def test_a_whole_file_on_one_line_is_wrapped_without_delay(line: str) -> None:
    """A JSON-LD of a formula is one line; a wrapping that looks at all that is left for each part takes seconds."""
    parts = wrapped(line, 40)
    assert "".join(parts) == line and all(cell_len(part) <= 40 for part in parts)


def test_names_are_cut_by_cells_not_by_characters() -> None:
    assert cut("黒パン", 6) == "黒パン"
    assert cut("黒パンの種", 6) == "黒パ… "
    assert cut("rye", 5) == "rye  "


@pytest.mark.parametrize("width", [11, 13, 15, 21, 45])
def test_the_bubble_is_inside_the_brackets_exactly_within_one_step(width: int) -> None:
    half = (width - 1) // 2
    bracket = bracket_offset(half)
    for tenths in range(-100, 101):
        steps = tenths / 10
        offset = bubble_offset(steps, half, bracket)
        assert (abs(offset) < bracket) == (abs(steps) <= 1.0), steps
        assert abs(offset) <= half
        assert steps == 0 or offset == 0 or (offset > 0) == (steps > 0)
    drawn = "".join(text for text, _ in Track(0.0)(width))
    assert len(drawn) == width and drawn[half] == BUBBLE and "[" in drawn and "]" in drawn


# ---------------------------------------------------------------------- paths


def test_names_of_files() -> None:
    assert file_name_for("Hut everyday loaf, variant B") == "hut_everyday_loaf_variant_b.toml"
    assert file_name_for("[/]\\..") == "formula.toml"
    assert len(file_name_for("x" * 500)) <= 70
    assert path_typed("loaf").name == "loaf.toml"


@pytest.mark.parametrize("text", ["", "   ", "folder/", "a\x00b", "~nobody-of-that-name/x"])
def test_bad_paths_are_one_line(text: str) -> None:
    with pytest.raises(InputProblem) as problem:
        path_typed(text)
    assert "\n" not in str(problem.value)


def test_samples_stay_as_they_are() -> None:
    from adapter.files.places import samples

    with pytest.raises(InputProblem):
        check_no_sample(Path(str(samples()[0])))


def test_the_session_can_be_given() -> None:
    from adapter.work.session import Session

    session = Session()
    assert OtherloafApp(session=session).session is session
