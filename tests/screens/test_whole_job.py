"""The whole job by keys: a book formula in, four other loaves out, and the command line reads the same from them."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from driving import press, running, screen_lines, typed
from textual.pilot import Pilot

from adapter.command_line import main
from adapter.dough.readings.registry import READING_KEYS, label
from adapter.files.places import own_formulas_path
from adapter.screens.app import OtherloafApp
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.compare.screen import CompareScreen
from adapter.screens.export.screen import ExportScreen
from adapter.screens.parts.pick_dialog import PickDialog
from adapter.swaps.offer import Offer
from adapter.words.text_report import figure_text, grams_text

SAMPLE = "hut_everyday_loaf"
FIFTH_OF_THE_FLOUR = 20.0
RYE_OF_THE_FLOUR = 520 / 950
Shown = dict[str, tuple[str, str]]
"""Of each reading the book's number and the present one, as they stand on the screen."""


class Baker:
    """Somebody at the keys. Every step goes by keys; every number is read off the screen."""

    def __init__(self, app: OtherloafApp, pilot: Pilot[None]) -> None:
        self.app, self.pilot = app, pilot
        self.saved: dict[str, Path] = {}
        self.seen: dict[str, Shown] = {}

    @property
    def bench(self) -> BenchScreen:
        screen = self.app.screen
        assert isinstance(screen, BenchScreen), screen
        return screen

    async def press(self, *keys: str) -> None:
        await press(self.app, self.pilot, *keys)

    async def open(self, words: str) -> None:
        await typed(self.pilot, words)
        await self.press("enter")
        assert self.bench.at_lines

    async def to_line(self, ingredient: str) -> None:
        await self.press("home")
        formula = self.app.session.open_bench.formula
        for _ in formula.lines:
            line = self.bench.lines.line
            assert line is not None
            if formula.lines[line].ingredient == ingredient:
                return
            await self.press("down")
        raise AssertionError(f"no line of {ingredient}")

    async def swap(
        self, out: str, into: Sequence[str], flour_in_sourdough: float = 0.0, with_it: Sequence[str] = ()
    ) -> None:
        """Look for the swap among those of a line, `with_it` the further lines that go out, and take it."""
        await self.to_line(out)
        await self.press("enter")
        offers = self.bench.offers
        going = [{amount.ingredient for amount in each.out} for each in offers.offers]
        found = zip(going, (sorted(each.chosen) for each in offers.offers), strict=True)
        place = list(found).index(({out, *with_it}, sorted(into)))
        await self.press(*["down"] * place)
        while flour_in_sourdough:
            assert offers.offer is not None
            if offers.offer.after.value("prefermented_flour") >= flour_in_sourdough:
                break
            await self.press("right")
        offer = offers.offer
        assert offer is not None and sorted(offer.chosen) == sorted(into)
        row = next(line for line in screen_lines(self.app) if f"▸ {weighed(offer.into[0])}" in line)
        assert f" {offer.drift:.1f} " in row
        preview = self.levels()
        await self.press("enter")
        assert self.bench.at_lines and self.levels() in (preview, {})
        self.check_kept(offer)

    def check_kept(self, offer: Offer) -> None:
        """What the rule keeps has changed by no more than a baker notices, scales and all."""
        assert offer.rule is not None and not offer.unmet
        tolerances = offer.after.kitchen.tolerances
        kept = [key for key in offer.rule.keep if key in tolerances]
        assert kept, offer.rule.id
        for key in kept:
            before, after = offer.before.value(key), offer.after.value(key)
            allowed = tolerances[key].value * (before / 100 if key in ("flour_mass", "dough_mass") else 1)
            assert abs(after - before) <= allowed, (offer.rule.id, key, before, after)

    def levels(self) -> Shown:
        """The levels in sight."""
        found: Shown = {}
        left = self.bench.level_rows.region.x
        for line in screen_lines(self.app):
            for key in READING_KEYS:
                numbers = re.match(rf"[▸ ] [= ] {label(key)}  +([\d.–]+)  +([\d.–]+) ", line[left:])
                if numbers is not None:
                    found[key] = (numbers[1], numbers[2])
        return found

    async def save(self, letter: str) -> None:
        """Write the shown variant where it is offered, and keep in mind what the screen said of it."""
        assert f"variant {letter}" in screen_lines(self.app)[0]
        await self.press("s", "enter")
        assert self.bench.said.startswith("saved in ")
        path = Path(self.bench.said.removeprefix("saved in "))
        assert path.is_file() and path.parent == own_formulas_path()
        self.saved[letter] = path
        self.seen[letter] = await self.all_levels()

    async def all_levels(self) -> Shown:
        """Every level; where the window is small, by going through them."""
        found = self.levels()
        if len(found) < len(READING_KEYS):
            await self.press("tab", "home")
            for _ in READING_KEYS:
                found.update(self.levels())
                await self.press("down")
            await self.press("shift+tab")
        return found


def weighed(amount: Any) -> str:
    return f"{amount.ingredient} {grams_text(amount.grams)} g"


