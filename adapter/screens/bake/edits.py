"""What is set, scaled and written down on the Bake screen. Its other half, BakeScreen, shows."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from textual import on

from adapter.formula.problems import InputProblem
from adapter.screens.bake.fields import Fields
from adapter.screens.parts.shell import OtherloafScreen
from adapter.words.clock_times import number_typed
from adapter.words.offer_words import step_text
from adapter.work.bake_day import BY_HAND, BY_MACHINE, CLOCK, CLOCK_STEP, FIELD, BakeDay

if TYPE_CHECKING:
    from adapter.dough.bake.plan import BakePlan
    from adapter.dough.readings.measured import Measured
    from adapter.files.log_file import Bake
    from adapter.formula.model import Formula, Step


class BakeEdits(OtherloafScreen):
    """The half of the Bake screen that takes input."""

    now: Callable[[], datetime] = staticmethod(datetime.now)

    @property
    def day(self) -> BakeDay:
        raise NotImplementedError

    @property
    def fields(self) -> Fields:
        raise NotImplementedError

    def read_log(self) -> None:
        raise NotImplementedError

    def show_all(self) -> None:
        raise NotImplementedError

    def quiet(self) -> None:
        """Take the last message away."""
        if self.said:
            self.say("")

    def show_preview(self, measured: Measured, plan: BakePlan) -> None:
        raise NotImplementedError

    def to_part(self, name: str) -> None:
        raise NotImplementedError

    # ------------------------------------------------------------------ inputs

    @on(Fields.Typed)
    def _typed(self, event: Fields.Typed) -> None:
        """While an input is typed, everything follows; what cannot be leaves the page as it was."""
        event.stop()
        try:
            outcome = self.day.look_at(event.key, event.text, self.session.open_bench, self.now())
        except InputProblem as problem:
            self.say(
                f"{FIELD[event.key].label}: {problem.what}" + (f" ({problem.right})" if problem.right else ""), True
            )
            return
        self.quiet()
        self.show_preview(outcome.measured, outcome.plan)

    @on(Fields.Taken)
    def _taken(self, event: Fields.Taken) -> None:
        event.stop()
        self.take(event.key, event.text)

    @on(Fields.Left)
    def _left(self, event: Fields.Left) -> None:
        event.stop()
        self.day.faults.pop(event.key, None)
        self.quiet()
        self.show_all()

    @on(Fields.Stepped)
    def _stepped(self, event: Fields.Stepped) -> None:
        event.stop()
        by = int(event.text)
        field = FIELD[event.key]
        if event.key == "by_machine":
            self.take(event.key, BY_HAND if self.day.choices.by_machine else BY_MACHINE)
            return
        shown = self.fields.field
        if shown is None or self.day.plan is None:
            return
        if event.key in CLOCK:
            self._step_clock(event.key, by * CLOCK_STEP)
            return
        try:
            value = number_typed(shown.value, "a number", "")
        except InputProblem:
            return
        text = f"{value + by * field.step:g}"
        if field.recorded:
            self.fields.begin(text)
        else:
            self.take(event.key, text)

    def _step_clock(self, key: str, by: timedelta) -> None:
        plan, choices = self.day.plan, self.day.choices
        at = choices.start if key == "start" else choices.ready
        if at is None and plan is not None and plan.plan:
            at = plan.plan[0].at if key == "start" else plan.plan[-1].at
        if at is not None:
            self.take(key, f"{at + by:%Y-%m-%d %H:%M}")

    def take(self, key: str, text: str) -> None:
        """Take an input. What cannot be stays at its field with its line; the page keeps the last good plan."""
        field, bench = FIELD[key], self.session.open_bench
        if field.recorded and not text.strip():
            self.show_all()
            return
        outcome = self.day.take(key, text, bench, self.now())
        fault = self.day.faults.get(key)
        if fault is not None:
            self.say(f"{field.label}: {fault.said}", fault=True)
        elif outcome is not None and outcome.changed is not None:
            self._record(*outcome.changed)
            return
        else:
            self.quiet()
        self.show_all()

    def _record(self, formula: Formula, step: Step) -> None:
        """A further step of the variant, which u undoes here and on the bench."""
        bench = self.session.open_bench
        if formula == bench.formula:
            self.show_all()
            self.say("nothing changes")
            return
        bench.work = bench.work.with_variant(bench.work.variant.then(formula, step))
        self.changed(f"{step_text(step)} · u undoes it")

    def changed(self, done: str) -> None:
        """The work changed: show it, say what was done, and keep it where the next start finds it."""
        planned = self.day.work_out(self.session.open_bench, self.now())
        self.show_all()
        self.say(done if planned else f"{done}: {self.day.problem}; the page shows the last plan", fault=not planned)
        self.keep_work()

    def action_change(self) -> None:
        """Type over the highlighted input."""
        self.to_part("fields")
        self.fields.begin()

    def action_usual(self) -> None:
        self.to_part("fields")
        self.fields.action_usual()

    def _begin(self, key: str) -> None:
        self.to_part("fields")
        self.fields.take()
        self.fields.go_to(key)
        self.fields.begin()

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
        self.take("by_machine", BY_HAND if self.day.choices.by_machine else BY_MACHINE)

    # ------------------------------------------------------------------ scaling, undo and redo

    def action_fit_tin(self) -> None:
        """Scale to what the tins of this loaf hold."""
        from adapter.dough.bake.plan import tin_suits_g

        bench = self.session.open_bench
        plan = self.day.plan
        percent = plan.rise_percent if plan is not None else 100.0 * bench.now.rise.rise_fraction
        suits = tin_suits_g(bench.now, percent)
        if suits is None:
            self.say("this formula has no tin: p scales it to pieces, g to grams")
            return
        self.take("dough_g", f"{suits * bench.formula.pieces:.1f}")

    def action_undo(self) -> None:
        self._history(self.session.open_bench.undo, "undone", "this is where the variant starts")

    def action_redo(self) -> None:
        self._history(self.session.open_bench.redo, "done again", "there is nothing to do again")

    def _history(self, step: Callable[[], bool], done: str, nothing: str) -> None:
        said = self.through_history(step, done, nothing)
        if said:
            self.changed(said)

    # ------------------------------------------------------------------ the bake log

    def action_log(self) -> None:
        """A form for what was measured; afterwards the kitchen is what its logs say."""
        from adapter.screens.bake.log_form import BakeLogForm

        plan = self.day.plan
        if plan is None:
            self.say("there is no plan to set a bake against yet", fault=True)
            return
        self.app.push_screen(BakeLogForm(self.session.open_bench.now, plan, self.now()), self._written)

    def _written(self, bake: Bake | None) -> None:
        from adapter.screens.bake.log_form import forget_form
        from adapter.work.logs import calibrate, log_file

        if bake is None:
            return
        before = self.day.plan
        if not self.attempt(lambda: _write(log_file(self.session), bake)):
            return
        forget_form(self.session)
        calibrate(self.session)
        self.day.work_out(self.session.open_bench, self.now())
        self.read_log()
        self.show_all()
        after = self.day.plan
        assert before is not None and after is not None
        self.say(moved_text(before, after))


def _write(path: Path, bake: Bake) -> None:
    from adapter.files.log_file import add_bake
    from adapter.files.places import with_folder

    add_bake(with_folder(path), bake)


def moved_text(before: BakePlan, after: BakePlan) -> str:
    """How the next prediction moved after a bake was logged."""
    parts = []
    for label, unit, decimals, first, second in (
        ("proof", "h", 1, before.proof_h.value, after.proof_h.value),
        ("oven", "min", 0, before.bake_min.value, after.bake_min.value),
    ):
        was, now = f"{first:.{decimals}f}", f"{second:.{decimals}f}"
        parts.append(f"{label} {was} → {now} {unit}" if was != now else f"{label} stays {now} {unit}")
    return "written down. The next one: " + ", ".join(parts)
