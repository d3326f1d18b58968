"""Cautions that apply to a formula: rows of cautions.toml, matched by allergen, kind, ingredient or amount.

A baker's own table lies over the shipped one: a row of the same key replaces it, a new one comes first.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources.abc import Traversable

from adapter.formula.problems import InputProblem
from adapter.formula.tables import Row, read_table, rows, shipped_tables

TABLE = "cautions.toml"

_KEYS = frozenset({"key", "when", "text", "basis", "tag", "source"})
_WHEN_KEYS = frozenset({"always", "allergen", "kind", "ingredient", "percent_flour_over"})


@dataclass(frozen=True, slots=True)
class Caution:
    """One row. It applies when `always`, or when any allergen, kind or ingredient named is there; with
    `percent_flour_over`, only where those kinds or ingredients together are above that share of the flour."""

    key: str
    always: bool
    allergens: frozenset[str]
    kinds: frozenset[str]
    ingredients: frozenset[str]
    percent_flour_over: float | None
    text: str
    basis: str
    tag: str
    source: str


@cache
def shipped_cautions() -> tuple[Caution, ...]:
    """The cautions that ship with the program, in the order they are shown."""
    return load_cautions()


def load_cautions(own_folders: Iterable[Traversable] = ()) -> tuple[Caution, ...]:
    """cautions.toml, in the order in which cautions are shown. Raises InputProblem."""
    found: dict[str, Caution] = {}
    for folder in (shipped_tables(), *own_folders):
        path = folder / TABLE
        if not path.is_file():
            continue
        here: dict[str, Caution] = {}
        for row in rows(read_table(path), "caution", str(path), name_key="key"):
            caution = _caution(row)
            if caution.key in here:
                raise row.problem("key", f"{caution.key!r} stands here twice")
            here[caution.key] = caution
        new = {key: row for key, row in here.items() if key not in found}
        found = new | {key: here.get(key, row) for key, row in found.items()}
    if not found:
        raise InputProblem("has no caution", file=TABLE)
    return tuple(found.values())


def cautions_for(
    ingredient_names: Iterable[str],
    kinds: Iterable[str],
    allergens: Iterable[str],
    percents: Mapping[str, float],
    cautions: Iterable[Caution] | None = None,
) -> list[str]:
    """The sentences that apply, in table order.

    The first three are of the whole formula; `percents` gives the % of the flour of an ingredient, or of a kind, by
    its name. An allergen may name its member ("gluten: rye"): a caution on "gluten" applies to it. Names are compared
    without regard to case.
    """
    names, of_kinds = _plain(ingredient_names), _plain(kinds)
    groups = _plain(allergens)
    groups |= {group.partition(":")[0].strip() for group in groups}
    amounts: dict[str, float] = {}
    for name, percent in percents.items():
        amounts[name.casefold()] = amounts.get(name.casefold(), 0.0) + percent
    return [
        caution.text
        for caution in (shipped_cautions() if cautions is None else cautions)
        if _applies(caution, names, of_kinds, groups, amounts)
    ]


def _applies(
    caution: Caution,
    names: frozenset[str],
    kinds: frozenset[str],
    allergens: frozenset[str],
    percents: Mapping[str, float],
) -> bool:
    if caution.always:
        return True
    there = (caution.ingredients & names) | (caution.kinds & kinds)
    if caution.percent_flour_over is None:
        return bool(there or caution.allergens & allergens)
    return sum(percents.get(name, 0.0) for name in there) > caution.percent_flour_over


def _plain(names: Iterable[str]) -> frozenset[str]:
    return frozenset(name.casefold() for name in names)


def _caution(row: Row) -> Caution:
    row.known_keys(_KEYS)
    when = row.part("when")
    if when is None:
        raise row.problem("when", "is missing", "when = { always = true }")
    when.known_keys(_WHEN_KEYS)
    allergens, kinds, ingredients = (_names(when, key) for key in ("allergen", "kind", "ingredient"))
    always = when.flag("always", False)
    if always == bool(allergens or kinds or ingredients):
        raise row.problem("when", "names nothing, or names something beside always", "one or the other")
    over = when.number("percent_flour_over") if when.has("percent_flour_over") else None
    if over is not None and (over < 0.0 or allergens or not (kinds or ingredients)):
        raise row.problem("when", "has percent_flour_over without its kind or ingredient")
    return Caution(
        row.text("key"),
        always,
        allergens,
        kinds,
        ingredients,
        over,
        row.text("text"),
        row.text("basis"),
        row.tag(),
        row.text("source"),
    )


def _names(when: Row, key: str) -> frozenset[str]:
    """One name or a list of names under a key; none where the key is missing."""
    if isinstance(when.data.get(key), list):
        return _plain(when.texts(key))
    return _plain([when.text(key)]) if when.has(key) else frozenset()
