"""The app: themes, the session, and the way to the first screen. Everything else is loaded when it is needed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

from textual import events
from textual.actions import ActionParseResult
from textual.app import App, SystemCommand
from textual.dom import DOMNode
from textual.screen import Screen

from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.parts.actions import commands_of
from adapter.screens.parts.shell import OtherloafScreen
from adapter.screens.theme import DARK, LIGHT, THEMES
from adapter.work.session import Session

LONGEST_PASTE = 4000


class OtherloafApp(App[None]):
    """The terminal program. Screens share `session`."""

    TITLE = "otherloaf"
    CSS_PATH = "formulas/formulas.tcss"
    ENABLE_COMMAND_PALETTE = True

    def __init__(self, files: Sequence[Path] = (), session: Session | None = None) -> None:
        super().__init__()
        self.session = session or Session(files=tuple(files))
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = DARK

    def get_default_screen(self) -> Screen[Any]:
        return FormulasScreen()

    async def on_event(self, event: events.Event) -> None:
        """A paste is one harmless line before any field sees it."""
        if isinstance(event, events.Paste):
            event.text = clean(event.text, LONGEST_PASTE)
        await super().on_event(event)

    def on_unmount(self) -> None:
        """However the program ends, the last state of the work is there at the next start."""
        with suppress(InputProblem):
            self.session.keep_draft()
        self.session.close()

    def leave(self) -> None:
        """Leave; where the unsaved work cannot be kept, only when told so."""
        try:
            self.session.keep_draft()
        except InputProblem as problem:
            from adapter.screens.parts.dialogs import ConfirmDialog

            question = f"Unsaved work cannot be kept: {problem}. Leave all the same, and lose it?"
            self.push_screen(ConfirmDialog(question, "leave", "stay"), self._leave_if)
            return
        self.exit()

    def _leave_if(self, leave: bool | None) -> None:
        if leave:
            self.exit()

    def other_room(self) -> None:
        """Change between the dark and the light theme."""
        self.theme = LIGHT if self.theme == DARK else DARK

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Every action of the screen that the palette is called on, by its help sentence."""
        if not isinstance(screen, OtherloafScreen):
            return
        for action in commands_of(screen.NAME):
            title = f"{action.label.capitalize()}  ({action.keys_shown})"
            yield SystemCommand(title, action.help, partial(screen.action_do, action.name))

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

        self._exit_renderables.append(Text(fault_line()))
        self._close_messages_no_wait()


def run_app(files: Sequence[Path] = ()) -> int:
    """Open the screens; with one file, on its bench. Returns the exit code when the baker leaves."""
    app = OtherloafApp(files)
    app.run()
    return app.return_code or 0
