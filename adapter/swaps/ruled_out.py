"""What "without" rules out: an ingredient, a kind, an allergen group or a word of without.toml, hidden or not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from adapter.formula.catalogue import Catalogue, spelling
from adapter.formula.ingredient import COMPOSITION
from adapter.formula.near_names import nearest_three
from adapter.formula.problems import InputProblem
from adapter.formula.row import Row
from adapter.formula.tables import Table

TABLE = Table("without.toml", "without", "words that rule out", ("word",))
KEYS = frozenset({"word", "kinds", "ingredients", "allergens", "figures", "tag", "source"})


@dataclass(frozen=True, slots=True)
class Without:
    """One row: what a word rules out."""

    word: str
    kinds: tuple[str, ...] = ()
    ingredients: tuple[str, ...] = ()
    allergens: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()


def load_without(own_folders: Iterable[Path] = ()) -> Mapping[str, Without]:
    """without.toml, a baker's own rows over the shipped ones. Raises InputProblem."""
    return {without.word: without for without in TABLE.load(own_folders, _row)}


def _row(row: Row) -> Without:
    row.known_keys(KEYS)
    figures = row.texts("figures")
    for key in figures:
        if key not in COMPOSITION:
            raise row.fault("figures", f"{key!r} is no figure", "one of " + ", ".join(COMPOSITION))
    row.tag()
    row.text("source")
    return Without(
        spelling(row.text("word")), row.texts("kinds"), row.texts("ingredients"), row.texts("allergens"), figures
    )


def meant_by(word: str, catalogue: Catalogue, words: Mapping[str, Without]) -> Without:
    """What a person means by a word after "without", always the widest: the kind before the one ingredient that is
    mostly meant by it. Raises InputProblem with the nearest three for an unknown word.
    """
    text = spelling(word)
    forms = (text, text.removesuffix("s"), f"{text}s")
    row = next((form for form in forms if form in words), None)
    if row is not None:
        return words[row]
    kinds, groups = catalogue.kinds(), _groups(catalogue)
    kind = next((form for form in forms if form in kinds), None)
    group = next((form for form in forms if form in groups), None)
    if kind is not None or group is not None:
        named = tuple(form for form in forms if form in catalogue.ingredients)
        return Without(text, () if kind is None else (kind,), named, () if group is None else groups[group])
    with suppress(InputProblem):
        return Without(text, ingredients=(catalogue.resolve(text).name,))
    near = nearest_three(text, (*words, *groups, *sorted(catalogue.kinds()), *catalogue.ingredients))
    raise InputProblem(
        f"nothing is called {word[:60]!r}", where="without", right=f"an ingredient, a kind or an allergen: {near}"
    )


def _groups(catalogue: Catalogue) -> dict[str, tuple[str, ...]]:
    """Allergen groups by their names, and by the part before and after the colon ("gluten", "rye", "walnut")."""
    full = sorted({group for item in catalogue for group in item.allergens})
    found: dict[str, list[str]] = {}
    for group in full:
        head, _, tail = group.partition(": ")
        for name in {group, head, *([tail, f"{head} {tail}"] if tail else [])}:
            found.setdefault(name, []).append(group)
    return {name: tuple(groups) for name, groups in found.items()}


def carriers(without: Without, catalogue: Catalogue) -> dict[str, str]:
    """Every ingredient that carries what is ruled out, and how: nothing where it is named itself, else by its kind, an
    allergen, its figures or its flour.
    """
    found: dict[str, str] = {}
    for item in catalogue:
        if item.name in without.ingredients:
            found[item.name] = ""
        elif item.kinds & set(without.kinds):
            found[item.name] = sorted(item.kinds & set(without.kinds))[0]
        elif set(item.allergens) & set(without.allergens):
            found[item.name] = "contains " + sorted(set(item.allergens) & set(without.allergens))[0]
        else:
            figure = next((key for key in without.figures if item.figure(key) > 0), None)
            if figure is not None:
                found[item.name] = f"{item.figure(figure):g} % {figure} in it"
    for item in catalogue:
        if item.preferment is not None and item.preferment.flour in found and item.name not in found:
            found[item.name] = f"made of {item.preferment.flour}"
    return found


def ruled_out_by(
    said: Iterable[str], catalogue: Catalogue, words: Mapping[str, Without]
) -> tuple[dict[str, str], dict[str, frozenset[str]]]:
    """Every ingredient that any of the words said rules out, and how; and by which of them. Raises InputProblem."""
    how: dict[str, str] = {}
    by: dict[str, frozenset[str]] = {}
    for word in said:
        for name, reason in carriers(meant_by(word, catalogue, words), catalogue).items():
            how.setdefault(name, reason)
            by[name] = by.get(name, frozenset()) | {word}
    return how, by
