"""From dough to slice on one page: inputs, every number, curves, clock times, cautions and the bakes before."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from adapter.formula.problems import InputProblem
from adapter.screens.bake.curves import Curve
from adapter.screens.bake.fields import Fields
from adapter.screens.bake.figures import ClockRows, Figures, LogRows, Paragraphs
from adapter.screens.bake.input_rows import field_rows, field_sentences
from adapter.screens.bake.inputs import Inputs
from adapter.screens.bake.log_keeping import LogKeeper
from adapter.screens.bake.pages import PageStrip
from adapter.screens.bake.plan_curves import show_dough, show_stage
from adapter.screens.parts.details import Details
from adapter.screens.parts.rows import RowList
from adapter.screens.parts.shell import OtherloafScreen
from adapter.words.bake_report import (
    STAGE,
    bake_data,
    bake_figures,
    bake_report,
    kitchen_text,
    logged_text,
    stage_figures,
)
from adapter.work.bake_day import BakeDay
from adapter.work.day_timetable import loaf_of
from adapter.work.logs import calibrate, logged
from adapter.work.stage_inputs import field_of, stage_of_key

if TYPE_CHECKING:
    from adapter.dough.bake.plan import BakePlan
    from adapter.dough.readings.measured import Measured
    from adapter.files.log_file import Bake
    from adapter.words.bake_data import BakePageData

WIDE, TALL = 112, 32
PARTS = ("fields", "figures", "rise", "core", "clock", "log", "cautions")
NAMES = {"fields": "inputs", "figures": "numbers"}
"""What the table of actions calls the parts that have keys of their own."""
PAGES = ("plan", "rise curve", "core curve", "clock", "cautions")
PAGE_OF = {"fields": 0, "figures": 0, "rise": 1, "core": 2, "clock": 3, "log": 3, "cautions": 4}


class BakeScreen(OtherloafScreen):
    """The plan for the shown variant on this day. Everything on it follows every input."""

    NAME = "bake"
    HELP_NOTES = (
        "Every input follows the formula, or its class of loaf, until it is typed over; Backspace gives it back."
        " ← → change an input by a step, Space too.",
        "The minutes are good to a fifth: the thermometer in the core decides.",
    )
    CSS_PATH = "bake.tcss"
    AUTO_FOCUS = "#fields"

    now: Callable[[], datetime] = staticmethod(datetime.now)

    def __init__(self) -> None:
        super().__init__()
        self.inputs = Inputs(self)
        self.parts = (self.inputs, LogKeeper(self))
        self.bakes: tuple[Bake, ...] = ()
        self.log_fault = ""
        self._last_stage = ""
        self.shown: tuple[Measured, BakePlan] | None = None
        self.data: BakePageData | None = None

    def body(self) -> ComposeResult:
        yield PageStrip(PAGES, id="pages")
        with Horizontal(id="page"):
            with Vertical(id="left"):
                yield Fields("today", id="fields")
                yield ClockRows("clock", id="clock")
                yield LogRows("baked before", id="log")
            with Vertical(id="right"):
                yield Figures("what comes of it", id="figures")
                yield Details(id="details")
                with Horizontal(id="curves"):
                    yield Curve("rise", "h", "%", id="rise")
                    yield Curve("core", "min", "°C", id="core")
                yield Paragraphs("cautions", id="cautions")

    @property
    def day(self) -> BakeDay:
        return self.session.bake_day

    @property
    def fields(self) -> Fields:
        return self.query_one("#fields", Fields)

    @property
    def figures(self) -> Figures:
        return self.query_one("#figures", Figures)

    @property
    def log_rows(self) -> LogRows:
        return self.query_one("#log", LogRows)

    # ------------------------------------------------------------------ opening

    def on_mount(self) -> None:
        notes = calibrate(self.session)
        bench = self.session.open_bench
        self.day.open(loaf_of(self.session), self.session.open_piece.day, self.now())
        self.day.work_out(bench, self.now())
        self.read_log()
        self.show_all()
        if self.day.problem:
            self.say(self.day.problem, fault=True)
        elif notes:
            self.say(f"a log was left out: {notes[0]}", fault=True)
        else:
            self.say("type over an input, or ← →: everything follows")

    # ------------------------------------------------------------------ layout

    def on_resize(self, event: events.Resize) -> None:
        width, height = event.size
        narrow = width < WIDE or height < TALL
        self._show_page(PAGE_OF[self.part], {"-narrow": narrow, "-roomy": width >= 160 and height >= 50})

    @property
    def part(self) -> str:
        """The part that has the keys."""
        focused = self.focused
        return str(focused.id) if focused is not None and focused.id in PARTS else "fields"

    def _show_page(self, page: int, besides: Mapping[str, bool] | None = None) -> None:
        self.wear({**(besides or {}), **{f"-page-{number}": number == page for number in range(len(PAGES))}})
        self.query_one(PageStrip).show(page)

    def on_descendant_focus(self) -> None:
        self._show_page(PAGE_OF[self.part])
        self.show_keys(NAMES.get(self.part, self.part))
        self._show_details()
        self._show_curves()

    def to_part(self, name: str) -> None:
        """Give a part the keys; in a small window its page opens."""
        self._show_page(PAGE_OF[name])
        self.query_one(f"#{name}", Widget).focus()

    def action_next_part(self) -> None:
        self._turn(1)

    def action_previous_part(self) -> None:
        self._turn(-1)

    def _turn(self, by: int) -> None:
        self.to_part(PARTS[(PARTS.index(self.part) + by) % len(PARTS)])

    @on(PageStrip.Pressed)
    def _page_pressed(self, event: PageStrip.Pressed) -> None:
        event.stop()
        self.to_part(next(part for part in PARTS if PAGE_OF[part] == event.page))

    # ------------------------------------------------------------------ showing

    def read_log(self) -> None:
        """Look anew what was logged."""
        try:
            self.bakes, self.log_fault = logged(self.session), ""
        except InputProblem as problem:
            self.bakes, self.log_fault = (), str(problem)
        self.log_rows.show_bakes(self.bakes, self.units)

    def show_all(self) -> None:
        """Everything anew, from the last good plan."""
        day = self.day
        if day.plan is not None and day.measured is not None:
            self.show_preview(day.measured, day.plan)
        else:
            self._show_nothing()

    def show_preview(self, measured: Measured, plan: BakePlan) -> None:
        """Show a plan: the one that stands, or one that is only looked at while an input is typed."""
        self.shown = measured, plan
        data = self.data = bake_report(plan, self.bakes, recipe=measured.formula.note)
        bench = self.session.open_bench
        self.fields.show_fields(field_rows(self.day, plan, bench.now, self.now(), self.units))
        units = self.units
        self.figures.show_figures([*bake_figures(data, plan.notes, units), *stage_figures(data, units)])
        steps = [replace(step, step=units.told(step.step)) for step in plan.plan]
        self.query_one("#clock", ClockRows).show_steps(steps)
        self._show_curves()
        self._show_cautions(data)
        self._show_details()
        self._show_top(plan)

    def show_units(self) -> None:
        """What is being typed is left: its number was meant in the units before."""
        if self.fields.typing is not None:
            self.fields.end()
        self.log_rows.show_bakes(self.bakes, self.units)
        self.show_all()

    def _show_nothing(self) -> None:
        """A formula that gives no plan yet: its inputs are there to mend it."""
        bench = self.session.open_bench
        self.fields.show_fields(field_rows(self.day, None, bench.now, self.now(), self.units))
        self.figures.show_figures([])
        self._show_details()
        self.top(f"bake · {bench.formula.name}", "no plan")

    @property
    def stage(self) -> str:
        """The stage that is highlighted among the inputs or the numbers; empty where it is none."""
        if self.part == "figures":
            key = self.figures.figure.key if self.figures.figure is not None else ""
            return key.removeprefix(STAGE) if key.startswith(STAGE) else ""
        return stage_of_key(self.fields.key or "") if self.part == "fields" else self._last_stage

    def _show_curves(self) -> None:
        """The curves of the highlighted stage, how it rises and how it sours; else of the dough and of its core."""
        if self.shown is None:
            return
        plan = self.shown[1]
        self._last_stage = self.stage
        row = next((row for row in plan.stages if row.stage == self._last_stage and row.curve), None)
        rise, core = self.query_one("#rise", Curve), self.query_one("#core", Curve)
        if row is None:
            show_dough(plan, rise, core, self.units)
        else:
            show_stage(row, rise, core)

    def _show_cautions(self, data: BakePageData) -> None:
        notes = [(self.units.told(note), True) for note in data["notes"]]
        if self.log_fault:
            notes.insert(0, (f"The log cannot be read: {self.log_fault}", True))
        kitchen = [(text, False) for text in kitchen_text(data["kitchen"])]
        cautions = [(self.units.told(text), False) for text in data["cautions"]]
        name, warnings = PAGES[-1], sum(warns for _, warns in notes)
        self.query_one(PageStrip).mark(len(PAGES) - 1, f"{name} ! {warnings}" if warnings else name)
        self.query_one("#cautions", Paragraphs).show_parts([*notes, *kitchen, *cautions])

    def _show_details(self) -> None:
        bench = self.session.open_bench
        details = self.query_one("#details", Details)
        if self.part == "figures" and self.figures.figure is not None:
            figure = self.figures.figure
            beside = ((figure.beside, False),) if self.has_class("-narrow") else ()
            details.tell(*beside, *figure.sentences)
        elif self.part == "log" and self.log_rows.bake is not None:
            bake = self.log_rows.bake
            details.tell((f"{bake.formula}: {logged_text(bake_data(bake), self.units)}", False))
        elif self.fields.key is not None:
            typing = self.fields.typing is not None
            details.tell(*field_sentences(self.fields.key, self.day, bench.now, typing, self.units))

    def _show_top(self, plan: BakePlan) -> None:
        bench = self.session.open_bench
        left = f"bake · {bench.formula.name}"
        oven = f"{plan.bake_min.value:.0f} min at {self.units.temperature(plan.oven_c)}"
        when = f"sliced {_when(plan.plan[-1].at)}" if plan.plan else "does not rise"
        self.top(left, f"{self.units.amount(plan.dough_g)} · {oven} · {when}", f"{oven} · {when}", when)

    @on(Fields.Typed)
    def _typed(self, event: Fields.Typed) -> None:
        event.stop()
        self.inputs.look_at(event.key, event.text)

    @on(Fields.Taken)
    def _taken(self, event: Fields.Taken) -> None:
        event.stop()
        self.inputs.take(event.key, event.text)

    @on(Fields.Left)
    def _left(self, event: Fields.Left) -> None:
        event.stop()
        self.inputs.leave(event.key)

    @on(Fields.Stepped)
    def _stepped(self, event: Fields.Stepped) -> None:
        event.stop()
        self.inputs.step(event.key, int(event.text))

    @on(RowList.Highlighted)
    def _highlighted(self) -> None:
        self._show_details()
        self._show_curves()

    @on(RowList.Chosen)
    def _chosen(self, event: RowList.Chosen) -> None:
        if event.rows is self.fields:
            self.action_change()
        elif event.rows is self.figures:
            self.action_why()

    def text_to_copy(self) -> str:
        """The plan, as the command line prints it."""
        from adapter.words.bake_report import bake_text

        if self.data is None or self.shown is None:
            return ""
        told = bake_text(self.data, self.shown[1].notes, self.units)
        return f"{self.session.open_bench.formula.name}\n\n{told}"

    # ------------------------------------------------------------------ why

    def action_change(self) -> None:
        if self.part == "fields":
            self.inputs.begin_highlighted()
        else:
            self.action_why()

    def action_why(self) -> None:
        from adapter.screens.bake.why import AboutStage, WhyBake, WhyKitchen

        if self.shown is None or self.data is None:
            self.say("there is no plan yet", fault=True)
            return
        measured, plan = self.shown
        if self.part == "log":
            self.ask(WhyKitchen(plan, self.bakes))
            return
        stage = next((each for each in self.data["stages"] if each["stage"] == self.stage), None)
        if stage is not None:
            self.ask(AboutStage(stage, self.units, measured.kitchen.stage_kinds))
            return
        keys = {"rise": "proof", "core": "bake", "clock": "clock"}
        if self.part == "fields" and self.fields.key is not None:
            key = field_of(self.fields.key, self.session.open_bench.now).why
        elif self.part == "figures" and self.figures.figure is not None:
            key = self.figures.figure.key
        elif self.part in keys:
            key = keys[self.part]
        else:
            self.say("cautions are no numbers: they come with the ingredients of the formula")
            return
        self.attempt(lambda: self.ask(WhyBake(measured, plan, key)))


def _when(at: datetime) -> str:
    from adapter.screens.bake.figures import date_text

    return f"{date_text(at)} {at:%H:%M}"
