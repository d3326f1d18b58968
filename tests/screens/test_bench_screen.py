"""The bench: what it shows, and that every key does what the footer says."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
import tomli
from driving import DARK_LOAF, press, running, screen_lines, screen_text, settled, typed, written
from textual.pilot import Pilot

from adapter.dough.readings.registry import READING_KEYS
from adapter.files.formula_file import read_formula
from adapter.files.places import own_formulas_path, own_pantry_path
from adapter.screens.app import OtherloafApp
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.parts.dialogs import AskDialog, ChooseDialog, ConfirmDialog
from adapter.screens.parts.help import HelpScreen
from adapter.screens.parts.levels import Levels
from adapter.screens.parts.track import BUBBLE, OPEN_BUBBLE
from adapter.screens.parts.why import WhyLine, WhyOffer, WhyReading
from adapter.words.text_report import figure_text, grams_text

SIZES = ((80, 24), (120, 34), (200, 60))


@asynccontextmanager
async def bench_of(
    home: Path, text: str = DARK_LOAF, size: tuple[int, int] = (120, 34)
) -> AsyncIterator[tuple[OtherloafApp, Pilot[None], BenchScreen]]:
    async with running([written(home, text)], size=size) as (app, pilot):
        assert isinstance(app.screen, BenchScreen)
        yield app, pilot, app.screen


async def to_line(app: OtherloafApp, pilot: Pilot[None], screen: BenchScreen, ingredient: str) -> None:
    """The highlight on the line of an ingredient, its swaps worked out."""
    place = [line.ingredient for line in app.session.open_bench.formula.lines].index(ingredient)
    screen.lines.focus()
    screen.lines.highlight(screen.lines.row_of(place))
    await settled(app, pilot)


def row(app: OtherloafApp, *words: str) -> str:
    """The first line of the screen that holds every word."""
    return next(line for line in screen_lines(app) if all(word in line for word in words))


def level_row(app: OtherloafApp, screen: BenchScreen, label: str) -> str:
    """The row of a level, without what stands beside it."""
    at = screen.level_rows.region.x
    return next(line[at:] for line in screen_lines(app)[1:] if line[at + 2 :].lstrip("= ").startswith(f"{label} "))


def grams(app: OtherloafApp) -> dict[str, float]:
    return {line.ingredient: line.grams for line in app.session.open_bench.formula.lines}


# ---------------------------------------------------------------------- what is shown


@pytest.mark.parametrize("size", SIZES)
async def test_lines_levels_and_swaps_with_whole_numbers(home: Path, size: tuple[int, int]) -> None:
    async with bench_of(home, size=size) as (app, pilot, screen):
        lines = screen_lines(app)
        assert all(len(line) == size[0] for line in lines)
        assert "Dark trial loaf" in lines[0] and "1 tin 2.2 L" in lines[0] and "saved" in lines[0]
        now = app.session.open_bench.now
        for line in now.formula.lines[:8]:
            shown = row(app, f" {line.ingredient} ")
            assert f" {grams_text(line.grams)} " in shown
            assert f"{100 * line.grams / now.amount('flour'):.1f}" in shown
        await press(app, pilot, "tab")
        for key in READING_KEYS:
            screen.level_rows.highlight(READING_KEYS.index(key))
            await pilot.pause()
            level = screen.level_rows.levels[READING_KEYS.index(key)]
            assert level.key == key
            shown = row(app, f"  {level.label} ", BUBBLE)
            assert f" {figure_text(key, now.value(key))} " in shown and "[" in shown


async def test_twenty_levels_stand_on_the_screen_at_120_by_34_and_the_rest_is_told(home: Path) -> None:
    async with bench_of(home) as (app, _, screen):
        text = screen_text(app)
        assert all(f" {level.label} " in text for level in screen.level_rows.levels[:20])
        assert f"levels  ↓ {len(READING_KEYS) - 20} more" in text
        assert "\n▸ formula" in text and "swaps for linseed" in text


async def test_at_80_by_24_tab_folds_formula_and_levels_into_one_place(home: Path) -> None:
    async with bench_of(home, size=(80, 24)) as (app, pilot, screen):
        assert "wholemeal rye flour" in screen_text(app) and "effective hydration" not in screen_text(app)
        await press(app, pilot, "tab")
        assert "wholemeal rye flour" not in screen_text(app) and "effective hydration" in screen_text(app)
        assert "swaps for linseed" in screen_text(app)
        await press(app, pilot, "tab")
        assert screen.at_offers and "effective hydration" in screen_text(app)
        await press(app, pilot, "tab")
        assert screen.at_lines and "wholemeal rye flour" in screen_text(app)


async def test_a_tall_narrow_window_stacks_all_three(home: Path) -> None:
    async with bench_of(home, size=(90, 60)) as (app, _, __):
        text = screen_text(app)
        assert "wholemeal rye flour" in text and "water activity" in text and "swaps for linseed" in text


async def test_resizing_keeps_everything(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "enter", "down", "down")
        offer, levels = screen.offers.offer, screen.level_rows.levels
        for size in ((80, 24), (200, 60), (100, 50), (120, 34)):
            await pilot.resize_terminal(*size)
            await press(app, pilot)
            assert screen.offers.offer is offer and screen.at_offers
            assert screen.level_rows.levels == levels
            assert all(len(line) == size[0] for line in screen_lines(app))


async def test_resizing_while_a_weight_is_typed_keeps_it(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "honey")
        await press(app, pilot, "4", "5")
        await pilot.resize_terminal(80, 24)
        await press(app, pilot)
        assert isinstance(app.screen, AskDialog)
        await press(app, pilot, "enter")
        assert grams(app)["honey"] == 45


async def test_the_highlight_of_the_focused_part_is_obvious_without_colour(home: Path) -> None:
    async with bench_of(home) as (app, pilot, _):
        assert screen_lines(app)[1].startswith("▸ formula")
        await press(app, pilot, "tab")
        assert "▸ levels" in screen_lines(app)[1] and not screen_lines(app)[1].startswith("▸ formula")
        await press(app, pilot, "tab")
        assert "▸ swaps for" in screen_text(app)


# ---------------------------------------------------------------------- swaps


async def test_moving_over_swaps_previews_every_level_and_changes_nothing(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "buttermilk")
        before = app.session.open_bench.work
        await press(app, pilot, "enter")
        assert len(screen.offers.offers) > 5
        seen = set()
        for _ in range(6):
            offer = screen.offers.offer
            assert offer is not None
            for level in screen.level_rows.levels:
                assert level.now == offer.after.value(level.key)
                assert level.book == offer.after.book.value(level.key)
            assert figure_text("tta", offer.after.value("tta")) in row(app, " TTA ")
            seen.add(screen_lines(app)[8])
            await press(app, pilot, "down")
        assert "preview" in screen_lines(app)[1]
        assert app.session.open_bench.work is before
        await press(app, pilot, "tab")
        assert screen.level_rows.levels[0].now == app.session.open_bench.now.value("hydration")


async def test_a_bubble_leaves_the_brackets_and_a_word_says_how_far(home: Path) -> None:
    async with bench_of(home, size=(120, 44)) as (app, pilot, screen):
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "enter", "end")
        levels = {level.key: level for level in screen.level_rows.levels}
        outside = [level for level in levels.values() if abs(level.steps) > 1 and level.clear]
        assert outside, "the worst swap for the buttermilk shifts nothing"
        for level in outside:
            shown = level_row(app, screen, level.label)
            inside = shown[shown.index("[") : shown.index("]")]
            assert BUBBLE not in inside and BUBBLE in shown
            assert shown.rstrip().endswith(level.word) and level.word
            assert ("much" in shown) == (abs(level.steps) > 3)
        for level in levels.values():
            if level.word == "no clear change":
                shown = level_row(app, screen, level.label)
                assert OPEN_BUBBLE in shown and shown.rstrip().endswith("no clear change")


async def test_enter_takes_a_swap_and_u_and_r_go_back_and_forth_exactly(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        before = app.session.open_bench.formula
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "enter")
        offer = screen.offers.offer
        assert offer is not None
        await press(app, pilot, "enter")
        after = app.session.open_bench.formula
        assert after.lines == offer.after.formula.lines
        assert "unsaved" in screen_lines(app)[0] and "buttermilk" in screen.said
        assert screen.at_lines
        await press(app, pilot, "u")
        assert app.session.open_bench.formula is before
        assert "undone" in screen.said and "unsaved" not in screen_lines(app)[0]
        await press(app, pilot, "u")
        assert "where the variant starts" in screen.said
        await press(app, pilot, "r")
        assert app.session.open_bench.formula is after


async def test_left_and_right_set_the_share_in_steps_of_five(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "enter")
        whole = screen.offers.offer
        assert whole is not None and whole.share_percent == 100
        await press(app, pilot, "left", "left", "left")
        part = screen.offers.offer
        assert part is not None and part.share_percent == 85
        assert "85 %" in screen_text(app)
        assert screen.level_rows.levels[0].now == part.after.value("hydration")
        assert part.out[0].grams == pytest.approx(0.85 * whole.out[0].grams, abs=1)
        await press(app, pilot, "right")
        assert screen.offers.offer is not None and screen.offers.offer.share_percent == 90
        await press(app, pilot, *["left"] * 30)
        assert screen.offers.offer is not None and screen.offers.offer.share_percent == 5


async def test_the_highlighted_swap_says_allergens_yeast_and_pantry_before_it_is_taken(home: Path) -> None:
    pantry = '[pantry]\nname = "x"\n[[stock]]\ningredient = "milk"\n[[stock]]\ningredient = "buttermilk"\ngrams = 100\n'
    own_pantry_path().write_text(pantry, encoding="utf-8")
    async with bench_of(home) as (app, pilot, screen):
        assert "100 g" in row(app, " buttermilk ")
        assert "none" in row(app, " wheat bran ")
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "enter")
        texts = []
        for offer in screen.offers.offers:
            text = " ".join(screen.query_one("#details").text.split())
            if offer.allergens_added:
                assert "brings in " + offer.allergens_added[0] in text
            if offer.allergens_removed:
                assert "takes out " + offer.allergens_removed[0] in text
            if app.session.pantry is not None and offer.short(app.session.pantry):
                assert "short of " + offer.short(app.session.pantry)[0].ingredient in text
            texts.append(text)
            await press(app, pilot, "down")
        assert any("brings in" in text for text in texts) and any("takes out milk" in text for text in texts)


async def test_yeast_is_recomputed_in_sight(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "honey")
        screen.offers.focus()
        found = False
        for place, offer in enumerate(screen.offers.offers):
            before, after = (
                grams(app)["fresh yeast"],
                {line.ingredient: line.grams for line in offer.after.formula.lines}["fresh yeast"],
            )
            if before != after:
                screen.offers.highlight(place)
                await settled(app, pilot)
                text = screen.query_one("#details").text
                assert f"yeast {grams_text(before)} → {grams_text(after)} g" in text
                found = True
                break
        assert found


# ---------------------------------------------------------------------- holds


async def test_h_holds_a_line_and_takes_its_swaps_away(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "h")
        assert "= buttermilk" in screen_text(app) and "is held" in screen_text(app)
        assert screen.offers.offers == []
        await press(app, pilot, "h")
        assert "= buttermilk" not in screen_text(app) and screen.offers.offers


async def test_h_holds_a_level_and_an_unmet_hold_is_a_sentence(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await press(app, pilot, "tab")
        for key in ("ph", "tta", "fat"):
            screen.level_rows.highlight(READING_KEYS.index(key))
            await press(app, pilot, "h")
        assert "= TTA" in row(app, " TTA ") and row(app, " TTA ").rstrip().endswith("held")
        await to_line(app, pilot, screen, "buttermilk")
        offers = screen.offers.offers
        missed = [place for place, offer in enumerate(offers) if any(item.held for item in offer.missed)]
        assert missed, "three holds at once are met by every swap"
        screen.offers.focus()
        screen.offers.highlight(missed[0])
        await settled(app, pilot)
        assert "cannot be held" in screen.query_one("#details").text
        kept = [place for place, offer in enumerate(offers) if not offer.missed]
        assert kept and max(kept) < min(missed)  # what meets the holds stands first
        screen.offers.highlight(kept[0])
        await settled(app, pilot)
        assert "cannot be" not in screen.query_one("#details").text


# ---------------------------------------------------------------------- typed amounts and lines


async def test_a_digit_begins_a_weight_and_the_levels_follow(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "honey")
        sugar = screen.level_rows.levels[READING_KEYS.index("sugar")].now
        await press(app, pilot, "3", "0", "enter")
        assert grams(app)["honey"] == 30
        assert screen.level_rows.levels[READING_KEYS.index("sugar")].now < sugar
        assert "60 → 30 g" in screen.said


async def test_a_bad_weight_is_refused_in_one_line(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "honey")
        for text, said in (
            ("-3", "negative"),
            ("nan", "no amount"),
            ("1e9", "too much"),
            ("5 parsecs", ""),
            ("", "no amount"),
        ):
            await press(app, pilot, "g")
            app.screen.query_one("#answer").value = text
            await press(app, pilot, "enter")
            assert isinstance(app.screen, AskDialog)
            hint = str(app.screen.query_one("#hint").render())
            assert hint.startswith("! ") and said in hint and "\n" not in hint
            await press(app, pilot, "escape")
            assert grams(app)["honey"] == 60


async def test_the_last_flour_cannot_be_weighed_to_nothing_or_struck(home: Path) -> None:
    lines = (("white wheat flour", 500), ("water", 300))
    text = '[formula]\nname = "one flour"\n' + "".join(
        f'[[line]]\ningredient = "{name}"\ngrams = {weight}\n' for name, weight in lines
    )
    async with bench_of(home, text) as (app, pilot, screen):
        await to_line(app, pilot, screen, "white wheat flour")
        await press(app, pilot, "0", "enter")
        assert isinstance(app.screen, AskDialog)
        await press(app, pilot, "escape", "x")
        assert screen.said.startswith("! ") and "flour" in screen.said
        assert grams(app) == {"white wheat flour": 500, "water": 300}


async def test_amounts_as_people_write_them(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "honey")
        await press(app, pilot, "g")
        app.screen.query_one("#answer").value = "2 tbsp"
        await press(app, pilot, "enter")
        assert 35 < grams(app)["honey"] < 50


async def test_x_strikes_a_line_and_a_puts_one_in(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "honey")
        await press(app, pilot, "x")
        assert "honey" not in grams(app) and "struck out" in screen.said
        await press(app, pilot, "a")
        assert isinstance(app.screen, ChooseDialog)
        await typed(pilot, "caraway")
        await press(app, pilot, "enter")
        await typed(pilot, "5")
        await press(app, pilot, "enter")
        assert grams(app)["caraway"] == 5
        await press(app, pilot, "u", "u")
        assert grams(app)["honey"] == 60 and "caraway" not in grams(app)


# ---------------------------------------------------------------------- variants


async def test_variants_start_from_what_is_shown_and_are_switched_named_and_dropped(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "honey")
        await press(app, pilot, "v")
        assert "variant B of 2" in screen_lines(app)[0]
        await press(app, pilot, "3", "0", "enter")
        await press(app, pilot, "left_square_bracket")
        assert "variant A of 2" in screen_lines(app)[0] and grams(app)["honey"] == 60
        await press(app, pilot, "right_square_bracket")
        assert grams(app)["honey"] == 30
        await press(app, pilot, "n")
        app.screen.query_one("#answer").value = "[b]less honey[/]"
        await press(app, pilot, "enter")
        assert "[b]less honey[/]" in screen_lines(app)[0]
        await press(app, pilot, "delete")
        assert isinstance(app.screen, ConfirmDialog)
        await press(app, pilot, "y")
        assert "variant" not in screen_lines(app)[0] and grams(app)["honey"] == 60


# ---------------------------------------------------------------------- saving


async def test_a_variant_is_saved_under_a_name_of_its_own_and_over_its_book_only_when_told_so(home: Path) -> None:
    text = "# the baker's own words\n" + DARK_LOAF
    async with bench_of(home, text) as (app, pilot, screen):
        path = home / "dark_trial_loaf.toml"
        await to_line(app, pilot, screen, "honey")
        await press(app, pilot, "3", "0", "enter", "s")
        assert isinstance(app.screen, AskDialog)
        answer = app.screen.query_one("#answer")
        assert Path(answer.value) == home / "dark_trial_loaf_variant_a.toml"
        answer.value = str(path)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, ConfirmDialog) and "holds the book formula" in screen_text(app)
        await press(app, pilot, "n")
        assert path.read_text(encoding="utf-8") == text
        await press(app, pilot, "s", "enter")
        own = home / "dark_trial_loaf_variant_a.toml"
        assert "saved in" in screen.said and own.exists() and path.read_text(encoding="utf-8") == text
        await press(app, pilot, "s")
        assert Path(app.screen.query_one("#answer").value) == own, "a variant with a file of its own stays there"


async def test_s_saves_over_its_own_file_and_keeps_its_comments(home: Path) -> None:
    text = "# the baker's own words\n" + DARK_LOAF
    async with bench_of(home, text) as (app, pilot, screen):
        path = home / "dark_trial_loaf.toml"
        await to_line(app, pilot, screen, "honey")
        await press(app, pilot, "3", "0", "enter", "s")
        assert isinstance(app.screen, AskDialog)
        app.screen.query_one("#answer").value = str(path)
        await press(app, pilot, "enter", "y")
        assert "saved in" in screen.said and " saved" in screen_lines(app)[0]
        assert path.read_text(encoding="utf-8").startswith("# the baker's own words")
        kitchen = app.session.open_bench.kitchen
        assert {line.ingredient: line.grams for line in read_formula(path, kitchen.catalogue).lines} == grams(app)
        assert list((home / "drafts").glob("*.json")) == []


async def test_a_sample_is_saved_among_the_bakers_own_and_never_over_itself(home: Path) -> None:
    from importlib.resources import files

    async with running() as (app, pilot):
        await typed(pilot, "hut")
        await press(app, pilot, "enter")
        screen = app.screen
        assert isinstance(screen, BenchScreen)
        await press(app, pilot, "s")
        answer = app.screen.query_one("#answer")
        assert Path(answer.value).parent == own_formulas_path()
        answer.value = str(files("sample_formulas") / "hut_everyday_loaf.toml")
        await press(app, pilot, "enter")
        assert isinstance(app.screen, AskDialog)
        assert "stay as they are" in str(app.screen.query_one("#hint").render())
        answer.value = str(own_formulas_path() / "mine.toml")
        await press(app, pilot, "enter")
        assert tomli.loads((own_formulas_path() / "mine.toml").read_text())["formula"]["name"] == "Hut everyday loaf"


async def test_another_file_is_written_over_only_when_told_so(home: Path) -> None:
    other = written(home, DARK_LOAF.replace("Dark trial loaf", "Another"), "another.toml")
    async with bench_of(home) as (app, pilot, _):
        for answer, name in (("n", "Another"), ("y", "Dark trial loaf")):
            await press(app, pilot, "s")
            app.screen.query_one("#answer").value = str(other)
            await press(app, pilot, "enter")
            assert isinstance(app.screen, ConfirmDialog)
            await press(app, pilot, answer)
            assert tomli.loads(other.read_text(encoding="utf-8"))["formula"]["name"] == name


async def test_a_file_that_somebody_else_saved_since_is_not_written_over(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        path = home / "dark_trial_loaf.toml"
        await to_line(app, pilot, screen, "honey")
        await press(app, pilot, "3", "0", "enter")
        path.write_text(DARK_LOAF.replace("grams = 480", "grams = 470"), encoding="utf-8")
        await press(app, pilot, "s")
        app.screen.query_one("#answer").value = str(path)
        await press(app, pilot, "enter", "y")
        assert screen.said.startswith("! ") and "another program" in screen.said
        assert "grams = 470" in path.read_text(encoding="utf-8")
        assert "unsaved" in screen_lines(app)[0]


# ---------------------------------------------------------------------- drafts


async def test_every_change_is_kept_as_a_draft_and_throwing_away_removes_it(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "honey")
        await press(app, pilot, "3", "0", "enter")
        assert len(list((home / "drafts").glob("*.json"))) == 1
        await press(app, pilot, "t")
        assert isinstance(app.screen, ConfirmDialog)
        await press(app, pilot, "y")
        assert grams(app)["honey"] == 60
        assert list((home / "drafts").glob("*.json")) == []


async def test_variants_holds_and_undone_steps_come_back_exactly(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "enter", "enter", "v")
        await to_line(app, pilot, screen, "honey")
        await press(app, pilot, "3", "1", "enter", "u", "h")
        work = app.session.open_bench.work
    async with running() as (app, pilot):
        await press(app, pilot, "home", "enter")
        assert isinstance(app.screen, BenchScreen)
        assert app.session.open_bench.work == work
        await press(app, pilot, "r")
        assert grams(app)["honey"] == 31


# ---------------------------------------------------------------------- why


async def test_why_a_level_shows_inputs_formula_sources_and_spread(home: Path) -> None:
    async with bench_of(home, size=(120, 60)) as (app, pilot, screen):
        await press(app, pilot, "tab")
        for key in READING_KEYS:
            screen.level_rows.highlight(READING_KEYS.index(key))
            await press(app, pilot, "w")
            assert isinstance(app.screen, WhyReading)
            text = str(app.screen.query_one("#text").render())
            value = figure_text(key, app.session.open_bench.now.value(key))
            assert value in text and "±" in text and "what each line brings" in text
            assert "how sure" in text and "Tags: P published" in text
            await press(app, pilot, "escape")
        screen.level_rows.highlight(READING_KEYS.index("sugar"))
        await press(app, pilot, "enter")
        text = str(app.screen.query_one("#text").render())
        assert "from 60 g honey (dough)" in text and "sugar = 100" in text


async def test_why_a_line_and_why_a_swap(home: Path) -> None:
    async with bench_of(home, size=(120, 60)) as (app, pilot, screen):
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "w")
        assert isinstance(app.screen, WhyLine)
        assert "water 9" in str(app.screen.query_one("#text").render())
        await press(app, pilot, "escape", "enter", "w")
        assert isinstance(app.screen, WhyOffer)
        text = str(app.screen.query_one("#text").render())
        offer = screen.offers.offer
        assert offer is not None and offer.rule is not None
        assert offer.rule.say in text and offer.rule.source in text


# ---------------------------------------------------------------------- help, hostile text, the end


async def test_help_and_back(home: Path) -> None:
    async with bench_of(home) as (app, pilot, _):
        await press(app, pilot, "question_mark")
        assert isinstance(app.screen, HelpScreen)
        await press(app, pilot, "escape", "q")
        assert isinstance(app.screen, FormulasScreen)


async def test_hostile_names_notes_and_stages_show_and_do_nothing(home: Path) -> None:
    evil = "[red]x[/] [@click=app.exit]y[/] \\u202e \\u0007 [" + "z" * 480
    text = DARK_LOAF.replace("Dark trial loaf", evil).replace("at room temperature", evil)
    text = text.replace('stage = "soaker"', f'stage = "{evil}"')
    for size in SIZES:
        async with bench_of(home, text, size) as (app, pilot, screen):
            await to_line(app, pilot, screen, "buttermilk")
            for keys in (("tab",), ("tab", "w"), ("escape", "v"), ("n",), ("escape", "s"), ("escape",)):
                await press(app, pilot, *keys)
                lines = screen_lines(app)
                assert all(len(line) == size[0] for line in lines)
                assert not any(sign in line for line in lines for sign in ("\x07", "\u202e", "\x1b"))
            await press(app, pilot, "question_mark")
            assert app.is_running


async def test_levels_keep_their_place_while_their_numbers_change(home: Path) -> None:
    """Bubbles move, columns do not: the brackets of a level stand in the same cells over all swaps."""
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "enter")
        places = set()
        for _ in range(len(screen.offers.offers)):
            shown = row(app, " TTA ")
            places.add((shown.index("["), shown.index("]")))
            await pilot.press("down")
            await pilot.pause()
        assert len(places) == 1
        assert isinstance(screen.level_rows, Levels)


async def test_the_levels_follow_while_a_weight_is_typed_and_fall_back(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "honey")
        sugar = READING_KEYS.index("sugar")
        before = screen.level_rows.levels[sugar].now
        await press(app, pilot, "3", "0", "0")
        assert screen.level_rows.levels[sugar].now > before + 10
        await press(app, pilot, "x")
        assert screen.level_rows.levels[sugar].now == before
        await press(app, pilot, "escape")
        assert screen.level_rows.levels[sugar].now == before and grams(app)["honey"] == 60


async def test_a_weight_typed_on_a_swap_is_kept_and_the_rest_balanced_around_it(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        await to_line(app, pilot, screen, "buttermilk")
        await press(app, pilot, "enter")
        place = next(i for i, offer in enumerate(screen.offers.offers) if offer.chosen[0] == "yoghurt")
        screen.offers.highlight(place)
        await press(app, pilot, "2", "5", "0", "enter")
        offer = screen.offers.offer
        assert offer is not None and offer.into[0].ingredient == "yoghurt" and offer.into[0].grams == 250
        assert "yoghurt 250 g" in screen_text(app)
        await press(app, pilot, "enter")
        assert grams(app)["yoghurt"] == 250


@pytest.mark.parametrize("size", [(60, 16), (50, 14), (40, 10), (20, 6)])
async def test_a_window_too_small_cuts_no_number_and_breaks_nothing(home: Path, size: tuple[int, int]) -> None:
    async with bench_of(home, size=size) as (app, pilot, screen):
        for key in (
            "tab",
            "tab",
            "tab",
            "down",
            "enter",
            "right",
            "question_mark",
            "escape",
            "w",
            "escape",
            "g",
            "escape",
        ):
            await press(app, pilot, key)
            for line in screen_lines(app):
                assert len(line) == size[0]
        screen.level_rows.focus()
        await settled(app, pilot)
        for level in screen.level_rows.levels[:3]:
            for line in screen_lines(app):
                if f"  {level.label} " in line:
                    value = figure_text(level.key, level.now)
                    assert f" {value} " in f"{line} " or not any(sign.isdigit() for sign in line)


async def test_the_mouse_works_too(home: Path) -> None:
    async with bench_of(home) as (app, pilot, screen):
        lines = screen_lines(app)
        y = next(number for number, line in enumerate(lines) if " buttermilk " in line)
        await pilot.click(offset=(6, y))
        await settled(app, pilot)
        assert screen.lines.line == 5 and "swaps for buttermilk" in screen_text(app)
        await pilot.click(offset=(6, y))
        await settled(app, pilot)
        assert screen.at_offers
        footer = screen_lines(app)[-1]
        await pilot.click(offset=(footer.index("w why") + 1, 33))
        await settled(app, pilot)
        assert isinstance(app.screen, WhyOffer)


async def test_the_pantry_that_changed_elsewhere_is_seen_on_coming_back(home: Path) -> None:
    from adapter.formula.pantry import Pantry, Stock

    async with bench_of(home) as (app, pilot, _):
        await press(app, pilot, "question_mark")
        app.session.use_pantry(Pantry("mine", (Stock("wheat bran", 7.0),)))
        await press(app, pilot, "escape")
        assert "7 g" in row(app, " wheat bran ")
