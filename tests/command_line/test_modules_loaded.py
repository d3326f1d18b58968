"""What the quick commands load: start-up time is spent on imports, so heavy libraries come only where they are used."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Program = Callable[..., subprocess.CompletedProcess[bytes]]

HEAVY = ("textual", "rich", "pint", "numpy", "highspy", "tomlkit", "rapidfuzz", "plotext", "textual_plotext", "scipy")
LOADED = """
import contextlib, io, json, sys
from adapter.command_line import main
with contextlib.redirect_stdout(io.StringIO()):
    code = main(sys.argv[1:])
print(json.dumps([code, sorted({name.partition(".")[0] for name in sys.modules})]))
"""


def loaded_by(program: Program, *words: object) -> set[str]:
    import sys

    found = program("-c", LOADED, *words, command=[sys.executable])
    assert found.stderr == b""
    code, names = json.loads(found.stdout)
    assert code == 0
    return set(names)


@pytest.mark.parametrize("command", ["balance", "compare", "why"])
def test_reading_a_formula_loads_nothing_heavy(program: Program, plain: Path, dark: str, command: str) -> None:
    words = {"balance": [plain], "compare": [plain, dark], "why": [plain, "ph"]}[command]
    assert loaded_by(program, command, *words).isdisjoint(HEAVY)
    if command != "why":
        assert loaded_by(program, command, *words, "--json").isdisjoint(HEAVY)


def test_written_amounts_load_units_only_where_there_are_some(program: Program, tmp_path: Path) -> None:
    path = tmp_path / "cups.toml"
    path.write_text(
        '[formula]\nname = "cups"\n[[line]]\ningredient = "white wheat flour"\ngrams = 500\n'
        '[[line]]\ningredient = "water"\namount = "2 cups"\n'
    )
    assert "pint" in loaded_by(program, "balance", path)


def test_swaps_load_the_solver_but_no_screen(program: Program, plain: Path) -> None:
    """And the solver only where what is kept and held leaves something to be weighed."""
    swap = ("swap", plain, "--out", "honey", "--into", "malt syrup")
    assert loaded_by(program, *swap).isdisjoint(HEAVY)
    found = loaded_by(program, *swap, "--hold", "ph")
    assert "highspy" in found
    assert found.isdisjoint({"textual", "rich", "plotext", "textual_plotext", "scipy", "pint"})


def test_importing_the_package_loads_nothing_of_ours(program: Program) -> None:
    import sys

    code = "import sys, adapter; print([name for name in sys.modules if name.startswith('adapter.')])"
    assert program("-c", code, command=[sys.executable]).stdout.strip() == b"[]"


def test_help_loads_no_tables(program: Program) -> None:
    import sys

    code = (
        "import sys\nfrom adapter.command_line import main\ntry:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "rooms = ('adapter.dough', 'adapter.swaps')\n"
        "sys.stderr.write(' '.join(name for name in sys.modules if name.startswith(rooms)))"
    )
    found = program("-c", code, command=[sys.executable])
    assert found.stdout.startswith(b"usage: otherloaf")
    assert found.stderr == b""
