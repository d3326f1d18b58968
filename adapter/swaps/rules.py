"""The rules table: what may stand in for what, what is kept, what may move, what will be noticed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path

from adapter.formula.catalogue import Catalogue
from adapter.formula.problems import InputProblem
from adapter.formula.row import Row, keys_of
from adapter.formula.tables import Table

TABLE = Table("rules.toml", "rule", "rules", ("id",))
KIND = "kind:"

KEEPABLE_BESIDE_READINGS = ("weight", "dry_weight")
"""Grams in = grams out, and the same for dry matter: they belong to the swap, not to the formula."""


@dataclass(frozen=True, slots=True)
class ShareLimit:
    """Bounds of one incoming slot's part in the grams that come in (0 to 1)."""

    slot: int
    low: float = field(metadata={"keys": ("min",)})
    high: float = field(metadata={"keys": ("max",)})


@dataclass(frozen=True, slots=True)
class MostOfFlour:
    """Upper bound of one incoming slot, grams in % of the formula's flour."""

    slot: int
    percent_flour: float


@dataclass(frozen=True, slots=True)
class Dose:
    """How much of an incoming slot comes in unless an amount is typed, grams in % of the formula's flour."""

    slot: int
    percent_flour: float


@dataclass(frozen=True, slots=True)
class Rule:
    id: str
    family: str
    say: str
    out: tuple[str, ...]
    into: tuple[str, ...]
    excluded: frozenset[str] = field(metadata={"keys": ("except",)})
    stays: frozenset[str] = field(metadata={"keys": ("except_out",)})
    share_percent: float = field(metadata={"keys": ("share",)})
    keep: tuple[str, ...]
    moves: tuple[str, ...]
    weigh: tuple[tuple[str, float], ...]
    limits: tuple[ShareLimit, ...]
    most: tuple[MostOfFlour, ...]
    notice: str
    tag: str
    source: str
    seldom: frozenset[str] = frozenset()
    dose: tuple[Dose, ...] = ()

    def takes(self, slot: str, ingredient: str, catalogue: Catalogue) -> bool:
        """Whether an outgoing slot takes this ingredient; `stays` are those of a kind that it leaves alone."""
        return fits(slot, ingredient, catalogue) and (slot == ingredient or ingredient not in self.stays)

    def members(self, catalogue: Catalogue, going_out: frozenset[str]) -> list[list[str]]:
        """The ingredients that each incoming slot may stand for; none that goes out."""
        return [
            [
                name
                for name in members_of(slot, catalogue)
                if name not in going_out and (name not in self.excluded or not slot.startswith(KIND))
            ]
            for slot in self.into
        ]

    def combinations(self, catalogue: Catalogue, going_out: frozenset[str]) -> Iterator[tuple[str, ...]]:
        """Every choice of ingredients for the incoming slots, none named twice and none that goes out."""
        return (names for names in product(*self.members(catalogue, going_out)) if len(set(names)) == len(names))


def slot_words(slot: str) -> str:
    """A slot as it is said: the ingredient, or "any acid liquid" for a kind."""
    return f"any {slot.removeprefix(KIND)}" if slot.startswith(KIND) else slot


def members_of(slot: str, catalogue: Catalogue) -> tuple[str, ...]:
    """The ingredients that a slot of a rule names: one, or every one of a kind."""
    if slot.startswith(KIND):
        return catalogue.of_kind(slot.removeprefix(KIND))
    return (slot,)


def fits(slot: str, ingredient: str, catalogue: Catalogue) -> bool:
    if slot.startswith(KIND):
        return slot.removeprefix(KIND) in catalogue.get(ingredient).kinds
    return slot == ingredient


def load_rules(catalogue: Catalogue, keepable: Iterable[str], own_folders: Iterable[Path] = ()) -> tuple[Rule, ...]:
    """rules.toml, a baker's own over the shipped ones (same id: the baker's wins).

    Raises InputProblem, naming file, rule and key, for a name or kind that is not in the catalogue, an unknown
    quantity, a limit that names no slot, or a missing source.
    """
    known = frozenset(keepable) | frozenset(KEEPABLE_BESIDE_READINGS)
    return TABLE.load(own_folders, lambda row: read_rule(row, catalogue, known))


