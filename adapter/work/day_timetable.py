"""The day of the open piece of work: what its inputs belong to, and the timetable that comes of them."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from adapter.formula.problems import InputProblem
from adapter.words.timetable import TimetableRow, timetable

if TYPE_CHECKING:
    from adapter.work.session import Session


def loaf_of(session: Session) -> str:
    """What a day's inputs belong to: the open piece of work."""
    piece = session.open_piece
    return f"{piece.key}: {piece.bench.book.name}"


def day_timetable(session: Session, now: datetime) -> tuple[TimetableRow, ...]:
    """The timetable of the open piece as its day is planned. Raises InputProblem where there is no plan."""
    day = session.bake_day
    day.open(loaf_of(session), session.open_piece.day, now)
    if not day.work_out(session.open_bench, now) or day.plan is None:
        raise InputProblem(day.problem, where=f"formula {session.open_bench.formula.name!r}")
    return timetable(day.plan)
