"""Reading the TOML tables: broken files, wrong types and acids, each fault in one line."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from shutil import copytree

import pytest

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
