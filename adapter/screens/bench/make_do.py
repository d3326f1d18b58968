"""Making do with the pantry, asked over the bench: the swaps of the plan, and whether to take them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from adapter.formula.problems import InputProblem
from adapter.screens.parts.columns import harmless
from adapter.screens.parts.dialogs import ConfirmDialog
from adapter.screens.parts.frame import Frame

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.formula.pantry import Pantry
    from adapter.swaps.adapt import Way
    from adapter.swaps.bench import Bench


class MakeDoDialog(ConfirmDialog):
    """The lines of a plan, with yes and no; the levels behind it show what it would be."""

    def __init__(self, lines: list[str]) -> None:
        super().__init__("Make do with the pantry?", "take it", "leave it", sure=True)
        self.lines = lines

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog"):
            yield Static(Content(self._question), id="question")
            yield Static(Content("\n".join(harmless(line) for line in self.lines)))
            yield Static(Content("y take it · n leave it · Enter take it"), id="hint")


class Planned(Frame, Protocol):
    """What making do asks of the bench screen."""

    def show_typed(self, typed: Measured | None) -> None:
        """The levels of a formula that is looked at only; None shows again what stands."""
        ...

    def changed(self, line: int | None = None) -> None:
        """The work changed: show it, and keep it."""
        ...


class MakeDo:
    """Has the plan worked out in the background, shows it, and takes it when told so."""

    def __init__(self, screen: Planned) -> None:
        self._screen = screen

    def action_make_do(self) -> None:
        from adapter.swaps.stock import missing

        screen = self._screen
        bench, pantry = screen.session.open_bench, screen.session.pantry
        if pantry is None:
            screen.say("there is no pantry to make do with · p opens it")
        elif not missing(bench.formula, pantry, bench.kitchen.catalogue):
            screen.say("the pantry holds all of it")
        else:
            screen.say("looking through the pantry …")
            screen.in_background(lambda: self._work_out(bench, pantry), "make-do", exclusive=True)

    def _work_out(self, bench: Bench, pantry: Pantry) -> None:
        screen = self._screen
        try:
            with screen.session.solving:
                plan = bench.make_do(pantry)
        except InputProblem as problem:
            screen.back_on_screen(screen.say, str(problem), True)
            return
        screen.back_on_screen(self._show, bench, plan)

    def _show(self, bench: Bench, plan: Way) -> None:
        from adapter.words.adapt_report import way_lines, way_report

        screen = self._screen
        if bench.formula is not plan.before.formula:  # something else was done meanwhile
            return

        def take(sure: bool | None) -> None:
            screen.show_typed(None)
            if sure and plan.swaps:
                bench.take_way(plan)
                screen.changed()
                screen.say("made do with the pantry · u undoes it")
            else:
                screen.say("left as it was")

        screen.show_typed(plan.after)
        screen.ask(MakeDoDialog(way_lines(way_report(plan))), take)
