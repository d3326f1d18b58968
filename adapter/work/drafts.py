"""Unsaved work, written down after every change, so that a crash or a closed terminal loses nothing.

Every run of the program writes its drafts under a name of its own and holds a lock beside them. What lies in the
folder at the next start without a lock was left behind.
"""

from __future__ import annotations

import json
import os
import secrets
import stat
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from adapter.files.atomic import locked, write_whole
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem, file_name, os_problem

try:
    import fcntl
except ImportError:  # not every system has it; drafts of a second running program then show as left behind
    fcntl = None  # type: ignore[assignment]

FORMAT = 1
LARGEST_BYTES = 20_000_000
MOST_DRAFTS = 200


@dataclass(frozen=True, slots=True)
class Draft:
    """Work that was left behind: what the caller had given as `content`, its title, and when it was written."""

    path: Path
    title: str
    when: datetime
    content: dict[str, Any] = field(hash=False)


class Drafts:
    """The drafts of one run of the program, in a folder that all runs share."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._run = f"{datetime.now():%Y%m%d-%H%M%S}-{secrets.token_hex(4)}"
        self._lock: int | None = None

    def save(self, key: str, title: str, content: Mapping[str, Any]) -> Path:
        """Write down the present state of one piece of work, in place of what this run had written for `key`.

        `content` is anything that JSON holds. Raises InputProblem where the folder cannot be written.
        """
        self._hold_lock()
        path = self._path(key)
        data = {"format": FORMAT, "title": clean(title), "when": datetime.now().isoformat(), "content": content}
        write_whole(path, json.dumps(data, ensure_ascii=True, allow_nan=False).encode("ascii"), sync=False)
        return path

    def discard(self, key: str) -> None:
        """Forget what this run had written for `key`: it is saved, or not wanted."""
        with suppress(OSError):
            self._path(key).unlink()

    def left_behind(self) -> tuple[list[Draft], list[str]]:
        """Drafts of runs that ended without saving, newest first, and a note for each that cannot be read.

        An unreadable draft is set aside under another name, so that it is told once and not lost.
        """
        drafts: list[Draft] = []
        notes: list[str] = []
        lying = self._lying()
        for path in lying[:MOST_DRAFTS]:
            try:
                drafts.append(read_draft(path))
            except InputProblem as problem:
                notes.append(f"{problem}: set aside")
                with suppress(OSError):
                    path.replace(path.with_suffix(".unreadable"))
        if len(lying) > MOST_DRAFTS:
            notes.append(f"{len(lying) - MOST_DRAFTS} older drafts are not listed: {file_name(self._folder)}")
        return sorted(drafts, key=lambda draft: draft.when, reverse=True), notes

    def _lying(self) -> list[Path]:
        """Draft files that no running program writes, those written last first; locks of ended runs go."""
        try:
            with locked(self._folder):
                in_use = self._runs_in_use()
        except FileNotFoundError:
            return []
        except (OSError, InputProblem):
            in_use = None
        dated = []
        for path in self._folder.glob("*.json"):
            run = path.name.partition(".")[0]
            if run != self._run and (run not in in_use if in_use is not None else not self._lock_path(run).exists()):
                with suppress(OSError):
                    dated.append((path.lstat().st_mtime_ns, path.name, path))
        return [path for _, _, path in sorted(dated, reverse=True)]

    def _runs_in_use(self) -> set[str]:
        """Runs of the program that are still going. The locks of those that have ended are removed.

        Only under the folder's lock: a run that begins makes its own lock under it too.
        """
        return {lock.stem for lock in self._folder.glob("*.lock") if lock.stem == self._run or _is_held(lock)}

    def close(self) -> None:
        """Give up the lock. Drafts that were not discarded are left behind for the next start."""
        if self._lock is not None:
            with suppress(OSError):
                self._lock_path(self._run).unlink()
            os.close(self._lock)
            self._lock = None

    def _path(self, key: str) -> Path:
        safe = "".join(c if c.isascii() and c.isalnum() else "_" for c in key)[:40]
        return self._folder / f"{self._run}.{safe}.json"

    def _lock_path(self, run: str) -> Path:
        return self._folder / f"{run}.lock"

    def _hold_lock(self) -> None:
        if self._lock is not None:
            return
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            with locked(self._folder):
                self._lock = os.open(self._lock_path(self._run), os.O_RDWR | os.O_CREAT, 0o600)
                if fcntl is not None:
                    with suppress(OSError):
                        fcntl.flock(self._lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            raise os_problem(error, self._folder, "written") from None


def _is_held(lock: Path) -> bool:
    """Whether the run that made a lock is still going; the lock of one that has ended is removed."""
    if fcntl is None:
        return False
    try:
        handle = os.open(lock, os.O_RDWR)
    except OSError:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return True
    else:
        with suppress(OSError):
            lock.unlink()
        return False
    finally:
        os.close(handle)


def read_draft(path: Path) -> Draft:
    """One draft. Raises InputProblem for anything that is none."""
    file = file_name(path)
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise InputProblem("is no ordinary file", file=file)
        if path.stat().st_size > LARGEST_BYTES:
            raise InputProblem("is too large for a draft", file=file)
        data = json.loads(path.read_bytes())
        if data["format"] != FORMAT or not isinstance(data["content"], dict):
            raise InputProblem("is not a draft of this version of the program", file=file)
        when = datetime.fromisoformat(data["when"]).replace(tzinfo=None)
        return Draft(path, clean(str(data["title"])), when, data["content"])
    except OSError as error:
        raise os_problem(error, path, "read") from None
    except (ValueError, KeyError, TypeError, IndexError, OverflowError, RecursionError):
        raise InputProblem("is not a readable draft", file=file) from None


def discard_draft(draft: Draft) -> None:
    """Remove a draft that was left behind: it was taken up again, or is not wanted."""
    with suppress(OSError):
        draft.path.unlink()
