"""The program in a terminal of its own, for what only a real one shows: signals, exit codes, what is left behind."""

from __future__ import annotations

import os
import pty
import re
import select
import signal
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from fcntl import ioctl
from pathlib import Path
from struct import pack
from termios import TIOCSWINSZ
from time import monotonic

ALTERNATE_SCREEN_LEFT = b"\x1b[?1049l"
_ESCAPES = re.compile(rb"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[=>()][0-9A-B]?")


class Terminal:
    """A program on a pseudo-terminal of 120 × 34."""

    def __init__(self, words: Sequence[str], home: Path, script: str = "") -> None:
        command = [sys.executable, "-c", script] if script else [sys.executable, "-m", "adapter"]
        self.pid, self.handle = pty.fork()
        if self.pid == 0:
            os.environ.update(OTHERLOAF_HOME=str(home), TERM="xterm-256color", COLORTERM="truecolor")
            os.execv(sys.executable, [*command, *words])
        ioctl(self.handle, TIOCSWINSZ, pack("HHHH", 34, 120, 0, 0))
        self.written = b""
        self.status: int | None = None

    @property
    def text(self) -> str:
        """All that was written so far, without the colours."""
        return _ESCAPES.sub(b"", self.written).decode("utf-8", "replace")

    def read(self, seconds: float) -> bool:
        """What comes within a time; whether the program still runs."""
        ready, _, _ = select.select([self.handle], [], [], seconds)
        if ready:
            try:
                part = os.read(self.handle, 65536)
            except OSError:
                part = b""
            self.written += part
            return bool(part)
        return self.status is None

    def wait_for(self, words: str, seconds: float = 60.0) -> None:
        until = monotonic() + seconds
        while words not in self.text:
            assert self.read(0.1) and monotonic() < until, f"no {words!r} in\n{self.text[-3000:]}"

    def send(self, keys: str) -> None:
        os.write(self.handle, keys.encode())

    def kill(self, number: signal.Signals) -> None:
        os.kill(self.pid, number)

    def exit_code(self, seconds: float = 60.0) -> int:
        """Wait for the end; the code as shells tell it."""
        until = monotonic() + seconds
        while self.status is None:
            assert monotonic() < until, f"still running:\n{self.text[-2000:]}"
            self.read(0.05)
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.status = status
        while self.read(0.1) and monotonic() < until and self.status is None:
            pass
        return os.waitstatus_to_exitcode(self.status)

    def close(self) -> None:
        if self.status is None:
            os.kill(self.pid, signal.SIGKILL)
            os.waitpid(self.pid, 0)
        os.close(self.handle)


@contextmanager
def terminal(words: Sequence[str], home: Path, script: str = "") -> Iterator[Terminal]:
    program = Terminal(words, home, script)
    try:
        yield program
    finally:
        program.close()
