"""balance, compare, why, ingredients, offers and export as text: what they say, and that they agree."""

from __future__ import annotations

import csv
import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from adapter.dough.readings.registry import READING_KEYS, label
from adapter.files.places import samples
from adapter.words.text_report import compare_text, figure_text, grams_text

Text = Callable[..., str]
Data = Callable[..., Any]
SAMPLES = [sample.name.removesuffix(".toml") for sample in samples()]


def test_balance_shows_every_line_and_reading_of_its_data(ok: Text, data: Data, plain: Path) -> None:
    text, found = ok("balance", plain), data("balance", plain)
    assert text.startswith("plain loaf: flour 1060 g, dough 1815 g\n")
    rows = {line.split("  ")[0].strip(): line for line in text.splitlines()}
    longest = max(map(label, READING_KEYS), key=len)  # alone with one blank behind it
    rows[longest] = next(line for line in text.splitlines() if line.startswith(longest))
    for line in found["lines"]:
        row = next(row for row in text.splitlines() if row.startswith(f"  {line['ingredient']} "))
        assert row.endswith(f"{grams_text(line['grams'])} g  {line['percent']:6.1f} %")
    for key, reading in found["readings"].items():
        row = rows[label(key)]
        assert figure_text(key, reading["value"]) in row, key
        assert figure_text(key, reading["spread"]) in row, key
        assert reading["unit"] in row, key
        assert ("band" in row) == (reading["band"] is not None), key
        assert "_" not in row, "a machine's key is no word for people"
    assert "Allergens: gluten: rye, gluten: wheat, milk." in text


def test_balance_says_what_is_outside_its_band(ok: Text, data: Data, written: Callable[..., Path]) -> None:
    path = written({"wholemeal rye flour": 500, "water": 400, "salt": 30, "fresh yeast": 5})
    assert any(text.startswith("salt 5.9 is above the band") for text in data("balance", path)["warnings"])
    row = next(row for row in ok("balance", path).splitlines() if row.startswith("salt "))
    assert row.endswith("outside")


def test_balance_of_what_nothing_raises(ok: Text, written: Callable[..., Path]) -> None:
    text = ok("balance", written({"wholemeal rye flour": 500, "water": 400}))
    row = next(row for row in text.splitlines() if row.startswith("rise time"))
    assert row.split()[2] == "–"
    assert "±" not in row
    assert "rise time has no end" in text
    assert "inf" not in text and "nan" not in text


@pytest.mark.parametrize("name", SAMPLES)
def test_every_sample_reads_by_its_name(data: Data, name: str) -> None:
    assert data("balance", name)["formula"]["flour_g"] > 0
    assert data("balance", name.replace("_", " ") + ".toml") == data("balance", name)


def test_every_sample_lies_in_its_bands_or_says_why(data: Data) -> None:
    for name in SAMPLES:
        assert [text for text in data("balance", name)["warnings"] if ": " not in text] == [], name


