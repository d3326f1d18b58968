"""schema.org Recipes in JSON-LD: a file of it, or a saved web page that holds it, inside an @graph or not.

https://schema.org/Recipe
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from typing import Any

from adapter.formula.model import DEFAULT_STAGE
from adapter.formula.plain_text import clean, clean_block
from adapter.formula.problems import InputProblem
from adapter.recipes.lines import LineReader
from adapter.recipes.method import read_method, read_pieces
from adapter.recipes.read_line import ReadLine
from adapter.recipes.read_recipe import ReadRecipe
from adapter.recipes.sections import is_total, section
from adapter.recipes.settling import settled
from adapter.recipes.tins import read_tin
from adapter.recipes.words import Words

DEEPEST = 60
MOST_INGREDIENTS = 1000
_TAG = re.compile(r"<[^<>]{0,2000}>")


class _Scripts(HTMLParser):
    """The texts of the JSON-LD scripts of a page."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self._open = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        kind = dict(attrs).get("type") or ""
        self._open = tag == "script" and kind.partition(";")[0].strip().casefold() == "application/ld+json"
        if self._open:
            self.texts.append("")

    def handle_endtag(self, tag: str) -> None:
        self._open = False

    def handle_data(self, data: str) -> None:
        if self._open:
            self.texts[-1] += data


def looks_like_page(text: str) -> bool:
    start = text[:4000].lstrip("\ufeff \t\r\n").casefold()
    return start.startswith(("<!doctype html", "<html", "<head", "<body", "<script", "<!--")) or "<html" in start


def recipes_of_page(text: str) -> list[dict[str, Any]]:
    """The Recipe nodes in the scripts of a page. Raises InputProblem when there is none."""
    scripts = _Scripts()
    scripts.feed(text)
    scripts.close()
    found: list[dict[str, Any]] = []
    broken = 0
    for script in scripts.texts:
        try:
            found += _recipes(_parsed(script))
        except (ValueError, RecursionError):
            broken += 1
    if not found:
        what = "the page's recipe data is no valid JSON" if broken else "the page holds no schema.org Recipe"
        raise InputProblem(what, right="copy the recipe's text and read that")
    return _distinct(found)


def recipes_of_json(text: str) -> list[dict[str, Any]]:
    """The Recipe nodes of a JSON-LD text. Raises InputProblem when it is none."""
    try:
        found = list(_recipes(_parsed(text)))
    except (ValueError, RecursionError):
        raise InputProblem("it is no valid JSON", right="a schema.org Recipe in JSON-LD") from None
    if not found:
        raise InputProblem("it holds no schema.org Recipe", right='an object with "@type": "Recipe"')
    return _distinct(found)


def _parsed(text: str) -> Any:
    text = re.sub(
        r"^\s*(?:<!--|//\s*<!\[CDATA\[|/\*\s*<!\[CDATA\[\s*\*/)|(?:-->|//\s*\]\]>|/\*\s*\]\]>\s*\*/)\s*$",
        "",
        text.strip("\ufeff \r\n\t"),
    )
    return json.loads(text, strict=False)


def _recipes(data: Any, depth: int = 0) -> Iterator[dict[str, Any]]:
    if depth > DEEPEST:
        return
    if isinstance(data, list):
        for item in data:
            yield from _recipes(item, depth + 1)
    elif isinstance(data, dict):
        if _is_recipe(data):
            yield data
            return
        for value in data.values():
            if isinstance(value, dict | list):
                yield from _recipes(value, depth + 1)


def _is_recipe(data: dict[str, Any]) -> bool:
    kinds = data.get("@type")
    named = kinds if isinstance(kinds, list) else [kinds]
    right = any(isinstance(kind, str) and re.split(r"[/#:]", kind)[-1] == "Recipe" for kind in named)
    return right and any(key in data for key in ("recipeIngredient", "ingredients", "recipeInstructions"))


