"""`adapt`: wishes on the command line, several bakes from one store, and bad input in one line."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import pytest

Data = Callable[..., Any]
Text = Callable[..., str]
LOAF = "hut_everyday_loaf"


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """The hut's own store, as a file."""
    with as_file(files("sample_formulas") / "pantry.toml") as path:
        copy = tmp_path / "store.toml"
        copy.write_bytes(path.read_bytes())
    return copy


def grams(way: Any, name: str) -> float:
    return float(sum(line["grams"] for line in way["lines"] if line["ingredient"] == name))


def test_ways_have_the_shape_that_is_promised(data: Data, store: Path) -> None:
    found = data("adapt", LOAF, "--pantry", store, "--without", "milk", "--aim", "sweetness=-30%", "--ways", "2")
    assert len(found["ways"]) == 2
    for way in found["ways"]:
        assert {"swaps", "lines", "readings", "allergens", "drift", "price", "short", "missed", "proven", "gap"} <= set(
            way
        )
        assert way["proven"] is True and way["gap"] == 0 and way["short"] == [] and way["missed"] == []
        assert "milk" not in way["allergens"]
        for swap in way["swaps"]:
            assert {"rule", "out", "into", "notice", "why"} <= set(swap)
            for item in swap["into"]:
                assert grams(way, item["ingredient"]) >= item["grams"] - 0.5
    before = data("balance", LOAF)["readings"]["sweetness"]["value"]
    for way in found["ways"]:
        assert round(way["readings"]["sweetness"]["value"], 1) == round(0.7 * before, 1)
    first, second = ({swap["name"] for swap in way["swaps"]} for way in found["ways"])
    assert first - second


def test_salt_to_a_value_and_sourness_held(data: Data) -> None:
    before = data("balance", LOAF)["readings"]
    (way,) = data("adapt", LOAF, "--aim", "salt=1.6", "--hold", "tta")["ways"]
    assert round(way["readings"]["salt"]["value"], 2) == 1.6
    assert way["readings"]["tta"]["value"] == pytest.approx(before["tta"]["value"], abs=0.05)


def test_rolls_without_egg_and_milk_from_the_store(data: Data, ok: Text, store: Path) -> None:
    (way,) = data("adapt", "sunday_currant_rolls", "--pantry", store, "--without", "egg", "milk")["ways"]
    assert not {"egg", "milk"} & set(way["allergens"])
    assert {"egg", "milk"} <= set(way["allergens_removed"])
    text = ok("adapt", "sunday_currant_rolls", "--pantry", store, "--without", "egg", "milk")
    assert "Nothing in it carries egg, milk" in text and "labels come first" in text


def test_what_is_saved_is_the_first_way(data: Data, store: Path, tmp_path: Path) -> None:
    saved = tmp_path / "wished.toml"
    found = data("adapt", LOAF, "--without", "milk", "--save", saved, "--name", "No milk")
    again = data("balance", saved)
    assert again["formula"]["name"] == "No milk"
    assert again["lines"] == found["ways"][0]["lines"]
    assert again["readings"] == found["ways"][0]["readings"]


def test_a_wish_that_cannot_be_says_so(ok: Text, data: Data) -> None:
    found = data("adapt", LOAF, "--aim", "ph=3.2")
    assert found["conflict"] == ["ph=3.2"]
    assert [miss["wish"] for miss in found["ways"][0]["missed"]] == ["ph=3.2"]
    text = ok("adapt", LOAF, "--aim", "ph=3.2")
    assert "! ph=3.2 is not met; the nearest is" in text and "This cannot be had: ph=3.2." in text
    assert "nothing stands in for" in ok("adapt", LOAF, "--without", "gluten")