def test_a_file_comes_before_a_sample_of_its_name(
    data: Data, written: Callable[..., Path], dark: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    written({"wholemeal rye flour": 500, "water": 400}, file=dark, name="mine")
    monkeypatch.chdir(tmp_path)
    assert data("balance", dark)["formula"]["name"] == "mine"


def test_amounts_as_people_write_them(data: Data, tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    path.write_text(
        '[formula]\nname = "loaf"\n[[line]]\ningredient = "wholemeal rye flour"\namount = "0.5 lb"\n'
        '[[line]]\ningredient = "water"\namount = "1 1/2 cups"\n'
    )
    # 1 lb is 453.59237 g, a US cup 236.588 mL: NIST Handbook 44.
    lines = data("balance", path)["lines"]
    assert lines[0]["grams"] == pytest.approx(226.796185)
    assert lines[1]["grams"] == pytest.approx(354.88, rel=0.005)


def test_a_sourdough_of_another_hydration(data: Data, tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    text = '[formula]\nname = "loaf"\n[[line]]\ningredient = "rye sourdough"\ngrams = 300\nhydration = {}\n'
    found = {}
    for hydration in (100, 200):
        path.write_text(text.format(hydration))
        found[hydration] = data("balance", path)["formula"]["flour_g"]
    assert found[100] == pytest.approx(150, rel=1e-6)
    assert found[200] == pytest.approx(100, rel=1e-6)


# --- compare ------------------------------------------------------------------------------------------------------


def test_compare_reads_each_formula_as_balance_does(data: Data, plain: Path) -> None:
    files = [plain, *SAMPLES]
    compare = data("compare", *files)
    for path, variant in zip(files, compare["variants"], strict=True):
        balance = data("balance", path)
        assert variant["readings"] == balance["readings"], path
        assert variant["lines"] == balance["lines"], path


def test_one_file_has_nothing_to_be_compared_with(refused: Callable[..., str], plain: Path) -> None:
    assert "two or more files" in refused("compare", plain)


def test_compare_marks_clear_changes_and_no_others(ok: Text, data: Data, plain: Path, dark: str) -> None:
    found = data("compare", plain, dark)
    table = ok("compare", plain, dark).splitlines()[1 : 1 + len(READING_KEYS)]
    for key, row in zip(READING_KEYS, table, strict=True):
        assert row.startswith(label(key))
        change = found["differences"][0][key]
        visible = figure_text(key, abs(change["change"])) != figure_text(key, 0.0)
        assert row.endswith("!") == (change["clear"] and visible), key
    assert "the yeast's speed is against the book formula of each" in ok("compare", plain, dark)


def test_compare_of_variants_of_one_book_speaks_of_no_other(ok: Text, plain: Path, tmp_path: Path) -> None:
    saved = tmp_path / "saved.toml"
    ok("swap", plain, "--out", "honey", "--into", "malt syrup", "--save", saved)
    assert "book formula of each" not in ok("compare", plain, saved)


def test_formulas_of_the_same_name_go_by_their_files(ok: Text, plain: Path, tmp_path: Path) -> None:
    saved = tmp_path / "saved.toml"
    ok("swap", plain, "--out", "honey", "--into", "malt syrup", "--save", saved)
    head = ok("compare", plain, saved).splitlines()[0]
    assert "saved.toml" in head and "loaf.toml" in head


def test_long_names_keep_the_columns_apart(data: Data) -> None:
    found = data("compare", *SAMPLES[:2])
    for name, variant in zip("ab", found["variants"], strict=True):
        variant["name"] = "x" * 500 + name
    lines = compare_text(found).splitlines()
    assert lines[0].endswith("xa  …xxxxxxxxxxxxxxxxxxxxxxxxxxb")
    assert max(map(len, lines)) < 120
    ends = [line.rstrip(" !") for line in lines[1:20]]
    assert len({line.rindex("±") for line in ends if "±" in line}) <= 3, "one column under another, by the digits"


# --- why, ingredients, offers -------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", READING_KEYS)
def test_why_explains_every_reading(ok: Text, data: Data, plain: Path, key: str) -> None:
    text = ok("why", plain, key)
    value = data("balance", plain)["readings"][key]["value"]
    assert text.startswith(f"{label(key)} {figure_text(key, value).replace('−', '-')} ±"), "the number of the level"
    assert "What each line brings:" in text
    assert "How sure" in text
    assert "Tags: P published" in text


@pytest.mark.parametrize(
    ("typed", "key"),
    [("pH", "ph"), ("TTA", "tta"), ("effective hydration", "effective_hydration"), ("Rise-time", "rise_time")],
)
def test_why_takes_a_reading_as_people_write_it(ok: Text, plain: Path, typed: str, key: str) -> None:
    assert ok("why", plain, typed) == ok("why", plain, key)


def test_why_of_no_reading_lists_them_all(refused: Callable[..., str], plain: Path) -> None:
    line = refused("why", plain, "unknown")
    assert "'unknown'" in line
    for key in READING_KEYS:
        assert label(key) in line, "by the name that the screen and the command line show"


@pytest.mark.parametrize(
    ("words", "first"),
    [
        (["buttermilk"], "buttermilk"),
        (["whole", "wheat", "flour"], "wholemeal wheat flour"),
        (["VINEGAR", "cider"], "cider vinegar"),
        (["butermilk"], "buttermilk"),
    ],
)
def test_ingredients_are_found_by_name_alias_and_roughly(data: Data, words: list[str], first: str) -> None:
    assert first in [item["name"] for item in data("ingredients", *words)["ingredients"]]


def test_ingredients_are_found_by_kind(data: Data) -> None:
    found = data("ingredients", "acid liquid")["ingredients"]
    assert {"buttermilk", "kefir", "yoghurt"} <= {item["name"] for item in found}
    assert "honey" not in {item["name"] for item in found}


def test_ingredients_as_text(ok: Text, data: Data) -> None:
    lines = ok("ingredients").splitlines()
    names = [line.partition(":")[0] for line in lines if not line.startswith(" ")]
    assert names == [item["name"] for item in data("ingredients")["ingredients"]]
    row = next(number for number, line in enumerate(lines) if line.startswith("wine vinegar"))
    assert "vinegar" in lines[row] and "allergens: sulphites" in lines[row] and "white wine vinegar" in lines[row + 1]


def test_only_an_ingredient_that_stands_alone_tells_all_its_names(ok: Text, data: Data) -> None:
    of_many = next(line for line in ok("ingredients", "salt").splitlines() if "table salt" in line)
    (alone,) = (item for item in data("ingredients", "kosher", "salt")["ingredients"])
    assert of_many.endswith(f"and {len(alone['aliases']) - of_many.count(';') - 1} more")
    assert all(name in ok("ingredients", "kosher", "salt") for name in alone["aliases"])


@pytest.mark.parametrize("words", [["x" * 2000], ["[b]", "\x1b[31m"], ["*", "?", "("]])
def test_ingredients_of_strange_names(refused: Text, words: list[str]) -> None:
    line = refused("ingredients", *words)
    assert "nothing is called" in line and "nearest: " in line and len(line) < 300


def test_offers_name_their_lines_allergens_and_pantry(ok: Text, plain: Path, home: Path) -> None:
    home.mkdir()
    (home / "pantry.toml").write_text('[pantry]\n[[stock]]\ningredient = "malt syrup"\n')
    text = ok("offers", plain, "--line", "honey")
    malt = next(block for block in text.split("\n30 g honey →") if " g malt syrup" in block.splitlines()[0])
    assert "brings in: gluten: barley" in malt
    assert "in the pantry" in malt
    assert "short of" in text


def test_offers_of_a_line_that_is_not_there(refused: Callable[..., str], plain: Path) -> None:
    assert "nearest: yoghurt" in refused("offers", plain, "--line", "yoghurtt")
    assert "yoghurt is not in plain loaf" in refused("offers", plain, "--line", "yoghurt")


@pytest.mark.parametrize("command", ["balance", "offers"])
def test_a_pantry_that_cannot_be_read(refused: Callable[..., str], plain: Path, tmp_path: Path, command: str) -> None:
    assert "nowhere.toml" in refused(command, plain, "--pantry", tmp_path / "nowhere.toml")
    assert "no pantry" in refused(command, plain, "--pantry", plain)


def test_a_packets_figures_go_over_the_tables(data: Data, plain: Path, tmp_path: Path) -> None:
    pantry = tmp_path / "pantry.toml"
    pantry.write_text('[pantry]\n[[stock]]\ningredient = "buttermilk"\n[stock.packet]\nph = 4.3\ntta = 11\n')
    usual, own = data("balance", plain), data("balance", plain, "--pantry", pantry)
    assert own["readings"]["ph"]["value"] < usual["readings"]["ph"]["value"]
    assert own["readings"]["tta"]["value"] > usual["readings"]["tta"]["value"]
    assert own["readings"]["ph"]["spread"] < usual["readings"]["ph"]["spread"]


# --- export -------------------------------------------------------------------------------------------------------


def test_exports_hold_the_numbers_of_balance(ok: Text, data: Data, plain: Path, tmp_path: Path) -> None:
    balance = data("balance", plain)
    for suffix in ("toml", "md", "csv", "json", "jsonld"):
        out = tmp_path / f"out.{suffix}"
        assert ok("export", plain, out) == f"{out} written\n"
        assert out.stat().st_size > 100
    assert json.loads((tmp_path / "out.json").read_text(encoding="utf-8")) == balance
    assert data("balance", tmp_path / "out.toml")["readings"] == balance["readings"]
    with (tmp_path / "out.toml").open("rb") as file:
        assert tomllib.load(file)["formula"]["name"] == "plain loaf"
    with (tmp_path / "out.csv").open(encoding="utf-8-sig", newline="") as table:
        cells = [cell for row in csv.reader(table) for cell in row]
    card = (tmp_path / "out.md").read_text(encoding="utf-8")
    for line in balance["lines"]:
        assert line["ingredient"] in cells
        assert line["ingredient"] in card
    assert "plain loaf" in card


def test_a_card_may_say_what_to_take_instead(ok: Text, plain: Path, tmp_path: Path) -> None:
    card = tmp_path / "card.md"
    ok("export", plain, card)
    bare = card.read_text(encoding="utf-8")
    ok("export", plain, card, "--options", "--force")
    assert "For buttermilk 245 g take " not in bare
    assert "For buttermilk 245 g take " in card.read_text(encoding="utf-8")


def test_a_card_of_a_variant_says_what_each_swap_does(ok: Text, data: Data, plain: Path, tmp_path: Path) -> None:
    saved, card = tmp_path / "saved.toml", tmp_path / "card.md"
    ok("swap", plain, "--out", "honey", "--into", "malt syrup", "--save", saved)
    notice = data("swap", plain, "--out", "honey", "--into", "malt syrup")["notice"]
    ok("export", saved, card)
    assert notice[:40] in card.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["out", "out.docx", "out.", "folder.md", "nowhere/out.md"])
def test_what_cannot_be_exported(refused: Callable[..., str], plain: Path, tmp_path: Path, name: str) -> None:
    (tmp_path / "folder.md").mkdir()
    before = sorted(tmp_path.rglob("*"))
    assert str(tmp_path / name).rstrip(".") in refused("export", plain, tmp_path / name)
    assert sorted(tmp_path.rglob("*")) == before


def test_a_card_tells_clock_times_where_the_day_is_known(ok: Text, refused: Callable[..., str], plain: Path) -> None:
    for suffix, head in ((".md", "| when"), (".txt", "When"), (".html", "When")):
        card = ok("export", plain, "-", "--as", suffix, "--start", "09:00")
        assert " 09:00" in card and head in card, suffix
        assert "after 1 h" not in card, suffix
        assert " 09:00" not in ok("export", plain, "-", "--as", suffix), suffix
    assert "Sat 08:00" in ok("export", plain, "-", "--as", ".txt", "--ready", "Sat 08:00")
    assert "no clock time" in refused("export", plain, "-", "--as", ".txt", "--start", "25:99")
