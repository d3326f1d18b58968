"""What is loaded beside the first keys, and what a key loads at the same moment."""

from __future__ import annotations

import subprocess
import sys

import pytest

from adapter.screens.formulas.warming import MODULES

TWO_LOAD_IT = """
import sys, threading, time
from importlib import import_module

name = sys.argv[1]
sys.addaudithook(lambda event, what: time.sleep(0.005) if event == "import" and what[0].startswith(name) else None)
beside = threading.Thread(target=lambda: (time.sleep(0.01), import_module(name)))
beside.start()
if name == "rapidfuzz":
    from rapidfuzz import fuzz, process
else:
    import_module(name)
beside.join()
"""


@pytest.mark.parametrize("name", [name for name in MODULES if not name.startswith("adapter.")])
def test_two_threads_may_load_it_at_once(name: str) -> None:
    """A part of rapidfuzz loaded beside the whole ended the program: "partially initialized module"."""
    assert "." not in name
    subprocess.run([sys.executable, "-c", TWO_LOAD_IT, name], check=True, timeout=60)
