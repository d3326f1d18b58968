"""Where the data lie that ship with the program: tables, units, sample formulas."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path


def shipped_folder(package: str) -> Path:
    """The folder of a package of data, the same from a checkout and from a wheel.

    `importlib.resources` would find it in an archive too, and takes half as long as all the tables to be loaded.
    """
    return Path(import_module(package).__path__[0])
