"""The exported comparison: the numbers of the report in every form, and no name that could do anything."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest

from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import READING_KEYS
from adapter.exports.comparison_csv import comparison_rows
from adapter.exports.comparison_json import comparison_json
from adapter.exports.comparison_markdown import comparison_markdown
from adapter.files.formula_file import read_sample
from adapter.files.pantry_file import read_sample_pantry
from adapter.files.places import sample_named, sample_pantry
from adapter.formula.model import Formula, Line
from adapter.formula.pantry import Pantry
from adapter.swaps.comparison import compared, needs
from adapter.words.reports import compare_report
from adapter.words.text_report import figure_text


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return load_kitchen()


@pytest.fixture(scope="module")
def hut_loaf(kitchen: Kitchen) -> Formula:
    sample = sample_named("hut everyday loaf")
    assert sample is not None
    return read_sample(sample, kitchen.catalogue)


@pytest.fixture(scope="module")
def variants(kitchen: Kitchen, hut_loaf: Formula) -> tuple[Measured, ...]:
    lines = tuple(
        Line("yoghurt", 120.0, line.stage) if line.ingredient == "sour whey" else line for line in hut_loaf.lines
    )
    return compared(kitchen, [hut_loaf, replace(hut_loaf, name="with yoghurt", lines=lines)])


@pytest.fixture(scope="module")
def pantry(kitchen: Kitchen) -> Pantry:
    resource = sample_pantry()
    assert resource is not None
    return read_sample_pantry(resource, kitchen.catalogue)


def table_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_csv_has_the_values_and_changes_of_the_report(variants: tuple[Measured, ...], pantry: Pantry) -> None:
    report = compare_report(variants)
    rows = {row["name"]: row for row in table_of(comparison_rows(variants, pantry)) if row["what"] == "reading"}
    assert list(rows) == list(READING_KEYS)
    name = "with yoghurt"
    for key, row in rows.items():
        assert float(row["Hut everyday loaf"]) == report["variants"][0]["readings"][key]["value"]
        assert float(row[name]) == report["variants"][1]["readings"][key]["value"]
        change = report["differences"][0][key]
        assert float(row[f"{name}: change"]) == change["change"]
        assert float(row[f"{name}: spread of the change"]) == change["spread"]
        assert (row[f"{name}: clear"] == "clear") == change["clear"]


def test_csv_has_every_line_by_stage(variants: tuple[Measured, ...]) -> None:
    rows = [row for row in table_of(comparison_rows(variants, None)) if (row["what"], row["unit"]) == ("line", "g")]
    for number, variant in enumerate(variants):
        column = ("Hut everyday loaf", "with yoghurt")[number]
        found = [(row["stage"], row["name"], float(row[column])) for row in rows if row[column]]
        assert sorted(found) == sorted((line.stage, line.ingredient, line.grams) for line in variant.formula.lines)


def test_csv_says_what_must_be_bought_only_with_a_pantry(variants: tuple[Measured, ...], pantry: Pantry) -> None:
    bought = [row for row in table_of(comparison_rows(variants, pantry)) if row["what"] == "to buy"]
    assert [row["name"] for row in bought] == [need.ingredient for need in needs(variants, pantry)]
    whey = next(row for row in bought if row["name"] == "sour whey")
    assert float(whey["Hut everyday loaf"]) == 320 - pantry.grams_of("sour whey") and float(whey["with yoghurt"]) == 0
    assert not any(row["what"] == "to buy" for row in table_of(comparison_rows(variants, None)))


def test_csv_is_rectangular(variants: tuple[Measured, ...], pantry: Pantry) -> None:
    rows = list(csv.reader(io.StringIO(comparison_rows(variants, pantry))))
    assert {len(row) for row in rows} == {len(rows[0])}


def test_json_is_the_report(variants: tuple[Measured, ...]) -> None:
    assert json.loads(comparison_json(variants)) == compare_report(variants)


def test_markdown_has_each_reading_and_says_what_is_not_clear(variants: tuple[Measured, ...], pantry: Pantry) -> None:
    report = compare_report(variants)
    text = comparison_markdown(variants, pantry)
    for key in READING_KEYS:
        value = report["variants"][1]["readings"][key]["value"]
        change = report["differences"][0][key]
        cell = f"| {figure_text(key, value)}"
        row = next(line for line in text.splitlines() if cell in line)
        assert row.count("|") == 4
        if change["change"] and not change["clear"]:
            assert any("no clear change" in line and cell in line for line in text.splitlines())
    assert "## To buy" in text and "| sour whey | 120 g |" in text


# OWASP, CSV Injection; CommonMark 0.31, section 6: what a name must not become.
@pytest.mark.parametrize("name", ["=1+1", "@cmd", "| a | b |", "<script>x</script>", "[x](http://y)", "# head"])
def test_hostile_names_stay_names(name: str, kitchen: Kitchen) -> None:
    flour = (Line("wholemeal rye flour", 100.0, stage=name), Line("water", 80.0))
    variants = compared(kitchen, [Formula("plain", flour), Formula(name, flour)])
    heads = next(csv.reader(io.StringIO(comparison_rows(variants, None))))
    assert heads[5].lstrip("'") == name and (heads[5][0] == "'") == (name[0] in "=@")
    text = comparison_markdown(variants, None)
    assert "<script>" not in text and "[x](" not in text
    tables = [line for line in text.splitlines() if line.startswith("|")]
    assert {line.replace(r"\|", "").count("|") for line in tables} == {4}
