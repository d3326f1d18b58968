"""All offers of a formula of 200 different lines, worked out and told as `otherloaf offers` does. Figures, not a test.

    python tests/benchmarks/offers_of_many_lines.py [EVERY]

Seconds of the processor. With EVERY = 10 only each tenth line is asked for.
"""

from __future__ import annotations

import random
import sys
import time

from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.formula.model import Formula, Line
from adapter.swaps.programme import Solver
from adapter.swaps.rules import load_rules
from adapter.swaps.swapper import Swapper
from adapter.words.reports import offers_report
from adapter.words.text_report import offers_text

LINES, FLOURS = 200, 25
ALWAYS = {"water": 400.0, "salt": 10.0, "fresh yeast": 10.0, "buttermilk": 10.0, "honey": 10.0}


def formula_of(kitchen: Kitchen) -> Formula:
    """25 flours, what every dough has, and anything else, always the same."""
    draw = random.Random(5)
    names = [item.name for item in kitchen.catalogue]
    flours = [name for name in names if "flour" in kitchen.catalogue.get(name).kinds]
    others = [name for name in names if name not in flours and name not in ALWAYS]
    picked = [*draw.sample(flours, FLOURS), *ALWAYS, *draw.sample(others, LINES - FLOURS - len(ALWAYS))]
    lines = (Line(name, ALWAYS.get(name, 200.0 if name in flours[:3] else 10.0)) for name in picked)
    return Formula("many lines", tuple(lines))


def main(every: int) -> None:
    kitchen = load_kitchen()
    rules = load_rules(kitchen.catalogue, kitchen.keepable)
    solver = Solver()
    solver.warm()
    started = time.process_time()
    swapper = Swapper(kitchen, rules, formula_of(kitchen), solver)
    offers = [offer for place in range(0, LINES, every) for offer in swapper.offers(place)]
    found = time.process_time()
    text = offers_text(offers_report(offers, None))
    told = time.process_time()
    print(f"{-(-LINES // every)} of {LINES} lines: {len(offers)} offers, {len(text.splitlines())} lines of text")
    print(f"worked out in {found - started:.2f} s of the processor, told in {told - found:.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
