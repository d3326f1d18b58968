"""From a key to the screen on the bench, for a formula of 20 lines; and all offers of a line after warming up.

    python tests/benchmarks/preview.py [PRESSES]

The program runs in a pseudo-terminal of 120 × 34. A press counts from the key until the last byte of what it paints
(nothing more for 50 ms). Prints median and 95th percentile, and the slowest line's offers.
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
from pathlib import Path

LINES = (
    ("soaker", "linseed", 40), ("soaker", "sunflower seeds", 50), ("soaker", "pumpkin seeds", 30),
    ("soaker", "rolled oats", 40), ("soaker", "water", 160), ("sourdough", "rye sourdough", 200),
    ("dough", "wholemeal rye flour", 420), ("dough", "medium rye flour", 60), ("dough", "white wheat flour", 150),
    ("dough", "wheat bran", 50), ("dough", "buttermilk", 420), ("dough", "water", 60), ("dough", "honey", 40),
    ("dough", "black treacle", 40), ("dough", "malt syrup", 15), ("dough", "salt", 15), ("dough", "fresh yeast", 8),
    ("dough", "butter", 10), ("dough", "caraway", 4), ("dough", "raisins", 60),
)  # fmt: skip
QUIET_S = 0.05
DOWN, UP = b"\x1b[B", b"\x1b[A"
SWEEP = 40
"""Swaps that the highlight runs over before it turns back: most are looked at for the first time."""


def formula_text() -> str:
    rows = [f'[[line]]\nstage = "{stage}"\ningredient = "{name}"\ngrams = {grams}' for stage, name, grams in LINES]
    return '[formula]\nname = "Twenty lines"\npieces = 1\n' + "\n".join(rows) + "\n"


def read_until_quiet(terminal: int, quiet: float) -> float:
    """Moment of the last byte before nothing comes for a while."""
    last = time.perf_counter()
    while select.select([terminal], [], [], quiet)[0]:
        os.read(terminal, 1 << 20)
        last = time.perf_counter()
    return last


def presses(count: int) -> list[float]:
    """Seconds from each press of the down key to the end of what it paints, with the keys in the swaps."""
    with tempfile.TemporaryDirectory() as home:
        path = Path(home) / "twenty.toml"
        path.write_text(formula_text(), encoding="utf-8")
        process, terminal = pty.fork()
        if process == 0:
            os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", OTHERLOAF_HOME=home)
            os.execv(sys.executable, [sys.executable, "-m", "adapter", str(path)])
        fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 34, 120, 0, 0))
        try:
            read_until_quiet(terminal, 2.0)
            for _ in range(10):  # to the buttermilk, which has the most offers
                os.write(terminal, DOWN)
                read_until_quiet(terminal, 0.3)
            os.write(terminal, b"\r")
            read_until_quiet(terminal, 0.5)
            times = []
            for number in range(count):
                started = time.perf_counter()
                os.write(terminal, DOWN if number % (2 * SWEEP) < SWEEP else UP)
                times.append(read_until_quiet(terminal, QUIET_S) - started)
            return times
        finally:
            os.kill(process, signal.SIGKILL)
            os.waitpid(process, 0)
            os.close(terminal)


def offers() -> list[tuple[str, int, float]]:
    """For each line: how many offers, and seconds of the processor for all of them once everything is warm."""
    from adapter.dough.readings.kitchen import load_kitchen
    from adapter.files.formula_file import formula_from_text
    from adapter.swaps.bench import Bench
    from adapter.swaps.programme import Solver
    from adapter.swaps.rules import load_rules

    kitchen = load_kitchen()
    rules = load_rules(kitchen.catalogue, kitchen.keepable)
    formula = formula_from_text(formula_text(), kitchen.catalogue, "twenty.toml")
    bench = Bench.open(kitchen, rules, Solver(), formula)
    found = []
    for place, line in enumerate(formula.lines):
        bench.offers(place)
        started = time.process_time()
        made = bench.offers(place)
        found.append((line.ingredient, len(made), time.process_time() - started))
    return found


def main(count: int) -> None:
    times = sorted(presses(count))
    print(f"key to screen  median {1000 * statistics.median(times):.1f} ms, ", end="")
    print(f"95th percentile {1000 * times[int(0.95 * len(times))]:.1f} ms, most {1000 * times[-1]:.1f} ms")
    name, number, seconds = max(offers(), key=lambda item: item[2])
    print(f"all offers     slowest line {name}: {number} offers in {1000 * seconds:.1f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
