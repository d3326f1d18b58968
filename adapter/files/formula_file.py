"""Formula files: reading them, with every fault named."""

from __future__ import annotations

from pathlib import Path

from adapter.files.formula_tables import formula_from_tables
from adapter.files.stamp import Stamp
from adapter.files.toml.source import parse, read_text, read_text_and_stamp
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula
from adapter.formula.problems import file_name
from adapter.formula.toml_text import decode


def read_formula(path: Path, catalogue: Catalogue) -> Formula:
    """The formula in a file. Raises InputProblem, naming the file and the entry, for anything it cannot use."""
    return formula_from_text(read_text(path), catalogue, file_name(path))


def read_formula_and_stamp(path: Path, catalogue: Catalogue) -> tuple[Formula, Stamp]:
    """The formula in a file, and the stamp by which `write_formula` notices that somebody else saved it since."""
    text, stamp = read_text_and_stamp(path)
    return formula_from_text(text, catalogue, file_name(path)), stamp


def read_sample(resource: Path, catalogue: Catalogue) -> Formula:
    """A formula that ships with the program."""
    return formula_from_text(decode(resource.read_bytes(), resource.name), catalogue, resource.name)


def formula_from_text(text: str, catalogue: Catalogue, file: str) -> Formula:
    """The formula that a TOML text describes; `file` is its name in messages."""
    return formula_from_tables(parse(text, file), catalogue, file)
