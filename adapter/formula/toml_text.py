"""TOML that people write, read safely: bytes of an ordinary file, UTF-8 text, tables. Every fault is one line."""

from __future__ import annotations

import errno
import os
import re
import stat
from pathlib import Path
from typing import Any

from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem, file_name, os_problem

DEEPEST = 50
MOST_BITS = 4096


def is_there(path: Path) -> bool:
    """Whether anything has this name, readable or not. Raises InputProblem where that cannot be found out."""
    try:
        os.lstat(path)
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        raise os_problem(error, path, "read") from None
    return True


def read_bytes(path: Path, limit: int) -> tuple[bytes, int]:
    """Content and modification time; only an ordinary file of at most `limit` bytes is opened.

    Raises InputProblem.
    """
    name = file_name(str(path))
    try:
        state = path.stat()
        if stat.S_ISDIR(state.st_mode):
            raise InputProblem("is a directory", file=name, right="the name of a file")
        if not stat.S_ISREG(state.st_mode):
            raise InputProblem("is no ordinary file", file=name, right="the name of a file")
        if state.st_size > limit:
            raise _too_large(name, limit, state.st_size)
        # Not waiting: a pipe that took the file's place meanwhile, or a device of the system, may never give anything.
        with os.fdopen(os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0)), "rb") as source:
            content = source.read(limit + 1)
            if content is None:
                raise InputProblem("gives nothing to read", file=name)
            return _of_size(content, limit, name), os.fstat(source.fileno()).st_mtime_ns
    except OSError as error:
        if error.errno == errno.ENOENT:
            raise InputProblem("there is no such file", file=name) from None
        raise os_problem(error, name, "read") from None
    except ValueError:  # a null character in the name
        raise InputProblem("there is no such file", file=name) from None


def _of_size(content: bytes, limit: int, file: str) -> bytes:
    if len(content) > limit:
        raise _too_large(file, limit, len(content))
    return content


def _too_large(file: str, limit: int, size: int) -> InputProblem:
    return InputProblem(f"is too large, {size / 1e6:.3g} MB", file=file, right=f"at most {limit / 1e6:g} MB")


def decode(content: bytes, file: str) -> str:
    """UTF-8 text, with or without a byte order mark."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = f"text line {content.count(10, 0, error.start) + 1}"
        raise InputProblem("is not UTF-8 text", file=file, where=where, right="save it as UTF-8") from None


def tables_of_text(text: str, file: str) -> dict[str, Any]:
    """The tables of a TOML text. Raises InputProblem for bad TOML."""
    import tomli

    try:
        data = tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        raise _toml_problem(str(error), file) from None
    except RecursionError:
        raise _nested_too_deeply(file) from None
    except (ValueError, OverflowError):
        raise _too_many_digits(file) from None
    _check_values(data, file)
    return data


def _check_values(data: dict[str, Any], file: str) -> None:
    """Refuse nesting and numbers that nobody wrote by hand and that Python itself would stumble over later."""
    level: list[Any] = [data]
    for _ in range(DEEPEST):
        inner: list[Any] = []
        for item in level:
            for value in item.values() if isinstance(item, dict) else item:
                kind = type(value)
                if kind is dict or kind is list:
                    inner.append(value)
                elif kind is int and value.bit_length() > MOST_BITS:
                    raise _too_many_digits(file)
        level = inner
        if not level:
            return
    raise _nested_too_deeply(file)


def _nested_too_deeply(file: str) -> InputProblem:
    return InputProblem(
        "is not usable TOML: tables are nested too deeply", file=file, right=f"at most {DEEPEST} levels"
    )


def _too_many_digits(file: str) -> InputProblem:
    return InputProblem("is not usable TOML: a number has too many digits", file=file)


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
