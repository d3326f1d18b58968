"""Time to the first paint of the Formulas screen against that of an empty Textual app.

    python tests/benchmarks/first_paint.py [RUNS]

Both start in a pseudo-terminal of 120 × 34, in turns; the clock runs from the start of the interpreter until the
first frame is written (of ours: until a formula's name is on the screen). Prints the medians and their ratio.
"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time

EMPTY = "from textual.app import App; App().run()"
OURS = "from adapter.screens.app import run_app; run_app([])"
FRAME = b"\x1b[1;1H"
NAME = b"Hut everyday loaf"
LONGEST_S = 10.0


def seconds_to(code: str, marks: tuple[bytes, ...], home: str) -> float:
    """Seconds from the start of an interpreter until everything in `marks` has been written to its terminal."""
    started = time.perf_counter()
    process, terminal = pty.fork()
    if process == 0:
        os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", OTHERLOAF_HOME=home)
        os.execv(sys.executable, [sys.executable, "-c", code])
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 34, 120, 0, 0))
    written = b""
    try:
        while time.perf_counter() - started < LONGEST_S:
            if select.select([terminal], [], [], 0.01)[0]:
                written += os.read(terminal, 65536)
                if all(mark in written for mark in marks):
                    return time.perf_counter() - started
    finally:
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
        os.close(terminal)
    raise RuntimeError(f"nothing was painted: {written[-300:]!r}")


def main(runs: int) -> None:
    empty, ours = [], []
    with tempfile.TemporaryDirectory() as home:
        for number in range(runs + 1):
            pair = seconds_to(EMPTY, (FRAME,), home), seconds_to(OURS, (FRAME, NAME), home)
            if number:  # the first pair warms the file cache
                empty.append(pair[0])
                ours.append(pair[1])
    first, second = statistics.median(empty), statistics.median(ours)
    print(f"empty app  {1000 * first:6.0f} ms  (median of {runs})")
    print(f"formulas   {1000 * second:6.0f} ms")
    print(f"ratio      {second / first:6.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 11)
