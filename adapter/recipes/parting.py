"""A text that holds several recipes, one under another, into the texts of each."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

from adapter.recipes.copied import cleaned
from adapter.recipes.line_kinds import amount_first, is_step, is_yield
from adapter.recipes.lines import LineReader, tidied
from adapter.recipes.read_recipe import ReadRecipe
from adapter.recipes.recipe_text import read_text
from adapter.recipes.sections import is_heading, is_total, opens_ingredients, section, stage_named
from adapter.recipes.words import Words

MOST_RECIPES = 40
MAIN_STAGE = "dough"
"""Titles hold its words, as in "Seeded loaf": they name no stage."""
_RULE = re.compile(r"^[\s\-=_*~•.#+]{3,}$")
_LEVEL = re.compile(r"^\s*(#{1,6})\s")
LONGEST_TITLE = 10
FLOUR_PERCENT = 100.0
"""What is told to be 100 % is the flour, whatever it is called."""


def read_texts(text: str, reader: LineReader, name: str = "") -> list[ReadRecipe]:
    """The recipes that a text tells, in order: nearly always one.

    A title after a gap opens another recipe where a yield, a list of ingredients or a finished bake says so, and where
    there is flour on both sides of it: the icing of a cake is no recipe of its own.
    """
    text, asides = cleaned(text)
    *recipes, last = _parted(text, reader, name)
    return [*recipes, replace(last, notes=(*last.notes, *asides))]


def _parted(text: str, reader: LineReader, name: str) -> list[ReadRecipe]:
    whole = read_text(text, reader, name)
    rows = text.splitlines()
    words = reader.words_of(text)
    starts = [place for place in range(1, len(rows)) if _opens_another(rows, place, words, reader)]
    if not starts or len(starts) > MOST_RECIPES:
        return [whole]
    bounds = [0, *starts, len(rows)]
    recipes: list[ReadRecipe] = []
    begin = 0
    above: list[str] = []
    for end, following in pairwise(bounds[1:]):
        head = [] if recipes else read_text("\n".join(rows[:end]), reader, name).lines
        if not recipes and not any(line.ingredient for line in head):
            begin, above = end, [row.strip() for row in rows[:end] if row.strip()]
            continue
        before = read_text("\n".join(rows[begin:end]), reader, name)
        behind = read_text("\n".join(rows[end:following]), reader, name)
        if _has_flour(before, reader) and _has_flour(behind, reader) and _parts(before, behind, rows, end, words):
            recipes.append(before)
            begin = end
    if not recipes:
        return [whole]
    recipes[0] = replace(recipes[0], notes=(*above, *recipes[0].notes))
    return [*recipes, read_text("\n".join(rows[begin:]), reader, name)]


def _opens_another(rows: list[str], place: int, words: Words, reader: LineReader) -> bool:
    """Whether a line may be the title of the next recipe."""
    row, before = rows[place], rows[place - 1]
    tidy = tidied(row)
    if not tidy or not (not before.strip() or _RULE.match(before) or _LEVEL.match(row)):
        return False
    if len(tidy.split()) > LONGEST_TITLE or row.rstrip().endswith((".", ":", "!", "?", ",")) or "|" in row:
        return False
    if amount_first(row, words) or is_yield(tidy, words) or is_step(tidy, row, words) or is_total(row, words):
        return False
    stage = stage_named(row, words)
    loaf = stage == MAIN_STAGE and len(tidy.split()) > 1
    if (stage is not None and not loaf) or opens_ingredients(row, words) is not None:
        return False
    if not loaf and section(row, words, False) and not row.strip(" #*").isupper():
        return False
    if any(is_heading(row, words, key) for key in ("ingredient_headings", "method_headings", "note_headings")):
        return False
    return not words.pattern("section_lead", "references").match(tidy) or row.strip(" #*").istitle()


def _parts(before: ReadRecipe, behind: ReadRecipe, rows: list[str], place: int, words: Words) -> bool:
    """Whether the line at a place parts two recipes: a yield or a list begins behind it, or both sides are baked."""
    if min(len(before.lines), len(behind.lines)) < 2 or any(line.reference for line in behind.lines):
        return False
    following = [row for row in rows[place + 1 : place + 6] if row.strip()][:2]
    if any(is_yield(tidied(row), words) or opens_ingredients(row, words) is not None for row in following):
        return True
    level, first = (_LEVEL.match(row) for row in (rows[place], next(row for row in rows if row.strip())))
    if level is not None and first is not None and level[1] == first[1]:
        return True
    gap = [row for row in rows[max(0, place - 3) : place] if not row.strip() or _RULE.match(row)]
    anew = all(any(line.percent == FLOUR_PERCENT for line in side.lines) for side in (before, behind))
    apart = anew or len(gap) > 1 or any(row.strip() for row in gap)
    return apart and bool(before.oven_c) and bool(behind.oven_c)


def _has_flour(recipe: ReadRecipe, reader: LineReader) -> bool:
    catalogue = reader.names.catalogue
    weighed = [line for line in recipe.lines if line.ingredient and line.in_dough and (line.grams or line.percent)]
    if any(line.percent == FLOUR_PERCENT for line in recipe.lines):
        return True
    return any("flour" in catalogue.get(line.ingredient or "").kinds for line in weighed)
