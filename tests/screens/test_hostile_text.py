"""Text from files, from the clipboard and in file names, in every place that shows text: it is shown, and does nothing.

What can be seen stands as it was written, brackets and all. What cannot be seen (control, bidi and zero-width signs)
is gone before it reaches the terminal. One walk goes through every screen and dialog with one kind of text everywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple
from unicodedata import category

import pytest
from driving import press, running, settled
from rich.cells import cell_len
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from adapter.files.log_file import log_path
from adapter.screens.app import OtherloafApp
from adapter.screens.bake.log_form import BakeLogForm
from adapter.screens.bake.screen import BakeScreen
from adapter.screens.bench.line_dialog import LineDialog
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.compare.screen import CompareScreen
from adapter.screens.compare.variant_rows import LINE
from adapter.screens.export.screen import ExportScreen
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.pantry.screen import PantryScreen
from adapter.screens.parts.dialogs import AskDialog, ChooseDialog, ConfirmDialog
from adapter.screens.parts.help import HelpScreen
from adapter.screens.parts.palette import Palette
from adapter.screens.parts.pick_dialog import PickDialog
from adapter.screens.parts.shell import OtherloafScreen
from adapter.screens.parts.why import WhyLine, WhyOffer, WhyReading

UNSEEN = ("Cc", "Cf", "Cs", "Zl", "Zp")
LONG = 200


class Text(NamedTuple):
    """A text as it is written, and what of it is shown."""

    written: str
    shown: str

    @property
    def head(self) -> str:
        """What fits even into a narrow column."""
        return self.shown[:6].rstrip()


TEXTS = {
    "markup": Text(
        '[b]x[/] [@click=app.quit]q[/] [link=a]y[/link] $x {0} %s \\[red] "]]',
        '[b]x[/] [@click=app.quit]q[/] [link=a]y[/link] $x {0} %s \\[red] "]]',
    ),
    "unseen": Text(
        "plain \x1b[31mred\x1b]0;t\x07 csi\x9b2J nul\x00 del\x7f back\x08s \x85 rig\u202eht \u2066iso\u2069"
        " \u200emark\u200f\u061c ze\u200bro wi\u200ddth\u2060\ufeff so\u00adft \U000e0041tag"
        " one\ntwo\r\nthree\u2028four\u2029five\tsix\x0bseven",
        "plain [31mred]0;t csi2J nul del backs right iso mark zero width soft tag one two three four five six seven",
    ),
    "other signs": Text(
        "黒パン🍞種 👩\u200d🍳 ｶﾞ ☕\ufe0f שלום e\u0301\u0323cra\u0302\u0300se\u0489\u20dd",
        "黒パン🍞種 👩🍳 ｶﾞ ☕\ufe0f שלום e\u0301\u0323cra\u0302\u0300se\u0489\u20dd",
    ),
    "500 characters": Text("m" * 500, "m" * 500),
}


def quoted(text: str) -> str:
    """A TOML string, with an escape only for what TOML wants one for."""
    plain = (sign if sign.isprintable() or ord(sign) > 127 else f"\\u{ord(sign):04x}" for sign in text)
    return '"' + "".join(f"\\{sign}" if sign in '"\\' else sign for sign in plain) + '"'


INGREDIENT = """
[[ingredient]]
name = {name}
aliases = [{alias}]
kinds = ["liquid", "acid liquid", "dairy"]
allergens = ["milk"]
stored = "fridge"
[ingredient.figures]
water = {{ value = 90, spread = 1, tag = "own", source = {name} }}
lactose = {{ value = 4, spread = 1, tag = "own", source = {name} }}
protein = {{ value = 3.5, spread = 0.5, tag = "own", source = {name} }}
fat = {{ value = 1, spread = 0.5, tag = "own", source = {name} }}
ash = {{ value = 0.7, spread = 0.1, tag = "own", source = {name} }}
organic_acids = {{ value = 0.7, spread = 0.1, tag = "own", source = {name} }}
[ingredient.properties]
density_g_ml = {{ value = 1.03, spread = 0.01, tag = "own", source = {name} }}
[ingredient.acidity]
acids = {{ lactic = 76 }}
buffer_model = "milk"
ph = {{ value = 4.4, spread = 0.2, tag = "own", source = {name} }}
measured_in = "neat"
spread_of_totals = 0.15
tag = "own"
source = {name}
"""
FORMULA = """
[formula]
name = {name}
note = {name}
[reasons]
salt = {name}
[[line]]
stage = {name}
ingredient = "wholemeal rye flour"
grams = 500
note = {name}
[[line]]
stage = {name}
ingredient = {name}
grams = 150
[[line]]
stage = {name}
ingredient = "buttermilk"
grams = 250
[[line]]
stage = {name}
ingredient = "salt"
grams = 9
[[line]]
stage = {name}
ingredient = "fresh yeast"
grams = 8
"""
PANTRY = """
[pantry]
name = {name}
[[stock]]
ingredient = {name}
grams = 100
[stock.packet]
ph = 4.3
[shelf]
place = {name}
"""
BAKE = """
[[bake]]
at = 2031-05-03T08:00:00
formula = {name}
core_c = 97
crumb = {name}
notes = {name}
"""


def file_name(text: str) -> str:
    """A name that a file can have here: everything but the slash and the null, as long as 60 bytes."""
    kept = text.replace("/", "").replace("\0", "").encode("utf-8")[:60]
    return kept.decode("utf-8", "ignore")


def put(path: Path, template: str, text: Text) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    name = quoted(text.written)
    path.write_text(template.format(name=name, alias=quoted("other " + text.written)), encoding="utf-8")
    return path


class Walk:
    """The app with one text everywhere; after every step the whole screen is looked at."""

    def __init__(self, app: OtherloafApp, pilot: Pilot[None], text: Text) -> None:
        self.app, self.pilot, self.text = app, pilot, text

    async def press(self, *keys: str) -> None:
        await press(self.app, self.pilot, *keys)
        self.look()

    async def to(self, kind: type, *keys: str) -> None:
        """Keys that lead to a screen or a dialog, and nowhere else."""
        await self.press(*keys)
        assert type(self.app.screen) is kind, (keys, self.app.screen)

    async def fill(self, text: str) -> None:
        """Paste a text over what stands in the field that has the keys."""
        field = self.app.focused
        assert isinstance(field, Input)
        field.value = ""
        self.app.post_message(events.Paste(text))
        await settled(self.app, self.pilot)
        self.look()

    def look(self) -> str:
        """What stands on the screen, after a look at every cell of it."""
        lines = []
        for strip in self.app.screen._compositor.render_strips():
            line = "".join(segment.text for segment in strip)
            unseen = [hex(ord(sign)) for sign in line if category(sign) in UNSEEN]
            assert not unseen, (unseen, line)
            assert sum(cell_len(segment.text) for segment in strip) == self.app.size.width, line
            for segment in strip:
                assert not segment.control
                assert segment.style is None or segment.style.link is None, segment
                assert segment.style is None or "@click" not in str(segment.style.meta), segment
            lines.append(line)
        assert not self.app._notifications
        return "\n".join(lines)

    def faults(self, where: str) -> list[str]:
        """What is wrong with the screen, and whether the text stands on it at all."""
        try:
            assert self.text.head in self.look(), "the text is not there"
        except AssertionError as fault:
            return [f"{where}: {str(fault).splitlines()[0][:160]}"]
        return []

    def shows(self, before: str = "") -> None:
        """The beginning of the text stands on the screen after other words; the longest on a line of its own."""
        looked_for = self.text.head if len(self.text.shown) > LONG else before + self.text.head
        assert looked_for in self.look(), f"{looked_for}\nis not in\n{self.look()}"

    def says(self, *words: str) -> None:
        screen = self.app.screen
        assert isinstance(screen, OtherloafScreen)
        assert all(word in screen.said for word in words), screen.said
        assert screen.said[:1] in self.look()

    # ------------------------------------------------------------------ the screens, one after the other

    async def formulas(self) -> None:
        screen = self.app.screen
        assert isinstance(screen, FormulasScreen)
        self.shows()
        for row in ("preview-lines", "preview-levels") if self.app.size.width >= 100 else ():
            assert screen.query_one(f"#{row}").size.width > 0
        assert self.look().count(self.text.head) >= (4 if self.app.size.width >= 100 else 2)
        screen.filter = self.text.shown[:20]
        screen.show_matching(0)
        await settled(self.app, self.pilot)
        self.shows("find: ")
        await self.press("escape", "end", "home", "down")
        self.says("! ", "unknown ingredient")
        await self.press("up")

    async def bench_line(self) -> None:
        """Highlighted, weighed, held, explained, struck out and back."""
        screen = self.app.screen
        assert isinstance(screen, BenchScreen)
        top = self.look().splitlines()[0]
        assert top.startswith(" " + (self.text.shown if cell_len(self.text.shown) < 60 else self.text.head))
        await self.press("down")
        assert screen.lines.line == 1
        self.shows("swaps for ")
        await self.to(AskDialog, "g")
        assert "How much" in self.look()
        self.shows()
        await self.fill(self.text.shown)
        await self.to(AskDialog, "enter")
        assert "! " in self.look()
        await self.to(BenchScreen, "escape")
        await self.press("h")
        self.says(self.text.head, "is held")
        self.shows("= ")
        await self.press("h")
        await self.to(WhyLine, "w")
        self.shows("what is known of ")
        await self.press("pagedown", "pagedown")
        await self.to(BenchScreen, "escape")
        await self.press("x")
        self.says(self.text.head, "struck out")
        await self.press("u")
        self.says("undone: ")

    async def bench_swaps(self) -> None:
        """Swapped out, swapped in."""
        screen = self.app.screen
        assert isinstance(screen, BenchScreen)
        await self.press("enter")
        assert screen.at_offers and screen.offers.offers
        await self.to(AskDialog, "g")
        await self.to(BenchScreen, "escape")
        await self.to(WhyOffer, "w")
        await self.to(BenchScreen, "escape")
        await self.press("enter")
        self.says(self.text.head, "u undoes it")
        await self.press("u", "home", "down", "down")
        coming = [place for place, offer in enumerate(screen.offers.offers) if self.text.shown in offer.chosen]
        assert coming, "the own ingredient is offered for nothing"
        screen.offers.focus()
        screen.offers.highlight(coming[0])
        await settled(self.app, self.pilot)
        self.shows("→ ")
        await self.to(AskDialog, "g")
        assert "How much" in self.look()
        self.shows()
        await self.fill("100")
        await self.to(BenchScreen, "enter")
        self.says(self.text.head)
        await self.to(WhyOffer, "w")
        self.shows()
        await self.to(BenchScreen, "escape")

    async def bench_levels(self) -> None:
        screen = self.app.screen
        assert isinstance(screen, BenchScreen)
        screen.level_rows.focus()
        await settled(self.app, self.pilot)
        await self.to(WhyReading, "w")
        self.shows("from 150 g ")
        await self.press("pagedown", "end")
        await self.to(BenchScreen, "escape")
        screen.lines.focus()

    async def bench_dialogs(self) -> None:
        """Named, dropped, added, saved; help and palette."""
        await self.press("v")
        await self.to(AskDialog, "n")
        self.shows()
        await self.fill("B " + self.text.shown[:480])
        await self.to(BenchScreen, "enter")
        self.says("now called B " + self.text.head)
        await self.to(ConfirmDialog, "delete")
        self.shows("Drop variant B, B ")
        await self.to(BenchScreen, "n")
        await self.to(LineDialog, "a")
        await self.fill(self.text.shown[:40])
        assert self.look().count(self.text.head) >= 2
        await self.to(AskDialog, "enter")
        assert "How much" in self.look()
        self.shows()
        await self.to(BenchScreen, "escape")
        await self.to(AskDialog, "s")
        await self.to(BenchScreen, "escape")
        await self.to(HelpScreen, "question_mark")
        await self.to(BenchScreen, "escape")
        await self.to(Palette, "colon")
        await self.fill(self.text.shown[:60])
        await self.to(BenchScreen, "escape")

    async def compare(self) -> None:
        await self.to(CompareScreen, "c")
        assert self.look().count(self.text.head) >= 4
        await self.press("down", "right", "down", "down")
        await self.to(PickDialog, "c")
        assert "A " in self.look() and "B " in self.look()
        await self.to(CompareScreen, "escape")
        await self.to(ChooseDialog, "o")
        self.shows()
        await self.fill(self.text.shown[:40])
        await self.to(CompareScreen, "escape")
        await self.press("f")
        self.says("changes are against", self.text.head)
        await self.to_compared_line()
        await self.to(WhyLine, "w")
        self.shows()
        await self.to(CompareScreen, "escape")
        await self.to(ExportScreen, "e")
        self.shows()
        await self.press("end", "home")
        await self.to(CompareScreen, "q")
        await self.press("end")
        self.shows()
        await self.to(BenchScreen, "k")
        self.says("going on with")

    async def to_compared_line(self) -> None:
        """The highlight of the comparison on the line of the own ingredient."""
        screen = self.app.screen
        assert isinstance(screen, CompareScreen) and screen.comparison is not None
        names = [line.ingredient for line in screen.comparison.lines]
        await self.press("home")
        for _ in screen.table.rows:
            row = screen.row
            if row is not None and row.part == LINE and names[int(row.key)] == self.text.shown:
                return
            await self.press("down")
        raise AssertionError("the own ingredient has no line in the comparison")

    async def pantry(self) -> None:
        await self.to(PantryScreen, "p")
        assert self.look().splitlines()[0].startswith(" pantry · " + self.text.head)
        self.shows("▸ ")
        await self.press("2", "0", "enter")
        self.says(self.text.head)
        await self.press("u", "tab")
        assert self.look().count(self.text.head) >= 4
        await self.press("enter", "5", "escape")
        await self.press("escape")
        await self.to(ChooseDialog, "a")
        await self.fill(self.text.shown[:40])
        self.shows()
        await self.to(PantryScreen, "escape")
        await self.press("x")
        self.says(self.text.head, "struck out")
        await self.press("u")
        await self.to(BenchScreen, "q")

    async def export(self) -> None:
        await self.to(ExportScreen, "e")
        screen = self.app.screen
        assert isinstance(screen, ExportScreen) and screen.subject is not None
        assert self.look().splitlines()[0].startswith(" export · B " + self.text.head)
        for _ in screen.subject.forms:
            self.look()
            await self.press("down")
        await self.press("tab", "pagedown", "end")
        await self.press("n")
        await self.fill(self.text.shown + "/")
        await self.press("enter", "s")
        self.says("! ", "names a folder")
        await self.to(BenchScreen, "q")

    async def bake(self) -> None:
        await self.to(BakeScreen, "b")
        screen = self.app.screen
        assert isinstance(screen, BakeScreen)
        assert self.look().splitlines()[0].startswith(" bake · B " + self.text.head)
        for _ in range(5):
            await self.press("tab")
        assert screen.part == "log" and screen.log_rows.bake is not None
        self.shows()
        await self.press("w")
        await self.to(BakeScreen, "escape")
        await self.to(BakeLogForm, "l")
        self.shows("baked: B ")
        screen = self.app.screen
        for field in ("crumb", "notes"):
            screen.query_one(f"#{field}", Input).focus()
            await self.fill(self.text.shown)
        screen.query_one("#core_c", Input).focus()
        await self.fill(self.text.shown)
        await self.to(BakeLogForm, "ctrl+s")
        assert "! " in self.look()
        await self.to(BakeScreen, "escape")
        await self.to(BenchScreen, "q")

    async def unsaved(self) -> None:
        await self.to(FormulasScreen, "q")
        await self.press("home")
        assert "unsaved work" in self.look()
        self.shows("▸ B ")
        await self.to(ConfirmDialog, "delete")
        self.shows("Throw away the unsaved work on B ")
        await self.to(FormulasScreen, "y")
        assert "unsaved work" not in self.look()


@pytest.fixture
def named(home: Path, tmp_path: Path) -> Callable[[Text], list[Path]]:
    """Own tables, pantry, formula and bake log with a text everywhere; the formula and a faulty one."""

    def make(text: Text) -> list[Path]:
        put(home / "tables" / "ingredients" / "own.toml", INGREDIENT, text)
        put(home / "pantry.toml", PANTRY, text)
        formula = put(tmp_path / f"1{file_name(text.shown)}.toml", FORMULA, text)
        put(log_path(formula), BAKE, text)
        unknown = Text(text.written + " unknown", text.shown)
        return [formula, put(tmp_path / f"2{file_name(text.shown)}.toml", FORMULA, unknown)]

    return make


@pytest.mark.parametrize(
    ("kind", "size"),
    [*((kind, (120, 34)) for kind in TEXTS), ("other signs", (80, 24))],
    ids=lambda value: value if isinstance(value, str) else f"{value[0]}x{value[1]}",
)
async def test_text_is_shown_and_does_nothing(
    kind: str, size: tuple[int, int], named: Callable[[Text], list[Path]]
) -> None:
    text = TEXTS[kind]
    async with running(named(text), size) as (app, pilot):
        walk = Walk(app, pilot, text)
        await walk.formulas()
        await walk.to(BenchScreen, "enter")
        await walk.bench_line()
        await walk.bench_swaps()
        await walk.bench_levels()
        await walk.bench_dialogs()
        await walk.compare()
        await walk.pantry()
        await walk.export()
        await walk.bake()
        await walk.unsaved()
        assert app.is_running and not app._exit


# ---------------------------------------------------------------------- what is pasted, and names of files


async def test_what_is_pasted_is_shown_harmless(named: Callable[[Text], list[Path]]) -> None:
    text = TEXTS["unseen"]
    faults: list[str] = []
    async with running(named(Text("plain", "plain"))[:1], (120, 34)) as (app, pilot):
        walk = Walk(app, pilot, text)

        async def paste(where: str, *keys: str) -> None:
            """Keys that lead to a field; a paste into it; and away from it."""
            await walk.press(*keys)
            app.post_message(events.Paste(text.written))
            await settled(app, pilot)
            faults.extend(walk.faults(where))
            if isinstance(app.focused, Input):
                app.focused.value = ""
            await walk.press("escape")

        await walk.press("down")
        await paste("a weight", "g")
        await paste("a name", "n", "ctrl+u")
        await paste("an ingredient to add", "a")
        await paste("where to save", "s", "home")
        await paste("a command", "colon")
        await walk.to(ExportScreen, "e")
        await paste("where to export", "n", "home")
        await walk.to(BenchScreen, "q")
        await walk.to(BakeScreen, "b")
        await paste("the bake log", "l", "up", "up")
        await walk.to(BenchScreen, "q")
        await walk.to(PantryScreen, "p")
        await paste("a cell of the pantry", "enter")
        await walk.to(BenchScreen, "q")
    assert not faults, "\n".join(faults)


async def test_the_name_of_a_file_is_shown_harmless(home: Path, tmp_path: Path) -> None:
    """A file that somebody else named, in the list of formulas and where it would be saved and exported."""
    text, plain = TEXTS["unseen"], Text("plain", "plain")
    faults: list[str] = []
    put(home / "tables" / "ingredients" / "own.toml", INGREDIENT, plain)
    path = put(tmp_path / f"{file_name(text.written)}.toml", FORMULA, plain)
    broken = tmp_path / f"{file_name(text.written)}2.toml"
    broken.write_text("[formula", encoding="utf-8")
    async with running([path, broken], (160, 34)) as (app, pilot):
        walk = Walk(app, pilot, text)
        for where, keys in {
            "the list of formulas": ("end", "home"),
            "a file that cannot be read": ("down",),
            "where to save": ("up", "enter", "s"),
            "where to export": ("escape", "e"),
        }.items():
            await press(app, pilot, *keys)
            faults.extend(walk.faults(where))
        assert app.is_running and not app._exit
    assert not faults, "\n".join(faults)
