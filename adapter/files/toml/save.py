"""Saving over a person's own file in place, or a new one: the same for formulas and pantries."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from adapter.files.atomic import write_whole
from adapter.files.stamp import MISSING, Stamp
from adapter.files.toml.source import byte_order_mark, exists, read_text_and_stamp
from adapter.formula.problems import InputProblem, file_name


def save_in_place(
    path: Path,
    stamp: Stamp | None,
    kind: str,
    new: Callable[[], str],
    changed: Callable[[str], str],
    says_the_same: Callable[[str], bool],
) -> Stamp:
    """Save, whole or not at all; the new stamp of the file.

    `new` gives the text of a file that is not there yet, `changed` what a text becomes that is. What is written must
    say the same as what is saved (`says_the_same`). `stamp` is what the file was when it was read: where another
    program saved it since, this raises InputProblem, as it does for a path that cannot be written and for a file that
    is no `kind`.
    """
    if not exists(path):
        return write_whole(path, _checked(new(), says_the_same, path), stamp or MISSING)
    text, found = read_text_and_stamp(path)
    try:
        text = changed(text)
    except InputProblem as problem:
        raise InputProblem(
            f"cannot be saved over, as it is no usable {kind}: {problem.what}",
            file=file_name(path),
            where=problem.where,
            right="save under another name",
        ) from None
    return write_whole(path, byte_order_mark(path) + _checked(text, says_the_same, path), stamp or found)


def _checked(text: str, says_the_same: Callable[[str], bool], path: Path) -> bytes:
    """The bytes to write, after making sure of what is read back from them."""
    if not says_the_same(text):
        raise InputProblem(
            "cannot be changed in place without losing something", file=file_name(path), right="save under another name"
        )
    return text.encode("utf-8")
