"""Reading TOML that a person wrote: checked before it is opened, and every fault said in one line."""

from __future__ import annotations

import errno
import os
import re
import stat
from codecs import BOM_UTF8
from pathlib import Path
from typing import Any

from adapter.files.atomic import Stamp, file_name, os_problem, stamp_of_content
from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem

LARGEST_FILE_BYTES = 1_000_000
DEEPEST = 50
MOST_BITS = 4096


def read_text(path: Path) -> tuple[str, Stamp]:
    """The text of a file and its stamp. Raises InputProblem for anything that is not a small UTF-8 text file."""
    try:
        content, mtime_ns = _read_bytes(path)
    except OSError as error:
        if error.errno == errno.ENOENT:
            raise InputProblem("there is no such file", file=file_name(path)) from None
        raise os_problem(error, path, "read") from None
    except ValueError:  # a null character in the name
        raise InputProblem("there is no such file", file=file_name(path)) from None
    return decode(content, file_name(path)), stamp_of_content(content, mtime_ns)


def decode(content: bytes, file: str) -> str:
    """UTF-8 text, with or without a byte order mark."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = f"text line {content.count(10, 0, error.start) + 1}"
        raise InputProblem("is not UTF-8 text", file=file, where=where, right="save it as UTF-8") from None


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
    import tomli

    if len(text) > LARGEST_FILE_BYTES:
        raise InputProblem("is too large", file=file, right="at most 1 MB")
    if not text.strip():
        raise InputProblem("is empty", file=file)
    try:
        data = tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        raise _toml_problem(str(error), file) from None
    except RecursionError:
        raise _nested_too_deeply(file) from None
    except (ValueError, OverflowError):
        raise _too_many_digits(file) from None
    if not data:
        raise InputProblem("holds nothing but comments", file=file)
    _check_values(data, file)
    return data


def _check_values(data: dict[str, Any], file: str) -> None:
    """Refuse nesting and numbers that nobody wrote by hand and that Python itself would stumble over later."""
    level: list[Any] = [data]
    for _ in range(DEEPEST):
        inner = [value for item in level for value in (item.values() if isinstance(item, dict) else item)]
        if any(isinstance(value, int) and value.bit_length() > MOST_BITS for value in inner):
            raise _too_many_digits(file)
        level = [value for value in inner if isinstance(value, dict | list)]
        if not level:
            return
    raise _nested_too_deeply(file)


def _nested_too_deeply(file: str) -> InputProblem:
    return InputProblem(
        "is not usable TOML: tables are nested too deeply", file=file, right=f"at most {DEEPEST} levels"
    )


def _too_many_digits(file: str) -> InputProblem:
    return InputProblem("is not usable TOML: a number has too many digits", file=file)


def _read_bytes(path: Path) -> tuple[bytes, int]:
    """Content and modification time; only an ordinary file of at most 1 MB is opened at all."""
    state = path.stat()
    if stat.S_ISDIR(state.st_mode):
        raise InputProblem("is a directory", file=file_name(path), right="the name of a file")
    if not stat.S_ISREG(state.st_mode):
        raise InputProblem("is no ordinary file", file=file_name(path), right="the name of a file")
    if state.st_size > LARGEST_FILE_BYTES:
        megabytes = state.st_size / 1e6
        raise InputProblem(f"is too large, {megabytes:.0f} MB", file=file_name(path), right="at most 1 MB")
    with path.open("rb") as source:
        content = source.read(LARGEST_FILE_BYTES + 1)
        if len(content) > LARGEST_FILE_BYTES:
            raise InputProblem("is too large", file=file_name(path), right="at most 1 MB")
        return content, os.fstat(source.fileno()).st_mtime_ns


def _toml_problem(message: str, file: str) -> InputProblem:
    place = re.search(r"\(at (?:line (\d+), column \d+|(end of document))\)", message)
    where = None
    if place:
        where = f"text line {place[1]}" if place[1] else "end of the text"
        message = message[: place.start()].strip()
    twice = re.match(r"Cannot declare \((.*?),?\) twice", message)
    if twice:
        message = f"the table {twice[1].replace(chr(39), '')} is there twice"
    elif message.startswith("Cannot overwrite a value"):
        message = "a key is there twice, or as a value and as a table"
    return InputProblem(f"is not TOML: {shown(message, 120)}", file=file, where=where)
