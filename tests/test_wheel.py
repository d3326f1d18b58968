"""The wheel: built, installed into an environment of its own, and run from another folder than the source.

The new environment gets the wheel and nothing else; the libraries it needs are those of the environment that runs
the tests, laid on its path, so that nothing is fetched for them.
"""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
import sysconfig
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

PROJECT = Path(__file__).parents[1]
SCREENS = """
import asyncio
from adapter.screens.app import OtherloafApp

async def look():
    async with OtherloafApp().run_test(size=(120, 34)) as pilot:
        await pilot.pause()
        print(type(pilot.app.screen).__name__)

asyncio.run(look())
"""


def called(*words: object, **more: Any) -> str:
    done = subprocess.run([*map(str, words)], capture_output=True, text=True, timeout=300, check=False, **more)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this source; pip fetches the build tool only where it is not installed."""
    folder = tmp_path_factory.mktemp("wheel")
    tool = ["--no-build-isolation"] if importlib.util.find_spec("hatchling") else []
    called(sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", *tool, "--wheel-dir", folder, PROJECT)
    (found,) = folder.glob("*.whl")
    return found


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Callable[..., str]:
    """installed("otherloaf", "check"): a program of the new environment, run from an empty folder."""
    environment = tmp_path_factory.mktemp("environment")
    called(sys.executable, "-m", "venv", "--without-pip", environment)
    programs = environment / ("Scripts" if os.name == "nt" else "bin")
    python = programs / "python"
    pip = (sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-deps", "--no-index")
    called(*pip, wheel)
    paths = json.loads(called(python, "-c", "import json, sysconfig; print(json.dumps(sysconfig.get_paths()))"))
    libraries = {sysconfig.get_paths()[kind] for kind in ("purelib", "platlib")}
    libraries |= {path for path in sys.path if path.endswith("site-packages")}  # an environment may lie on another
    (Path(paths["purelib"]) / "zz_libraries_of_the_tests.pth").write_text("\n".join(sorted(libraries)) + "\n")
    elsewhere, home = tmp_path_factory.mktemp("elsewhere"), tmp_path_factory.mktemp("home")
    surroundings = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}

    def ran(program: str, *words: object) -> str:
        return called(programs / program, *words, cwd=elsewhere, env=surroundings | {"OTHERLOAF_HOME": str(home)})

    return ran


def test_the_wheel_holds_tables_samples_and_styles_and_no_tests(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder, endings in (
        ("adapter", {".py", ".tcss", ".txt"}),
        ("substitutions", {".py", ".toml"}),
        ("sample_formulas", {".py", ".toml"}),
    ):
        source = {
            path.relative_to(PROJECT).as_posix()
            for path in (PROJECT / folder).rglob("*")
            if path.suffix in endings and path.is_file()
        }
        assert source <= names, source - names
    assert not [name for name in names if name.startswith("tests") or "__pycache__" in name]


def test_the_code_that_runs_is_that_of_the_wheel(installed: Callable[..., str]) -> None:
    packages = ("adapter", "substitutions", "sample_formulas")
    code = f"import {', '.join(packages)}; print({', '.join(f'{name}.__file__' for name in packages)})"
    for place in installed("python", "-c", code).split():
        assert "environment" in place
        assert not Path(place).is_relative_to(PROJECT)


def test_check_finds_every_table_and_sample(installed: Callable[..., str]) -> None:
    text = installed("otherloaf", "check")
    samples = len([path for path in (PROJECT / "sample_formulas").glob("*.toml") if "pantry" not in path.name])
    assert f"{samples} sample formulas: in order" in text
    assert "ingredients" in text


def test_a_sample_is_read_and_swapped_by_its_name(installed: Callable[..., str]) -> None:
    found = json.loads(installed("otherloaf", "balance", "hut_everyday_loaf", "--json"))
    assert found["formula"]["name"] == "Hut everyday loaf"
    words = ("swap", "hut_everyday_loaf", "--out", "sugar beet syrup", "--into", "malt syrup", "--save", "saved.toml")
    swap = json.loads(installed("otherloaf", *words, "--json"))
    assert json.loads(installed("otherloaf", "balance", "saved.toml", "--json"))["readings"] == swap["readings"]


def test_units_and_the_version_are_found(installed: Callable[..., str]) -> None:
    code = "from adapter.formula.amounts import grams_of; print(grams_of('1 lb', None))"
    assert float(installed("python", "-c", code)) == pytest.approx(453.59237)  # NIST Handbook 44
    assert installed("otherloaf", "--version").startswith("otherloaf ")


def test_the_first_screen_opens(installed: Callable[..., str]) -> None:
    assert installed("python", "-c", SCREENS).strip() == "FormulasScreen"
