"""What a file was when it was read: by this a save notices that another program wrote it in between."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from adapter.formula.problems import os_problem


@dataclass(frozen=True, slots=True)
class Stamp:
    """Modification time, size and digest of a file's content; size −1: there was no such file."""

    mtime_ns: int
    size: int
    digest: str


MISSING = Stamp(0, -1, "")


def stamp_of(path: Path) -> Stamp:
    """The stamp of a file as it is now. Raises InputProblem when it cannot be read."""
    try:
        return stamp_now(path)
    except OSError as error:
        raise os_problem(error, path, "read") from None


def stamp_now(path: Path) -> Stamp:
    """The same for whoever deals with OSError."""
    try:
        with path.open("rb") as source:
            return stamp_of_content(source.read(), os.fstat(source.fileno()).st_mtime_ns)
    except FileNotFoundError:
        return MISSING


def stamp_of_content(content: bytes, mtime_ns: int) -> Stamp:
    import hashlib

    return Stamp(mtime_ns, len(content), hashlib.sha256(content).hexdigest())
