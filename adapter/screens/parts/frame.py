"""What the parts of a screen ask of the screen they stand on, whichever it is."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

if TYPE_CHECKING:
    from textual.screen import Screen

    from adapter.words.units import Units
    from adapter.work.preferences import Preferences
    from adapter.work.session import Session

Answer = TypeVar("Answer")


class Frame(Protocol):
    """A screen of the program as its edits and finders see it. Each adds in its own module what it needs besides."""

    @property
    def session(self) -> Session: ...

    @property
    def preferences(self) -> Preferences:
        """What the baker chose once and finds again at the next start."""
        ...

    @property
    def units(self) -> Units:
        """In what amounts and temperatures are shown, and typed where no unit is."""
        ...

    @property
    def said(self) -> str:
        """The message that is shown."""
        ...

    def say(self, text: str, fault: bool = False) -> None:
        """One line of message."""
        ...

    def attempt(self, work: Callable[[], None]) -> bool:
        """Do something that may meet bad input, which is then said; whether it went well."""
        ...

    def ask(self, dialog: Screen[Answer], take: Callable[[Answer | None], None] | None = None) -> None:
        """Put a dialog over the screen; `take` gets its answer if the screen is still there."""
        ...

    def go_to(self, name: str) -> None:
        """Put another screen over this one."""
        ...

    def keep_work(self) -> None:
        """Write the unsaved work down in the background."""
        ...

    def history_step(self, step: Callable[[], bool], done: str, nothing: str) -> str:
        """Undo or redo on the open bench; what was done in words, "" where there was no step."""
        ...

    def in_background(self, work: Callable[[], None], group: str, *, exclusive: bool = False) -> None:
        """Run something slow in a thread."""
        ...

    def back_on_screen(self, call: Callable[..., object], *values: Any) -> None:
        """From such a thread: call something of the screen, if it is still there."""
        ...

    def after(self, seconds: float, call: Callable[[], None]) -> None:
        """Call something later."""
        ...
