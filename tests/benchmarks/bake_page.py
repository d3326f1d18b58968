"""The whole Bake page after an input changed: worked out, drawn and written, for a formula of 20 lines.

    python tests/benchmarks/bake_page.py [PRESSES]

The program runs in a pseudo-terminal of 120 × 34 and of 200 × 60, on the Bake screen, with the keys on the proof's
temperature. A press counts from the key until the last byte of what it paints (nothing more for 50 ms). Prints median
and 95th percentile, and what the plan alone takes.
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
from datetime import datetime
from pathlib import Path

from preview import DOWN, QUIET_S, formula_text, read_until_quiet

LEFT, RIGHT = b"\x1b[D", b"\x1b[C"
TIN = "\n[tin]\nlength_cm = 22\nwidth_cm = 10\nheight_cm = 12\nlidded = true\n"
ROW = 5
"""The place where the dough rises: everything on the page follows it, both curves too."""
SWEEP = 10
MOST_S = 0.050
LONGEST_S = 5.0


def presses(count: int, size: tuple[int, int]) -> tuple[float, list[float]]:
    """Seconds to the first paint of the screen, and from each press of ← or → to the end of what it paints."""
    width, height = size
    with tempfile.TemporaryDirectory() as home:
        path = Path(home) / "twenty.toml"
        path.write_text(formula_text() + TIN, encoding="utf-8")
        process, terminal = pty.fork()
        if process == 0:
            os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", OTHERLOAF_HOME=home)
            os.execv(sys.executable, [sys.executable, "-m", "adapter", str(path)])
        fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))
        try:
            read_until_quiet(terminal, 2.0)
            started = time.perf_counter()
            os.write(terminal, b"b")
            first = read_until_quiet(terminal, 1.0) - started
            for _ in range(ROW):
                os.write(terminal, DOWN)
                read_until_quiet(terminal, 0.2)
            times = []
            for number in range(count):
                started = time.perf_counter()
                os.write(terminal, RIGHT if number % (2 * SWEEP) < SWEEP else LEFT)
                select.select([terminal], [], [], LONGEST_S)
                times.append(read_until_quiet(terminal, QUIET_S) - started)
            return first, times[3:]
        finally:
            os.kill(process, signal.SIGKILL)
            os.waitpid(process, 0)
            os.close(terminal)


def plan_seconds(count: int) -> list[float]:
    """Seconds for the plan and its report alone, each time for another oven."""
    from adapter.dough.bake.inputs import BakeInputs
    from adapter.dough.bake.plan import bake_plan
    from adapter.dough.readings.kitchen import load_kitchen
    from adapter.dough.readings.measured import measure
    from adapter.files.formula_file import formula_from_text
    from adapter.words.bake_report import bake_report

    kitchen = load_kitchen()
    measured = measure(kitchen, formula_from_text(formula_text() + TIN, kitchen.catalogue, "twenty.toml"))
    times = []
    for number in range(count + 1):
        started = time.perf_counter()
        bake_report(bake_plan(measured, BakeInputs(oven_c=150.0 + number % 80), datetime.now()))
        times.append(time.perf_counter() - started)
    return times[1:]


def main(count: int) -> int:
    alone = plan_seconds(count)
    print(f"plan alone     median {1000 * statistics.median(alone):.1f} ms, most {1000 * max(alone):.1f} ms")
    slowest = 0.0
    for size in ((120, 34), (200, 60)):
        first, times = presses(count, size)
        times.sort()
        median, late = statistics.median(times), times[int(0.95 * len(times))]
        slowest = max(slowest, median)
        print(f"{size[0]} x {size[1]}  first {1000 * first:.0f} ms, then key to screen ", end="")
        print(f"median {1000 * median:.1f} ms, 95th percentile {1000 * late:.1f} ms, most {1000 * times[-1]:.1f} ms")
    return 0 if slowest <= MOST_S else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 100))
