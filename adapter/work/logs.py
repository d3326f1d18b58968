"""The bake log of the open formula: where it lies, what stands in it, and the kitchen as the logs make it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from adapter.files.log_file import Bake, log_path, read_log
from adapter.work.formula_list import path_of_sample

if TYPE_CHECKING:
    from adapter.work.session import Session


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
    origin = piece.opened_from or path_of_sample(session.open_bench.book.name)
    return list(dict.fromkeys(log_path(path) for path in (*home, origin)))


def calibrate(session: Session) -> tuple[str, ...]:
    """Make the kitchen what the logs of the open formula say, and those of the baker's own."""
    piece = session.open_piece
    return session.calibrate(piece.opened_from, piece.home.path if piece.home is not None else None)
