"""Exports: tables that a spreadsheet cannot be tricked by, JSON-LD that schema.org knows, the same numbers in each."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from dataclasses import replace
from datetime import datetime, tzinfo
from pathlib import Path

import pytest
from folders import names_in
from formula_strategies import CATALOGUE, formulas
from hypothesis import given, settings
from hypothesis import strategies as st

from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.exports import calendar_ics
from adapter.exports.form import ComparisonForm, FormulaForm
from adapter.exports.forms import comparison_forms, export_file, export_text, formula_forms
from adapter.exports.formula_csv import COLUMNS, csv_text, formula_csv
from adapter.exports.json_ld import recipe_data, recipe_json_ld
from adapter.files.formula_file import formula_from_text, read_formula, read_sample
from adapter.files.places import sample_named
from adapter.files.stamp import MISSING
from adapter.formula.model import Adapted, Formula, Line, Proof
from adapter.formula.problems import InputProblem
from adapter.words.reader_card import reader_card
from adapter.words.reports import balance_report

steady = settings(deadline=None, max_examples=30)


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return load_kitchen()


@pytest.fixture(scope="module")
def loaf(kitchen: Kitchen) -> Measured:
    sample = sample_named("hut everyday loaf")
    assert sample is not None
    return measure(kitchen, read_sample(sample, kitchen.catalogue))


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_the_table_says_what_the_balance_says(loaf: Measured) -> None:
    rows = rows_of(formula_csv(loaf))
    report = balance_report(loaf)
    lines = [row for row in rows if row["what"] == "line"]
    assert [(row["stage"], row["name"]) for row in lines] == [(x["stage"], x["ingredient"]) for x in report["lines"]]
    assert [float(row["grams"]) for row in lines] == [line["grams"] for line in report["lines"]]
    assert [float(row["percent_of_flour"]) for row in lines] == [line["percent"] for line in report["lines"]]
    readings = {row["name"]: row for row in rows if row["what"] == "reading"}
    assert list(readings) == list(READING_KEYS)
    for key, reading in report["readings"].items():
        assert float(readings[key]["value"]) == reading["value"]
        assert float(readings[key]["spread"]) == reading["spread"]


def test_rfc_4180(loaf: Measured) -> None:
    text = formula_csv(loaf)
    assert text.startswith(",".join(COLUMNS) + "\r\n") and text.endswith("\r\n")
    assert text.count("\n") == text.count("\r\n")
    assert csv_text([["a,b", 'say "x"', 1.5, None, 480.0]]) == '"a,b","say ""x""",1.5,,480\r\n'


# OWASP, CSV Injection: the characters that start a formula.
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r=", "  =", "\u200b=", "\x00=", "＝", "＋", "－", "＠"])
def test_text_that_a_spreadsheet_would_run_is_defused(start: str, kitchen: Kitchen) -> None:
    evil = start + 'HYPERLINK("http://x","y")'
    flour = Line("wholemeal rye flour", 100.0, stage=evil, note=evil)
    rows = rows_of(formula_csv(measure(kitchen, Formula(evil, (flour, Line("water", 80.0))))))
    assert rows[0]["stage"].startswith("'") and rows[0]["note"].startswith("'")


@given(
    st.lists(st.lists(st.text() | st.floats(allow_nan=False, allow_infinity=False) | st.none(), min_size=2), max_size=4)
)
@steady
def test_no_cell_of_text_starts_a_formula_and_numbers_stay_numbers(rows: list[list[str | float | None]]) -> None:
    back = list(csv.reader(io.StringIO(csv_text(rows))))
    assert len(back) == len(rows)
    for written, read in zip(rows, back, strict=True):
        for before, after in zip(written, read, strict=True):
            if isinstance(before, float):
                assert float(after) == before
            else:
                assert not after.startswith(("=", "+", "-", "@", "\t", "\r")) and "\n" not in after


def test_a_recipe_as_schema_org_has_it(loaf: Measured) -> None:
    """Properties of https://schema.org/Recipe: Text for each of these, Recipe or its name for isBasedOn."""
    formula = replace(loaf.formula, adapted=Adapted("book </script>", loaf.formula.lines))
    text = recipe_json_ld(formula)
    assert "</" not in text
    data = json.loads(text)
    assert (data["@context"], data["@type"], data["name"]) == ("https://schema.org", "Recipe", formula.name)
    assert data["recipeIngredient"][0] == "120 g cracked rye"
    assert data["recipeIngredient"][2] == "160 g water, hot, after supper"
    assert len(data["recipeIngredient"]) == len(formula.lines)
    assert data["recipeYield"] == "1 tin loaf"
    assert data["isBasedOn"] == {"@type": "Recipe", "name": "book </script>"}
    known = {
        "@context",
        "@type",
        "name",
        "recipeYield",
        "recipeIngredient",
        "description",
        "isBasedOn",
        "recipeInstructions",
    }
    assert set(data) <= known


def test_nothing_is_invented() -> None:
    data = recipe_data(Formula("x", (Line("rye sourdough", 12.34, hydration=120.0),), pieces=3))
    assert data["recipeIngredient"] == ["12.34 g rye sourdough (120 % water)"] and data["recipeYield"] == "3 pieces"
    assert "description" not in data and "isBasedOn" not in data


def test_json_is_the_balance(loaf: Measured) -> None:
    assert json.loads(export_text(loaf, ".json")) == balance_report(loaf)