def _distinct(found: list[dict[str, Any]]) -> list[dict[str, Any]]:
    kept: list[dict[str, Any]] = []
    for data in found:
        if data not in kept:
            kept.append(data)
    return kept


def read_node(data: dict[str, Any], reader: LineReader, name: str) -> ReadRecipe:
    """The recipe that a schema.org Recipe node describes."""
    title = clean(_plain(_text(data.get("name"))), 200) or name
    ingredients = [
        clean(_plain(text), 2000) for text in _texts(data.get("recipeIngredient") or data.get("ingredients"))
    ]
    ingredients = [text for text in ingredients if text][:MOST_INGREDIENTS]
    steps = [step for step in map(_plain, _steps(data.get("recipeInstructions"))) if step]
    whole = "\n".join([title, *ingredients, *steps])
    words = reader.words_of(whole)
    reader = reader.for_text(whole, words)
    lines, notes = _lines(ingredients, reader, words)
    yields = [_plain(text) for text in _texts(data.get("recipeYield") or data.get("yield"))]
    told = read_method(steps, words)
    pieces = next((found for text in yields if (found := _pieces(text, words)) is not None), None)
    description = clean_block(_plain(_text(data.get("description"))))
    for text in (description, *yields):
        if not told.tin and text:
            told.tin, told.doubts = read_tin(text, words)
    recipe = ReadRecipe(
        title,
        lines,
        pieces if pieces is not None else told.pieces,
        told.proof_c,
        told.proof_h,
        tuple(told.oven_c),
        told.core_c,
        told.bake_min,
        told.tin,
        tuple(text for text in (description, *yields, *notes, *(clean_block(step) for step in steps)) if text),
        tuple(told.doubts),
        words.language,
    )
    return settled(recipe, reader)


def _pieces(text: str, words: Words) -> int | None:
    return read_pieces(text, words)


def _lines(ingredients: list[str], reader: LineReader, words: Words) -> tuple[tuple[ReadLine, ...], list[str]]:
    """Ingredient lines; one that is a heading ("For the soaker:") opens a stage."""
    stage = DEFAULT_STAGE
    lines: list[ReadLine] = []
    notes: list[str] = []
    for number, text in enumerate(ingredients, start=1):
        opened = section(text, words, False) if text.rstrip().endswith(":") else None
        if opened is not None:
            stage = opened
            continue
        if is_total(text, words):
            lines.append(ReadLine(text, text, stage=stage, reference=True, note="a total: no weight of its own"))
            continue
        lines += [replace(line, number=number) for line in reader.read(text, stage, words)]
    return tuple(lines), notes


def _texts(value: Any) -> list[str]:
    if isinstance(value, str):
        return [line for line in value.splitlines() if line.strip()]
    if isinstance(value, int | float) and not isinstance(value, bool):
        return [str(value)]
    if isinstance(value, list):
        return [text for item in value for text in _texts(item)]
    if isinstance(value, dict):
        return _texts(value.get("text") or value.get("name") or value.get("value"))
    return []


def _text(value: Any) -> str:
    return " ".join(_texts(value)[:20])


def _steps(value: Any, depth: int = 0) -> list[str]:
    """Steps as texts, HowToSteps or HowToSections of them."""
    if depth > DEEPEST:
        return []
    if isinstance(value, str):
        return [value]
    if isinstance(value, list):
        return [step for item in value for step in _steps(item, depth + 1)]
    if isinstance(value, dict):
        inner = value.get("itemListElement")
        head = [str(value["name"])] if inner is not None and isinstance(value.get("name"), str) else []
        return (
            head + _steps(inner, depth + 1)
            if inner is not None
            else _steps(value.get("text") or value.get("name"), depth + 1)
        )
    return []


def _plain(text: str) -> str:
    """Text of a page without tags and entities, however often they were escaped."""
    for _ in range(2):
        text = html.unescape(text)
    text = re.sub(r"<\s*(?:br|/p|/li|/div)\b[^<>]{0,200}>", "\n", text, flags=re.IGNORECASE)
    return clean_block(_TAG.sub(" ", text))
