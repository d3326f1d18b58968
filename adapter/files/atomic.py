"""Writing a file whole or not at all, and noticing when somebody else wrote it in between."""

from __future__ import annotations

import os
import re
import secrets
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from adapter.files.stamp import MISSING, Stamp, stamp_now, stamp_of_content
from adapter.formula.problems import InputProblem, file_name, os_problem

try:
    import fcntl
except ImportError:  # not every system has it; the stamp is then checked without a lock
    fcntl = None  # type: ignore[assignment]


LONGEST_WAIT_S = 0.8
"""A save that keeps a draft too may wait for two folders, and is to be answered within two seconds."""
LOCK_STEP_S = 0.02
OLD_S = 60.0
"""No save takes so long, even where locks do not reach from one machine to another."""
_PART = re.compile(r"\..*\.[0-9a-f]{12}\.part", re.DOTALL)


def write_whole(path: Path, content: bytes, stamp: Stamp | None = None, *, sync: bool = True) -> Stamp:
    """Put `content` into `path` by way of a temporary file in the same folder; the file's new stamp.

    With a `stamp` the file must still be what it was when the stamp was taken. Permissions of an existing file
    are kept, a link is followed. Raises InputProblem, and then the file is as it was and nothing is left over.
    """
    try:
        target = Path(os.path.realpath(path))
        with locked(target.parent) as is_locked:
            if is_locked:
                _clear_away(target.parent)
            _check_target(target, stamp)
            return _replace(target, content, sync)
    except OSError as error:
        raise os_problem(error, path, "written") from None
    except ValueError:  # a null character in the name
        raise InputProblem("cannot be written: no file can have this name", file=file_name(path)) from None
    except InputProblem as problem:
        raise problem.in_file(file_name(path)) from None


def _replace(target: Path, content: bytes, sync: bool) -> Stamp:
    # A name is limited in bytes, and 60 of them leave room for the rest on every file system.
    begin = os.fsencode(target.name)[:60].decode("utf-8", "ignore")
    temporary = target.with_name(f".{begin}.{secrets.token_hex(6)}.part")
    try:
        # O_EXCL with mode 666 leaves the permissions of a new file to the person's umask.
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            _keep_permissions(target, out.fileno())
            if sync:
                os.fsync(out.fileno())
            mtime_ns = os.fstat(out.fileno()).st_mtime_ns
        temporary.replace(target)
    except BaseException:
        with suppress(OSError):
            temporary.unlink()
        raise
    if sync:
        _sync_folder(target.parent)
    return stamp_of_content(content, mtime_ns)


def _check_target(target: Path, stamp: Stamp | None) -> None:
    try:
        state = target.stat()
    except FileNotFoundError:
        if stamp is not None and stamp != MISSING:
            raise InputProblem("was removed since it was read", right="save under another name") from None
        return
    if not stat.S_ISREG(state.st_mode):
        kind = "a directory" if stat.S_ISDIR(state.st_mode) else "no ordinary file"
        raise InputProblem(f"cannot be written: it is {kind}", right="the name of a file")
    if not state.st_mode & 0o222 or not os.access(target, os.W_OK):
        raise InputProblem("cannot be written: it is write-protected", right="save under another name")
    # The content decides: a file only touched is the same, and two changes may fall into one tick of the clock.
    if stamp is not None and (stamp.size != state.st_size or stamp.digest != stamp_now(target).digest):
        raise InputProblem(
            "was changed by another program since it was read", right="open it again, or save under another name"
        )


def _keep_permissions(target: Path, handle: int) -> None:
    try:
        old = target.stat()
    except FileNotFoundError:
        return
    if hasattr(os, "fchown"):
        with suppress(OSError):  # only the superuser may give a file away
            os.fchown(handle, old.st_uid, old.st_gid)
    if hasattr(os, "fchmod"):
        os.fchmod(handle, stat.S_IMODE(old.st_mode))


@contextmanager
def locked(folder: Path) -> Iterator[bool]:
    """No other otherloaf saves into this folder meanwhile. Gives whether that is certain.

    Systems that cannot lock folders, and folders that may be written but not read, go without. Raises InputProblem
    where another program holds the folder for longer than a baker would wait.
    """
    try:
        handle = os.open(folder, os.O_RDONLY) if fcntl is not None else None
    except PermissionError:
        handle = None
    if handle is None:
        yield False
        return
    try:
        yield _take_lock(handle, folder)
    finally:
        os.close(handle)


def _take_lock(handle: int, folder: Path) -> bool:
    until = time.monotonic() + LONGEST_WAIT_S
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() >= until:
                raise InputProblem(
                    f"cannot be written: another program holds {file_name(folder)}", right="try again in a moment"
                ) from None
            time.sleep(LOCK_STEP_S)
        except OSError:  # some network file systems have no locks
            return False
        else:
            return True


def _clear_away(folder: Path) -> None:
    """Remove what runs that were killed in the middle of a save left in a locked folder."""
    now = time.time()
    with suppress(OSError), os.scandir(folder) as items:
        for item in items:
            if _PART.fullmatch(item.name) and now - item.stat(follow_symlinks=False).st_mtime > OLD_S:
                Path(item.path).unlink()


def _sync_folder(folder: Path) -> None:
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
