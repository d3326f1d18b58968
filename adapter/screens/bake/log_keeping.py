"""Writing a bake down: the form is asked, the log is written, and the kitchen becomes what its logs say."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from adapter.screens.bake.log_form import BakeLogForm
from adapter.screens.parts.frame import Frame
from adapter.work.logs import calibrate, log_file

if TYPE_CHECKING:
    from adapter.dough.bake.plan import BakePlan
    from adapter.files.log_file import Bake
    from adapter.work.bake_day import BakeDay


class Logging(Frame, Protocol):
    """What writing a bake down asks of the Bake screen."""

    @property
    def day(self) -> BakeDay: ...

    def now(self) -> datetime: ...

    def read_log(self) -> None:
        """Look anew what was logged."""
        ...

    def show_all(self) -> None:
        """Show everything anew."""
        ...


class LogKeeper:
    """Asks for what was measured. What is typed stays with the piece of work until it is written down."""

    def __init__(self, screen: Logging) -> None:
        self._screen = screen

    def action_log(self) -> None:
        screen = self._screen
        plan, piece = screen.day.plan, screen.session.open_piece
        if plan is None:
            screen.say("there is no plan to set a bake against yet", fault=True)
            return

        def typed(texts: dict[str, str]) -> None:
            piece.log_form = texts
            screen.keep_work()

        measured = screen.day.measured or screen.session.open_bench.now
        form = BakeLogForm(measured, plan, screen.now(), piece.log_form, typed, screen.units)
        screen.ask(form, self._write)

    def _write(self, bakes: tuple[Bake, ...] | None) -> None:
        screen = self._screen
        before = screen.day.plan
        if not bakes or not screen.attempt(lambda: _write(log_file(screen.session), bakes)):
            return
        screen.session.open_piece.log_form = {}
        screen.keep_work()
        calibrate(screen.session)
        screen.day.work_out(screen.session.open_bench, screen.now())
        screen.read_log()
        screen.show_all()
        after = screen.day.plan
        assert before is not None and after is not None
        screen.say(moved_text(before, after))


def _write(path: Path, bakes: tuple[Bake, ...]) -> None:
    from adapter.files.log_file import add_bake
    from adapter.files.places import with_folder

    add_bake(with_folder(path), *bakes)


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
