"""How long 300 ingredient lines take to be read, as one text, after the tables are loaded.

    .venv/bin/python tests/benchmarks/read_lines.py

The lines are those of tests/recipes/line_answers.py with other amounts, so that none is read twice.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "recipes"))

from line_answers import ENGLISH

from adapter.formula.catalogue import load_catalogue
from adapter.recipes.recipe_text import read_text
from adapter.recipes.sources import line_reader

LINES = 300
RUNS = 7


def main() -> None:
    names = [answer[4] for answer in ENGLISH if answer[5]]
    catalogue = load_catalogue()
    read_text("500 g flour\n2 cups milk\n1 tsp unheard-of dust\n", line_reader(catalogue))
    seconds: list[float] = []
    busy: list[float] = []
    for run in range(RUNS):
        units = ("g", "cups", "tablespoons", "ounces")
        lines = [f"{n % 9 + 1} {units[n % 4]} {names[n % len(names)]}, lot {run}-{n}" for n in range(LINES)]
        reader = line_reader(catalogue)
        begun, begun_busy = time.perf_counter(), time.process_time()
        recipe = read_text("\n".join(lines), reader)
        seconds.append(time.perf_counter() - begun)
        busy.append(time.process_time() - begun_busy)
        assert len(recipe.lines) == LINES
    print(
        f"{LINES} lines: median {statistics.median(seconds):.2f} s, worst {max(seconds):.2f} s; "
        f"of the processor {statistics.median(busy):.2f} s"
    )


if __name__ == "__main__":
    main()
