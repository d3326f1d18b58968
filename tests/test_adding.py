"""A table, a command, an export: each is one module, and everything that lists them finds it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from adapter.command_line import command, commands, main
from adapter.dough import tables
from adapter.dough.readings.measured import Measured
from adapter.formula.problems import InputProblem
from adapter.work.checking import check_tables, laid_over


@pytest.fixture
def beside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[object, str, str], None]]:
    """beside(package, "name", text): one more module of a package, for one test."""
    import sys

    from adapter.exports import forms

    lists = (command.command_names, forms.formula_forms, forms.comparison_forms)
    known = set(sys.modules)

    def added(package: object, name: str, text: str) -> None:
        folder = tmp_path / "more"
        folder.mkdir(exist_ok=True)
        (folder / f"{name}.py").write_text(text)
        monkeypatch.setattr(package, "__path__", [*package.__path__, str(folder)])  # type: ignore[attr-defined]
        for found in lists:
            found.cache_clear()

    yield added
    for name in set(sys.modules) - known:
        if str(getattr(sys.modules[name], "__file__", "")).startswith(str(tmp_path)):
            del sys.modules[name]
    for found in lists:
        found.cache_clear()


COMMAND = """
from adapter.command_line.command import Command

def options(parser):
    parser.add_argument("--loud", action="store_true")

def run(options):
    return "GOOD MORNING" if options.loud else "good morning"

COMMAND = Command("greets the baker", options, run)
"""


def test_a_command(beside: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    beside(commands, "good_morning", COMMAND)
    assert main(["good-morning", "--loud"]) == 0
    assert capsys.readouterr().out == "GOOD MORNING\n"
    with pytest.raises(SystemExit):
        main(["--help"])
    assert "good-morning greets the baker" in " ".join(capsys.readouterr().out.split())
    with pytest.raises(SystemExit):
        main(["good-morning", "--help"])
    assert "--loud" in capsys.readouterr().out
    assert main(["good-morning", "--quiet"]) == 2


EXPORT = """
from adapter.exports.form import FormulaForm

FORM = FormulaForm(".names", "names for a shopping list", 999, lambda measured, _: "\\n".join(
    line.ingredient for line in measured.formula.lines) + "\\n")
"""


def test_an_export(
    beside: Callable[..., None], read: Callable[..., Measured], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import adapter.exports
    from adapter.exports.forms import export_file, formula_forms

    beside(adapter.exports, "names", EXPORT)
    assert formula_forms()[-1].title == "names for a shopping list"
    path = tmp_path / "loaf.names"
    export_file(read({"wholemeal rye flour": 500, "water": 400}), path)
    assert path.read_text() == "wholemeal rye flour\nwater\n"
    with pytest.raises(SystemExit):
        main(["export", "--help"])
    assert ".names: names for a shopping list" in " ".join(capsys.readouterr().out.split())
    with pytest.raises(InputProblem, match=r"\.names"):
        export_file(read({"wholemeal rye flour": 500}), tmp_path / "loaf.nothing")


def unlisted_exports() -> list[str]:
    """Modules of the exports that have no FORM and that no other module uses."""
    import ast
    from importlib import import_module
    from pkgutil import iter_modules

    import adapter
    import adapter.exports

    used: set[str] = set()
    for path in Path(adapter.__path__[0]).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                used |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    names = [f"adapter.exports.{module.name}" for module in iter_modules(adapter.exports.__path__)]
    return [name for name in names if name not in used and not hasattr(import_module(name), "FORM")]


def test_an_export_without_its_form_is_told(beside: Callable[..., None]) -> None:
    import adapter.exports

    assert unlisted_exports() == [], "has no FORM, so nothing lists it"
    beside(adapter.exports, "names", EXPORT.replace("FORM =", "FORMS ="))
    assert unlisted_exports() == ["adapter.exports.names"]


TABLE = """
from dataclasses import dataclass
from adapter.formula.row import keys_of
from adapter.formula.tables import Table

TABLE = Table("knives.toml", "knife", "knives")
TABLES = (TABLE,)

@dataclass(frozen=True)
class Knife:
    name: str
    length_cm: float

def load_knives(own_folders):
    def knife(row):
        row.known_keys(keys_of(Knife))
        return Knife(row.text("name"), row.number("length_cm", low=5, high=60))
    return TABLE.load(own_folders, knife)
"""


def test_a_table(beside: Callable[..., None], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OTHERLOAF_HOME", str(tmp_path))
    folder = tmp_path / "tables"
    folder.mkdir()
    own = folder / "knives.toml"
    own.write_text('[[knife]]\nname = "bread"\nlength_cm = 25\n')
    with pytest.raises(InputProblem, match=r"knives\.toml: is no table"):
        check_tables()
    beside(tables, "knives", TABLE)
    assert [table.said for table in laid_over()].count("knives") == 1
    check_tables()
    from importlib import import_module

    load = import_module("adapter.dough.tables.knives").load_knives
    assert load([folder])[0].length_cm == 25
    good = own.read_text()
    for text, said in (
        ('[[knive]]\nname = "x"\n', "'knive' is no table of this file"),
        (good * 2, "stands here twice"),
        (good + 'edge = "x"\n', "edge is not a key of this table"),
        (good.replace("25", "250"), "length_cm = 250 is out of range"),
    ):
        own.write_text(text)
        with pytest.raises(InputProblem, match=said):
            load([folder])
