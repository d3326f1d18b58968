"""Random small changes to `adapter/dough` and `adapter/swaps`: does any test of the core notice?

    .ci/mutants                        200 changes, seed 1
    .ci/mutants --number 50 --seed 7
    .ci/mutants --only swaps/balance   changes of these files only
    .ci/mutants --again FILE           those that a report in a file names as unnoticed

Only the core's own tests run: dough, swaps, references, tables, samples, command line. Each change is tried in a
throw-away copy, with the tests that reach its line, the quickest file first, until one fails. What no test notices is
listed. Changes that cannot be noticed stand in `equivalent.toml` beside this file, each with its reason, and are left
out of the score. Needs the `coverage` package. Not part of `.ci/run`.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import json
import math
import os
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import tomli

sys.path.insert(0, str(Path(__file__).parent))

import changes
import loaded
import tests_reaching
import trial

PROJECT = Path(__file__).parents[2]
ROOMS = ("adapter/dough", "adapter/swaps")
COPIED = ("adapter", "substitutions", "sample_formulas", "tests", "pyproject.toml", "README.md", "DEVELOPERS.md")
CORE_TESTS = ("dough", "swaps", "references", "command_line")
CORE_FILES = ("test_ingredient_tables.py", "test_rule_tables.py", "test_sample_formulas.py")
KEPT = PROJECT / ".mutants"
EQUIVALENT = Path(__file__).with_name("equivalent.toml")
HEAVY = ("coverage", "numpy", "scipy.optimize", "highspy", "hypothesis", "pint", "tomlkit", "rapidfuzz", "pHcalc")


UNNOTICED = "unnoticed: "
"""How a line of the report begins that names a change."""
WHOLE_FILE = 0
"""The "line" of tests of which only the file is known that they reach."""


@dataclass
class Reach:
    """What the core's tests reach: seconds of each test, and the tests of each line of each file.

    `setup` are seconds that each file of tests takes before the first of them; `imported` lines run while modules are
    imported.
    """

    seconds: dict[str, float] = field(default_factory=dict)
    setup: dict[str, float] = field(default_factory=dict)
    lines: dict[str, dict[int, set[str]]] = field(default_factory=dict)
    imported: dict[str, set[int]] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)

    def add(self, found: tests_reaching.Found, changed: Collection[str]) -> None:
        """What one file of tests reaches; of modules that changed since, only that it reaches them."""
        tests, failed = found["tests"], set(found["failed"])
        self.failed += sorted(failed)
        if tests:
            self.setup[tests[0].partition("::")[0]] = found["setup"]
        for test, seconds in zip(tests, found["seconds"], strict=True):
            if test not in failed:
                self.seconds[test] = seconds
        for name, numbers in found["imported"].items():
            if name not in changed:
                self.imported.setdefault(name, set()).update(numbers)
        for name, lines in found["lines"].items():
            known = self.lines.setdefault(name, {})
            for line, reached in lines.items():
                place = WHOLE_FILE if name in changed else int(line)
                known.setdefault(place, set()).update(tests[index] for index in reached if tests[index] not in failed)

    def of_lines(self, name: str, lines: Iterable[int]) -> set[str]:
        known = self.lines.get(name, {})
        return {test for line in (WHOLE_FILE, *lines) for test in known.get(line, ())}

    def of_file(self, name: str) -> set[str]:
        return self.of_lines(name, self.lines.get(name, {}))


@dataclass
class Tried:
    change: changes.Change
    verdict: str = ""
    test: str = ""
    tests: int = 0


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--number", type=int, default=200, help="how many changes (200)")
    parser.add_argument("--seed", type=int, default=1, help="which of them (1)")
    parser.add_argument("--only", default="", help="only files whose path holds this text")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, help="how many at once (one a core)")
    parser.add_argument(
        "--stale", action="store_true", help="do not measure anew what tests reach, though code changed"
    )
    parser.add_argument(
        "--without", nargs="*", default=[], help="leave out files of tests whose path holds such a text"
    )
    parser.add_argument(
        "--patience",
        type=float,
        default=math.inf,
        help="what the quickest tests, of so many seconds in all, do not notice counts as unnoticed (all tests)",
    )
    parser.add_argument("--again", type=Path, help="try those again that the report in this file names as unnoticed")
    options = parser.parse_args()
    again = unnoticed_in(options.again) if options.again else None
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy = Path(folder)
        for name in COPIED:
            source = PROJECT / name
            if source.is_dir():
                shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__", "__snapshots__"))
            else:
                shutil.copy(source, copy / name)
        os.chdir(copy)
        sys.path[:] = [str(copy), *(part for part in sys.path if Path(part or ".").resolve() != PROJECT)]
        os.environ |= {"OTHERLOAF_HOME": str(copy / "home"), "PYTHONDONTWRITEBYTECODE": "", "COLUMNS": "120"}
        sys.dont_write_bytecode = False
        for name in HEAVY:
            __import__(name)
        reach = reach_of_the_core(copy, options)
        mapped = time.monotonic() - began
        picked = pick(copy, options.only, options.number, options.seed) if again is None else pick_again(copy, again)
        known = equivalents()
        tried = [Tried(change) for change in picked if change.key not in known]
        same = [change for change in picked if change.key in known]
        try_all(tried, reach, copy, options.jobs, options.patience)
        report(tried, same, known, reach, mapped, time.monotonic() - began)
    return 0


# --- which tests reach what -----------------------------------------------------------------------


def reach_of_the_core(copy: Path, options: argparse.Namespace) -> Reach:
    """Read from `.mutants` what each file of tests reaches; measured anew where anything changed, but if stale."""
    KEPT.mkdir(exist_ok=True)
    (KEPT / ".gitignore").write_text("*\n", encoding="utf-8")
    tests = copy / "tests"
    files = sorted(path for room in CORE_TESTS for path in (tests / room).rglob("test_*.py"))
    files += [tests / name for name in CORE_FILES]
    tables = sorted(path for top in ("substitutions", "sample_formulas") for path in (copy / top).rglob("*.toml"))
    files = [path for path in files if not any(text in path.as_posix() for text in options.without)]
    common = _digest(tables)
    now = {path.relative_to(copy).as_posix(): _digest([path]) for path in (copy / "adapter").rglob("*.py")}
    kept = {path: _kept(path, tests, options.stale) for path in files}

    def changed(found: tests_reaching.Found) -> set[str]:
        return {name for name, digest in found["modules"].items() if now.get(name) != digest}

    def is_good(path: Path) -> bool:
        if not kept[path].exists():
            return False
        found = tests_reaching.read(kept[path])
        return options.stale or (bool(found["imported"]) and found["tables"] == common and not changed(found))

    def measuring(path: Path) -> Callable[[], None]:
        return lambda: tests_reaching.measure(path.relative_to(copy).as_posix(), kept[path], common, now)

    run_apart([measuring(path) for path in files if not is_good(path)], options.jobs)
    reach = Reach()
    for path in files:
        found = tests_reaching.read(kept[path])
        reach.add(found, changed(found))
    for name, times in Counter(test.partition("::")[0] for test in reach.failed).items():
        print(f"{times} tests of {name} fail without any change, so they are left out")
    print(f"{len(reach.seconds)} tests of the core, {sum(reach.seconds.values()):.0f} s of work", flush=True)
    return reach


def _kept(path: Path, tests: Path, stale: bool) -> Path:
    """Where it stands what a file of tests reaches; if stale, what an earlier state of it reached will do."""
    kept = KEPT / f"{path.stem}-{_digest([path, *_helpers(path, tests)])}.json"
    earlier = sorted(KEPT.glob(f"{path.stem}-*.json"), key=lambda each: each.stat().st_mtime)
    return earlier[-1] if stale and earlier and not kept.exists() else kept


def _helpers(path: Path, tests: Path) -> list[Path]:
    """What a file of tests may import from beside it and from the folders above."""
    folders = [folder for folder in path.parents if folder == tests or tests in folder.parents]
    return sorted(part for folder in folders for part in folder.glob("*.py") if not part.name.startswith("test_"))


def _digest(paths: Iterable[Path], seed: str = "") -> str:
    found = hashlib.sha256(seed.encode())
    for path in paths:
        if path.is_file() and "__pycache__" not in path.parts and path.suffix in (".py", ".toml", ".txt"):
            found.update(path.name.encode() + path.read_bytes())
    return found.hexdigest()[:20]


def run_apart(
    jobs: Sequence[Callable[[], None]], most: int, after: Callable[[int], None] = lambda number: None
) -> None:
    """Run each job in a process of its own, so many at once; they print nothing. `after` is told which one ended."""
    todo = list(enumerate(jobs))[::-1]
    running: dict[int, int] = {}
    while todo or running:
        while todo and len(running) < most:
            number, job = todo.pop()
            sys.stdout.flush()
            child = os.fork()
            if child == 0:
                os.setsid()
                quiet = os.open(os.devnull, os.O_RDWR)
                for stream in (0, 1, 2):
                    os.dup2(quiet, stream)
                try:
                    job()
                finally:
                    os._exit(0)
            running[child] = number
        child, _ = os.waitpid(-1, 0)
        if child in running:
            after(running.pop(child))


# --- the changes and their trials -----------------------------------------------------------------


def pick(copy: Path, only: str, number: int, seed: int) -> list[changes.Change]:
    """So many random changes, always the same ones for a seed and a state of the code."""
    paths = sorted(path.relative_to(copy).as_posix() for room in ROOMS for path in (copy / room).rglob("*.py"))
    sources = {path: (copy / path).read_text(encoding="utf-8") for path in paths if only in path}
    every = [(path, place) for path, source in sources.items() for place in range(changes.count(source))]
    random.Random(seed).shuffle(every)
    found: dict[str, changes.Change] = {}
    for path, place in every:
        if len(found) == number:
            break
        change = changes.described(path, sources[path], place)
        if change:
            found.setdefault(change.key, change)
    print(f"{len(found)} of {len(every)} possible changes, seed {seed}")
    return list(found.values())


def unnoticed_in(report: Path) -> list[str]:
    """The ids of changes that a report names as unnoticed."""
    lines = report.read_text(encoding="utf-8").splitlines()
    return [line.removeprefix(UNNOTICED).rpartition("  (")[0] for line in lines if line.startswith(UNNOTICED)]


def pick_again(copy: Path, ids: Sequence[str]) -> list[changes.Change]:
    """These changes, as far as the code still allows them."""
    found: dict[str, changes.Change] = {}
    for path in dict.fromkeys(each.partition(":")[0] for each in ids):
        source = (copy / path).read_text(encoding="utf-8") if (copy / path).exists() else ""
        left = {each for each in ids if each.startswith(f"{path}:")}
        for number in range(changes.count(source)):
            change = changes.described(path, source, number) if left else None
            if change and change.key in left:
                left.discard(change.key)
                found[change.key] = change
        for key in sorted(left):
            print(f"gone: {key}")
    return list(found.values())


def equivalents() -> dict[str, str]:
    """Changes that no test can notice, with the reason for each."""
    rows = tomli.loads(EQUIVALENT.read_text(encoding="utf-8")).get("equivalent", []) if EQUIVALENT.exists() else []
    return {row["id"]: row["reason"] for row in rows}


def chosen_tests(change: changes.Change, reach: Reach, copy: Path) -> set[str]:
    """The tests that run the changed lines; of what runs at import, those that reach the file or a line that uses its
    names.
    """
    lines = range(change.first_line, change.last_line + 1)
    found = reach.of_lines(change.path, lines)
    if not change.at_import and (found or reach.imported.get(change.path, set()).isdisjoint(lines)):
        return found
    found = reach.of_file(change.path)
    for name in reach.lines:
        if not (copy / name).exists():
            continue
        tree = ast.parse((copy / name).read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            used = node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""
            if used in change.names:
                found |= reach.of_lines(name, [node.lineno])  # type: ignore[attr-defined]
    return found


def file_of(test: str) -> str:
    return test.partition("::")[0]


def is_named_after(test_file: str, path: str) -> bool:
    """Whether a file of tests is called like the module that it tests: those see most of it."""
    return Path(path).stem in Path(test_file).stem


def patient(tests: Iterable[str], reach: Reach, patience: float, path: str) -> dict[str, float]:
    """The quickest tests with their seconds, as many as are done within so many seconds, one of them at least.

    Those of a file that is named after the module come first; a file that takes long to begin stands behind.
    """
    found: dict[str, float] = {}
    begun: set[str] = set()
    spent = 0.0

    def order(test: str) -> tuple[bool, float, str]:
        return not is_named_after(file_of(test), path), reach.setup[file_of(test)] + reach.seconds[test], test

    for test in sorted(tests, key=order):
        own = reach.seconds[test] + (0.0 if file_of(test) in begun else reach.setup[file_of(test)])
        if found and spent + own > patience:
            continue
        begun.add(file_of(test))
        found[test] = reach.seconds[test]
        spent += own
    return found


def try_all(tried: Sequence[Tried], reach: Reach, copy: Path, jobs: int, patience: float) -> None:
    imports = loaded.load_all(copy)
    told = [copy / f"verdict {number}.json" for number in range(len(tried))]

    def trying(number: int) -> Callable[[], None]:
        def job() -> None:
            one = tried[number].change
            tests = patient(chosen_tests(one, reach, copy), reach, patience, one.path)
            path = copy / one.path
            module = loaded.name_of(path, copy)
            code = compile(changes.changed(path.read_text(encoding="utf-8"), one.number), str(path), "exec")
            told[number].write_text(json.dumps({"verdict": trial.ENDLESS, "test": ""}), encoding="utf-8")
            times = {file_of(test): reach.setup[file_of(test)] for test in tests}
            for test, seconds in tests.items():
                times[file_of(test)] += seconds
            files = sorted(times, key=lambda file: (not is_named_after(file, one.path), times[file], file))
            if not tests:
                told[number].write_text(json.dumps({"verdict": trial.PASSED, "test": ""}), encoding="utf-8")
                return
            loaded.let_go(module, imports)
            trial.put_on_trial(module, path, code, tests, reach.setup, files, told[number])

        return job

    def after(number: int) -> None:
        one = tried[number]
        verdict = json.loads(told[number].read_text(encoding="utf-8")) if told[number].exists() else {}
        one.verdict, one.test = verdict.get("verdict", "broken"), verdict.get("test", "")
        one.tests = len(chosen_tests(one.change, reach, copy))
        if one.verdict == trial.PASSED:
            print(f"{UNNOTICED}{one.change.key}  ({one.tests} tests)", flush=True)

    run_apart([trying(number) for number in range(len(tried))], jobs, after)


# --- report ---------------------------------------------------------------------------------------


def report(
    tried: Sequence[Tried],
    same: Sequence[changes.Change],
    known: Mapping[str, str],
    reach: Reach,
    mapped: float,
    seconds: float,
) -> None:
    survivors = sorted((one for one in tried if one.verdict == trial.PASSED), key=lambda one: one.change.key)
    broken = [one for one in tried if one.verdict not in (trial.PASSED, trial.FAILED, trial.ENDLESS)]
    for one in survivors:
        reached = f"{one.tests} tests reach it" if one.tests else "no test reaches it"
        print(f"\n{one.change.path}:{one.change.first_line} {one.change.function} ({reached})")
        print(f"  - {one.change.before}\n  + {one.change.after}")
    if survivors:
        print("\nUnnoticed by file:")
        for name, times in Counter(one.change.path for one in survivors).most_common():
            print(f"  {times:4d}  {name}")
    for change in same:
        print(f"equivalent: {change.key}  ({known[change.key]})")
    for one in broken:
        print(f"could not be tried: {one.change.key}")
    noticed = sum(one.verdict in (trial.FAILED, trial.ENDLESS) for one in tried)
    endless = sum(one.verdict == trial.ENDLESS for one in tried)
    share = 100.0 * noticed / max(len(tried), 1)
    print(
        f"\nnoticed {noticed} of {len(tried)}: {share:.1f} % ({endless} of them by the time limit; "
        f"{len(same)} equivalent ones left out), {seconds:.0f} s, {mapped:.0f} s of it to learn what tests reach"
    )


if __name__ == "__main__":
    sys.exit(main())
