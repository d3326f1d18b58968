"""What is set and scaled on the Bake screen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Protocol

from adapter.dough.bake.clock import is_night
from adapter.formula.problems import InputProblem
from adapter.screens.bake.input_rows import shown_step
from adapter.screens.parts.frame import Frame
from adapter.words.clock_times import number_typed
from adapter.words.offer_words import step_text
from adapter.work.day_choices import CLOCK, CLOCK_STEP, LIKE_SWITCHES, Field, choices_to_data
from adapter.work.stage_inputs import RIPE, field_of, stage_of_key, what_of_key

if TYPE_CHECKING:
    from adapter.dough.bake.plan import BakePlan
    from adapter.dough.readings.measured import Measured
    from adapter.formula.model import Formula, Step
    from adapter.screens.bake.fields import Fields
    from adapter.work.bake_day import BakeDay


class Setting(Frame, Protocol):
    """What the inputs ask of the Bake screen."""

    @property
    def day(self) -> BakeDay: ...

    @property
    def fields(self) -> Fields: ...

    def now(self) -> datetime: ...

    def show_all(self) -> None:
        """Show everything anew, from the last good plan."""
        ...

    def show_preview(self, measured: Measured, plan: BakePlan) -> None:
        """Show a plan that is looked at only."""
        ...

    def to_part(self, name: str) -> None:
        """Give a part of the screen the keys."""
        ...


class Inputs:
    """Takes what is typed into the inputs; scales, and goes back and forth in the steps of the variant."""

    def __init__(self, screen: Setting) -> None:
        self._screen = screen

    @property
    def day(self) -> BakeDay:
        return self._screen.day

    def _field(self, key: str) -> Field:
        return field_of(key, self._screen.session.open_bench.now)

    def quiet(self) -> None:
        """Take the last message away."""
        if self._screen.said:
            self._screen.say("")

    # ------------------------------------------------------------------ inputs

    def look_at(self, key: str, text: str) -> None:
        """While an input is typed, everything follows; what cannot be leaves the page as it was."""
        screen = self._screen
        try:
            outcome = self.day.look_at(key, self._heard(key, text), screen.session.open_bench, screen.now())
        except InputProblem as problem:
            right = f" ({problem.right})" if problem.right else ""
            screen.say(screen.units.told(f"{self._field(key).label}: {problem.what}{right}"), fault=True)
            return
        self.quiet()
        screen.show_preview(outcome.measured, outcome.plan)

    def leave(self, key: str) -> None:
        """An input is to stay as it was."""
        self.day.faults.pop(key, None)
        self.quiet()
        self._screen.show_all()

    def _heard(self, key: str, text: str) -> str:
        """What is typed with its unit: a number alone is in the one that is shown."""
        field, units = self._field(key), self._screen.units
        if field.unit == "°C":
            return units.degrees_heard(text)
        if field.unit == "g":
            return units.heard(text, units.weight)
        return units.stages_heard(text) if stage_of_key(key) else text

    def step(self, key: str, by: int) -> None:
        """Change an input by so many of its steps."""
        field = self._field(key)
        if key in LIKE_SWITCHES:
            self._switch(key)
            return
        if what_of_key(key) == RIPE:
            self._screen.say(field.hint)
            return
        row = self._screen.fields.field
        if row is None or self.day.plan is None:
            return
        if key in CLOCK:
            self._step_clock(key, by * CLOCK_STEP)
            return
        try:
            value = number_typed(row.value, "a number", "")
        except InputProblem:
            return
        units = self._screen.units
        step = shown_step(field, units)
        is_given = step == field.step
        text = f"{value + by * step if is_given else units.stepped(value, by, step):g}"
        if field.recorded:
            self._screen.fields.begin(text)
        else:
            self.take(key, text)

    def _step_clock(self, key: str, by: timedelta) -> None:
        plan, choices = self.day.plan, self.day.choices
        at = choices.start if key == "start" else choices.ready
        if at is None and plan is not None and plan.plan:
            at = plan.plan[0].at if key == "start" else plan.plan[-1].at
        if at is not None:
            self.take(key, f"{at + by:%Y-%m-%d %H:%M}")

    def take(self, key: str, text: str) -> None:
        """Take an input. What cannot be stays at its field with its line; the page keeps the last good plan."""
        field, bench = self._field(key), self._screen.session.open_bench
        if field.recorded and not text.strip():
            self._screen.show_all()
            return
        outcome = self.day.take(key, self._heard(key, text), bench, self._screen.now())
        fault = self.day.faults.get(key)
        if fault is not None:
            self._screen.say(self._screen.units.told(f"{field.label}: {fault.said}"), fault=True)
        elif outcome is not None and outcome.changed is not None:
            self.keep_day()
            self._record(*outcome.changed, said=outcome.said)
            return
        else:
            self.quiet()
        self._screen.show_all()
        if outcome is not None and outcome.said:
            self._screen.say(self._screen.units.told(outcome.said))
        self.keep_day()

    def keep_day(self) -> None:
        """What is set for this loaf stays with its piece of work, and outlives the program."""
        piece, day = self._screen.session.open_piece, choices_to_data(self.day.choices)
        if day != piece.day:
            piece.day = day
            self._screen.keep_work()

    def _record(self, formula: Formula, step: Step, said: str = "") -> None:
        """A further step of the variant, which u undoes here and on the bench."""
        bench = self._screen.session.open_bench
        if formula == bench.formula:
            self._screen.show_all()
            self._screen.say("nothing changes")
            return
        units = self._screen.units
        bench.work = bench.work.with_variant(bench.work.variant.then(formula, step))
        self.changed(f"{units.told(said) or step_text(step, units)} · u undoes it")

    def changed(self, done: str) -> None:
        """The work changed: show it, say what was done, and keep it where the next start finds it."""
        planned = self.day.work_out(self._screen.session.open_bench, self._screen.now())
        self._screen.show_all()
        self._screen.say(
            done if planned else f"{done}: {self.day.problem}; the page shows the last plan", fault=not planned
        )
        self._screen.keep_work()

    def begin_highlighted(self) -> None:
        """Type over the highlighted input."""
        self._screen.to_part("fields")
        self._screen.fields.begin()

    def _begin(self, key: str) -> None:
        self._screen.to_part("fields")
        self._screen.fields.take()
        self._screen.fields.go_to(key)
        self._screen.fields.begin()

    def action_pieces(self) -> None:
        self._begin("pieces")

    def action_grams(self) -> None:
        self._begin("dough_g")

    def action_yeast(self) -> None:
        self._begin("rise_h")

    def action_start(self) -> None:
        self._begin("start")

    def action_ready(self) -> None:
        self._begin("ready")

    def action_mixed(self) -> None:
        self._switch("by_machine")

    def action_cold_night(self) -> None:
        """The dough over a night in the fridge, or not."""
        self._switch("cold_night")

    def _switch(self, key: str) -> None:
        self.take(key, LIKE_SWITCHES[key][0 if getattr(self.day.choices, key) else 1])

    def action_keep(self) -> None:
        """Put what is set for the day into the formula: hours and warmth of stages, the night, proof and oven."""
        from adapter.work.bake_day import day_kept

        bench = self._screen.session.open_bench
        kept = day_kept(self.day, bench)
        if kept is None:
            self._screen.say(
                "nothing is set for this day that the formula does not say; a clock time stays with the day"
            )
            return
        self.day.choices = kept
        self.keep_day()
        self.changed("the day's hours, proof and oven stand in the formula now; s on the bench saves it")

    def action_off_night(self) -> None:
        """Move the whole plan to where nobody has to work at night."""
        plan = self.day.plan
        if plan is None or not plan.plan:
            self._screen.say("there are no times yet")
        elif plan.off_night is None:
            night = any(is_night(step.at) for step in plan.plan[:-1])
            self._screen.say("no time within a day keeps the night free" if night else "no work falls into the night")
        elif self.day.choices.ready is not None:
            self.take("ready", f"{plan.plan[-1].at + plan.off_night:%Y-%m-%d %H:%M}")
        else:
            self.take("start", f"{plan.plan[0].at + plan.off_night:%Y-%m-%d %H:%M}")

    # ------------------------------------------------------------------ scaling, undo and redo

    def action_fit_tin(self) -> None:
        """Scale to what the tins of this loaf hold."""
        from adapter.dough.bake.filling import tin_suits_g

        bench = self._screen.session.open_bench
        plan = self.day.plan
        percent = plan.rise_percent if plan is not None else 100.0 * bench.now.rise.rise_fraction
        suits = tin_suits_g(bench.now, percent)
        if suits is None:
            self._screen.say("this formula has no tin: g scales it to grams")
            return
        self.take("dough_g", f"{suits * bench.formula.pieces:.1f} g")

    def action_undo(self) -> None:
        self._history(self._screen.session.open_bench.undo, "undone", "this is where the variant starts")

    def action_redo(self) -> None:
        self._history(self._screen.session.open_bench.redo, "done again", "there is nothing to do again")

    def _history(self, step: Callable[[], bool], done: str, nothing: str) -> None:
        said = self._screen.history_step(step, done, nothing)
        if said:
            self.changed(said)
