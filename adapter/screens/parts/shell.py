"""What every screen has: a line that says where we are, a line for messages, the keys, help and the palette."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from importlib import import_module
from typing import TYPE_CHECKING, Any, ClassVar, Protocol, TypeVar, cast

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import Screen

from adapter.formula.problems import InputProblem
from adapter.screens.parts.action import Action
from adapter.screens.parts.actions import actions_of, commands_of, footer_of
from adapter.screens.parts.keyline import KeyLine
from adapter.screens.parts.painting import PaintedScreen
from adapter.screens.parts.registry import SCREENS
from adapter.screens.parts.top_lines import StatusLine, TopLine

if TYPE_CHECKING:
    from adapter.formula.model import Step
    from adapter.words.units import Units
    from adapter.work.formula_list import Entry
    from adapter.work.preferences import Preferences
    from adapter.work.session import Session

Answer = TypeVar("Answer")
DIGITS = tuple(Binding(digit, f"do('weigh', '{digit}')", show=False) for digit in "0123456789")
"""For a screen on which a digit begins an amount."""
AMOUNTS, DEGREES = "amounts", "degrees"
"""The names under which the units that a person wants are remembered."""


class Program(Protocol):
    """What a screen asks of the app."""

    @property
    def session(self) -> Session: ...

    @property
    def preferences(self) -> Preferences: ...

    def other_room(self) -> None:
        """Change between the dark and the light theme."""
        ...

    def open_formula(self, entry: Entry) -> None:
        """Back to the list, and from there to the bench with a formula."""
        ...

    def leave(self) -> None:
        """Leave the program; where unsaved work cannot be kept, only when told so."""
        ...


class OtherloafScreen(PaintedScreen[Any]):
    """A screen of the program. Subclasses say their NAME of the registry and compose their body.

    Every action of the table for NAME is bound here. It calls the method action_<name> of the screen, or of one of
    its `parts`: the objects that edit and find for it.
    """

    NAME: ClassVar[str] = ""
    HELP_NOTES: ClassVar[Sequence[str]] = ()
    """What the help says after the keys."""
    MORE_BINDINGS: ClassVar[Sequence[Binding]] = ()
    AUTO_FOCUS = "*"

    def __init_subclass__(cls, **options: Any) -> None:
        if cls.__dict__.get("NAME"):
            cls.BINDINGS = [
                *(
                    Binding(action.keys, f"do('{action.name}')", action.label, show=bool(action.footer))
                    for action in actions_of(cls.NAME)
                    if action.keys
                ),
                *cls.MORE_BINDINGS,
            ]
        super().__init_subclass__(**options)

    def __init__(self) -> None:
        super().__init__()
        self.parts: tuple[object, ...] = ()
        self._shown_in: tuple[str, str] | None = None

    @property
    def program(self) -> Program:
        return cast("Program", self.app)

    @property
    def session(self) -> Session:
        return self.program.session

    @property
    def preferences(self) -> Preferences:
        """What the baker chose once and finds again at the next start."""
        return self.program.preferences

    @property
    def units(self) -> Units:
        """In what amounts and temperatures are shown, and typed where no unit is."""
        from adapter.words.units import SCALES, UNITS, Units

        tables = self.session.tables
        return Units(
            self.preferences.one_of(AMOUNTS, UNITS),
            self.preferences.one_of(DEGREES, SCALES),
            None if tables is None else tables.kitchen.catalogue,
        )

    @property
    def _chosen_units(self) -> tuple[str, str]:
        return self.preferences.text(AMOUNTS, ""), self.preferences.text(DEGREES, "")

    # ------------------------------------------------------------------ frame

    def compose(self) -> ComposeResult:
        yield TopLine()
        with Vertical(id="body"):
            yield from self.body()
        yield StatusLine()
        yield KeyLine(self.footer_actions())

    def body(self) -> ComposeResult:
        """The widgets between the top line and the keys."""
        yield from ()

    def wear(self, classes: Mapping[str, bool]) -> None:
        """Put classes on and take others off: the styles of all that stands on the screen are looked up once."""
        before = self.classes
        for name, worn in classes.items():
            self.set_class(worn, name, update=False)
        if self.classes != before:
            self.update_node_styles()

    def footer_actions(self, part: str = "") -> Sequence[Action]:
        return footer_of(self.NAME, part)

    def show_keys(self, part: str) -> None:
        """The footer for one part of the screen."""
        self.query_one(KeyLine).show(self.footer_actions(part))

    def top(self, left: str, *rights: str) -> None:
        """Say at the top what is open (left) and how it stands (right, from the fullest to the shortest form)."""
        self.query_one(TopLine).show(left, *rights)

    def say(self, text: str, fault: bool = False) -> None:
        """One line of message, until a further key."""
        self.query_one(StatusLine).say(text, fault)

    def stand(self, text: str, fault: bool = False) -> None:
        """The line that stands where there is no message."""
        self.query_one(StatusLine).stand(text, fault)

    def key_pressed(self) -> None:
        """A key is about to be dealt with: an old message goes."""
        self.query_one(StatusLine).key_pressed()

    @property
    def said(self) -> str:
        """The message that is shown."""
        return self.query_one(StatusLine).text

    # ------------------------------------------------------------------ doing

    def method_of(self, name: str) -> Callable[..., None] | None:
        """What does an action: a method of the screen or of one of its parts, or the way to another screen."""
        for owner in (self, *self.parts):
            method = getattr(owner, f"action_{name}", None)
            if method is not None:
                return cast("Callable[..., None]", method)
        return (lambda: self.go_to(name)) if name in SCREENS else None

    def action_do(self, name: str, *values: str) -> None:
        """Do an action of the table, unless another screen is in front by now; bad input is said."""
        method = self.method_of(name)
        if method is not None and self.is_in_front:
            self.attempt(lambda: method(*values))

    @property
    def is_in_front(self) -> bool:
        return self.is_running and self.app.screen is self

    def attempt(self, work: Callable[[], None]) -> bool:
        """Do something that may meet bad input: its one line is shown, and nothing else happens. Whether it went."""
        try:
            work()
        except InputProblem as problem:
            self.say(str(problem), fault=True)
            return False
        return True

    def ask(self, dialog: Screen[Answer], take: Callable[[Answer | None], None] | None = None) -> None:
        """Put a dialog over this screen; `take` gets its answer. Only the screen in front can ask."""

        def answered(answer: Answer | None) -> None:
            if take is not None and self.is_running:
                self.attempt(lambda: take(answer))

        if self.is_in_front:
            self.app.push_screen(dialog, answered)

    def go_to(self, name: str) -> None:
        """Put another screen over this one; its `session` says what it works on."""
        place = SCREENS[name]
        screen = getattr(import_module(place.module), place.made)
        if self.is_in_front:
            self.attempt(lambda: self.put_over(screen()))

    def put_over(self, screen: Screen[Any]) -> None:
        self.app.push_screen(screen)

    def history_step(self, step: Callable[[], bool], done: str, nothing: str) -> str:
        """Undo or redo on the open bench: what to say of it, with the step in words; "" where there was none."""
        from adapter.words.offer_words import step_text

        bench = self.session.open_bench
        before = bench.formula.adapted
        if not step():
            self.say(nothing)
            return ""
        fewer, more = sorted((() if each is None else each.steps for each in (before, bench.formula.adapted)), key=len)
        if not more:
            return done
        if fewer == more[: len(fewer)]:
            return f"{done}: {step_text(more[-1], self.units)}"
        # A step was taken back from among others, which were worked out again: that is undone or done again.
        pairs = zip(more, (*fewer, None), strict=False)
        taken = next((old for old, new in pairs if not _same_swap(old, new)), more[-1])
        now = bench.formula.adapted
        back = now is not None and len(now.steps) == len(more)
        return f"{'brought back' if back else 'taken back again'}: {step_text(taken, self.units)}"

    # ------------------------------------------------------------------ beside the keys

    def in_background(self, work: Callable[[], None], group: str, *, exclusive: bool = False) -> None:
        self.run_worker(work, thread=True, group=group, exclusive=exclusive)

    def back_on_screen(self, call: Callable[..., object], *values: Any) -> None:
        """Call something of the screen from a thread, unless the screen or the whole program has gone."""

        def if_there() -> None:
            if self.is_running:
                call(*values)

        with suppress(RuntimeError):  # the program has ended meanwhile
            self.app.call_from_thread(if_there)

    def after(self, seconds: float, call: Callable[[], None]) -> None:
        self.set_timer(seconds, call)

    def keep_work(self) -> None:
        """Put the work where the next start finds it, beside the screen's own doings."""
        self.in_background(self._keep_work, "draft")

    def _keep_work(self) -> None:
        try:
            self.session.keep_draft()
        except InputProblem as problem:
            self.back_on_screen(self.say, f"unsaved work is not kept: {problem}", True)

    def on_key_line_pressed(self, event: KeyLine.Pressed) -> None:
        event.stop()
        self.call_later(self.action_do, event.action.name)

    # ------------------------------------------------------------------ actions of every screen

    def action_back(self) -> None:
        self.app.pop_screen()

    def action_help(self) -> None:
        from adapter.screens.parts.help import HelpScreen

        self.ask(HelpScreen(self.NAME, self.HELP_NOTES, self.app.size.width))

    def text_to_copy(self) -> str:
        """What the screen shows, as a text for other programs."""
        return ""

    def action_copy(self) -> None:
        from os import environ

        from adapter.screens.parts.copying import copy

        self.say(*copy(self.app, self.text_to_copy(), environ))

    def action_palette(self) -> None:
        """Every command by its name; formulas, ingredients and readings too."""
        from adapter.screens.parts.palette import Palette

        palette = Palette(self, tuple(commands_of(self.NAME)))

        def run(title: str | None) -> None:
            if title is not None:
                palette.choice(title).run()

        self.ask(palette, run)

    def open_formula(self, entry: Entry) -> None:
        """Go to the bench with a formula of the list."""
        self.program.open_formula(entry)

    def action_amounts(self) -> None:
        """Amounts in the next of grams, ounces, cups."""
        units = self.units.with_next_amounts()
        self.preferences.put(AMOUNTS, units.amounts)
        self._follow_units()
        self.say(units.said_of_amounts())

    def action_degrees(self) -> None:
        """Temperatures on the other scale."""
        units = self.units.with_next_degrees()
        self.preferences.put(DEGREES, units.degrees)
        self._follow_units()
        self.say(f"temperatures in {units.degrees}")

    def _follow_units(self) -> None:
        if self._shown_in != self._chosen_units:
            self._shown_in = self._chosen_units
            self.show_units()

    def show_units(self) -> None:
        """Other units are wanted: show everything anew that has amounts or temperatures."""

    def on_screen_resume(self) -> None:
        """Back from another screen, where other units may have been chosen."""
        if self._shown_in is None:
            self._shown_in = self._chosen_units
        else:
            self._follow_units()

    def action_room(self) -> None:
        self.program.other_room()

    def action_leave(self) -> None:
        self.program.leave()


def _same_swap(one: Step, other: Step | None) -> bool:
    """Whether two records are of one step, its grams perhaps worked out anew."""
    return other is not None and _names(one) == _names(other)


def _names(step: Step) -> tuple[object, ...]:
    amounts = (*step.out, *step.into, *(step.moved if step.kind != "swap" else ()))
    return (step.kind, step.rule, tuple(amount.ingredient for amount in amounts))