def cli(capsys: pytest.CaptureFixture[str], *words: str | Path) -> Any:
    """What a command prints as JSON."""
    capsys.readouterr()
    assert main([*map(str, words), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def printed(report: Any) -> dict[str, str]:
    return {key: figure_text(key, reading["value"]) for key, reading in report["readings"].items()}


def check_the_same_numbers(baker: Baker, capsys: pytest.CaptureFixture[str]) -> None:
    """Every saved file, read by the command line, has the readings that the screen showed."""
    book = printed(cli(capsys, "balance", SAMPLE))
    for letter, path in baker.saved.items():
        report = printed(cli(capsys, "balance", path))
        assert set(report) == set(READING_KEYS)
        assert baker.seen[letter] == {key: (book[key], report[key]) for key in READING_KEYS}, letter


def grams(baker: Baker) -> dict[str, float]:
    """What the shown variant takes of each ingredient in all."""
    lines = baker.app.session.open_bench.formula.lines
    return {line.ingredient: sum(each.grams for each in lines if each.ingredient == line.ingredient) for line in lines}


async def the_two_acid_liquids(baker: Baker) -> None:
    """B: yoghurt and water for the sour whey. C, from the book again: milk with vinegar."""
    await baker.open("hut everyday")
    await baker.press("v")
    book = grams(baker)
    await baker.swap("sour whey", ["yoghurt"])
    assert "sour whey" not in grams(baker) and grams(baker)["water"] > book["water"]
    await baker.save("B")
    await baker.press("left_square_bracket", "v")
    assert grams(baker) == book
    await baker.swap("sour whey", ["milk", "cider vinegar"])
    assert "sour whey" not in grams(baker)
    await baker.save("C")


async def test_the_whole_job_on_the_everyday_loaf(capsys: pytest.CaptureFixture[str]) -> None:
    async with running(size=(120, 34)) as (app, pilot):
        baker = Baker(app, pilot)
        await the_two_acid_liquids(baker)
        await baker.press("v")
        await baker.swap("medium rye flour", ["wholemeal rye flour"], with_it=["rye bran"])
        assert not set(grams(baker)) & {"medium rye flour", "rye bran"}
        await baker.swap("sugar beet syrup", ["malt syrup"])
        await baker.save("D")
        await baker.press("v")
        await baker.swap("wholemeal rye flour", ["rye sourdough"], FIFTH_OF_THE_FLOUR)
        await baker.save("E")
        book, now = (float(number) for number in baker.seen["E"]["prefermented_flour"])
        assert now - book == pytest.approx(FIFTH_OF_THE_FLOUR * RYE_OF_THE_FLOUR, abs=0.5)
        order, compared = await compare_the_four(baker)
        table = await export_the_table(baker)
        await baker.press("q", "q")
        exported, with_sentences = await export_the_last(baker)
    check_the_same_numbers(baker, capsys)
    report = cli(capsys, "compare", *(baker.saved[letter] for letter in order))
    columns = [printed(variant) for variant in report["variants"]]
    assert compared == {key: [column[key] for column in columns] for key in READING_KEYS}
    for variant, letter in zip(report["variants"], order, strict=True):
        assert variant.pop("file") == str(baker.saved[letter])
    assert json.loads(table.read_text(encoding="utf-8")) == report
    for suffix, path in exported.items():
        again = path.with_name(f"again{suffix}")
        sentences = ["--options"] if suffix in with_sentences else []
        assert main(["export", str(baker.saved["E"]), str(again), *sentences]) == 0
        if suffix == ".ics":  # planned from the present moment: the same steps, later
            assert steps_of(path) == steps_of(again) != []
            continue
        assert path.read_bytes() == again.read_bytes(), suffix


def steps_of(calendar: Path) -> list[str]:
    """What each event of a calendar says, in order."""
    return re.findall(r"^SUMMARY:(.*)$", calendar.read_text(encoding="utf-8"), re.MULTILINE)


async def compare_the_four(baker: Baker) -> tuple[list[str], dict[str, list[str]]]:
    """B to E side by side: their order, and the numbers of each reading as they stand on the screen."""
    await baker.press("c", "c")
    assert isinstance(baker.app.screen, PickDialog)
    await baker.press("space", "down", "down", "down", "space", "enter")
    screen = baker.app.screen
    assert isinstance(screen, CompareScreen)
    assert sorted(each.sign for each in screen.chosen) == ["B", "C", "D", "E"]
    found: dict[str, list[str]] = {}
    await baker.press("home")
    for _ in screen.table.rows:
        row = screen.table.row
        if row is not None and row.part == "reading":
            line = next(
                line for line in screen_lines(baker.app) if line.startswith("▸ ") and label(row.key)[:14] in line
            )
            found[row.key] = [cell.value for cell in row.cells]
            place = 0
            for cell in row.cells:
                place = line.find(f" {cell.value}", place) + 1
                assert place > 0, (cell.value, line)
        await baker.press("down")
    assert len(screen.table.in_sight) == 4
    return [each.sign for each in screen.chosen], found


async def export_the_table(baker: Baker) -> Path:
    await baker.press("e", "end")
    screen = baker.app.screen
    assert isinstance(screen, ExportScreen) and screen.form.suffix == ".json"
    await baker.press("s")
    assert screen.said.startswith("written: ")
    return Path(screen.said.removeprefix("written: "))


async def export_the_last(baker: Baker) -> tuple[dict[str, Path], set[str]]:
    """The last variant in every form, and which of them tell what to take for what a reader lacks."""
    await baker.press("e")
    screen = baker.app.screen
    assert isinstance(screen, ExportScreen)
    written: dict[str, Path] = {}
    with_sentences: set[str] = set()
    for form in screen.subject.forms if screen.subject is not None else ():
        assert screen.form is form
        if form.has_options:
            while screen.option_rows.empty.startswith("working"):
                await baker.pilot.pause(0.05)
            with_sentences.add(form.suffix)
        if form.suffix != ".toml":
            await baker.press("s")
            path = Path(screen.said.removeprefix("written: "))
            assert path.suffix == form.suffix and path.is_file()
            written[form.suffix] = path
        await baker.press("down")
    return written, with_sentences


async def test_the_first_half_in_the_smallest_window(capsys: pytest.CaptureFixture[str]) -> None:
    async with running(size=(80, 24)) as (app, pilot):
        baker = Baker(app, pilot)
        await the_two_acid_liquids(baker)
    check_the_same_numbers(baker, capsys)
