"""What is marked to be baked together, kept as text and found again."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from adapter.work.formula_list import SAMPLE, Entry, file_entries, named_entry
from adapter.work.several import Several, kept_again, kept_text


def test_counts_wishes_and_the_day_are_found_again(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text('[formula]\nname = "Own"\n')
    entries = file_entries([])
    sample = next(entry for entry in entries if entry.group == SAMPLE)
    several = Several({sample: 9, named_entry(own): 4}, by=date(2031, 6, 16))
    several.asked = replace(several.asked, without=("nuts",), aims=("salt=1.6",))
    text = kept_text(several)
    assert kept_again(text, entries) == several
    own.unlink()  # what is gone is left out, the rest stays
    assert kept_again(text, entries).counts == {sample: 9}


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "{}", "1", '{"counts": 3}', json.dumps({"counts": [["raisin_malt_loaf.toml", 1e999]], "by": None})],
)
def test_text_of_another_shape_marks_nothing(text: str) -> None:
    assert kept_again(text, list[Entry]()) == Several()
