"""Where things are: what ships by one way of opening, a person's own by the system's folders or by one variable."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from adapter.files import places
from adapter.formula.problems import InputProblem


def test_one_variable_moves_everything(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OTHERLOAF_HOME", str(tmp_path))
    for path in (
        places.own_tables_path(),
        places.own_pantry_path(),
        places.own_formulas_path(),
        places.drafts_path(),
    ):
        assert path.parent == tmp_path
    assert places.own_table_folders() == () and places.own_formulas() == ()
    (tmp_path / "tables").mkdir()
    (tmp_path / "formulas").mkdir()
    for name in ("b.toml", "a.toml", "c.txt"):
        (tmp_path / "formulas" / name).write_text("")
    assert places.own_table_folders() == (tmp_path / "tables",)
    assert [path.name for path in places.own_formulas()] == ["a.toml", "b.toml"]


def test_a_relative_home_and_a_tilde(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("OTHERLOAF_HOME", "stick")
    assert places.own_pantry_path() == tmp_path / "stick" / "pantry.toml"
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("OTHERLOAF_HOME", "~/x")
    assert places.own_pantry_path() == tmp_path / "x" / "pantry.toml"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="XDG folders")
def test_xdg_folders_are_honoured(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """XDG Base Directory Specification: configuration, data and state each have a folder of their own."""
    monkeypatch.setenv("OTHERLOAF_HOME", "")
    for name in ("CONFIG", "DATA", "STATE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path / name))
    assert places.own_tables_path() == tmp_path / "CONFIG" / "otherloaf" / "tables"
    assert places.own_pantry_path() == tmp_path / "DATA" / "otherloaf" / "pantry.toml"
    assert places.own_formulas_path() == tmp_path / "DATA" / "otherloaf" / "formulas"
    assert places.drafts_path() == tmp_path / "STATE" / "otherloaf" / "drafts"


def test_samples_are_found_by_name() -> None:
    names = [sample.name for sample in places.samples()]
    assert "hut_everyday_loaf.toml" in names and names == sorted(names)
    for text in (
        "hut_everyday_loaf",
        "hut everyday loaf",
        "Hut-Everyday-Loaf.toml",
        "sample_formulas/hut_everyday_loaf.toml",
    ):
        found = places.sample_named(text)
        assert found is not None and found.name == "hut_everyday_loaf.toml"
    assert places.sample_named("no such loaf") is None


def test_a_folder_is_made_or_the_fault_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "pantry.toml"
    assert places.with_folder(path) == path and path.parent.is_dir()
    path.write_text("")
    with pytest.raises(InputProblem, match="cannot be made"):
        places.with_folder(path / "c" / "d")


def test_reading_a_formula_loads_nothing_heavy(tmp_path: Path) -> None:
    code = (
        "import sys; from adapter.formula.catalogue import load_catalogue;"
        "from adapter.files import places, formula_file;"
        "formula_file.read_sample(places.samples()[0], load_catalogue());"
        "print([m for m in ('textual', 'rich', 'pint', 'numpy', 'highspy', 'tomlkit', 'rapidfuzz', 'platformdirs')"
        " if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=tmp_path)
    assert done.stdout.strip() == "[]"
