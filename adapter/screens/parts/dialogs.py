"""Small questions over a screen: a line of text, yes or no, one of many."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from adapter.formula.problems import InputProblem
from adapter.screens.parts.columns import Column, harmless
from adapter.screens.parts.dialog import Dialog, ListDialog
from adapter.screens.parts.hint import Hint
from adapter.screens.parts.line_input import LineInput
from adapter.screens.parts.rows import Row, RowList

STYLE = Path(__file__).with_name("dialogs.tcss")
"""By its whole path: a dialog of another folder would else look for it there."""

Check = Callable[[str], str | None]
"""A fault in what was typed, in one line, or None. It may raise InputProblem as well."""


class AskDialog(Dialog[str | None]):
    """One line of text at the foot of the screen. Enter gives it, Esc gives None."""

    CSS_PATH = STYLE
    BINDINGS = [Binding("escape", "dismiss(None)", "leave it")]

    def __init__(
        self,
        question: str,
        value: str = "",
        *,
        check: Check | None = None,
        watch: Callable[[str], None] | None = None,
        hint: str = "Enter takes it · Esc leaves it",
        select: bool = True,
    ) -> None:
        super().__init__()
        self._question = question
        self._value = value
        self._check = check
        self._watch = watch
        self._hint = hint
        self._select = select

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog"):
            yield Static(Content(harmless(self._question)), id="question")
            yield LineInput(self._value, select_on_focus=self._select, id="answer")
            yield Hint(self._hint)

    def on_mount(self) -> None:
        self.query_one(Input).focus()

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self.query_one(Hint).tell(self._hint)
        if self._watch is not None:
            self._watch(event.value)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        fault = fault_in(event.value, self._check)
        if fault is None:
            self.dismiss(event.value)
            return
        self.query_one(Hint).tell(fault, fault=True)


def fault_in(text: str, check: Check | None) -> str | None:
    """What is wrong with an answer, in one line."""
    if check is None:
        return None
    try:
        return check(text)
    except InputProblem as problem:
        return str(problem)


class ConfirmDialog(Dialog[bool]):
    """A question with yes and no; Enter is no unless `sure`."""

    CSS_PATH = STYLE
    BINDINGS = [
        Binding("y", "dismiss(True)", "yes"),
        Binding("n,escape", "dismiss(False)", "no"),
        Binding("enter", "enter", "yes or no"),
    ]

    def __init__(self, question: str, yes: str = "yes", no: str = "no", *, sure: bool = False) -> None:
        super().__init__()
        self._question = question
        self._yes = yes
        self._no = no
        self._sure = sure

    def compose(self) -> ComposeResult:
        keys = f"y {self._yes} · n {self._no} · Enter {self._yes if self._sure else self._no}"
        with Vertical(id="dialog"):
            yield Static(Content(harmless(self._question)), id="question")
            yield Static(Content(keys), id="hint")

    def action_enter(self) -> None:
        self.dismiss(self._sure)


class ChooseDialog(ListDialog[str | None]):
    """One of many names: type a part of it, ↑↓, Enter. `find` gives the names for what was typed."""

    CSS_PATH = STYLE
    BINDINGS = [
        Binding("escape", "dismiss(None)", "leave it"),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
    ]

    def __init__(
        self,
        question: str,
        find: Callable[[str], Sequence[tuple[str, str]]],
        value: str = "",
        nothing: Callable[[str], str] = lambda words: "nothing is called that",
    ) -> None:
        """`find` gives pairs: the name that is returned, and what is said of it beside. `nothing` says why not one."""
        super().__init__()
        self._nothing_for = nothing
        self._question = question
        self._find = find
        self._value = value
        self._names: list[str] = []

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog", classes="-tall"):
            yield Static(Content(harmless(self._question)), id="question")
            yield LineInput(self._value, id="answer")
            rows = RowList("", (Column("", least=12), Column("", least=8, drop=1)))
            rows.can_focus = False
            yield rows
            yield Static(Content("type a part of the name · ↑↓ choose · Enter takes it · Esc leaves it"), id="hint")

    def on_mount(self) -> None:
        self.query_one(Input).focus()
        self._show(self._value)

    def _show(self, words: str) -> None:
        choices = self._find(words)
        self._names = [name for name, _ in choices]
        rows = self.query_one(RowList)
        rows.empty = "" if choices else self._nothing_for(words)
        rows.show([Row(pair) for pair in choices], 0)

    def action_move(self, by: int) -> None:
        self.query_one(RowList).action_move(by)

    def action_page(self, by: int) -> None:
        self.query_one(RowList).action_page(by)

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self._show(event.value)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.take(self.query_one(RowList).index)

    @on(RowList.Chosen)
    def _chosen(self, event: RowList.Chosen) -> None:
        event.stop()
        self.take(event.index)

    def take(self, index: int | None) -> None:
        """Answer with the name in a row; nothing where there is none."""
        if index is not None:
            self.dismiss(self._names[index])


class TextDialog(Dialog[None]):
    """Lines to read, scrolled with ↑↓; any of q, Esc, Enter closes it."""

    CSS_PATH = STYLE
    BINDINGS = [
        Binding("q,escape,enter,w,question_mark,f1", "dismiss(None)", "close"),
        Binding("down", "scroll(1)", show=False),
        Binding("up", "scroll(-1)", show=False),
        Binding("pagedown,space", "scroll(10)", show=False),
        Binding("pageup", "scroll(-10)", show=False),
    ]

    def __init__(self, title: str, text: Content) -> None:
        super().__init__()
        self._title = title
        self._text = text

    def compose(self) -> ComposeResult:
        from textual.containers import VerticalScroll

        with Vertical(id="page"):
            yield Static(Content(harmless(self._title)), id="title")
            with VerticalScroll(id="scroll"):
                yield Static(self._text, id="text")
            yield Static(Content("↑↓ scroll · Esc closes"), id="hint")

    def on_mount(self) -> None:
        self.query_one("#scroll").focus()

    def action_scroll(self, by: int) -> None:
        self.query_one("#scroll").scroll_relative(y=by, animate=False)

    def on_click(self, event: events.Click) -> None:
        if event.widget is self:
            self.dismiss(None)
