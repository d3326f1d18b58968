"""Modules of the program loaded once, before the trials fork; each trial lets go of those that hang on its change."""

from __future__ import annotations

import ast
import importlib
import sys
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path

import tomli

ROOT = "adapter"
NOT_LOADED = ("adapter.screens", "adapter.__main__")
"""What the core's tests do not need, or what runs as it is loaded."""


def load_all(copy: Path) -> Mapping[str, frozenset[str]]:
    """Load every module that the core's tests may need; what each of them imports, itself or by others."""
    tomli.loads = cache(tomli.loads)  # type: ignore[assignment]  # the same tables are read for every trial
    modules = {name_of(path, copy): path for path in sorted((copy / ROOT).rglob("*.py"))}
    modules = {name: path for name, path in modules.items() if not name.startswith(NOT_LOADED)}
    direct = {name: _imported(name, path, modules) for name, path in modules.items()}
    for name in modules:
        importlib.import_module(name)
    return {name: _reached(name, direct) for name in modules}


def let_go(changed: str, imports: Mapping[str, frozenset[str]]) -> None:
    """Forget a module and all that import it, so that they are loaded anew."""
    for name, reached in imports.items():
        if name == changed or changed in reached:
            sys.modules.pop(name, None)
            package, _, own = name.rpartition(".")
            if package in sys.modules and hasattr(sys.modules[package], own):
                delattr(sys.modules[package], own)


def name_of(path: Path, copy: Path) -> str:
    return ".".join(path.relative_to(copy).with_suffix("").parts).removesuffix(".__init__")


def _imported(name: str, path: Path, known: Iterable[str]) -> set[str]:
    """What a module imports anywhere in its text, and the packages that it is in."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return (found & set(known)) - {name}


def _reached(name: str, direct: Mapping[str, set[str]]) -> frozenset[str]:
    found: set[str] = set()
    todo = [name]
    while todo:
        new = direct[todo.pop()] - found
        found |= new
        todo += new
    return frozenset(found)
