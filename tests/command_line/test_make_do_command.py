"""`make-do`: the best set of swaps for a pantry, and the formula that comes of it."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import pytest

Data = Callable[..., Any]


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """The hut's own store, as a file."""
    with as_file(files("sample_formulas") / "pantry.toml") as path:
        copy = tmp_path / "store.toml"
        copy.write_bytes(path.read_bytes())
    return copy


def test_the_hut_loaf_is_baked_from_the_store(data: Data, store: Path) -> None:
    found = data("make-do", "hut_everyday_loaf", "--pantry", store, "--json")
    assert {"swaps", "moved", "short", "drift", "changes", "lines", "readings"} <= set(found)
    assert found["swaps"] and found["short"] == []
    assert 0 < found["drift"] < 5
    whey = sum(line["grams"] for line in found["lines"] if line["ingredient"] == "sour whey")
    assert whey <= 200  # what the store holds
    assert all(swap["out"] and swap["notice"] and swap["why"] for swap in found["swaps"])
    assert found["ways"][0]["lines"] == found["lines"]


def test_what_is_saved_reads_the_same(data: Data, ok: Callable[..., str], store: Path, tmp_path: Path) -> None:
    saved = tmp_path / "from_the_store.toml"
    found = data("make-do", "hut_everyday_loaf", "--pantry", store, "--save", saved, "--name", "June loaf", "--json")
    again = data("balance", saved, "--json")
    assert again["formula"]["name"] == "June loaf"
    assert again["readings"] == found["readings"]
    assert again["lines"] == found["lines"]
    assert 'kind = "pantry"' in saved.read_text(encoding="utf-8")
    ok("export", saved, tmp_path / "card.md")
    assert "June loaf" in (tmp_path / "card.md").read_text(encoding="utf-8")


def test_text_names_each_swap_and_what_is_short(ok: Callable[..., str], store: Path) -> None:
    text = ok("make-do", "sunday_currant_rolls", "--pantry", store)
    assert "→" in text and "of 160 g in store" in text and "Proven the best" in text
    bare = store.with_name("bare.toml")
    bare.write_text('[pantry]\nname = "bare"\n[[stock]]\ningredient = "bread flour"\n', encoding="utf-8")
    text = ok("make-do", "sunday_currant_rolls", "--pantry", bare)
    assert "Still short of" in text and "These cannot all be had" not in text and "cannot be had: from bare" in text


def test_held_lines_stay(data: Data, store: Path) -> None:
    found = data("make-do", "hut_everyday_loaf", "--pantry", store, "--hold", "line:sugar beet syrup", "--json")
    assert [line["grams"] for line in found["lines"] if line["ingredient"] == "sugar beet syrup"] == [70]
    assert [item["ingredient"] for item in found["short"]] == ["sugar beet syrup"]


def test_without_a_pantry_one_line_says_so(refused: Callable[..., str], plain: Path) -> None:
    """A sample has the sample store; a formula of one's own only what is in one's own pantry."""
    assert "pantry" in refused("make-do", plain)


def test_a_sample_is_made_from_the_sample_store(data: Data, store: Path) -> None:
    assert data("make-do", "hut_everyday_loaf", "--json") == data(
        "make-do", "hut_everyday_loaf", "--pantry", store, "--json"
    )
