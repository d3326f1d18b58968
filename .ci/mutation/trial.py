"""One changed module put on trial: the tests that reach the change run until one fails."""

from __future__ import annotations

import importlib.machinery
import json
import os
import resource
import signal
import sys
from collections.abc import Mapping, Sequence
from importlib.abc import MetaPathFinder
from pathlib import Path
from types import CodeType
from typing import Any

import pytest

FAILED, PASSED, ENDLESS = "failed", "passed", "endless"
EXTRA_SECONDS, TIMES = 3.0, 2.0
FIRST_FILES, TIMES_MORE_FILES = 3, 4


class _Changed(importlib.machinery.SourceFileLoader):
    """Loads a module from given code instead of its file."""

    def __init__(self, name: str, path: str, code: CodeType) -> None:
        super().__init__(name, path)
        self.code = code

    def get_code(self, fullname: str) -> CodeType:
        return self.code


class _Finder(MetaPathFinder):
    def __init__(self, name: str, path: str, code: CodeType) -> None:
        self.name = name
        self.loader = _Changed(name, path, code)

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> importlib.machinery.ModuleSpec | None:
        if name != self.name:
            return None
        return importlib.machinery.ModuleSpec(name, self.loader, origin=self.loader.path)


class Judge:
    """A pytest plugin: only the chosen tests, in their order, none longer than a few times its usual time.

    What is set up for several tests of a file falls to the first of them that runs: so much time it has besides.
    """

    def __init__(self, seconds: Mapping[str, float], setup: Mapping[str, float], told: Path) -> None:
        self.seconds = seconds
        self.setup = setup
        self.told = told
        self.running = ""

    def pytest_sessionstart(self) -> None:
        """Hypothesis need not look for the smallest failing example: that one fails is enough."""
        from hypothesis import Phase, settings

        quick = settings(settings.default, phases=[Phase.explicit, Phase.generate])
        settings.register_profile("trial", quick)
        settings.load_profile("trial")

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        by_file = dict(self.setup)
        chosen = [item for item in items if item.nodeid in self.seconds]
        for item in chosen:
            name = item.nodeid.partition("::")[0]
            by_file[name] = by_file.get(name, 0.0) + self.seconds[item.nodeid]

        def order(item: pytest.Item) -> tuple[float, str, float]:
            name = item.nodeid.partition("::")[0]
            return by_file[name], name, self.seconds[item.nodeid]

        items[:] = sorted(chosen, key=order)

    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        self.running = item.nodeid
        usual = self.seconds[item.nodeid] + self.setup.get(item.nodeid.partition("::")[0], 0.0)
        signal.setitimer(signal.ITIMER_PROF, EXTRA_SECONDS + TIMES * usual)

    def pytest_runtest_call(self, item: pytest.Item) -> None:
        signal.setitimer(signal.ITIMER_PROF, EXTRA_SECONDS + TIMES * self.seconds[item.nodeid])

    def pytest_runtest_logfinish(self) -> None:
        """What comes between the tests, such as reading further files of them, has its time."""
        signal.setitimer(signal.ITIMER_PROF, 0.0)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.tell(FAILED)

    def tell(self, verdict: str) -> None:
        self.told.write_text(json.dumps({"verdict": verdict, "test": self.running}), encoding="utf-8")
        os._exit(0)


def put_on_trial(
    module: str,
    path: Path,
    code: CodeType,
    tests: Mapping[str, float],
    setup: Mapping[str, float],
    files: Sequence[str],
    told: Path,
) -> None:
    """Run the tests (with their usual seconds) against the module with this code; write the verdict and end.

    A few files of tests first, the quickest, then more: most changes are noticed before the others are even read.
    """
    sys.meta_path.insert(0, _Finder(module, str(path), code))
    judge = Judge(tests, setup, told)
    total = sum(tests.values()) + sum(setup[file] for file in files)
    few = FIRST_FILES
    most = int(30 + TIMES * total)
    resource.setrlimit(resource.RLIMIT_CPU, (most, most))
    signal.signal(signal.SIGPROF, lambda *_: judge.tell(ENDLESS))
    while files:
        some, files = files[:few], files[few:]
        few *= TIMES_MORE_FILES
        code_of_pytest = pytest.main(["-q", "-x", "-p", "no:cacheprovider", "--tb=no", *some], plugins=[judge])
        if code_of_pytest not in (0, 5):
            judge.tell(FAILED)
    judge.tell(PASSED)
