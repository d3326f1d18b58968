"""The app: themes, the session, and the way to the first screen. Everything else is loaded when it is needed."""

from __future__ import annotations

import signal
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from textual import events
from textual._styles_cache import StylesCache
from textual.actions import ActionParseResult
from textual.app import App
from textual.binding import Binding
from textual.dom import DOMNode
from textual.screen import Screen

from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.key_order import KeyOrder
from adapter.screens.parts.dialog import Dialog
from adapter.screens.parts.shell import OtherloafScreen
from adapter.screens.strips import forget_whole_strips
from adapter.screens.theme import DARK, LIGHT, THEMES
from adapter.work.formula_list import Entry
from adapter.work.preferences import open_preferences
from adapter.work.session import Session

LONGEST_PASTE, LONGEST_TEXT = 4000, 1_000_000
ENDING_SIGNALS = ("SIGTERM", "SIGHUP", "SIGQUIT", "SIGINT", "SIGUSR1", "SIGUSR2")
STOPPED_BY = 128
"""What is added to a signal's number for the exit code, as shells do."""


class OtherloafApp(App[None], inherit_bindings=False):
    """The terminal program. Screens share `session`."""

    TITLE = "otherloaf"
    CSS_PATH = "formulas/formulas.tcss"
    ENABLE_COMMAND_PALETTE = False
    # Taken before anything else, so that it works over every dialog; keys come in their order all the same.
    BINDINGS = [
        Binding("ctrl+q", "leave", "leave", show=False, priority=True),
        Binding("ctrl+c", "help_quit", show=False, system=True),
    ]

    def __init__(self, files: Sequence[Path] = (), session: Session | None = None) -> None:
        forget_whole_strips()
        super().__init__()
        self.session = session or Session(files=tuple(files))
        self.keys = KeyOrder(self, self._give)
        self.preferences = open_preferences()
        self.is_ended = False
        self._is_asking_to_leave = False
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = LIGHT if self.preferences.text("room", DARK) == LIGHT else DARK

    def get_default_screen(self) -> Screen[Any]:
        return FormulasScreen()

    async def on_event(self, event: events.Event) -> None:
        """Keys and pastes are dealt with in their order; a paste is one harmless line before any field sees it.

        Only where a whole recipe may be pasted (`TAKES_TEXT`) it is left as it is: its reader makes it harmless.
        """
        if isinstance(event, events.Paste) and not event.is_forwarded:
            whole = getattr(self.screen, "TAKES_TEXT", False)
            event.text = event.text[:LONGEST_TEXT] if whole else clean(event.text, LONGEST_PASTE)
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            await self.keys.take(event)
        else:
            await super().on_event(event)

    def on_key_order_passed(self, message: KeyOrder.Passed) -> None:
        message.arrived.set()

    async def _give(self, event: events.Event) -> None:
        """Hand an event on to whatever has the keys."""
        if isinstance(event, events.Key) and isinstance(self.screen, OtherloafScreen):
            self.screen.key_pressed()
        await super().on_event(event)

    # ------------------------------------------------------------------ leaving

    def on_mount(self) -> None:
        self.screen_change_signal.subscribe(self, forget_what_was_painted)
        self._end_in_order()

    def _end_in_order(self) -> None:
        """A signal that ends the program does so in order: work kept, terminal put back."""
        if self.is_headless or self._loop is None:
            return
        for name in ENDING_SIGNALS:
            number = getattr(signal, name, None)
            if number is not None:
                with suppress(NotImplementedError, RuntimeError, ValueError):
                    self._loop.add_signal_handler(number, self.end_by, number)

    def end_by(self, number: int) -> None:
        """End because of a signal; nobody is asked, and nothing that is half typed is taken."""
        self.is_ended = True
        with suppress(InputProblem):
            self._keep()
        self.exit(return_code=STOPPED_BY + number)

    def _keep(self) -> None:
        """Keep the work, with what is typed in an open form. Raises InputProblem where it cannot be."""
        for screen in self.screen_stack:
            if isinstance(screen, Dialog):
                screen.tell_what_is_typed()
        self.session.keep_draft()

    def action_leave(self) -> None:
        self.leave()

    def leave(self) -> None:
        """Leave; where the unsaved work cannot be kept, only when told so."""
        if self._is_asking_to_leave:
            return
        try:
            self._keep()
        except InputProblem as problem:
            from adapter.screens.parts.dialogs import ConfirmDialog

            question = f"Unsaved work cannot be kept: {problem}. Leave all the same, and lose it?"
            self._is_asking_to_leave = True
            self.push_screen(ConfirmDialog(question, "leave", "stay"), self._leave_if)
            return
        self.exit()

    def _leave_if(self, leave: bool | None) -> None:
        self._is_asking_to_leave = False
        if leave:
            self.exit()

    def action_help_quit(self) -> None:
        """Ctrl+C copies in a field; elsewhere it says how to leave."""
        if isinstance(self.screen, OtherloafScreen):
            self.screen.say("Ctrl+Q leaves the program")

    def on_unmount(self) -> None:
        """However the program ends, the last state of the work is there at the next start."""
        with suppress(InputProblem):
            self.session.keep_draft()
        self.session.close()

    # ------------------------------------------------------------------ what screens ask for

    def open_formula(self, entry: Entry) -> None:
        """Back to the list, and from there to the bench with a formula."""
        while len(self.screen_stack) > 1:
            self.pop_screen()
        if isinstance(self.screen, FormulasScreen):
            self.screen.open_entry(entry)

    def other_room(self) -> None:
        """Change between the dark and the light theme."""
        self.theme = LIGHT if self.theme == DARK else DARK
        self.preferences.put("room", self.theme)

    async def run_action(
        self,
        action: str | ActionParseResult,
        default_namespace: DOMNode | None = None,
        namespaces: Mapping[str, DOMNode] | None = None,
    ) -> bool:
        """Run an action; bad input that it met is said in one line."""
        try:
            return await super().run_action(action, default_namespace, namespaces)
        except InputProblem as problem:
            if isinstance(self.screen, OtherloafScreen):
                self.screen.say(str(problem), fault=True)
            else:
                self.notify(str(problem), severity="error", markup=False)
            return True

    def _fatal_error(self) -> None:
        """A fault of our own ends the program: one line for the baker, the traceback goes into a file."""
        if self.is_headless:
            super()._fatal_error()
            return
        from rich.text import Text

        from adapter.screens.faults import fault_line

        self._exit_renderables.append(Text(fault_line(self._exception)))
        self._close_messages_no_wait()


def forget_what_was_painted(_: Screen[Any]) -> None:
    """Let go of the widgets of screens that are gone.

    Textual remembers two colours for each of the last thousand widgets, under what each has painted: every line of
    it would stay.
    """
    StylesCache.get_inner_outer.cache_clear()


def run_app(files: Sequence[Path] = ()) -> int:
    """Open the screens; with one file, on its bench. Returns the exit code when the baker leaves."""
    app = OtherloafApp(files)
    app.run()
    return app.return_code or 0
