"""`read`: the shape of its JSON, the formula it writes, and what it refuses."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

TEXT = """Porch loaf
Makes 2 loaves

For the soaker:
50 g linseed
100 g water

For the dough:
all of the soaker
500 g strong white flour
300 g water
10 g salt
7 g instant yeast
2 tbsp molasses or honey
flour for dusting

Method
Prove at 26 °C for an hour. Bake in a 2 lb tin at 220 °C, then 200 °C, to 96 °C inside.
"""


@pytest.fixture
def text(tmp_path: Path) -> Path:
    path = tmp_path / "porch.txt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_the_shape_of_its_json(data: Callable[..., Any], text: Path) -> None:
    read = data("read", text)
    assert set(read) == {"formulas", "unsure"}
    (formula,) = read["formulas"]
    assert set(formula) == {"name", "pieces", "lines", "proof", "bake", "tin", "notes"}
    assert (formula["name"], formula["pieces"]) == ("Porch loaf", 2)
    assert formula["proof"] == {"temperature_c": 26}
    assert formula["bake"] == {"oven_c": [220, 200], "core_c": 96}
    assert formula["tin"]["length_cm"] == 23
    keys = {
        "text", "stage", "name", "ingredient", "amount_low", "amount_high", "unit", "grams", "sure", "reference",
        "note",
    }  # fmt: skip
    assert all(set(line) == keys for line in formula["lines"])
    assert [line["text"] for line in formula["lines"]] == [
        row for row in TEXT.split("\n\nMethod")[0].splitlines()[3:] if row and not row.endswith(":")
    ]
    reference = formula["lines"][2]
    assert (reference["reference"], reference["grams"], reference["sure"]) == (True, None, True)
    asked = {item["text"]: item for item in read["unsure"]}
    assert asked["2 tbsp molasses or honey"]["candidates"] == ["molasses", "honey"]
    assert all(set(item) == {"formula", "text", "why", "candidates"} for item in read["unsure"])


def test_it_writes_a_formula_that_balances(ok: Callable[..., str], data: Callable[..., Any], text: Path) -> None:
    out = text.with_name("porch.toml")
    assert "porch.toml written" in ok("read", text, "-o", out)
    formula = data("balance", out)
    assert formula["formula"]["name"] == "Porch loaf"
    assert [line["stage"] for line in formula["lines"]][:3] == ["soaker", "soaker", "dough"]
    written = out.read_text(encoding="utf-8")
    assert "flour for dusting" in written, "what is not weighed stays in the note"
    assert "oven_c = 200" in written


def test_text_for_people_marks_what_is_asked(ok: Callable[..., str], text: Path) -> None:
    shown = ok("read", text)
    assert "? dough" in shown
    assert "To be asked:" in shown
    assert "more than one ingredient is named: molasses, honey (perhaps molasses, honey)" in shown


def test_strict_lists_what_is_unsure(refused: Callable[..., str], ok: Callable[..., str], text: Path) -> None:
    out = text.with_name("porch.toml")
    said = refused("read", text, "--strict", "-o", out)
    assert "molasses or honey" in said
    assert not out.exists()
    text.write_text("Plain\n\n500 g bread flour\n300 g water\n10 g salt\n7 g instant yeast\n", encoding="utf-8")
    assert "Nothing is in doubt." in ok("read", text, "--strict")


def test_cups_from_the_option(data: Callable[..., Any], tmp_path: Path) -> None:
    path = tmp_path / "cup.txt"
    path.write_text("1 cup water\n500 g flour\n", encoding="utf-8")
    grams = {cups: data("read", path, "--cups", cups)["formulas"][0]["lines"][0]["grams"] for cups in ("us", "metric")}
    assert grams == {"us": pytest.approx(236.6, abs=0.5), "metric": pytest.approx(250, abs=0.5)}


def test_a_recipe_pasted_on_standard_input(data: Callable[..., Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(TEXT.encode())))
    assert data("read", "-")["formulas"][0]["name"] == "Porch loaf"


def test_what_is_refused(refused: Callable[..., str], text: Path, tmp_path: Path) -> None:
    assert "no such file" in refused("read", tmp_path / "none.txt")
    assert "ends with .toml" in refused("read", text, "-o", tmp_path / "loaf.md")
    assert "invalid choice" in refused("read", text, "--cups", "roman")
    noflour = tmp_path / "soup.txt"
    noflour.write_text("Soup\n\n500 g water\n10 g salt\n", encoding="utf-8")
    assert "no flour" in refused("read", noflour, "-o", tmp_path / "soup.toml")
    picture = tmp_path / "loaf.jpg"
    picture.write_bytes(bytes(range(256)) * 10)
    assert "is no text" in refused("read", picture)


def test_reading_loads_no_screen_and_no_solver(program: Callable[..., Any], text: Path) -> None:
    code = (
        "import sys; from adapter.command_line import main; main(['read', sys.argv[1], '--json']);"
        "print(sorted({'textual', 'rich', 'highspy', 'tomlkit'} & set(sys.modules)), file=sys.stderr)"
    )
    ran = program("-c", code, text, command=(sys.executable,))
    assert ran.stderr.decode().strip() == "[]"
