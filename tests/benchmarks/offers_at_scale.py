"""All offers of a line, with the shipped tables and with 2,000 ingredients and 500 rules. Figures, not a test.

python tests/benchmarks/offers_at_scale.py
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Sequence
from dataclasses import replace
from importlib.resources import files

from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.files.formula_file import read_sample
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula
from adapter.swaps.programme import Solver
from adapter.swaps.rules import Rule, load_rules
from adapter.swaps.swapper import Swapper

RUNS = 7
INGREDIENTS, RULES = 2000, 500


def grown(kitchen: Kitchen, rules: Sequence[Rule]) -> tuple[Kitchen, list[Rule]]:
    """Every ingredient and every rule several times over, under other names."""
    many = {
        (item.name if not number else f"{item.name} {number}"): item
        for number in range(1 + INGREDIENTS // len(kitchen.catalogue))
        for item in kitchen.catalogue
    }
    named = {
        name: replace(item, name=name, aliases=item.aliases if name == item.name else ())
        for name, item in list(many.items())[:INGREDIENTS]
    }
    copies = [
        rule if not number else replace(rule, id=f"{rule.id}-{number}")
        for number in range(1 + RULES // len(rules))
        for rule in rules
    ]
    return replace(kitchen, catalogue=Catalogue(named, kitchen.catalogue.substances)), copies[:RULES]


def slowest(kitchen: Kitchen, rules: Sequence[Rule], formula: Formula, solver: Solver) -> tuple[float, str, int]:
    """Milliseconds (median), line and number of offers of the slowest line, as after a step on the bench."""
    found = []
    for place, line in enumerate(formula.lines):
        times, count = [], 0
        for _ in range(RUNS):
            swapper = Swapper(kitchen, rules, formula, solver)
            started = time.perf_counter()
            count = len(swapper.offers(place))
            times.append(1e3 * (time.perf_counter() - started))
        found.append((statistics.median(times), line.ingredient, count))
    return max(found)


def main() -> None:
    kitchen = load_kitchen()
    rules = load_rules(kitchen.catalogue, kitchen.keepable)
    formula = read_sample(files("sample_formulas") / "hut_everyday_loaf.toml", kitchen.catalogue)
    solver = Solver()
    solver.warm()
    for tables in ((kitchen, rules), grown(kitchen, rules)):
        milliseconds, name, count = slowest(*tables, formula, solver)
        counts = f"{len(tables[0].catalogue)} ingredients, {len(tables[1])} rules"
        print(f"{counts:32} slowest line {name}: {count} offers in {milliseconds:.1f} ms")


if __name__ == "__main__":
    main()
