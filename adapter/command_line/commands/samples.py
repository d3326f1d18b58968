"""The formulas that ship with the program, by the names that every command takes."""

from __future__ import annotations

import argparse

from adapter.command_line.command import Command
from adapter.command_line.options import with_json
from adapter.command_line.printing import printed


def options(parser: argparse.ArgumentParser) -> None:
    with_json(parser)


def run(options: argparse.Namespace) -> str:
    from adapter.files.places import samples
    from adapter.work.formula_list import title_at_a_glance

    found = [{"sample": item.name.removesuffix(".toml"), "name": title_at_a_glance(item)} for item in samples()]
    return printed(options, {"samples": found}, _text)


def _text(data: dict[str, list[dict[str, str]]]) -> str:
    width = max((len(item["sample"]) for item in data["samples"]), default=0)
    return "\n".join(f"{item['sample']:<{width}}  {item['name']}" for item in data["samples"])


COMMAND = Command("the formulas that ship with the program", options, run)
