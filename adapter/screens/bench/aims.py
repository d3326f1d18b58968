"""A value typed over a level of the bench: an aim, asked for on the screen that works it out."""

from __future__ import annotations

from typing import Protocol

from adapter.screens.parts.dialogs import AskDialog
from adapter.screens.parts.frame import Frame
from adapter.screens.parts.levels import Levels

AIM_HINT = "a value, a change such as +3 or -30%, a range such as 7..8 · Enter works it out · Esc leaves it"


class Aiming(Frame, Protocol):
    """What typing an aim asks of the bench screen."""

    @property
    def level_rows(self) -> Levels: ...


def type_aim(screen: Aiming, begun: str) -> None:
    """Ask what the highlighted reading is to be, and go where it is worked out."""
    from adapter.work.asking import Asked, Asking, aim_question

    key = screen.level_rows.key
    if key is None:
        return
    piece = screen.session.open_piece
    asking = Asking(piece.bench.swapper(), screen.session.pantry, {})
    asked = piece.asked or Asked(from_store=False)

    def check(text: str) -> str | None:
        asking.aim(f"{key}={text}")
        return None

    def take(text: str | None) -> None:
        if text is not None:
            piece.asked = asking.added(asked, f"{key}={text}")
            screen.keep_work()
            screen.go_to("ask")

    screen.ask(AskDialog(aim_question(key), begun, check=check, hint=AIM_HINT, select=False), take)