def test_the_formula_file_is_read_back(loaf: Measured) -> None:
    assert formula_from_text(export_text(loaf, ".TOML"), CATALOGUE, "x") == loaf.formula


@pytest.mark.parametrize("forms", [formula_forms(), comparison_forms()], ids=["of a formula", "of a comparison"])
def test_no_two_forms_have_the_same_suffix_title_or_place(forms: tuple[FormulaForm | ComparisonForm, ...]) -> None:
    for told in ("suffix", "title", "place"):
        values = [getattr(form, told) for form in forms]
        assert len(set(values)) == len(values), f"{told}: {values}"


class OneMoment(datetime):
    """A calendar tells the second at which it is written: two writings of one file must not fall in two seconds."""

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> OneMoment:
        return cls(2026, 11, 24, 9, 0, tzinfo=tz)


@pytest.mark.parametrize("suffix", [form.suffix for form in formula_forms()])
def test_every_form_is_written_whole(
    suffix: str, loaf: Measured, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(calendar_ics, "datetime", OneMoment)
    path = tmp_path / f"loaf{suffix}"
    export_file(loaf, path)
    assert path.read_bytes().decode("utf-8") == export_text(loaf, suffix)
    with pytest.raises(InputProblem, match="changed by another program"):
        export_file(loaf, path, stamp=MISSING)
    assert names_in(tmp_path) == [path.name]


@pytest.mark.parametrize("name", ["loaf.doc", "loaf", "loaf.", ".md", "loaf.\x1b[31m"])
def test_a_suffix_that_says_nothing(name: str, loaf: Measured, tmp_path: Path) -> None:
    with pytest.raises(InputProblem) as refused:
        export_file(loaf, tmp_path / name)
    assert [form.suffix for form in formula_forms() if form.suffix not in str(refused.value)] == []
    assert not names_in(tmp_path)


def test_exporting_over_a_persons_formula_keeps_its_comments(loaf: Measured, tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    path.write_text("# mine\n" + export_text(loaf, ".toml"))
    lines = [line.with_grams(line.grams + 1) for line in loaf.formula.lines]
    changed = measure(loaf.kitchen, loaf.formula.with_lines(lines))
    export_file(changed, path)
    assert path.read_text().startswith("# mine\n") and read_formula(path, CATALOGUE) == changed.formula


@settings(deadline=None, max_examples=25)
@given(formulas())
def test_any_formula_goes_out_in_every_form(formula: Formula) -> None:
    try:
        measured = measure(load_kitchen_once(), formula)
    except InputProblem:
        return
    goes_out_in_every_form(measured)


def goes_out_in_every_form(measured: Measured) -> None:
    """A text of every form; of a loaf that cannot be planned, one line in place of a timetable for a calendar."""
    for form in formula_forms():
        try:
            text = export_text(measured, form.suffix)
        except InputProblem as problem:
            assert form.for_calendars and str(problem).isprintable() and str(problem)
            assert reader_card(measured).times == ()
            continue
        assert text.endswith("\n") and text.encode("utf-8")


@pytest.mark.parametrize("rise_percent", [0.0, 5e-324, 7e-249, 1e-150])
@pytest.mark.parametrize("raised_by", ["fresh yeast", "rye sourdough"])
def test_a_proof_to_next_to_no_rise_goes_out_in_every_form(rise_percent: float, raised_by: str) -> None:
    lines = Line("white wheat flour", 500.0), Line("water", 300.0), Line(raised_by, 10.0)
    measured = measure(load_kitchen_once(), Formula("x", lines, proof=Proof(25.0, rise_percent)))
    assert measured.value("rise_time") >= 0.0 and math.isfinite(measured.value("pace"))
    goes_out_in_every_form(measured)


_KITCHENS: list[Kitchen] = []


def load_kitchen_once() -> Kitchen:
    if not _KITCHENS:
        _KITCHENS.append(load_kitchen())
    return _KITCHENS[0]


def test_json_ld_says_of_a_loaf_what_the_vocabulary_has(loaf: Measured) -> None:
    """Expanded by a JSON-LD processor with schema.org as vocabulary: every property is one of Recipe or HowToStep.

    Properties and their value types: https://schema.org/Recipe, https://schema.org/HowToStep (from memory).
    """
    from pyld import jsonld

    data = json.loads(export_text(loaf, ".jsonld"))
    data["@context"] = {"@vocab": "https://schema.org/"}  # as its own context maps them; nothing is fetched
    (recipe,) = jsonld.expand(data)
    schema = "https://schema.org/"
    assert recipe["@type"] == [f"{schema}Recipe"]
    known = ("name", "recipeYield", "recipeIngredient", "description", "isBasedOn", "recipeInstructions", "cookTime")
    assert {key for key in recipe if not key.startswith("@")} <= {schema + key for key in known}
    assert [item["@value"] for item in recipe[f"{schema}recipeIngredient"]] == data["recipeIngredient"]
    steps = recipe[f"{schema}recipeInstructions"]
    assert steps and all(step["@type"] == [f"{schema}HowToStep"] for step in steps)
    assert " ".join(step[f"{schema}text"][0]["@value"] for step in steps) == " ".join(loaf.formula.note.split())
    assert re.fullmatch(r"PT\d+M", recipe[f"{schema}cookTime"][0]["@value"])  # ISO 8601 duration
