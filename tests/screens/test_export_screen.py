"""Export: what is shown is what is written, to the byte; nothing is written over unasked, and no sample ever."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from driving import press, settled, typed
from standing import HOSTILE, HUT_LOAF, SIZES, named, sample, session_of, shown, standing_on
from textual.pilot import Pilot
from textual.widgets import Input

from adapter.exports.forms import export_text, formula_forms
from adapter.files.formula_file import read_formula
from adapter.files.formula_saving import formula_text
from adapter.files.places import own_formulas_path, samples
from adapter.screens.app import OtherloafApp
from adapter.screens.export.screen import ExportScreen
from adapter.screens.parts.dialogs import ConfirmDialog

CALENDAR = ".ics"


def app_of(pilot: Pilot[None]) -> OtherloafApp:
    app = pilot.app
    assert isinstance(app, OtherloafApp)
    return app


async def export(pilot: Pilot[None], form: str = ".toml") -> ExportScreen:
    screen = ExportScreen()
    await pilot.app.push_screen(screen)
    await settled(app_of(pilot), pilot)
    await to_form(pilot, screen, form)
    return screen


async def to_form(pilot: Pilot[None], screen: ExportScreen, form: str) -> None:
    screen.forms.focus()
    screen.forms.highlight([each.suffix for each in formula_forms()].index(form))
    await settled(app_of(pilot), pilot)


async def to_path(pilot: Pilot[None], path: Path) -> None:
    """Another path in its field (typing it would take a second); Enter takes it."""
    await press(app_of(pilot), pilot, "n")
    field = app_of(pilot).focused
    assert isinstance(field, Input)
    field.value = str(path)
    await press(app_of(pilot), pilot, "enter")


@pytest.mark.parametrize("size", SIZES)
async def test_every_form_is_shown_before_it_is_written(size: tuple[int, int]) -> None:
    async with standing_on(sample(HUT_LOAF), size) as pilot:
        screen = await export(pilot)
        for form, about in ((each.suffix, each.title) for each in formula_forms()):
            await to_form(pilot, screen, form)
            assert about in shown(pilot)
            lines = [line for line in screen.text.splitlines() if line.strip()]
            assert lines[0][:40].strip() in shown(pilot)
            assert screen.path_field.value == str(own_formulas_path() / f"hut_everyday_loaf{form}")
        assert not own_formulas_path().exists()


async def test_what_is_shown_is_written(tmp_path: Path) -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await export(pilot)
        for each in formula_forms():
            form = each.suffix
            await to_form(pilot, screen, form)
            text = screen.text
            path = tmp_path / f"new folder for {form[1:]}" / f"loaf{form}"
            await to_path(pilot, path)
            await press(app_of(pilot), pilot, "enter")
            assert path.read_bytes().decode("utf-8") == text
            assert screen.said == f"written: {path}"
            assert [item.name for item in path.parent.iterdir()] == [path.name]
            if not each.for_readers and form != CALENDAR:  # sentences for readers, and the present moment, are besides
                assert text == export_text(session_of(pilot).open_bench.now, form)


async def test_the_whole_text_can_be_read_at_the_smallest_size() -> None:
    async with standing_on(sample(HUT_LOAF), (80, 24)) as pilot:
        screen = await export(pilot, ".json")
        await press(app_of(pilot), pilot, "tab")
        assert screen.focused is not None and screen.focused.id == "text"
        seen: list[str] = []
        for _ in range(60):
            seen += [line for line in shown(pilot).splitlines() if line not in seen]
            await pilot.press("pagedown")
            await pilot.pause()
        flat = "".join(line.replace("↪", "").strip() for line in seen).replace(" ", "")
        for key, reading in json.loads(screen.text)["readings"].items():
            assert f'"{key}"' in flat and f'"value":{reading["value"]}' in flat


async def test_the_suffix_follows_the_form_and_a_typed_folder_stays(tmp_path: Path) -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await export(pilot, ".csv")
        await to_path(pilot, tmp_path / "for printing.csv")
        await to_form(pilot, screen, ".md")
        assert screen.path_field.value == str(tmp_path / "for printing.md")


async def test_a_name_without_a_suffix_gets_that_of_the_form(tmp_path: Path) -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        await export(pilot, ".jsonld")
        await to_path(pilot, tmp_path / "loaf")
        await press(app_of(pilot), pilot, "enter")
        assert json.loads((tmp_path / "loaf.jsonld").read_text())["@type"] == "Recipe"


async def test_a_path_that_cannot_be_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "there.csv").mkdir()
    (tmp_path / "file.csv").write_text("mine")
    before = sorted(tmp_path.rglob("*.csv"))
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await export(pilot, ".csv")
        for path, said in (
            ("loaf.txt", "does not end in .csv"),
            ("loaf.md", "does not end in .csv"),
            ("", "no file is named"),
            ("folder/", "names a folder"),
            ("there.csv", "is a folder"),
            ("file.csv/loaf.csv", "not a directory"),
            ("x" * 300 + ".csv", "too long"),
            ("a\u202eb.csv", "no file is named"),
        ):
            text = f"{tmp_path}/{path}" if path else ""
            await press(app_of(pilot), pilot, "n")
            screen.path_field.value = text
            await press(app_of(pilot), pilot, "enter", "enter")
            assert screen.said.startswith("! ") and said in screen.said, screen.said
            assert screen.path_field.value == text
    assert sorted(tmp_path.rglob("*.csv")) == before and (tmp_path / "file.csv").read_text() == "mine"


async def test_a_path_is_typed(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(home))
    async with standing_on(sample(HUT_LOAF)) as pilot:
        await export(pilot, ".csv")
        await press(app_of(pilot), pilot, "n", "ctrl+u")
        await typed(pilot, "~/t.csv")
        await press(app_of(pilot), pilot, "enter", "enter")
        assert (home / "t.csv").exists()


async def test_a_file_that_is_there_is_written_over_only_when_told_so(tmp_path: Path) -> None:
    path = tmp_path / "loaf.csv"
    path.write_text("mine")
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await export(pilot, ".csv")
        await to_path(pilot, path)
        await press(app_of(pilot), pilot, "enter")
        assert isinstance(pilot.app.screen, ConfirmDialog) and path.read_text() == "mine"
        await press(app_of(pilot), pilot, "enter")
        assert path.read_text() == "mine" and "nothing written" in screen.said
        await press(app_of(pilot), pilot, "enter", "y")
        assert path.read_bytes().decode() == screen.text


async def test_a_file_that_changes_while_the_question_stands_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "loaf.csv"
    path.write_text("mine")
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await export(pilot, ".csv")
        await to_path(pilot, path)
        await press(app_of(pilot), pilot, "enter")
        path.write_text("theirs")
        await press(app_of(pilot), pilot, "y")
        assert path.read_text() == "theirs"
        assert screen.said.startswith("! ") and "another program" in screen.said


async def test_no_sample_is_ever_written_over() -> None:
    place = next(item for item in samples() if item.name == HUT_LOAF)
    before = place.read_bytes()
    async with standing_on(sample(HUT_LOAF)) as pilot:
        session_of(pilot).open_bench.type_amount(0, 40.0)
        screen = await export(pilot)
        await press(app_of(pilot), pilot, "n")
        screen.path_field.value = str(place)
        await press(app_of(pilot), pilot, "enter", "s")
        assert screen.said.startswith("! ") and "samples" in screen.said
    assert place.read_bytes() == before


async def test_the_formulas_own_file_keeps_its_comments_and_is_then_saved(tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    async with standing_on(sample(HUT_LOAF)) as pilot:
        path.write_text("# Saturdays\n" + formula_text(session_of(pilot).open_bench.formula))
    async with standing_on(named(path)) as pilot:
        session = session_of(pilot)
        session.open_bench.type_amount(0, 41.0)
        assert not session.open_piece.is_saved(0)
        await export(pilot)
        await to_path(pilot, path)
        await press(app_of(pilot), pilot, "s")
        assert path.read_text().startswith("# Saturdays\n")
        assert session.tables is not None
        assert read_formula(path, session.tables.kitchen.catalogue).lines[0].grams == 41
        assert session.open_piece.is_saved(0)


async def test_a_copy_elsewhere_leaves_the_formulas_own_file_its_own(tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    async with standing_on(sample(HUT_LOAF)) as pilot:
        path.write_text(formula_text(session_of(pilot).open_bench.formula))
    async with standing_on(named(path)) as pilot:
        await export(pilot)
        await to_path(pilot, tmp_path / "copy.toml")
        await press(app_of(pilot), pilot, "enter")
        home = session_of(pilot).open_piece.home
        assert (tmp_path / "copy.toml").exists() and home is not None and home.path == path


async def test_the_card_says_what_readers_may_take_and_each_sentence_can_be_left_out() -> None:
    async with standing_on(sample(HUT_LOAF), (120, 34)) as pilot:
        screen = await export(pilot, ".md")
        assert len(screen.options) > 2
        first, second = screen.options[:2]
        assert first.split(":")[0] in screen.text and second.split(":")[0] in screen.text
        await press(app_of(pilot), pilot, "tab", "space")
        assert first.split(":")[0] not in screen.text and second.split(":")[0] in screen.text
        assert "[ ]" in shown(pilot) and "Space mark" in shown(pilot)
        await press(app_of(pilot), pilot, "enter")
        assert first.split(":")[0] in screen.text
        for _ in screen.options:
            await press(app_of(pilot), pilot, "space", "down")
        assert "If you lack something" not in screen.text


async def test_escape_leaves_the_path_first_and_then_the_screen() -> None:
    async with standing_on(sample(HUT_LOAF)) as pilot:
        screen = await export(pilot)
        await press(app_of(pilot), pilot, "n")
        await typed(pilot, "q")
        assert pilot.app.screen is screen and screen.path_field.value.endswith("q")
        await press(app_of(pilot), pilot, "escape")
        assert pilot.app.screen is screen and screen.focused is screen.forms
        await press(app_of(pilot), pilot, "escape")
        assert pilot.app.screen is not screen


@pytest.mark.parametrize("size", SIZES)
async def test_a_hostile_formula_is_text_and_nothing_else(size: tuple[int, int], tmp_path: Path) -> None:
    path = tmp_path / "odd.toml"
    path.write_text(
        f"[formula]\nname = '{HOSTILE}'\nnote = '''=cmd() [link=x]y[/link]'''\n"
        "[[line]]\ningredient = 'wholemeal rye flour'\ngrams = 500\n[[line]]\ningredient = 'water'\ngrams = 400\n"
    )
    async with standing_on(named(path), size) as pilot:
        screen = await export(pilot)
        assert HOSTILE in shown(pilot)
        for form in (each.suffix for each in formula_forms()):
            await to_form(pilot, screen, form)
            if form == CALENDAR:  # nothing raises it, so it has no times
                assert screen.said.startswith("! ") and not screen.text
            else:
                assert screen.text and not screen.said.startswith("! ")
        await to_form(pilot, screen, ".jsonld")
        assert "=cmd() [link=x]y[/link]" in shown(pilot)
