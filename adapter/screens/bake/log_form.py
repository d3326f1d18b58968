"""The form of the bake log: what was measured after baking."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Input, Static

from adapter.files.log_file import MEASURED_RANGES, Bake, with_factors
from adapter.formula.model import LIVING_KINDS
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.screens.parts.columns import harmless
from adapter.screens.parts.dialog import Dialog
from adapter.screens.parts.hint import Hint
from adapter.screens.parts.line_input import LineInput
from adapter.words.clock_times import hours_typed, number_typed, past_time
from adapter.words.measures_typing import degrees_typed

if TYPE_CHECKING:
    from textual.timer import Timer

    from adapter.dough.bake.plan import BakePlan
    from adapter.dough.readings.measured import Measured
    from adapter.words.units import Units

KEEP_AFTER_S = 0.3
"""How long after the last key what is typed is told on, so that it can be kept."""
HINT = "Enter goes on, and writes it down at the end · Ctrl+S writes it down · Esc leaves it, what is typed is kept"


class Question(NamedTuple):
    """One line of the form. `unit` "" is for words."""

    key: str
    label: str
    unit: str


WHEN = "at"
QUESTIONS = (
    Question(WHEN, "baked", "day, time"),
    Question("dough_c", "dough after mixing", "°C"),
    Question("proof_c", "place where it rose", "°C"),
    Question("rise_percent", "rose by", "%"),
    Question("rise_h", "in", "h, or 1:50"),
    Question("oven_c", "oven", "°C"),
    Question("bake_min", "minutes in the oven", "min"),
    Question("core_c", "core when it came out", "°C"),
    Question("mark", "mark", "1 to 5"),
    Question("crumb", "crumb", ""),
    Question("notes", "notes", ""),
)
STAGE_QUESTIONS = (
    Question("stage_h", "stood", "h, or 1:50"),
    Question("stage_ph", "pH then", "pH"),
    Question("stage_tta", "TTA then", "mL"),
    Question("peak_h", "highest after", "h, or 1:50"),
)
"""Of each living stage, with its name before the label; the keys of the second and further ones end in a number."""
OF_STAGE = tuple(question.key for question in STAGE_QUESTIONS)
WORDS = ("crumb", "notes")
HOURS = ("rise_h", "stage_h", "peak_h")
AS_PLANNED = {"proof_c": "rise_h", "rise_percent": "rise_h", "oven_c": "bake_min"}
"""What is set rather than measured, and the time that it belongs to."""


class BakeLogForm(Dialog[tuple[Bake, ...]]):
    """Asks for what was measured; nothing is a must. Gives the bake with what it says of the model,
    and after it an entry for each further stage that was measured.
    """

    CSS_PATH = "bake_log.tcss"
    BINDINGS = [
        Binding("escape", "leave", "leave it"),
        Binding("ctrl+s", "write", "write it down"),
        Binding("down", "move(1)", show=False),
        Binding("up", "move(-1)", show=False),
    ]

    def __init__(
        self,
        measured: Measured,
        plan: BakePlan,
        now: datetime,
        begun: Mapping[str, str],
        typed: Callable[[dict[str, str]], None],
        units: Units,
    ) -> None:
        """`begun` is what was typed before; `typed` is told what stands in the form, a moment after each change."""
        super().__init__()
        self._measured = measured
        self._plan = plan
        self._questions = questions_for(plan)
        self._now = now
        self._begun = begun
        self._typed = typed
        self._units = units
        self._telling: Timer | None = None

    def compose(self) -> ComposeResult:
        planned = {**planned_texts(self._plan, self._units), WHEN: f"{self._now:%Y-%m-%d %H:%M}"}
        with Vertical(id="form"):
            yield Static(Content(harmless(f"baked: {self._measured.formula.name}")), id="title")
            for question in self._questions:
                with Horizontal(classes="line"):
                    yield Static(Content(question.label), classes="label")
                    yield LineInput(
                        self._begun.get(question.key, ""),
                        placeholder=planned.get(question.key, ""),
                        select_on_focus=False,
                        id=question.key,
                    )
                    yield Static(
                        Content(self._units.degrees if question.unit == "°C" else question.unit), classes="unit"
                    )
            yield Hint(HINT)

    def on_mount(self) -> None:
        self.query_one("#dough_c", Input).focus()

    @property
    def texts(self) -> dict[str, str]:
        """What is typed, by question; a temperature with its scale."""
        values = {each.key: self.query_one(f"#{each.key}", Input).value for each in self._questions}
        degrees = {
            each.key: self._units.degrees_heard(values[each.key]) for each in self._questions if each.unit == "°C"
        }
        return values | degrees if self._units.degrees != "°C" else values

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        if self._telling is not None:
            self._telling.stop()
        self._telling = self.set_timer(KEEP_AFTER_S, self.tell_what_is_typed)
        self.query_one(Hint).tell(HINT)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if event.input.id == self._questions[-1].key:
            self.action_write()
        else:
            self.action_move(1)

    def action_move(self, by: int) -> None:
        keys = [question.key for question in self._questions]
        here = keys.index(str(self.focused.id)) if self.focused is not None and self.focused.id in keys else 0
        self.query_one(f"#{keys[(here + by) % len(keys)]}", Input).focus()

    def tell_what_is_typed(self) -> None:
        """Not after the answer: what was written down is no longer typed only."""
        if self._telling is not None:
            self._telling.stop()
        if not self._answered:
            self._typed(self.texts)

    def action_leave(self) -> None:
        self.tell_what_is_typed()
        self.dismiss(())

    def action_write(self) -> None:
        """Write it down, or say in one line at which field it cannot be."""
        for question in self._questions:
            try:
                if question.key == WHEN:
                    baked_at(self.texts, self._now)
                _value(question.key, self.texts[question.key])
            except InputProblem as problem:
                self._fault(problem, question)
                return
        try:
            bakes = bakes_from(self.texts, self._measured.formula.name, self._now, self._plan)
            bakes = tuple(with_factors(bake, self._measured) for bake in bakes)
        except InputProblem as problem:
            self._fault(problem, None)
            return
        self.tell_what_is_typed()
        self.dismiss(bakes)

    def _fault(self, problem: InputProblem, question: Question | None) -> None:
        label = f"{question.label}: " if question is not None else ""
        said = f"{problem.what}" + (f" ({problem.right})" if problem.right else "")
        self.query_one(Hint).tell(f"{label}{self._units.told(said)}", fault=True)
        if question is not None:
            self.query_one(f"#{question.key}", Input).focus()


def bakes_from(texts: Mapping[str, str], formula: str, now: datetime, plan: BakePlan) -> tuple[Bake, ...]:
    """The bake of what was typed, and an entry for each further stage that was measured. Raises InputProblem.

    What is measured and left empty was not measured. What is set (place, rise, oven) and left empty was as planned,
    where a time was measured that belongs to it.
    """
    values = {key: _value(key, text) for key, text in texts.items() if key not in WORDS and key != WHEN}
    at = baked_at(texts, now)
    words: dict[str, Any] = {key: clean(texts.get(key, "")) for key in WORDS}
    of_stages = []
    for number, stage in enumerate(stages_asked(plan)):
        said = {key: values.pop(_numbered(key, number), None) for key in OF_STAGE}
        if any(value is not None for value in said.values()):
            of_stages.append({"stage": stage, **said})
    planned = {"proof_c": plan.place_c, "rise_percent": plan.rise_percent, "oven_c": plan.oven_c}
    for key, time_key in AS_PLANNED.items():
        if values.get(key) is None and values.get(time_key) is not None:
            values[key] = planned[key]
    mark = values.pop("mark", None)
    given: dict[str, Any] = {**values, **(of_stages[0] if of_stages else {})}
    bake = Bake(at, formula, mark=None if mark is None else int(mark), **words, **given)
    more: list[dict[str, Any]] = list(of_stages[1:])
    return (bake, *(Bake(at, formula, **of_stage) for of_stage in more))


def baked_at(texts: Mapping[str, str], now: datetime) -> datetime:
    """When the bake was: as typed, else now. Raises InputProblem."""
    typed = texts.get(WHEN, "").strip()
    return past_time(typed, now) if typed else now.replace(microsecond=0)


def stages_asked(plan: BakePlan) -> tuple[str, ...]:
    """The stages whose pH, acid and peak are asked for: every one that lives."""
    return tuple(row.stage for row in plan.stages if row.kind in LIVING_KINDS and row.feeds is None)


def _numbered(key: str, number: int) -> str:
    """The key of a question about a stage: the first stage's own, then with the stage's number behind it."""
    return f"{key}-{number + 1}" if number else key


def _plain(key: str) -> str:
    return key.partition("-")[0]


def questions_for(plan: BakePlan) -> tuple[Question, ...]:
    """The lines of the form: those of every bake, and before the words those of each living stage."""
    numbers = tuple(question for question in QUESTIONS if question.key not in WORDS)
    of_stages = tuple(
        Question(_numbered(question.key, number), f"{stage}: {question.label}", question.unit)
        for number, stage in enumerate(stages_asked(plan))
        for question in STAGE_QUESTIONS
    )
    return (*numbers, *of_stages, *QUESTIONS[len(numbers) :])


def _value(key: str, text: str) -> float | None:
    """A number typed for a question, in its range; None where nothing is typed or words are asked for."""
    if key in WORDS or key == WHEN or not text.strip():
        return None
    key = _plain(key)
    low, high, unit, _ = MEASURED_RANGES[key]
    read = degrees_typed if unit == "°C" else number_typed
    value = hours_typed(text) if key in HOURS else read(text, "a number", "such as 27 or 27.5")
    if not low <= value <= high or (key == "mark" and value != int(value)):
        raise InputProblem(f"{value:g} {unit}".rstrip() + " cannot be", right=f"{low:g} to {high:g} {unit}".rstrip())
    return value


def planned_texts(plan: BakePlan, units: Units) -> dict[str, str]:
    """What the plan said, shown faintly where nothing is typed yet."""
    hours = plan.proof_h.value
    of_stage: dict[str, str] = {}
    asked = [row for row in plan.stages if row.stage in stages_asked(plan) and row.feeds is None]
    for number, row in enumerate(asked):
        said = {
            "stage_h": f"as planned, {row.hours:.4g}",
            "stage_ph": f"not measured; planned {row.ph:.1f}",
            "stage_tta": f"not measured; planned {row.tta:.1f}",
            "peak_h": "not measured",
        }
        of_stage |= {_numbered(key, number): text for key, text in said.items()}
    return {
        **of_stage,
        "dough_c": f"not measured; planned {units.degree_text(plan.mixing.dough_c, 1)}",
        "proof_c": f"as planned, {units.degree_text(plan.place_c)}",
        "rise_percent": f"as planned, {plan.rise_percent:g}",
        "rise_h": f"not measured; planned {hours:.1f}" if math.isfinite(hours) else "not measured",
        "oven_c": f"as planned, {units.degree_text(plan.oven_c)}",
        "bake_min": f"not measured; planned {plan.bake_min.value:.0f}",
        "core_c": f"not measured; planned {units.degree_text(plan.core_c)}",
    }
