"""What a person gives to be read (a text, a page, JSON-LD, a table) into recipes; one clear line for a bad one."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

from adapter.formula.catalogue import Catalogue
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.recipes.csv_table import looks_like_csv, read_csv
from adapter.recipes.ingredient_names import NameFinder
from adapter.recipes.lines import LineReader
from adapter.recipes.page import looks_like_page, read_node, recipes_of_json, recipes_of_page
from adapter.recipes.parting import read_texts
from adapter.recipes.read_recipe import ReadRecipe
from adapter.recipes.text_rows import MOST_LINES
from adapter.recipes.words import SYSTEMS

MOST_BYTES = 5_000_000
MOST_TEXT = 400_000
ALL = "all"
NAMELESS = ("", "-", "standard input")
"""What is read from a pipe has no name of its own."""
T = TypeVar("T", dict[str, object], ReadRecipe)


def line_reader(catalogue: Catalogue, cups: str | None = None) -> LineReader:
    """What reads lines against a catalogue; `cups` (us, metric, imperial) says whose cups and spoons are meant."""
    if cups is not None and cups not in SYSTEMS:
        raise InputProblem(f"cups are not '{clean(cups, 20)}'", right="one of " + ", ".join(SYSTEMS))
    return LineReader(NameFinder(catalogue), cups)


def read_bytes(data: bytes, reader: LineReader, file: str = "", chosen: str | None = None) -> list[ReadRecipe]:
    """The recipes in what a file holds: one, or as many as were chosen. Raises InputProblem naming the file."""
    try:
        if len(data) > MOST_BYTES:
            raise InputProblem(
                f"holds more than {MOST_BYTES // 1_000_000} MB, too much for a recipe",
                right="the text of one recipe, or a page with it",
            )
        return read_source(_decoded(data), reader, file, chosen)
    except InputProblem as problem:
        raise problem.in_file(file) if file else problem from None


def read_source(text: str, reader: LineReader, file: str = "", chosen: str | None = None) -> list[ReadRecipe]:
    """The recipes in a text, as `read_bytes` gives them."""
    name = _name_of(file)
    suffix = Path(file).suffix.casefold()
    start = text.lstrip("\ufeff \t\r\n")
    if not start:
        raise InputProblem("there is nothing to read", right="the text of a recipe")
    if suffix == ".toml" or re.search(r"(?m)^\[formula\]\s*$", start[:3000]):
        raise InputProblem("is a formula file already", right="open it, or give the text of a recipe")
    if looks_like_page(start):
        return [read_node(node, reader, name) for node in _choose(recipes_of_page(start), chosen)]
    if start[0] in "[{" and (suffix in (".json", ".jsonld") or re.match(r"[\[{]\s*[\"{\[\]}]", start)):
        return [read_node(node, reader, name) for node in _choose(recipes_of_json(start), chosen)]
    if len(text) > MOST_TEXT or text.count("\n") > MOST_LINES:
        raise InputProblem(
            f"has {text.count(chr(10)) + 1} lines and {len(text)} characters, too long for a recipe",
            right=f"at most {MOST_LINES} lines and {MOST_TEXT} characters",
        )
    table = read_csv(text, reader, name) if suffix in (".csv", ".tsv") or looks_like_csv(text) else None
    recipes = [table] if table is not None else read_texts(text, reader, name)
    if not any(recipe.lines for recipe in recipes):
        raise InputProblem("no ingredient is named in it", right='lines such as "500 g wholemeal flour"')
    return list(_choose(recipes, chosen))


def _choose(nodes: Sequence[T], chosen: str | None) -> Sequence[T]:
    """One of several recipes, by its number or a part of its name; all of them when asked for."""
    if len(nodes) == 1 or chosen == ALL:
        return nodes
    names = [clean(str(_title(node) or "without a name"), 60) for node in nodes]
    listed = "; ".join(f"{number} {name}" for number, name in enumerate(names[:12], start=1))
    if chosen is None:
        raise InputProblem(f"it holds {len(nodes)} recipes: {listed}", right="choose one: --recipe NUMBER or NAME")
    if chosen.isdigit() and 1 <= int(chosen) <= len(nodes):
        return [nodes[int(chosen) - 1]]
    fitting = [node for node, name in zip(nodes, names, strict=True) if chosen.casefold() in name.casefold()]
    exact = [node for node, name in zip(nodes, names, strict=True) if chosen.casefold() == name.casefold()]
    found = exact or fitting
    if len(found) != 1:
        raise InputProblem(f"no one recipe is called '{clean(chosen, 40)}'", right=f"one of {listed}")
    return found


def _title(node: dict[str, object] | ReadRecipe) -> object:
    return node.name if isinstance(node, ReadRecipe) else node.get("name")


def _name_of(file: str) -> str:
    stem = Path(file).stem if file not in NAMELESS else ""
    return clean(stem.replace("_", " ").replace("-", " "), 100).strip().capitalize() or "Recipe"


def _decoded(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = data.decode("utf-16", errors="replace")
    elif b"\0" in data[:8000]:
        raise InputProblem("is no text", right="a recipe as text, Markdown, CSV, HTML or JSON-LD")
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
    control = sum(1 for character in text[:20_000] if ord(character) < 32 and character not in "\t\n\r\f\v")
    if control > 0.01 * len(text[:20_000]) or text[:20_000].count("\ufffd") > 0.02 * len(text[:20_000]):
        raise InputProblem("is no text", right="a recipe as text, Markdown, CSV, HTML or JSON-LD")
    return text
