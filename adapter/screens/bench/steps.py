"""The list of what was done since the book, any of it to be taken back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from adapter.screens.parts.columns import Column
from adapter.screens.parts.dialog import ListDialog
from adapter.screens.parts.frame import Frame
from adapter.screens.parts.rows import Row, RowList

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.swaps.variant import Variant

AGAIN = {0: "", 1: "the later swap worked out again · "}

AROUND = 6
"""Rows of the list of steps besides them: border, question, bar, hint, one left free."""


class StepsDialog(ListDialog[int | None]):
    """Gives the place of the step that is to be taken back; None when left. It is no higher than its steps need."""

    DEFAULT_CSS = "StepsDialog #dialog { max-height: 60%; }"
    BINDINGS = [
        Binding("escape,q", "dismiss(None)", "leave it"),
        Binding("enter,x", "take_back", "take back"),
    ]

    def __init__(self, steps: Sequence[str]) -> None:
        super().__init__()
        self._steps = tuple(steps)
        self._sums: Sequence[str] = [""] * len(steps)

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog"):
            yield Static(Content("Steps since the book, the last at the foot"), id="question")
            total = Column("drift since the book", right=True, drop=1)
            yield RowList("", (Column("", right=True, room=2), Column("", least=20), total))
            yield Static(Content("↑↓ choose · x or Enter takes it back, u brings it back · Esc leaves it"), id="hint")

    def on_mount(self) -> None:
        rows = self.query_one(RowList)
        rows.focus()
        self.query_one("#dialog").styles.height = len(self._steps) + AROUND
        self._show(len(self._steps) - 1)

    def _show(self, index: int | None = None) -> None:
        count = len(self._steps)
        each = enumerate(zip(self._steps, self._sums, strict=True), start=1)
        rows = [Row((str(place), text, total)) for place, (text, total) in each]
        self.query_one(RowList).show(rows, index, f"{count} steps" if count > 1 else "one step")

    def show_sums(self, sums: Sequence[str]) -> None:
        """The drift since the book after each step, once it is worked out."""
        self._sums = sums
        if self.is_running and self.is_mounted:
            self._show()

    @on(RowList.Chosen)
    def action_take_back(self) -> None:
        self.dismiss(self.query_one(RowList).index)


class Stepping(Frame, Protocol):
    """What the list of steps asks of the bench screen."""

    def changed(self, line: int | None = None) -> None:
        """The work changed: show it, and keep it."""
        ...


class Steps:
    """Shows the steps since the book and takes one back."""

    def __init__(self, screen: Stepping) -> None:
        self._screen = screen

    def action_steps(self) -> None:
        from adapter.swaps.taking_back import steps_of
        from adapter.words.offer_words import step_text

        screen = self._screen
        bench = screen.session.open_bench
        steps = steps_of(bench.formula)
        if not steps:
            screen.say("nothing was done since the book")
            return
        texts = [step_text(step, screen.units) for step in steps]

        def take(number: int | None) -> None:
            if number is None:
                return
            again = bench.take_back(number)
            gone = {amount.ingredient for amount in steps[number].out or steps[number].moved}
            back = (place for place, line in enumerate(bench.formula.lines) if line.ingredient in gone)
            screen.changed(next(back, None))
            later = (
                "the later steps keep their grams · "
                if again is None
                else AGAIN.get(again, f"{again} later swaps worked out again · ")
            )
            screen.say(f"taken back: {texts[number]} · {later}u brings it back")

        dialog, variant, kitchen = StepsDialog(texts), bench.work.variant, bench.kitchen
        screen.ask(dialog, take)
        screen.in_background(lambda: screen.back_on_screen(dialog.show_sums, sums_of(kitchen, variant)), "sums")


def sums_of(kitchen: Kitchen, variant: Variant) -> list[str]:
    """The drift since the book after each step, as far as the formulas between are known."""
    from adapter.dough.readings.measured import measure
    from adapter.swaps.offer import drift_from
    from adapter.swaps.taking_back import steps_of

    steps, known = steps_of(variant.formula), {}
    for formula in variant.formulas[: variant.at + 1]:
        done = steps_of(formula)
        if done and done == steps[: len(done)]:
            measured = measure(kitchen, formula)
            known[len(done)] = f"{drift_from(measured.book, measured):.1f}"
    return [known.get(number, "") for number in range(1, len(steps) + 1)]
