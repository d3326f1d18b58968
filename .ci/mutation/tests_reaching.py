"""Which test reaches which line, and how long it takes: measured once for each file of tests, kept until code changes.

What a fixture of a module or a session runs counts for every test that asks for the fixture, and what runs while
modules are imported counts for none: such lines are told apart and looked up by the file (see `main.py`).
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, TypedDict

import pytest


class Found(TypedDict):
    """What one file of tests reaches: of each line the numbers of its tests; and the modules that it loaded.

    `imported` are the lines that run while modules are imported. `setup` are the seconds that its fixtures of a module
    or a session took; those of the tests are without them.
    """

    tests: list[str]
    seconds: list[float]
    setup: float
    failed: list[str]
    lines: dict[str, dict[str, list[int]]]
    imported: dict[str, list[int]]
    modules: dict[str, str]
    tables: str


MEASURED = ("adapter/dough/*", "adapter/swaps/*")
WIDE_SCOPES = ("session", "package", "module", "class")


class Recorder:
    """A pytest plugin that tells `coverage` which test or wide fixture is running."""

    def __init__(self, coverage: Any) -> None:
        self.coverage = coverage
        self.seconds: dict[str, float] = {}
        self.setup = 0.0
        self.fixtures: dict[str, list[str]] = {}
        self.failed: set[str] = set()
        self.now: list[str] = [""]

    def _enter(self, context: str) -> None:
        self.now.append(context)
        self.coverage.switch_context(context)

    def _leave(self) -> None:
        self.now.pop()
        self.coverage.switch_context(self.now[-1])

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[Any]:
        self.fixtures[item.nodeid] = list(getattr(item, "fixturenames", ()))
        self._enter(item.nodeid)
        began, before = time.process_time(), self.setup
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = time.process_time() - began - (self.setup - before)
            self._leave()

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Iterator[Any]:
        if fixturedef.scope not in WIDE_SCOPES:
            return (yield)
        self._enter(f"fixture {fixturedef.argname}")
        began = time.process_time()
        try:
            return (yield)
        finally:
            self.setup += time.process_time() - began
            self._leave()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.add(report.nodeid)


def read(kept: Path) -> Found:
    found: Found = json.loads(kept.read_text(encoding="utf-8"))
    found.setdefault("setup", max(found["seconds"], default=0.0))  # of measures made before these were told apart
    found.setdefault("imported", {})
    return found


def measure(test_file: str, kept: Path, tables: str, digests: Mapping[str, str]) -> None:
    """Run one file of tests in this process and write down what it reaches. Nothing of ours may be imported yet."""
    import coverage

    cov = coverage.Coverage(data_file=None, config_file=False, include=list(MEASURED))
    recorder = Recorder(cov)
    cov.start()
    cov.switch_context("")
    pytest.main(["-q", "-p", "no:cacheprovider", "--tb=line", test_file], plugins=[recorder])
    cov.stop()
    data = cov.get_data()
    by_fixture: dict[str, list[str]] = {}
    for test, names in recorder.fixtures.items():
        for name in names:
            by_fixture.setdefault(f"fixture {name}", []).append(test)
    tests = {test: index for index, test in enumerate(recorder.fixtures)}
    lines: dict[str, dict[int, list[int]]] = {}
    imported: dict[str, list[int]] = {}
    for measured in data.measured_files():
        name = Path(measured).relative_to(Path.cwd()).as_posix()
        for line, contexts in data.contexts_by_lineno(measured).items():
            reached = {tests[test] for context in contexts for test in by_fixture.get(context, [context]) if test}
            if "" in contexts:
                imported.setdefault(name, []).append(line)
            if reached:
                lines.setdefault(name, {})[line] = sorted(reached)
    files = [getattr(module, "__file__", None) for module in sys.modules.values()]
    here = Path.cwd()
    loaded = [Path(file).relative_to(here).as_posix() for file in files if file and Path(file).is_relative_to(here)]
    found = {
        "tests": list(tests),
        "seconds": [recorder.seconds.get(test, 0.0) for test in tests],
        "setup": recorder.setup,
        "failed": sorted(recorder.failed),
        "lines": lines,
        "imported": imported,
        "modules": {name: digests[name] for name in loaded if name in digests},
        "tables": tables,
    }
    kept.write_text(json.dumps(found), encoding="utf-8")
