"""Asking for a loaf: the first way and three, with the shipped tables and with 2,000 ingredients and 500 rules, and ten
formulas from one store. Figures, not a test.

python tests/benchmarks/adapt.py
"""

from __future__ import annotations

import resource
import time
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

from offers_at_scale import grown

from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.files.formula_file import read_sample
from adapter.files.pantry_file import read_pantry
from adapter.swaps.adapt import adapt
from adapter.swaps.bakes import plan_bakes
from adapter.swaps.programme import Solver
from adapter.swaps.ruled_out import carriers, load_without, meant_by
from adapter.swaps.rules import Rule, load_rules
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes, read_aim

LOAF = "hut_everyday_loaf"


def one(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver, ways: int) -> str:
    formula = read_sample(files("sample_formulas") / f"{LOAF}.toml", kitchen.catalogue)
    with_store = len(kitchen.catalogue) < 1000
    store = read_pantry(Path(str(files("sample_formulas") / "pantry.toml")), kitchen.catalogue) if with_store else None
    started, worked = time.perf_counter(), time.process_time()
    swapper = Swapper(kitchen, rules, formula, solver)
    ruled_out = carriers(meant_by("milk", kitchen.catalogue, load_without()), kitchen.catalogue)
    aims = (read_aim("sweetness=-30%", swapper.measured, store),)
    answer = adapt(swapper, Wishes(store, ("milk",), ruled_out, aims, (), ways))
    passed, work = time.perf_counter() - started, time.process_time() - worked
    gaps = ", ".join(f"{way.gap:.1%}" for way in answer.ways)
    return f"{len(answer.ways)} ways in {1e3 * passed:.0f} ms ({1e3 * work:.0f} ms of work), gaps {gaps}"


def several(kitchen: Kitchen, rules: Sequence[Rule], solver: Solver) -> str:
    folder = files("sample_formulas")
    names = sorted(item.name for item in folder.iterdir() if item.name.endswith(".toml") and item.name != "pantry.toml")
    store = read_pantry(Path(str(folder / "pantry.toml")), kitchen.catalogue)
    started, worked = time.perf_counter(), time.process_time()
    swappers = [Swapper(kitchen, rules, read_sample(folder / name, kitchen.catalogue), solver) for name in names]
    bakes = plan_bakes(swappers, [2] * len(names), Wishes(store))
    passed, work = time.perf_counter() - started, time.process_time() - worked
    return (
        f"{len(names)} formulas in {passed:.1f} s ({work:.1f} s of work), gap {bakes.gap:.2%}, "
        f"{sum(len(way.swaps) for way in bakes.ways)} swaps, {len(bakes.buy)} things to buy"
    )


def main() -> None:
    kitchen = load_kitchen()
    rules = load_rules(kitchen.catalogue, kitchen.keepable)
    solver = Solver()
    solver.warm()
    for tables in ((kitchen, rules), grown(kitchen, rules)):
        for ways in (1, 3):
            print(f"{len(tables[0].catalogue)} ingredients, {len(tables[1])} rules: {one(*tables, solver, ways)}")
    print(several(kitchen, rules, solver))
    print(f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB at most")


if __name__ == "__main__":
    main()
