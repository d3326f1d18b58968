"""Reading the TOML tables: broken files, wrong types, tolerances, bands and acids, each fault in one line."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from shutil import copytree

import pytest

from adapter.dough.readings.differences import drift
from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.dough.tables.bands import load_bands, load_tolerances
from adapter.formula.model import Formula
from adapter.formula.problems import InputProblem
from adapter.formula.row import Row
from adapter.formula.substances import load_substances
from adapter.formula.tables import LARGEST_TABLE_BYTES, read_table, shipped_tables


def one_line(problem: InputProblem) -> str:
    assert "\n" not in str(problem) and "Traceback" not in str(problem)
    return str(problem)


# --- files ----------------------------------------------------------------------------------------


def write(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    return path


BROKEN = {
    "not TOML": b"[[ingredient]\nname=",
    "no value": b"a =",
    "key twice": b"a = 1\na = 2\n",
    "not UTF-8": b'name = "p\xe9ch\xe9"',
    "UTF-16": 'name = "x"'.encode("utf-16"),
    "nulls": b"\0" * 100,
    "nested without end": b"x = " + b"[" * 100_000,
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(range(256)),
    "number too long": b"x = " + b"9" * 10_000,
}


@pytest.mark.parametrize("fault", BROKEN)
def test_a_broken_file_is_one_line(fault: str, tmp_path: Path) -> None:
    with pytest.raises(InputProblem) as caught:
        read_table(write(tmp_path / "broken.toml", BROKEN[fault]))
    assert "broken.toml" in one_line(caught.value)


def test_files_that_are_fine(tmp_path: Path) -> None:
    assert read_table(write(tmp_path / "empty.toml", b"")) == {}
    assert read_table(write(tmp_path / "marked.toml", b"\xef\xbb\xbfa = 1\r\n")) == {"a": 1}


def test_no_file_a_folder_and_a_huge_file(tmp_path: Path) -> None:
    (tmp_path / "folder.toml").mkdir()
    write(tmp_path / "huge.toml", b"#" * (LARGEST_TABLE_BYTES + 1))
    for name in ("none.toml", "folder.toml", "huge.toml"):
        with pytest.raises(InputProblem) as caught:
            read_table(tmp_path / name)
        assert name in one_line(caught.value)


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="needs a user whom permissions bind")
def test_no_permission(tmp_path: Path) -> None:
    path = write(tmp_path / "shut.toml", b"a = 1")
    path.chmod(0)
    with pytest.raises(InputProblem, match=r"shut\.toml"):
        read_table(path)


# --- rows -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", [3, "x", {"a": 1}, [3], ["x"], [[]]])
def test_entries_must_be_tables(value: object) -> None:
    with pytest.raises(InputProblem) as caught:
        Row({"rule": value}, "t.toml").named_parts("rule")
    assert "rule" in one_line(caught.value) and "t.toml" in one_line(caught.value)


def test_a_row_is_called_by_its_name_or_its_number() -> None:
    entries = [{"name": "honey"}, {}, {"name": 3}, {"name": ""}]
    assert [row.where for row in Row({"ingredient": entries}, "t.toml").named_parts("ingredient")] == [
        "ingredient 'honey'",
        "ingredient 2",
        "ingredient 3",
        "ingredient 4",
    ]


@pytest.mark.parametrize(
    ("read", "bad"),
    [
        (lambda row: row.text("key"), [3, "", "  ", ["x"], True]),
        (lambda row: row.number("key"), ["3", True, float("nan"), float("inf"), [3]]),
        (lambda row: row.flag("key", False), ["true", 1]),
        (lambda row: row.texts("key"), ["x", [3], {"a": "x"}, ["x", 3]]),
        (lambda row: row.numbers("key"), [3, [3], {"a": "3"}, {"a": True}, {"a": float("nan")}]),
        (lambda row: row.part("key"), [3, "x", [3], [{"a": 1}]]),
        (lambda row: row.figure("key"), [3, {}, {"value": 1, "spread": 1, "tag": "P"}, [{"value": 1}]]),
    ],
)
def test_wrong_types_name_the_key(read: Callable[[Row], object], bad: list[object]) -> None:
    for value in bad:
        with pytest.raises(InputProblem) as caught:
            read(Row({"key": value}, "t.toml", "entry 'x'"))
        said = one_line(caught.value)
        assert said.startswith("t.toml, entry 'x'") and "key" in said, value


def test_whole_numbers_are_numbers() -> None:
    number = Row({"key": 3}, "t.toml", "x").number("key")
    assert number == 3.0 and isinstance(number, float)


# --- tolerances and bands -------------------------------------------------------------------------

TOLERANCE = '[[tolerance]]\nreading = "sugar"\nvalue = 2\nunit = "% of flour"\nin_drift = true\nweight = 1\n'
TOLERANCE += 'tag = "own"\nsource = "this kitchen"\n'
BAND = '[[band]]\nstyle = "rye"\nreading = "ph"\nlow = 4\nhigh = 5\ntag = "own"\nsource = "this kitchen"\n'


def with_tolerances(folder: Path, text: str) -> Kitchen:
    (folder / "tolerances.toml").write_text(text, encoding="utf-8")
    return load_kitchen([folder])


def test_an_own_tolerance_lies_over_the_shipped_one(tmp_path: Path, kitchen: Kitchen, dark_loaf: Formula) -> None:
    changed = with_tolerances(tmp_path, TOLERANCE)
    assert changed.tolerances["sugar"].value == 2
    assert {k: v for k, v in changed.tolerances.items() if k != "sugar"} == {
        k: v for k, v in kitchen.tolerances.items() if k != "sugar"
    }
    sweeter = dark_loaf.with_lines(
        line if line.ingredient != "honey" else line.with_grams(90.0) for line in dark_loaf.lines
    )
    by_shipped, by_own = (drift(measure(k, sweeter, measure(k, dark_loaf))) for k in (kitchen, changed))
    more = (measure(kitchen, sweeter).values["sugar"] - measure(kitchen, dark_loaf).values["sugar"]) / 1.0
    assert by_shipped - by_own == pytest.approx(more / 2, rel=1e-9)


BAD_TOLERANCES = {
    "value zero": ("value = 2", "value = 0"),
    "value negative": ("value = 2", "value = -1"),
    "value missing": ("value = 2\n", ""),
    "value a text": ("value = 2", 'value = "2"'),
    "in_drift a text": ("in_drift = true", 'in_drift = "yes"'),
    "unknown tag": ('tag = "own"', 'tag = "sure"'),
    "source missing": ('source = "this kitchen"\n', ""),
    "reading missing": ('reading = "sugar"\n', ""),
    "weight not a number": ("weight = 1", "weight = nan"),
    "unknown reading": ('"sugar"', '"sugr"'),
    "weight negative": ("weight = 1", "weight = -1"),
    "unknown key": ("weight = 1", "weigth = 1"),
    "model spread negative": ("weight = 1", "weight = 1\nmodel_spread = -2"),
    "twice": (TOLERANCE, TOLERANCE + TOLERANCE),
    "table misspelt": ("[[tolerance]]", "[[tolerances]]"),
}


@pytest.mark.parametrize("fault", BAD_TOLERANCES)
def test_a_bad_tolerance_is_one_line(fault: str, tmp_path: Path) -> None:
    old, new = BAD_TOLERANCES[fault]
    (tmp_path / "tolerances.toml").write_text(TOLERANCE.replace(old, new), encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        load_tolerances(READING_KEYS, [tmp_path])
    assert "tolerances.toml" in one_line(caught.value)


def test_an_own_band_lies_over_the_shipped_one(tmp_path: Path, kitchen: Kitchen) -> None:
    (tmp_path / "bands.toml").write_text(BAND, encoding="utf-8")
    bands = load_bands(READING_KEYS, [tmp_path])
    assert (bands.bands["rye", "ph"].low, bands.bands["rye", "ph"].high) == (4, 5)
    assert bands.bands["wheat", "ph"] == kitchen.bands.bands["wheat", "ph"]
    assert bands.styles == kitchen.bands.styles


BAD_BANDS = {
    "low above high": ("low = 4", "low = 6"),
    "low is high": ("low = 4", "low = 5"),
    "unknown style": ('"rye"', '"ry"'),
    "high missing": ("high = 5\n", ""),
    "source missing": ('source = "this kitchen"\n', ""),
    "unknown reading": ('"ph"', '"pH"'),
    "unknown key": ("high = 5", "high = 5\nhihg = 6"),
    "twice": (BAND, BAND + BAND),
    "style of no range": (BAND, '[[style]]\nname = "odd"\nmin_rye = 90\nmax_rye = 20\n'),
    "table misspelt": ("[[band]]", "[[bands]]"),
}


@pytest.mark.parametrize("fault", BAD_BANDS)
def test_a_bad_band_is_one_line(fault: str, tmp_path: Path) -> None:
    old, new = BAD_BANDS[fault]
    (tmp_path / "bands.toml").write_text(BAND.replace(old, new), encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        load_bands(READING_KEYS, [tmp_path])
    assert "bands.toml" in one_line(caught.value)


@pytest.mark.parametrize(
    ("rye", "style"), [(0, "wheat"), (9.99, "wheat"), (10, "mixed wheat"), (50, "mixed rye"), (90, "rye"), (100, "rye")]
)
def test_style_by_rye_share(rye: float, style: str, kitchen: Kitchen) -> None:
    """CP: wheat below 10 % rye, mixed wheat to 49, mixed rye to 89, rye from 90."""
    assert kitchen.bands.style_for(rye).name == style


# --- acids ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("pka        = [3.86]", "pka        = []"),
        ("pka        = [3.86]", 'pka        = ["3.86"]'),
        ("pka        = [3.86]", "pka        = 3.86"),
        ("pka        = [3.86]", "pka        = [nan]"),
        ("molar_mass = 90.08", 'molar_mass = "90.08"'),
        ('name   = "milk"', 'name   = "mlik"'),
    ],
)
def test_bad_acids_are_one_line(old: str, new: str, tmp_path: Path) -> None:
    folder = tmp_path / "tables"
    copytree(Path(str(shipped_tables())), folder)
    text = (folder / "acids.toml").read_text("utf-8")
    assert text.count(old) == 1
    (folder / "acids.toml").write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        load_substances(folder)
    assert "acids.toml" in one_line(caught.value)