def read_rule(row: Row, catalogue: Catalogue, keepable: frozenset[str]) -> Rule:
    row.known_keys(keys_of(Rule))
    out, into, moves = row.texts("out"), row.texts("into"), row.texts("moves")
    if not out:
        raise row.fault("out", "names nothing")
    if not into and not row.has("into"):
        raise row.fault("into", "is missing", "what comes in, or [] where the line is left out")
    for key, slots in (
        ("out", out),
        ("into", into),
        ("moves", moves),
        ("except", row.texts("except")),
        ("except_out", row.texts("except_out")),
        ("seldom", row.texts("seldom")),
    ):
        for slot in slots:
            _check_slot(row, key, slot, catalogue)
    named = [slot for slot in into if not slot.startswith(KIND)]
    if len(set(named)) < len(named):
        raise row.fault("into", "names an ingredient twice")
    keep = row.texts("keep")
    weigh = tuple(row.numbers("weigh").items())
    for key, weight in weigh:
        if weight < 0:
            raise row.fault(f"weigh.{key}", f"is {weight:g}", "zero or more")
    for key in (*keep, *(name for name, _ in weigh)):
        if key not in keepable:
            raise row.fault("keep", f"{key!r} is no quantity", "one of " + ", ".join(sorted(keepable)))
    share = row.number("share", 100.0)
    if not 0 < share <= 100:
        raise row.fault("share", f"is {share:g}", "above 0 and at most 100")
    return Rule(
        row.text("id"),
        row.text("family"),
        row.text("say"),
        out,
        into,
        frozenset(row.texts("except")),
        frozenset(row.texts("except_out")),
        share,
        keep,
        moves,
        weigh,
        tuple(_limits(row, len(into))),
        tuple(_most(row, len(into))),
        row.text("notice"),
        row.tag(),
        row.text("source"),
        frozenset(row.texts("seldom")),
        tuple(_doses(row, len(into))),
    )


def _check_slot(row: Row, key: str, slot: str, catalogue: Catalogue) -> None:
    if slot.startswith(KIND):
        if not catalogue.of_kind(slot.removeprefix(KIND)):
            raise row.fault(key, f"no ingredient is of {slot!r}", "kinds: " + ", ".join(sorted(catalogue.kinds())))
    elif slot not in catalogue.ingredients:
        near = ", ".join(catalogue.nearest(slot, 3))
        raise row.fault(key, f"unknown ingredient {slot!r}", f"nearest: {near}")


def _slots(row: Row, key: str, kind: type, slots: int) -> Iterator[tuple[Row, int]]:
    entries = row.data.get(key, [])
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise row.fault(key, "is not a list of { slot = … }")
    for entry in entries:
        part = Row(entry, row.file, f"{row.where}, {key}")
        part.known_keys(keys_of(kind))
        slot = part.number("slot")
        if slot != int(slot) or not 1 <= slot <= slots:
            raise part.fault("slot", f"{slot:g} is no slot of into", f"1 to {slots}")
        yield part, int(slot) - 1


def _limits(row: Row, slots: int) -> Iterator[ShareLimit]:
    lows = highs = 0.0
    limited: set[int] = set()
    for part, slot in _slots(row, "limits", ShareLimit, slots):
        low, high = part.number("min", 0.0), part.number("max", 1.0)
        if not 0 <= low <= high <= 1:
            raise InputProblem("min and max are not in order", file=part.file, where=part.where, right="0 to 1")
        lows, highs = lows + low, highs + high
        limited.add(slot)
        yield ShareLimit(slot, low, high)
    if lows > 1 or (0 < slots == len(limited) and highs < 1):
        raise row.fault("limits", "cannot all be met together", "the least parts at most 1 in all")


def _most(row: Row, slots: int) -> Iterator[MostOfFlour]:
    for part, slot in _slots(row, "most", MostOfFlour, slots):
        percent = part.number("percent_flour")
        if percent <= 0:
            raise part.fault("percent_flour", f"is {percent:g}", "above zero")
        yield MostOfFlour(slot, percent)


def _doses(row: Row, slots: int) -> Iterator[Dose]:
    for part, slot in _slots(row, "dose", Dose, slots):
        percent = part.number("percent_flour")
        if percent <= 0:
            raise part.fault("percent_flour", f"is {percent:g}", "above zero")
        yield Dose(slot, percent)
