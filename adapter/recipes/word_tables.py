"""Checking the word tables of recipes: every file is read, every ingredient that they name is in the catalogue."""

from __future__ import annotations

from adapter.formula.catalogue import Catalogue
from adapter.formula.problems import InputProblem
from adapter.recipes.table_rows import column_meanings
from adapter.recipes.weighing import measures
from adapter.recipes.words import vocabulary


def check_word_tables(catalogue: Catalogue) -> str:
    """A line that says what there is. Raises InputProblem for the first thing wrong."""
    languages = vocabulary().languages
    units = {word for words in languages.values() for word in words.units}
    listed = sum(len(entries) for words in languages.values() for entries in words.lists.values())
    for name in _named():
        if name not in catalogue.ingredients:
            raise InputProblem(f"{name!r} is not in the catalogue", file="recipe_words/measures.toml")
    heads = len(column_meanings())
    return f"{len(units)} words for units, {listed} others in {len(languages)} languages, {heads} heads of columns"


def _named() -> set[str]:
    known = measures()
    names = {name for row in known.ones for name in row.ingredients} | {name for name, _ in known.filled}
    means = {row.means for row in known.ones if row.means} | set(known.spooned.values())
    stands_for = {means for _, means in known.by_flour.values()}
    return names | means | set(known.spooned) | set(known.by_flour) | stands_for
