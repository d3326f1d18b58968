"""The numbers of a bake plan, its clock times, the bakes that were logged, and text to read, as rows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from textwrap import wrap
from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual import events
from textual.geometry import Size
from textual.strip import Strip

from adapter.screens.parts.columns import Column, Items, cut, harmless
from adapter.screens.parts.rows import Row, RowList

if TYPE_CHECKING:
    from adapter.dough.bake.clock import TimedStep
    from adapter.files.log_file import Bake
    from adapter.words.bake_report import BakeFigure
    from adapter.words.units import Units

FIGURE_COLUMNS = (Column("", room=13), Column("", room=20), Column("", least=14, drop=1, gap=1))
LONGEST_LABEL = 18
"""Cells of a name beside which its number stays whole on a small screen: long names of stages are cut."""
CLOCK_COLUMNS = (Column("", room=10), Column("", room=5, gap=1), Column("", least=10, gap=2))
BESIDE_STEP = 26
"""Cells of a clock row that are not its step's: the mark, the day, the time and what lies between."""
LOG_COLUMNS = (
    Column("", room=10),
    Column("mark", right=True, room=4, gap=1),
    Column("rose", drop=1, gap=1),
    Column("oven", drop=2, gap=1),
    Column("dough", drop=4, gap=1),
    Column("", least=8, drop=3),
)


class Figures(RowList):
    """Every number of the plan."""

    def __init__(self, title: str, *, id: str | None = None) -> None:
        super().__init__(title, FIGURE_COLUMNS, id=id)
        self.figures: tuple[BakeFigure, ...] = ()

    def show_figures(self, figures: Sequence[BakeFigure]) -> None:
        """Show other numbers; the highlight stays with its number."""
        here = self.figure
        self.figures = tuple(figures)
        rows = [Row((_short(each.label), ((each.value, _style(each)),), _parts(each.beside))) for each in self.figures]
        keys = [each.key for each in self.figures]
        self.show_again(rows, keys.index(here.key) if here is not None and here.key in keys else None)

    @property
    def figure(self) -> BakeFigure | None:
        """The highlighted number."""
        return None if self.index is None or self.index >= len(self.figures) else self.figures[self.index]


def _short(label: str) -> str:
    return cut(label, min(cell_len(label), LONGEST_LABEL))


def _style(figure: BakeFigure) -> str:
    return "warn" if any(warns for _, warns in figure.sentences) else "strong"


def _parts(beside: str) -> Items:
    """What stands beside a number, to be left out part by part: no number in it is cut."""
    first, *rest = re.split(r"(?<=[,;]) | (?=\()", beside)
    return Items((first, *(f" {part}" for part in rest)))


class ClockRows(RowList):
    """The steps of the day with their times; the day stands where it changes."""

    def __init__(self, title: str, *, id: str | None = None) -> None:
        super().__init__(title, CLOCK_COLUMNS, empty="no times: this dough does not rise", id=id)
        self.steps: tuple[TimedStep, ...] = ()

    def show_steps(self, steps: Sequence[TimedStep]) -> None:
        if tuple(steps) != self.steps:
            self.steps = tuple(steps)
            self._wrap()

    def _wrap(self) -> None:
        """A step that is too long for its row goes on in the next: an amount in it is never cut."""
        width = max(16, self.size.width - BESIDE_STEP)
        rows = []
        day = None
        for step in self.steps:
            on = "" if step.at.date() == day else date_text(step.at)
            day = step.at.date()
            first, *more = wrap(harmless(step.step), width) or [""]
            rows.append(Row((((on, "faint"),), ((f"{step.at:%H:%M}", "strong"),), first)))
            rows += [Row((f"{'':{BESIDE_STEP - 6}}{line}",), "", True) for line in more]
        self.show_again(rows)

    def on_resize(self, event: events.Resize) -> None:
        self._wrap()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return max(1, len(self.rows)) + 1


def date_text(at: datetime) -> str:
    """A day in ten cells, whatever the computer's language: "Sat 30 Jan"."""
    from adapter.words.clock_times import day_text

    months = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    return f"{day_text(at)} {at.day:2d} {months[at.month - 1]}"


class LogRows(RowList):
    """The bakes that were logged, newest first."""

    def __init__(self, title: str, *, id: str | None = None) -> None:
        super().__init__(title, LOG_COLUMNS, empty="nothing yet: l writes a bake down", id=id)
        self.bakes: tuple[Bake, ...] = ()

    def show_bakes(self, bakes: Sequence[Bake], units: Units) -> None:
        self.bakes = tuple(reversed(bakes))
        self.show([_log_row(bake, units) for bake in self.bakes])

    @property
    def bake(self) -> Bake | None:
        return None if self.index is None or self.index >= len(self.bakes) else self.bakes[self.index]


def _log_row(bake: Bake, units: Units) -> Row:
    rose = oven = dough = ""
    if bake.rise_h is not None:
        percent = "" if bake.rise_percent is None else f"{bake.rise_percent:g} % "
        rose = f"{percent}{bake.rise_h:.2f} h"
    if bake.bake_min is not None:
        core = "" if bake.core_c is None else f" {units.temperature(bake.core_c)}"
        oven = f"{bake.bake_min:g} min{core}"
    if bake.dough_c is not None:
        dough = units.temperature(bake.dough_c)
    words = harmless(", ".join(text for text in (bake.crumb, bake.notes) if text))
    mark = "" if bake.mark is None else f"{bake.mark}/5"
    return Row((f"{bake.at:%Y-%m-%d}", ((mark, "strong"),), rose, oven, dough, ((words, "faint"),)))


class Paragraphs(RowList):
    """Sentences to read, wrapped and scrolled; nothing in them is highlighted. Warnings come marked."""

    def __init__(self, title: str, *, id: str | None = None) -> None:
        super().__init__(title, (Column("", least=10),), id=id)
        self.parts: tuple[tuple[str, bool], ...] = ()

    def show_parts(self, parts: Sequence[tuple[str, bool]]) -> None:
        """Sentences, each with whether it warns."""
        sentences = tuple((harmless(text), warns) for text, warns in parts)
        if sentences != self.parts:
            self.parts = sentences
            self._wrap()

    def _wrap(self) -> None:
        width = max(20, self.size.width - 5)
        rows = []
        for text, warns in self.parts:
            for number, line in enumerate(wrap(f"! {text}" if warns else f"· {text}", width)):
                rows.append(Row((f" {line}" if number == 0 else f"   {line}",), "warn" if warns else ""))
        if len(rows) == len(self.rows):
            self.change(rows)
        else:
            self.show(rows)

    def on_resize(self, event: events.Resize) -> None:
        self._wrap()

    def _row(self, place: int, width: int) -> Strip:
        row = self.rows[place]
        return self._strip([(cut(str(row.cells[0]), width), "")], row.style, width)

    def action_move(self, by: int) -> None:
        """Scroll by a line: there is no highlight to move."""
        self._top = max(0, min(self._top + by, len(self.rows) - self.page))
        self.index = self._top
        self.refresh()

    def action_page(self, by: int) -> None:
        self.action_move(by * self.page)

    def action_edge(self, side: int) -> None:
        self.action_move(side * len(self.rows))
