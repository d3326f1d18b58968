"""Every table, formula, pantry and log read, and what is wrong with them."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TypedDict

from adapter.command_line.command import Command
from adapter.command_line.options import with_json
from adapter.command_line.printing import printed, put
from adapter.formula.problems import InputProblem


class FileData(TypedDict):
    file: str
    lines: list[str]
    fault: str | None


class CheckData(TypedDict):
    tables: list[str]
    files: list[FileData]


def options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE", help="formula files to check as well")
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    """Raises InputProblem at the first fault of a table, and after all files have been read for a fault in them."""
    from adapter.work.checking import check_files, check_tables

    lines, own_files, kitchen = check_tables()
    checked = check_files([*own_files, *options.files], kitchen)
    faults = [each.fault for each in checked if each.fault is not None]
    data: CheckData = {
        "tables": lines,
        "files": [
            {"file": each.file, "lines": list(each.lines), "fault": None if each.fault is None else str(each.fault)}
            for each in checked
        ],
    }
    if not faults:
        return printed(options, data, _text)
    if len(checked) > 1:
        put(printed(options, data, _text))
    if len(faults) == 1:
        raise faults[0]
    raise InputProblem(f"{len(faults)} of {len(checked)} files are at fault", where="check", right="each is told above")


def _text(data: CheckData) -> str:
    lines = list(data["tables"])
    for each in data["files"]:
        lines += each["lines"] if each["fault"] is None else [each["fault"]]
    return "\n".join(lines)


COMMAND = Command("check every table, and files", options, run)
