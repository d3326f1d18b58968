"""Entries whose parts are parsed when asked for: the same as parsed at once, with the same faults."""

from __future__ import annotations

from typing import Any

import pytest
import tomli

from adapter.formula.catalogue import ON_DEMAND, load_catalogue
from adapter.formula.entries import entries_of_text
from adapter.formula.on_demand import OnDemand
from adapter.formula.problems import InputProblem
from adapter.formula.tables import items_of, shipped_tables

TEXT = """# two entries
[[loaf]]
name = "rye"
[loaf.crust]  # brown
minutes = 3
[loaf.crumb]
holes = 12
note = "[loaf.crust]"
[[loaf]]
name = "wheat"
[loaf.crust]
minutes = 5
[other]
x = 1
"""


def entries(text: str) -> dict[str, Any]:
    return entries_of_text(text, "loaves.toml", "loaf", ("crust",))


def parsed(value: object) -> object:
    if isinstance(value, OnDemand):
        return parsed(value())
    if isinstance(value, dict):
        return {key: parsed(item) for key, item in value.items()}
    return [parsed(item) for item in value] if isinstance(value, list) else value


def test_only_the_named_part_waits() -> None:
    rye, wheat = entries(TEXT)["loaf"]
    assert isinstance(rye["crust"], OnDemand) and isinstance(wheat["crust"], OnDemand)
    assert rye["crumb"]["holes"] == 12 and wheat["crust"]() == {"minutes": 5}


@pytest.mark.parametrize(
    "text",
    [
        TEXT,
        "",
        "x = 1\n",
        TEXT.replace("[[loaf]]", "[[ loaf ]]", 1),
        TEXT.replace('note = "[loaf.crust]"', 'note = """\n[loaf.crust]\nminutes = 9\n[[loaf]]\n"""'),
        TEXT.replace("[loaf.crust]  # brown\nminutes = 3", "crust.minutes = 3"),
        TEXT.replace("\n", "\r\n"),
    ],
)
def test_parsed_part_by_part_a_text_is_as_parsed_at_once(text: str) -> None:
    assert parsed(entries(text)) == tomli.loads(text)


def test_the_shipped_ingredients_are_the_same_part_by_part() -> None:
    for path in items_of(shipped_tables() / "ingredients"):
        if path.name.endswith(".toml"):
            text = path.read_text(encoding="utf-8")
            split = entries_of_text(text, path.name, "ingredient", ON_DEMAND)
            assert parsed(split) == tomli.loads(text), path.name


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [("minutes = 5", "minutes = ", 12), ("holes = 12", "holes 12", 7), ("minutes = 3", "minutes = 3\nminutes = 4", 6)],
)
def test_a_fault_names_the_line_of_the_file(old: str, new: str, line: int) -> None:
    with pytest.raises(InputProblem) as caught:
        parsed(entries(TEXT.replace(old, new)))
    assert f"text line {line}" in str(caught.value) and "loaves.toml" in str(caught.value)


def test_the_contents_of_a_shipped_ingredient_are_read_when_asked_for() -> None:
    kefir = load_catalogue().get("kefir")
    assert kefir.figure("water") > 80 and kefir.figures is kefir.contents().figures
