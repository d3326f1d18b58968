"""The dough in time: a ripening, a dough's reading with and without its proof, yeast for a time, all offers of a line.

    python tests/benchmarks/ripening.py [RUNS]

Prints medians in milliseconds, each beside what it is measured against, all in one run: a reading whose proof is
followed beside the same reading with the proof left out, which is about what a reading took before there was one.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace

from preview import LINES

from adapter.dough.models.proof import Rise
from adapter.dough.models.ripening import ripen
from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.living import Follower
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.model import Formula, Line, StagePlan
from adapter.swaps.programme import Solver
from adapter.swaps.rules import load_rules
from adapter.swaps.swapper import Swapper

RUNS = 60
READ = ("ph", "tta", "rise_time", "starch_attack", "water_activity", "sugar")


def median_ms(work: Callable[[], object], runs: int) -> float:
    work()
    taken = []
    for _ in range(runs):
        begin = time.process_time()
        work()
        taken.append(time.process_time() - begin)
    return 1000.0 * statistics.median(taken)


def sour_rye() -> Formula:
    lines = (
        Line("rye sourdough", 60.0, "sourdough"),
        Line("wholemeal rye flour", 300.0, "sourdough"),
        Line("water", 300.0, "sourdough"),
        Line("wholemeal rye flour", 350.0),
        Line("bread flour", 300.0),
        Line("water", 380.0),
        Line("salt", 19.0),
        Line("fresh yeast", 5.0),
    )
    return Formula("sour rye", lines, plans=(StagePlan("sourdough", None, 16.0, 26.0),))


def read(kitchen: Kitchen, formula: Formula, book: Measured) -> None:
    measured = measure(kitchen, formula, book)
    for key in READ:
        measured.value(key)


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    kitchen = load_kitchen()
    formula = sour_rye()
    book = measure(kitchen, formula)
    (stage,) = book.stages
    ripening = median_ms(lambda: ripen(stage.course.medium, stage.start, stage.warmth, 16.0), runs)
    with_proof = median_ms(lambda: read(kitchen, formula, book), runs)
    course = book.rise.course()
    followed, Rise.course = Rise.course, lambda self: course  # type: ignore[method-assign]
    without = median_ms(lambda: read(kitchen, formula, book), runs)
    Rise.course = followed  # type: ignore[method-assign]

    def fresh_stage() -> None:
        anew = replace(kitchen)
        object.__setattr__(anew, "follower", Follower(kitchen.composer, kitchen.follower.pace, kitchen.stage_kinds))
        measure(anew, formula, book)

    stage_anew = median_ms(fresh_stage, max(runs // 4, 5))
    slopes = median_ms(lambda: measure(kitchen, formula, book).proof_gradients, max(runs // 4, 5))
    yeast = median_ms(lambda: book.rise.yeast_for(2.0), runs)
    near = median_ms(lambda: book.rise.yeast_near(2.0), runs)
    twenty = Formula("twenty lines", tuple(Line(name, float(grams), stage) for stage, name, grams in LINES))
    rules = load_rules(kitchen.catalogue, kitchen.keepable)
    swapper = Swapper(kitchen, rules, twenty, Solver())
    place = next(place for place, line in enumerate(twenty.lines) if line.ingredient == "buttermilk")
    count = len(swapper.offers(place))
    offers = median_ms(lambda: swapper.offers(place), max(runs // 6, 3))
    print(f"a ripening of 16 h                          {ripening:7.2f} ms")
    print(f"a dough read, its preferment finished       {with_proof:7.2f} ms")
    print(f"  the same with the proof left out          {without:7.2f} ms")
    print(f"  the same with the preferment followed too {stage_anew:7.2f} ms")
    print(f"slopes of the proof, for spreads            {slopes:7.2f} ms")
    print(f"yeast for a time, refined / near            {yeast:7.2f} / {near:.2f} ms")
    print(f"{count} offers for one acid liquid             {offers:7.2f} ms")


if __name__ == "__main__":
    main()
