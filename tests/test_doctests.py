"""The examples in the docstrings of the models and of whatever else shows one: they are run, so they are true."""

from __future__ import annotations

import doctest
from importlib import import_module
from pathlib import Path

import adapter

ROOT = Path(adapter.__file__).parent


def test_every_example_in_a_docstring_gives_what_it_says() -> None:
    tried, faults = 0, []
    for path in sorted(ROOT.rglob("*.py")):
        if ">>> " not in path.read_text(encoding="utf-8"):
            continue
        name = ".".join(path.relative_to(ROOT.parent).with_suffix("").parts)
        found = doctest.testmod(import_module(name), report=False)
        tried += found.attempted
        faults += [name] * found.failed
    assert not faults
    assert tried >= 30