def test_several_bakes_share_one_store(data: Data, ok: Text, store: Path) -> None:
    names = {LOAF: 3, "sunday_currant_rolls": 2, "hollin_mixed_rye": 1}
    words = [f"{name}={count}" for name, count in names.items()]
    found = data("adapt", *words, "--pantry", store, "--by", "2031-06-16")
    assert [(bake["count"]) for bake in found["bakes"]] == list(names.values())
    assert {"swaps", "lines", "readings", "missed", "short"} <= set(found["bakes"][0])
    assert isinstance(found["proven"], bool) and found["gap"] >= 0
    assert all(item["grams"] > 0 for item in found["buy"])
    text = ok("adapt", *words, "--pantry", store)
    assert "3 × " in text and ("To buy: " in text or "Nothing has to be bought." in text)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--without", "dairi"], "dairy"),
        (["--aim", "saltt=1.6"], "nearest: salt"),
        (["--aim", "salt=lots"], "is no wish"),
        (["--aim", "salt=1.6", "--hold", "salt"], "contradicts"),
        (["--aim", "salt=1.2", "salt=1.8"], "contradict each other"),
        (["--without", "rye sourdough", "--keep", "rye sourdough"], "kept and ruled out"),
        (["--keep", "butter"], "is not in"),
        (["--ways", "0"], "1 to 9"),
        (["--ways", "99"], "1 to 9"),
        (["--most-swaps", "-1"], "0 to 30"),
        (["--seconds", "0"], "0.05 to 600"),
        (["--pin", "hay > straw"], "is none of those"),
        (["--pantry", "nowhere.toml"], "nowhere.toml"),
        (["--aim", "price=..3"], "needs a store"),
    ],
)
def test_bad_wishes_are_one_line(words: list[str], said: str, refused: Text) -> None:
    assert said in refused("adapt", LOAF, *words)


def test_the_store_that_is_not_named_is_that_of_the_samples_or_your_own(data: Data, refused: Text, plain: Path) -> None:
    assert data("adapt", LOAF, "--pantry")["ways"] == data("adapt", LOAF, "--pantry", "sample")["ways"]
    assert "no store of your own" in refused("adapt", plain, "--pantry")


@pytest.mark.parametrize("count", ["0", "-1", "1000000", "many", "1.5", ""])
def test_bad_counts_are_one_line(count: str, refused: Text, store: Path) -> None:
    assert "adapt" in refused("adapt", f"{LOAF}={count}", "--pantry", store)


def test_several_bakes_take_aims_and_are_saved_into_a_folder(data: Data, ok: Text, store: Path, tmp_path: Path) -> None:
    words = [f"{LOAF}=2", "sunday_currant_rolls=1", "--pantry", store, "--without", "milk", "--keep", "cinnamon"]
    found = data("adapt", *words, "--aim", "sweetness=-20%", "--save", tmp_path)
    names = [f"{LOAF}.toml", "sunday_currant_rolls.toml"]
    assert [Path(name).name for name in found["saved"]] == names
    for bake, name in zip(found["bakes"], names, strict=True):
        again = data("balance", tmp_path / name)
        assert again["lines"] == bake["lines"] and "milk" not in bake["allergens"]
        before = data("balance", name.removesuffix(".toml"))["readings"]["sweetness"]["value"]
        assert not bake["missed"]
        assert round(bake["readings"]["sweetness"]["value"], 1) == round(0.8 * before, 1)
    text = ok("adapt", f"{LOAF}=1", "spelt_hearth_loaf=1", "--pantry", store, "--without", "gluten")
    assert "nothing stands in for" in text and "Hut everyday loaf" in text


def test_what_is_for_one_formula_is_refused_for_several(refused: Text, store: Path, tmp_path: Path) -> None:
    several = ("adapt", f"{LOAF}=2", "--pantry", store)
    assert "store" in refused("adapt", f"{LOAF}=2")
    assert "into a folder" in refused(*several, "--save", tmp_path / "x.toml")
    (tmp_path / f"{LOAF}.toml").write_text("")
    assert "is there already" in refused(*several, "--save", tmp_path)
    assert "no date" in refused(*several, "--by", "soon")
    assert "--ways is for one" in refused(*several, "--ways", "2")
    assert "is not in" in refused(*several, "--keep", "walnuts")
    assert "several bakes" in refused("adapt", LOAF, "--pantry", store, "--by", "2031-06-16")


def test_an_empty_store_and_one_with_nothing_that_raises(data: Data, tmp_path: Path, store: Path) -> None:
    empty = tmp_path / "empty.toml"
    empty.write_text('[pantry]\nname = "empty"\n')
    found = data("adapt", LOAF, "--pantry", empty)
    assert found["conflict"] == ["from empty"] and found["ways"][0]["short"]
    flat = tmp_path / "flat.toml"
    flat.write_text("\n".join(part for part in store.read_text().split("\n\n") if "yeast" not in part))
    assert "yeast" not in flat.read_text()
    (way,) = data("adapt", "sunday_currant_rolls", "--pantry", flat)["ways"]
    left = grams(way, "fresh yeast")
    swapped = any(item["ingredient"] == "fresh yeast" for swap in way["swaps"] for item in swap["out"])
    assert (swapped and left == 0) or "fresh yeast" in [item["ingredient"] for item in way["short"]]
