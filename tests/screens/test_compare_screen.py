"""Compare: every number that the report has is on the screen and whole, at every size; columns, keeping, exporting."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from driving import typed
from standing import (
    HOSTILE,
    HUT_LOAF,
    SIZES,
    exchange,
    line_with,
    named,
    sample,
    session_of,
    shown,
    standing_on,
)
from textual.pilot import Pilot

from adapter.command_line import main
from adapter.dough.readings.levels import NO_CLEAR_CHANGE
from adapter.dough.readings.registry import READING_KEYS
from adapter.exports.comparison_csv import comparison_rows
from adapter.exports.comparison_json import comparison_json
from adapter.files.formula_saving import formula_text, write_formula
from adapter.files.log_file import Bake, add_bake, log_path
from adapter.screens.compare.screen import CompareScreen
from adapter.screens.compare.variant_rows import LINE, READING
from adapter.screens.export.screen import ExportScreen
from adapter.screens.parts.pick_dialog import PickDialog
from adapter.screens.parts.shared_tracks import differs_clearly
from adapter.swaps.comparison import grams_of, priced
from adapter.swaps.offer import drift_from
from adapter.words.comparison_words import change_word
from adapter.words.reports import compare_report
from adapter.words.text_report import figure_text, grams_text


def three_variants(pilot: Pilot[None]) -> None:
    """A as opened; B with yoghurt for sour whey; C with wholemeal rye for the medium rye besides."""
    session = session_of(pilot)
    exchange(session, "sour whey", [("yoghurt", 125.0), ("water", 195.0)])
    exchange(session, "medium rye flour", [("wholemeal rye flour", 460.0)])


async def compare(pilot: Pilot[None]) -> CompareScreen:
    screen = CompareScreen()
    await pilot.app.push_screen(screen)
    await pilot.pause()
    return screen


async def to_row(pilot: Pilot[None], screen: CompareScreen, label: str) -> None:
    """The highlight on the row of a reading or another row that is no line of the formula."""
    rows = enumerate(screen.table.table)
    place = next(i for i, row in rows if row.part != LINE and row.label.startswith(label) and row.cells)
    screen.table.highlight(place)
    await pilot.pause()


@pytest.mark.parametrize("size", SIZES)
async def test_every_number_of_the_report_is_shown_whole(size: tuple[int, int]) -> None:
    async with standing_on(sample(HUT_LOAF), size) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert screen.comparison is not None
        report = compare_report(screen.comparison.variants)
        assert len(screen.table.in_sight) == 3
        for key in READING_KEYS:
            level = next(level for level in screen.comparison.levels[0] if level.key == key)
            await to_row(pilot, screen, level.label)
            unit = f", {level.unit}" if level.unit else " "
            line = line_with(pilot, "▸", f"▸ {level.label}{unit}"[:18])
            for number, variant in enumerate(report["variants"]):
                value = figure_text(key, variant["readings"][key]["value"])
                assert f" {value}" in line
                if number and report["differences"][number - 1][key]["change"]:
                    change = report["differences"][number - 1][key]["change"]
                    assert f" {figure_text(key, change, True)}" in line


@pytest.mark.parametrize("size", SIZES)
async def test_every_line_stands_with_grams_and_percent(size: tuple[int, int]) -> None:
    async with standing_on(sample(HUT_LOAF), size) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert screen.comparison is not None
        for row in screen.comparison.lines:
            place = next(
                i
                for i, each in enumerate(screen.table.table)
                if each.part == LINE and each.key == str(screen.comparison.lines.index(row))
            )
            screen.table.highlight(place)
            await pilot.pause()
            line = line_with(pilot, "▸", f" {row.ingredient}"[:14])
            for grams, percent in zip(row.grams, row.percent, strict=True):
                if grams is None or percent is None:
                    assert "–" in line
                else:
                    assert f" {grams_text(grams)} " in line and f" {percent:.1f}" in line


async def test_stages_head_their_lines_and_water_of_two_stages_is_not_added_up() -> None:
    async with standing_on(sample(HUT_LOAF), (120, 60)) as pilot:
        three_variants(pilot)
        await compare(pilot)
        text = shown(pilot)
        assert text.index("soaker: g, % of flour") < text.index("dough: g, % of flour") < text.index("readings, change")
        assert [line.startswith("  water  ") for line in text.splitlines()].count(True) == 2


async def test_a_change_is_told_in_words_where_there_is_room() -> None:
    async with standing_on(sample(HUT_LOAF), (200, 60)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert screen.comparison is not None
        said = set()
        for level in screen.comparison.levels[1]:
            if level.change:
                await to_row(pilot, screen, level.label)
                line = next(line for line in shown(pilot).splitlines() if line.startswith(f"▸ {level.label}"))
                said.add(change_word(level))
                assert f" {change_word(level)} " in line
                assert (NO_CLEAR_CHANGE in line.split("±")[1]) == (change_word(level) == NO_CLEAR_CHANGE)
        assert NO_CLEAR_CHANGE in said and len(said) > 1
        assert "left out" in line_with(pilot, " sour whey ") and "new" in line_with(pilot, " yoghurt ")


async def test_a_change_is_told_by_a_sign_where_there_is_not() -> None:
    async with standing_on(sample(HUT_LOAF), (80, 24)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert screen.comparison is not None
        await to_row(pilot, screen, "TTA")
        assert line_with(pilot, "▸", "TTA").count("~") == 2
        assert "! clear " in shown(pilot) and "~ no clear change" in shown(pilot)
        await pilot.press("right")
        await pilot.pause()
        assert "against A: no clear change" in shown(pilot)


async def test_more_columns_than_fit_are_told_and_come_by_the_arrow() -> None:
    async with standing_on(sample(HUT_LOAF), (80, 24)) as pilot:
        three_variants(pilot)
        session_of(pilot).open_piece.new_variant()
        session_of(pilot).open_bench.type_amount(0, 40.0)
        screen = await compare(pilot)
        screen.table.to_column(0)
        await pilot.pause()
        assert screen.table.in_sight == (0, 1, 2)
        assert "›1" in shown(pilot).splitlines()[1]
        assert "1 more" in shown(pilot).splitlines()[0]
        await pilot.press("right", "right", "right")
        await pilot.pause()
        assert screen.table.in_sight == (0, 2, 3)
        assert "‹1" in shown(pilot).splitlines()[1] and "▸D" in shown(pilot).splitlines()[1]


async def test_allergens_that_differ_come_first_and_are_marked() -> None:
    async with standing_on(sample(HUT_LOAF), (200, 60)) as pilot:
        session = session_of(pilot)
        exchange(session, "sour whey", [("cider vinegar", 20.0), ("water", 300.0)])
        await compare(pilot)
        line = line_with(pilot, "  milk  ")
        assert "yes" in line and "no" in line and "taken out" in line
        text = shown(pilot)
        assert text.index("  milk  ") < text.index("  gluten: rye ")


async def test_what_must_be_bought_is_what_the_pantry_lacks() -> None:
    async with standing_on(sample(HUT_LOAF), (200, 60)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        pantry = session_of(pilot).pantry
        assert pantry is not None and screen.comparison is not None
        takes = grams_of(screen.comparison.variants[0].formula, "sour whey")
        missing = takes - pantry.grams_of("sour whey")
        assert missing > 0
        place = next(i for i, row in enumerate(screen.table.table) if row.part == "need" and row.key == "sour whey")
        screen.table.to_column(0)
        screen.table.highlight(place)
        await pilot.pause()
        line = shown(pilot).split("to buy: g that")[1].split("sour whey")[1].splitlines()[0]
        assert f" {grams_text(missing)} " in line and "to buy" in line
        assert f"takes {grams_text(takes)} g" in shown(pilot)


async def test_of_more_than_four_those_are_compared_that_are_picked() -> None:
    async with standing_on(sample(HUT_LOAF), (120, 34)) as pilot:
        three_variants(pilot)
        for grams in (30.0, 20.0):
            session_of(pilot).open_piece.new_variant()
            session_of(pilot).open_bench.type_amount(0, grams)
        screen = await compare(pilot)
        assert [each.sign for each in screen.chosen] == ["A", "B", "C", "E"]
        await pilot.press("c")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PickDialog)
        await pilot.press("down", "down", "down", "space")
        await pilot.pause()
        assert "4 fit side by side" in shown(pilot)
        await pilot.press("up", "space", "down", "space", "enter")
        await pilot.pause()
        assert [each.sign for each in screen.chosen] == ["A", "B", "E", "D"]
        assert "D variant D" in shown(pilot)


async def test_another_column_can_be_what_all_is_measured_against() -> None:
    async with standing_on(sample(HUT_LOAF), (200, 60)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert screen.comparison is not None
        before = screen.comparison.levels[2][0].change
        screen.table.to_column(2)
        await pilot.press("f")
        await pilot.pause()
        assert screen.comparison.variants[0].formula is session_of(pilot).open_bench.work.variants[2].formula
        assert "change against C" in shown(pilot)
        assert screen.comparison.levels[1][0].change == pytest.approx(-before)


async def test_the_first_rows_tell_drift_price_and_what_must_be_bought() -> None:
    async with standing_on(sample(HUT_LOAF), (120, 34)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert screen.comparison is not None and screen.comparison.pantry is not None
        first, _, last = screen.comparison.variants
        assert line_with(pilot, " drift ").split()[-1] == f"{drift_from(first, last):.1f}"
        total, without = priced(last.formula, screen.comparison.pantry)
        assert f"≥ {total:.2f}" in line_with(pilot, "price of ingredients") and without
        missing = [need.missing[2] for need in screen.comparison.needs]
        assert f" {grams_text(sum(missing))} " in line_with(pilot, "to buy, g")
        screen.table.to_column(2)
        await pilot.press("down")
        await pilot.pause()
        assert f"no price for {without[0]}" in shown(pilot)


@pytest.mark.parametrize(("size", "together"), [((80, 24), False), ((120, 34), False), ((200, 60), True)])
async def test_the_levels_have_every_variant_on_one_track(size: tuple[int, int], together: bool) -> None:
    async with standing_on(sample(HUT_LOAF), size) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert ("┊" in shown(pilot)) is together
        await pilot.press("tab")
        await pilot.pause()
        assert screen.comparison is not None
        level = next(level for level in screen.comparison.levels[2] if level.clear and "more" in level.word)
        track = line_with(pilot, level.label, "[").split(level.label)[-1]
        assert track.index("]") < track.index("C") and f"C {level.word}" in track
        screen.table.to_column(2)
        screen.tracks.highlight(screen.tracks.keys.index(level.key))
        await pilot.pause()
        assert f"against A: {change_word(level)}" in shown(pilot)


async def test_signs_are_explained_only_where_they_are_shown() -> None:
    for size, told in (((80, 24), "~ no clear change"), ((200, 60), "readings, change against A  ")):
        async with standing_on(sample(HUT_LOAF), size) as pilot:
            three_variants(pilot)
            screen = await compare(pilot)
            await to_row(pilot, screen, "sugar")
            assert told in line_with(pilot, "readings, change against A")


async def test_only_what_differs() -> None:
    async with standing_on(sample(HUT_LOAF), (200, 60)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert " pumpkin seeds " in shown(pilot) and "  rye share" in shown(pilot)
        await pilot.press("d")
        await pilot.pause()
        assert " pumpkin seeds " not in shown(pilot) and "  yoghurt " in shown(pilot)
        assert all(row.differs for row in screen.table.table)
        assert screen.comparison is not None
        keys = {row.key for row in screen.table.table if row.part == READING}
        assert keys == {level.key for column in screen.comparison.levels for level in column if differs_clearly(level)}
        await pilot.press("d")
        await pilot.pause()
        assert " pumpkin seeds " in shown(pilot)


async def test_why_on_a_reading() -> None:
    async with standing_on(sample(HUT_LOAF), (120, 34)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        await to_row(pilot, screen, "sugar")
        assert screen.table.row is not None and screen.table.row.part == READING
        await pilot.press("w")
        await pilot.pause()
        assert "why sugar" in shown(pilot)


async def test_a_column_is_kept_on_the_bench() -> None:
    async with standing_on(sample(HUT_LOAF), (120, 34)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        screen.table.to_column(1)
        await pilot.press("k")
        await pilot.pause()
        assert pilot.app.screen is not screen
        assert session_of(pilot).open_bench.work.shown == 1


async def test_the_book_formula_is_beside_a_single_variant_and_can_be_gone_on_with() -> None:
    async with standing_on(sample(HUT_LOAF), (120, 34)) as pilot:
        session = session_of(pilot)
        session.open_bench.type_amount(0, 40.0)
        screen = await compare(pilot)
        assert [each.sign for each in screen.chosen] == ["book", "A"]
        screen.table.to_column(0)
        await pilot.press("k")
        await pilot.pause()
        bench = session.open_bench
        assert len(bench.work.variants) == 2 and bench.work.shown == 1
        assert bench.formula.lines == bench.work.variants[0].formula.book().lines


async def test_a_further_formula_is_fetched_beside_the_variants(home: Path) -> None:
    async with standing_on(sample(HUT_LOAF), (200, 60)) as pilot:
        session = session_of(pilot)
        other = replace(session.open_bench.formula, name="Cellar loaf")
        path = home / "formulas" / "cellar_loaf.toml"
        path.parent.mkdir(parents=True)
        write_formula(other, path)
        three_variants(pilot)
        screen = await compare(pilot)
        await pilot.press("o")
        await pilot.pause()
        await typed(pilot, "cellar")
        await pilot.press("enter")
        await pilot.pause()
        assert "1 Cellar loaf" in shown(pilot) and len(screen.chosen) == 4
        await pilot.press("k")
        await pilot.pause()
        piece = session.open_piece
        assert piece.bench.formula.name == "Cellar loaf"
        assert piece.home is not None and piece.home.path == path


async def test_logged_bakes_stand_under_the_variant_that_was_baked(home: Path, tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    async with standing_on(sample(HUT_LOAF)) as pilot:
        path.write_text(formula_text(session_of(pilot).open_bench.formula))
    log = log_path(path)
    add_bake(log, Bake(datetime(2031, 6, 9, 7), "Hut everyday loaf", rise_h=2.25, mark=4, crumb="tight, moist"))
    add_bake(log, Bake(datetime(2031, 6, 11, 7), "Hut everyday loaf, variant B", core_c=97.5, mark=2))
    async with standing_on(named(path), (200, 60)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert screen.comparison is not None
        assert [len(bakes) for bakes in screen.comparison.bakes] == [1, 1, 0]
        await to_row(pilot, screen, "crumb")
        assert "tight, moist" in line_with(pilot, "crumb")
        assert "2.25" in line_with(pilot, "rise, h") and "97.5" in line_with(pilot, "core, °C")
        screen.table.to_column(0)
        await pilot.pause()
        assert "baked 2031-06-09 · 4 of five · rose in 2.25 h" in shown(pilot)


async def test_a_log_that_cannot_be_read_is_one_line_and_the_table_stands(tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    async with standing_on(sample(HUT_LOAF)) as pilot:
        path.write_text(formula_text(session_of(pilot).open_bench.formula))
    log_path(path).write_text("mark = [")
    async with standing_on(named(path), (120, 34)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert screen.said.startswith("! ") and "loaf.bakes.toml" in screen.said
        assert "  sour whey " in shown(pilot)


async def test_the_table_is_exported_in_the_numbers_of_the_command_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    async with standing_on(sample(HUT_LOAF), (120, 34)) as pilot:
        three_variants(pilot)
        screen = await compare(pilot)
        assert screen.comparison is not None
        variants, pantry = screen.comparison.variants, session_of(pilot).pantry
        await pilot.press("e")
        await pilot.pause()
        export = pilot.app.screen
        assert isinstance(export, ExportScreen)
        assert export.text == comparison_rows(variants, pantry)
        export.path_field.value = str(tmp_path / "table.csv")
        await pilot.press("s")
        await pilot.pause()
        assert (tmp_path / "table.csv").read_bytes().decode() == export.text
        files = [tmp_path / f"{number}.toml" for number in range(3)]
        for path, variant in zip(files, variants, strict=True):
            path.write_text(formula_text(variant.formula))
    capsys.readouterr()
    assert main(["compare", *map(str, files), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    for variant in printed["variants"]:
        del variant["file"]
    assert printed == json.loads(comparison_json(variants))


@pytest.mark.parametrize("size", SIZES)
async def test_hostile_names_show_verbatim_and_do_nothing(size: tuple[int, int], tmp_path: Path) -> None:
    path = tmp_path / "odd.toml"
    path.write_text(
        f"[formula]\nname = '{HOSTILE}'\n[[line]]\nstage = '[red]x'\ningredient = 'wholemeal rye flour'\ngrams = 500\n"
        "[[line]]\nstage = '[red]x'\ningredient = 'water'\ngrams = 400\n"
    )
    async with standing_on(named(path), size) as pilot:
        session_of(pilot).open_piece.new_variant()
        session_of(pilot).open_bench.type_amount(1, 380.0)
        session_of(pilot).open_bench.rename(HOSTILE + " \x1b[31m\u202eevil")
        await compare(pilot)
        text = shown(pilot)
        assert "[b]bold[/] [@click=app.bell]x[/]" in text and "[red]x: g, % of flour" in text
        assert "\x1b" not in text and "\u202e" not in text
