"""What every screen has: a line that says where we are, a line for messages, the keys, help and the palette."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.screen import Screen
from textual.widget import Widget

from adapter.formula.problems import InputProblem
from adapter.screens.parts.actions import Action, actions_of, footer_of
from adapter.screens.parts.columns import cut, harmless
from adapter.screens.parts.keyline import KeyLine

if TYPE_CHECKING:
    from adapter.screens.app import OtherloafApp
    from adapter.work.session import Session

SCREENS = {
    "compare": ("adapter.screens.compare.screen", "CompareScreen"),
    "pantry": ("adapter.screens.pantry.screen", "PantryScreen"),
    "bake": ("adapter.screens.bake.screen", "BakeScreen"),
    "export": ("adapter.screens.export.screen", "ExportScreen"),
}
"""The screens behind the bench: loaded when they are first asked for, made without arguments."""


class TopLine(Widget):
    """The first line: what is open at the left, its state at the right. The right gives way last."""

    DEFAULT_CSS = """
    TopLine { height: 1; background: $bar; color: $bar-text; text-style: bold; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.left = ""
        self.rights: tuple[str, ...] = ("",)

    def show(self, left: str, *rights: str) -> None:
        """`rights` from the fullest to the shortest: the first that leaves the name room is taken."""
        if (left, rights or ("",)) != (self.left, self.rights):
            self.left, self.rights = left, rights or ("",)
            self.refresh()

    def render(self) -> Content:
        width = self.size.width
        left = harmless(self.left)
        room = min(len(left), max(20, width // 3))
        right = next((text for text in self.rights if len(text) + room + 4 <= width), self.rights[-1])
        right = harmless(right)
        return Content(f" {cut(left, max(0, width - len(right) - 3))} {right} ")


class StatusLine(Widget):
    """The last message, one line, never markup. A fault is marked by a word as well as by colour."""

    DEFAULT_CSS = """
    StatusLine { height: auto; min-height: 1; max-height: 2; padding: 0 1; color: $faint; background: $background; }
    StatusLine.-fault { color: $warning; text-style: bold; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.text = ""

    def say(self, text: str, fault: bool = False) -> None:
        self.set_class(fault, "-fault")
        self.text = ("! " if fault else "") + harmless(" ".join(text.split()))
        self.refresh(layout=True)

    def render(self) -> Content:
        return Content(self.text)


class OtherloafScreen(Screen[Any]):
    """A screen of the program. Subclasses say their NAME of the actions table and compose their body.

    Every action of the table for NAME is bound here; it calls the method action_<name>, which the subclass has.
    """

    NAME: ClassVar[str] = ""
    MORE_BINDINGS: ClassVar[Sequence[Binding]] = ()
    AUTO_FOCUS = "*"

    def __init_subclass__(cls, **options: Any) -> None:
        if cls.__dict__.get("NAME"):
            cls.BINDINGS = [
                *(
                    Binding(action.keys, action.name, action.label, show=bool(action.footer))
                    for action in actions_of(cls.NAME)
                ),
                *cls.MORE_BINDINGS,
            ]
        super().__init_subclass__(**options)

    @property
    def otherloaf(self) -> OtherloafApp:
        return cast("OtherloafApp", self.app)

    @property
    def session(self) -> Session:
        return self.otherloaf.session

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

    def footer_actions(self, part: str = "") -> Sequence[Action]:
        return footer_of(self.NAME, part)

    def show_keys(self, part: str) -> None:
        """The footer for one part of the screen."""
        self.query_one(KeyLine).show(self.footer_actions(part))

    def top(self, left: str, *rights: str) -> None:
        """Say at the top what is open (left) and how it stands (right, from the fullest to the shortest form)."""
        self.query_one(TopLine).show(left, *rights)

    def say(self, text: str, fault: bool = False) -> None:
        """One line of message. A fault stays until the next message."""
        self.query_one(StatusLine).say(text, fault)

    @property
    def said(self) -> str:
        """The message that is shown."""
        return self.query_one(StatusLine).text

    def attempt(self, work: Callable[[], None]) -> bool:
        """Do something that may meet bad input: its one line is shown, and nothing else happens. Whether it went."""
        try:
            work()
        except InputProblem as problem:
            self.say(str(problem), fault=True)
            return False
        return True

    def go_to(self, name: str) -> None:
        """Put another screen over this one; its `session` says what it works on."""
        module, made = SCREENS[name]
        try:
            screen = getattr(import_module(module), made)
        except ModuleNotFoundError as missing:
            if missing.name != module:
                raise
            self.say(f"the {name} screen is not there in this version", fault=True)
            return

        def push() -> None:
            self.app.push_screen(screen())

        self.attempt(push)

    def through_history(self, step: Callable[[], bool], done: str, nothing: str) -> str:
        """Undo or redo on the open bench: what to say of it, with the step in words; "" where there was none."""
        from adapter.words.offer_words import step_text

        bench = self.session.open_bench
        before = bench.formula.adapted
        if not step():
            self.say(nothing)
            return ""
        adapted = [each.steps for each in (before, bench.formula.adapted) if each is not None]
        steps = max(adapted, key=len, default=())
        return f"{done}: {step_text(steps[-1])}" if steps else done

    def keep_work(self) -> None:
        """Put the work where the next start finds it, beside the screen's own doings."""
        self.run_worker(self._keep_work, thread=True, group="draft")

    def _keep_work(self) -> None:
        try:
            self.session.keep_draft()
        except InputProblem as problem:
            self.app.call_from_thread(self.say, f"unsaved work is not kept: {problem}", True)

    def on_key_line_pressed(self, event: KeyLine.Pressed) -> None:
        event.stop()
        self.call_later(self.run_action, event.action.name)

    # ------------------------------------------------------------------ actions of every screen

    def action_back(self) -> None:
        self.app.pop_screen()

    def action_help(self) -> None:
        from adapter.screens.parts.help import HelpScreen

        self.app.push_screen(HelpScreen(self.NAME))

    def action_palette(self) -> None:
        self.app.action_command_palette()

    def action_room(self) -> None:
        self.otherloaf.other_room()

    async def action_leave(self) -> None:
        """Leave; where the unsaved work cannot be kept, only when told so."""
        try:
            self.session.keep_draft()
        except InputProblem as problem:
            from adapter.screens.parts.dialogs import ConfirmDialog

            question = f"Unsaved work cannot be kept: {problem}. Leave all the same, and lose it?"
            self.app.push_screen(ConfirmDialog(question, "leave", "stay"), self._leave_if)
            return
        await self.app.action_quit()

    def _leave_if(self, leave: bool | None) -> None:
        if leave:
            self.app.exit()
