"""Reading TOML files that a person wrote: formulas, pantries and logs."""

from __future__ import annotations

from codecs import BOM_UTF8
from pathlib import Path
from typing import Any

from adapter.files.stamp import Stamp, stamp_of_content
from adapter.formula.problems import InputProblem, file_name
from adapter.formula.toml_text import decode, read_bytes, tables_of_text

LARGEST_FILE_BYTES = 1_000_000


def read_text(path: Path) -> str:
    """The text of a file. Raises InputProblem for anything that is not a small UTF-8 text file."""
    return decode(read_bytes(path, LARGEST_FILE_BYTES)[0], file_name(path))


def read_text_and_stamp(path: Path) -> tuple[str, Stamp]:
    """The text of a file, and the stamp by which a save notices that somebody else wrote it since."""
    content, mtime_ns = read_bytes(path, LARGEST_FILE_BYTES)
    return decode(content, file_name(path)), stamp_of_content(content, mtime_ns)


def exists(path: Path) -> bool:
    """Whether there is anything of this name; false as well where that cannot be found out."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def byte_order_mark(path: Path) -> bytes:
    """The mark that a file begins with, to be kept when it is saved over."""
    with path.open("rb") as source:
        return BOM_UTF8 if source.read(len(BOM_UTF8)) == BOM_UTF8 else b""


def parse(text: str, file: str) -> dict[str, Any]:
    """The tables of a TOML text. Raises InputProblem for bad TOML and for an empty text."""
    if len(text) > LARGEST_FILE_BYTES:
        raise InputProblem("is too large", file=file, right=f"at most {LARGEST_FILE_BYTES / 1e6:g} MB")
    if not text.strip():
        raise InputProblem("is empty", file=file)
    data = tables_of_text(text, file)
    if not data:
        raise InputProblem("holds nothing but comments", file=file)
    return data
