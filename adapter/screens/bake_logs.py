"""The bake log of the open formula: where it lies, what stands in it, and the kitchen as the logs make it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from adapter.files.bake_log import Bake, log_path, read_log
from adapter.formula.problems import InputProblem
from adapter.screens.bake_day import BakeDay

if TYPE_CHECKING:
    from adapter.screens.session import Session

KEPT = "bake_day"


def day_of(session: Session) -> BakeDay:
    """What was set for the day: it stays with the session, whichever screen is shown."""
    kept = vars(session)
    if KEPT not in kept:
        kept[KEPT] = BakeDay()
    day = kept[KEPT]
    assert isinstance(day, BakeDay)
    return day


def log_file(session: Session) -> Path:
    """Where a bake of the shown variant is written: beside its file, else beside the one it came from."""
    return _logs(session)[0]


def logged(session: Session) -> tuple[Bake, ...]:
    """Every bake of the shown variant's file and of the file it came from, oldest first. Raises InputProblem."""
    bakes = [bake for path in _logs(session) for bake in read_log(path)]
    return tuple(sorted(bakes, key=lambda bake: bake.at.replace(tzinfo=None)))


def _logs(session: Session) -> list[Path]:
    piece = session.open_piece
    home = [piece.home.path] if piece.home is not None else []
    return list(dict.fromkeys(log_path(path) for path in (*home, piece.opened_from or _path_of_sample(session))))


def _path_of_sample(session: Session) -> Path:
    """Where a sample's log lies: by the sample's name, among the baker's own formulas."""
    from adapter.files.places import own_formulas_path, samples
    from adapter.screens.formula_list import title_at_a_glance
    from adapter.screens.paths import file_name_for

    name = session.open_bench.book.name
    found = next((item.name for item in samples() if title_at_a_glance(item) == name), file_name_for(name))
    return own_formulas_path() / found


def calibrate(session: Session) -> tuple[str, ...]:
    """Make the kitchen what the logs of the open formula say, and those of the baker's own."""
    piece = session.open_piece
    return session.calibrate(piece.opened_from, piece.home.path if piece.home is not None else None)


def unreadable(session: Session) -> str:
    """Why the log of the open formula cannot be read; empty where it can."""
    try:
        logged(session)
    except InputProblem as problem:
        return str(problem)
    return ""
