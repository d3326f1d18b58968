"""Cautions that apply to a formula: rows of cautions.toml, matched by allergen, kind, ingredient or amount.

A baker's own table lies over the shipped one: a row of the same key replaces it, a new one comes first.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from adapter.formula.row import Row, keys_of
from adapter.formula.tables import Table

TABLE = Table("cautions.toml", "caution", "cautions", ("key",), own_first=True)
TABLES = (TABLE,)

_WHEN_KEYS = frozenset({"always", "allergen", "kind", "ingredient", "percent_flour_over"})


@dataclass(frozen=True, slots=True)
class Caution:
    """One row. It applies when `always`, or when any allergen, kind or ingredient named is there; with
    `percent_flour_over`, only where those kinds or ingredients together are above that share of the flour."""

    key: str
    always: bool = field(metadata={"keys": ("when",)})
    allergens: frozenset[str] = field(metadata={"keys": ()})
    kinds: frozenset[str] = field(metadata={"keys": ()})
    ingredients: frozenset[str] = field(metadata={"keys": ()})
    percent_flour_over: float | None = field(metadata={"keys": ()})
    text: str
    basis: str
    tag: str
    source: str


@cache
def shipped_cautions() -> tuple[Caution, ...]:
    """The cautions that ship with the program, in the order they are shown."""
    return load_cautions()


def load_cautions(own_folders: Iterable[Path] = ()) -> tuple[Caution, ...]:
    """cautions.toml, in the order in which cautions are shown. Raises InputProblem."""
    return TABLE.load(own_folders, _caution)


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
    row.known_keys(keys_of(Caution))
    when = row.part("when")
    if when is None:
        raise row.fault("when", "is missing", "when = { always = true }")
    when.known_keys(_WHEN_KEYS)
    allergens, kinds, ingredients = (_plain(when.names(key)) for key in ("allergen", "kind", "ingredient"))
    always = when.flag("always", False)
    if always == bool(allergens or kinds or ingredients):
        raise row.fault("when", "names nothing, or names something beside always", "one or the other")
    over = when.maybe_number("percent_flour_over")
    if over is not None and (over < 0.0 or allergens or not (kinds or ingredients)):
        raise row.fault("when", "has percent_flour_over without its kind or ingredient")
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
