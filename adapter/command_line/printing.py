"""Putting text on the terminal whatever its encoding, and JSON that stays JSON on any of them."""

from __future__ import annotations

import argparse
import os
import sys
import unicodedata
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import TypeVar

from adapter.formula.problems import InputProblem

T = TypeVar("T", bound=Mapping[str, object])

PLAIN_SIGNS = str.maketrans(
    {
        "−": "-",
        "–": "-",
        "±": "+/-",
        "→": "->",
        "°": "",
        "·": "*",
        "Σ": "sum",
        "∫": "integral",
        "Π": "product",
        "…": "...",
    }
)
"""What is printed for our own signs where the terminal's encoding lacks them; other characters become "?"."""

LEAST_WIDTH = 40
"""Narrower terminals break lines by themselves."""

_REMOVED = frozenset(("Cc", "Cf", "Cs", "Zl", "Zp"))


def terminal_width() -> int | None:
    """Columns of the terminal that standard output goes to, or those that COLUMNS asks for; None without either."""
    asked = os.environ.get("COLUMNS", "")
    if asked.isascii() and asked.isdigit() and 0 < len(asked) < 5 and int(asked):
        return max(int(asked), LEAST_WIDTH)
    try:
        if sys.stdout is None or not sys.stdout.isatty():
            return None
        return max(os.get_terminal_size(sys.stdout.fileno()).columns, LEAST_WIDTH)
    except (OSError, ValueError):
        return None


def fitted_to_terminal(text: str) -> str:
    """Sentences broken where the terminal ends, under their own beginning; JSON and files are never broken."""
    width = terminal_width()
    if width is None:
        return text
    from textwrap import wrap

    lines = []
    for line in text.split("\n"):
        if len(line) <= width:
            lines.append(line)
            continue
        indent = " " * min(len(line) - len(line.lstrip()) + 2, width // 2)
        lines += wrap(line, width, subsequent_indent=indent, break_on_hyphens=False, drop_whitespace=True)
    return "\n".join(lines)


def put(text: str) -> None:
    """Print to standard output at once. Raises BrokenPipeError when the reader has gone, InputProblem when full."""
    if sys.stdout is None:
        return
    try:
        print(_fitted(text), flush=True)
    except BrokenPipeError:
        leave_output()
        raise
    except OSError as error:
        leave_output()
        reason = (error.strerror or type(error).__name__).lower()
        raise InputProblem(f"cannot be written: {reason}", file="standard output") from None


def put_problem(problem: InputProblem, limit: int = 2000) -> None:
    """A single line on standard error."""
    from adapter.formula.plain_text import clean

    if sys.stderr is not None:
        with suppress(OSError):
            print(f"otherloaf: {clean(str(problem), limit)}", file=sys.stderr, flush=True)


def json_text(data: Mapping[str, object]) -> str:
    """Data as JSON; characters that standard output cannot show are written as escapes."""
    import json

    text = json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)
    return text if _fits(text) else json.dumps(data, ensure_ascii=True, indent=2, allow_nan=False)


def printed(options: argparse.Namespace, data: T, text: Callable[[T], str]) -> str:
    """What a command found: as JSON where that is asked for, else as text."""
    return json_text(data) if options.json else fitted_to_terminal(text(data))


def leave_output() -> None:
    """Send what is still buffered nowhere, so that it is not tried again when the program ends."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


def _fitted(text: str) -> str:
    """Text without anything that moves a terminal's cursor or turns its writing round, in an encoding it knows."""
    text = "\n".join(map(_harmless, text.split("\n")))
    if _fits(text):
        return text
    encoding = sys.stdout.encoding
    return text.translate(PLAIN_SIGNS).encode(encoding, "replace").decode(encoding)


def _harmless(line: str) -> str:
    if line.isprintable():
        return line
    return "".join(
        " " if character.isspace() else "" if unicodedata.category(character) in _REMOVED else character
        for character in line
    )


def _fits(text: str) -> bool:
    try:
        text.encode(getattr(sys.stdout, "encoding", None) or "utf-8")
    except UnicodeEncodeError:
        return False
    return True
