"""What a person types for one line: "2 cups bread flour", "3 eggs", "bread flour 500 g", "1 large egg", "honey"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from adapter.formula.amounts import grams_of
from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Ingredient
from adapter.formula.problems import InputProblem

SIZES = frozenset(("small", "medium", "large", "big"))
"""Sizes of eggs and the like: the table's weight of one counts for all of them."""

_NUMBER = re.compile(r"[\d¼½¾⅓⅔⅛.,/]+")


@dataclass(frozen=True, slots=True)
class TypedLine:
    """The name as typed, the amount as written with its grams (None where none was typed), the ingredient if known.

    `counted` says that a bare number was taken as pieces, as the thing is counted, not weighed.
    """

    name: str
    amount: str | None = None
    grams: float | None = None
    ingredient: Ingredient | None = None
    counted: bool = False


def read_typed_line(text: str, catalogue: Catalogue) -> TypedLine:
    """Amount and name of a typed line, in either order. Without an amount, the whole text is the name."""
    words = text.split()
    known = _known(" ".join(words), catalogue)
    if known is not None or not any(_NUMBER.match(word) for word in words):
        return TypedLine(" ".join(words), ingredient=known)
    numbers = _NUMBER.match(words[0]) is not None
    splits = range(1, len(words)) if numbers else range(len(words) - 1, 0, -1)
    fallback = TypedLine(" ".join(words))
    for at in splits:
        amount, name = (words[:at], words[at:]) if numbers else (words[at:], words[:at])
        found = _split(amount, name, catalogue)
        if found is None:
            continue
        if found.ingredient is not None:
            return found
        fallback = found
    return fallback


def _split(amount: list[str], name: list[str], catalogue: Catalogue) -> TypedLine | None:
    sized = [word for word in name if word.casefold() not in SIZES] or name
    if name[0].casefold() == "of" and len(name) > 1:
        sized = name[1:]
    written = " ".join(word for word in amount if word.casefold() not in SIZES)
    ingredient = _known(" ".join(sized), catalogue)
    each = ingredient.property("each_g") if ingredient else 0.0
    density = ingredient.property("density_g_ml") if ingredient else 1.0
    counted = each > 0 and re.fullmatch(r"[\d\s¼½¾⅓⅔⅛.,/]+", written) is not None
    try:
        grams = grams_of(f"{written} pieces" if counted else written, density or None, each or None)
    except InputProblem:
        return None
    if ingredient is None:
        return TypedLine(" ".join(sized), written)
    return TypedLine(" ".join(sized), f"{written} pieces" if counted else written, grams, ingredient, counted)


def _known(name: str, catalogue: Catalogue) -> Ingredient | None:
    """The ingredient of just this name or alias, in the singular as well."""
    forms = (name, name.removesuffix("s"), name.removesuffix("es"))
    return next((known for form in forms if form and (known := catalogue.named(form)) is not None), None)
