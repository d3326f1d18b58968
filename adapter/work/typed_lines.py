"""A line as a person types it on the bench: which ingredient is meant, how much of it, and what has to be asked."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from adapter.formula.amounts import grams_of, is_bare
from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Ingredient
from adapter.formula.model import DEFAULT_STAGE, Line
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.formula.typed_line import read_typed_line
from adapter.recipes.read_line import UNKNOWN
from adapter.work.formula_fields import LONGEST_NOTE, LONGEST_STAGE_NAME

if TYPE_CHECKING:
    from adapter.recipes.lines import LineReader
    from adapter.recipes.read_line import ReadLine

_GRAMS = re.compile(r"\d+(?:[.,]\d+)?\s*(?:g|gr|grams?)?\Z", re.IGNORECASE)
_IN_STAGE = re.compile(r"\s*(?:for\s+)?(?:the\s+)?([^\d\s:][^\d:]*?)\s*:\s*(\S.*)", re.IGNORECASE)
MOST_PIECES = 24
"""A bare number up to this, before or behind the name of what is counted ("3 eggs"), counts pieces [A]."""
MOST_SHOWN = 60
GRAMS, PIECES = "g", "piece"
USED_MOST = (
    "white flour", "wheat flour", "rye flour", "flour", "water", "salt", "yeast", "sourdough", "milk", "butter", "fat",
    "sugar", "egg", "syrup", "seed", "nut", "dried fruit", "liquid",
)  # fmt: skip
"""Kinds in the order in which a formula is written, for a choice without words: everyday things first [A]."""
FEW_GRAMS = 10.0
"""Under this the tenth of a gram counts in an amount that was typed in ounces or spoons."""


@dataclass(frozen=True, slots=True)
class Amount:
    """Grams, and the amount as it was written where that is no number of grams ("2 cups")."""

    grams: float
    written: str | None = None


@dataclass(frozen=True, slots=True)
class PiecesOrGrams:
    """A bare number for something that is counted in pieces: a person has to say which it is."""

    number: str
    pieces: Amount
    grams: Amount


@dataclass(frozen=True, slots=True)
class Understood:
    """What a typed line says: its words for the ingredient and for the amount, and the ingredients that may be meant.

    `choices` stand in the order of likeliness. `read` is the line as the reader of recipes took it, where that was
    asked; its doubts are `doubts`. `begun` says that names begin with what was typed: it may be half a name.
    `stage` is the one that stands before the line ("soaker: 50 g oats"); `beside` are the words of the name that are
    not the ingredient's own ("boiling water").
    """

    name: str
    amount: str
    choices: tuple[Ingredient, ...]
    counted: bool = False
    read: ReadLine | None = None
    begun: bool = False
    stage: str = ""
    beside: str = ""

    @property
    def doubts(self) -> tuple[str, ...]:
        found = self.read.doubts if self.read is not None else ()
        return tuple(doubt for doubt in found if not (self.begun and doubt.startswith(UNKNOWN)))

    def as_line(self, ingredient: Ingredient, amount: Amount) -> Line:
        """The line of a formula with all that was typed of it: its note, its warmth, the water of a sourdough."""
        line = Line(ingredient.name, amount.grams, self.stage or DEFAULT_STAGE, self.beside, amount=amount.written)
        read = self.read
        if read is None or read.ingredient != ingredient.name:
            return line
        note = clean(read.note, LONGEST_NOTE)
        return replace(line, note=note, temperature_c=read.temperature_c, hydration=read.hydration)


def understood(text: str, catalogue: Catalogue, reader: LineReader | None = None) -> Understood:
    """A typed line taken apart. Exact names go first, then what the reader of recipes finds, then what is like it."""
    if not text.strip():
        return Understood("", "", tuple(sorted(catalogue, key=_used)))
    staged = _IN_STAGE.fullmatch(text)
    if staged is not None and not _is_amount(staged[2]):
        return replace(understood(staged[2], catalogue, reader), stage=clean(staged[1], LONGEST_STAGE_NAME))
    typed = read_typed_line(text, catalogue)
    if typed.ingredient is not None:
        found = (typed.ingredient, *catalogue.search(typed.name))
        beside = _beside(typed.name, typed.ingredient.name)
        return Understood(
            typed.name, _unpieced(typed.amount, typed.counted), _once(found), typed.counted, beside=beside
        )
    if _is_amount(text):
        return Understood("", text.strip(), ())
    read = _read(text, reader) if reader is not None else None
    name = read.name if read is not None and read.name else typed.name
    sure = [] if read is None or read.ingredient is None else [catalogue.get(read.ingredient)]
    likely = [] if read is None else [catalogue.get(each) for each in read.candidates]
    called = catalogue.called(name) if name else []
    if not called:
        found = (*sure, *likely, *(catalogue.search(name) if name else ()))
    elif all(item in called for item in sure):
        found = (*sure, *called, *likely)
    else:
        # The reader took what is half a word for a slip: "butterm" is not butter.
        found = (*called, *sure, *likely)
    return Understood(name, typed.amount or "", _once(found), read=read, begun=bool(called))


def amount_of(
    line: Understood, ingredient: Ingredient, reader: LineReader | None, bare_unit: str = GRAMS
) -> Amount | PiecesOrGrams | None:
    """How much of an ingredient the line says; None where it says nothing of it. Raises InputProblem."""
    read, bare = line.read, is_bare(line.amount)
    of_it = read is not None and read.ingredient == ingredient.name and read.grams is not None
    if read is not None and of_it and (read.unit or not bare):
        return written_amount(read, ingredient)
    if not line.amount:
        return None
    if (line.counted or of_it) and bare and ingredient.property("each_g") and _number(line.amount) <= MOST_PIECES:
        return _pieces(line.amount, ingredient)
    return amount_typed(line.amount, ingredient, reader, bare_unit)


def amount_typed(
    text: str, ingredient: Ingredient, reader: LineReader | None = None, bare_unit: str = GRAMS
) -> Amount | PiecesOrGrams:
    """An amount typed for an ingredient that is known; a bare number is of `bare_unit`. Raises InputProblem."""
    written = text.strip()
    if not written:
        raise InputProblem("no amount", right="grams, such as 250")
    density, each = ingredient.property("density_g_ml") or None, ingredient.property("each_g") or None
    bare = is_bare(written)
    grams = grams_of(f"{written} {bare_unit}" if bare else written, density, each)
    if bare and bare_unit != GRAMS:
        grams = round(grams, 1 if grams >= FEW_GRAMS else 2)
    if not bare:
        return Amount(grams, None if _GRAMS.match(written) else written)
    if bare_unit == PIECES:
        return _pieces(written, ingredient)
    if bare_unit not in (GRAMS, "oz"):
        return Amount(grams)
    if each is not None:
        return PiecesOrGrams(written, _pieces(written, ingredient), Amount(grams))
    one = None if reader is None or bare_unit != GRAMS or grams > MOST_PIECES else _one(ingredient, reader)
    if one is not None:
        return PiecesOrGrams(written, Amount(one * grams), Amount(grams))
    return Amount(grams)


def stock_amount(line: Understood, ingredient: Ingredient, reader: LineReader | None) -> str:
    """How much of an ingredient a typed line says, as it can be typed for a store; nothing where it does not."""
    try:
        found = amount_of(line, ingredient, reader)
    except InputProblem:
        return line.amount
    if found is None:
        return ""
    amount = found.grams if isinstance(found, PiecesOrGrams) else found
    return amount.written or f"{amount.grams:g} g"


def _used(item: Ingredient) -> tuple[bool, int]:
    rank = next((place for place, kind in enumerate(USED_MOST) if kind in item.kinds), len(USED_MOST))
    return not item.everyday, rank


def _beside(typed: str, name: str) -> str:
    """The words of a typed name that stand beside the ingredient's own, as "boiling" does in "boiling water"."""
    words, own = typed.split(), name.casefold().split()
    if not set(own) <= {word.casefold() for word in words}:
        return ""
    return clean(" ".join(word for word in words if word.casefold() not in own), LONGEST_NOTE)


def _is_amount(text: str) -> bool:
    """Whether a text is an amount and nothing else: "40 g", whatever it may be of."""
    try:
        grams_of(text, 1.0, 1.0)
    except InputProblem:
        return False
    return True


def _pieces(number: str, ingredient: Ingredient) -> Amount:
    written = f"{number} {'piece' if _number(number) <= 1 else 'pieces'}"
    return Amount(grams_of(written, None, ingredient.property("each_g") or None), written)


def written_amount(read: ReadLine, ingredient: Ingredient) -> Amount:
    """The reader's grams, with the amount in words where a formula file would read the same grams out of it."""
    if read.grams is None:
        raise InputProblem("its weight cannot be told", right="an amount in grams")
    if read.amount_low is None or read.amount_low != read.amount_high or not read.unit or read.unit == "g":
        return Amount(read.grams)
    written = f"{read.amount_low:g} {read.unit}{'s' if read.unit == 'cup' and read.amount_low > 1 else ''}"
    try:
        grams = grams_of(written, ingredient.property("density_g_ml") or None, ingredient.property("each_g") or None)
    except InputProblem:
        return Amount(read.grams)
    return Amount(grams, written) if abs(grams - read.grams) < 0.005 * grams else Amount(read.grams)


def _one(ingredient: Ingredient, reader: LineReader) -> float | None:
    """What one of an ingredient weighs, by the measures of recipes."""
    read = reader.read(f"1 {ingredient.name}", "")
    fits = len(read) == 1 and read[0].ingredient == ingredient.name
    return read[0].grams if fits and not read[0].unit else None


def _read(text: str, reader: LineReader) -> ReadLine | None:
    lines = reader.read(text, "")
    return lines[0] if len(lines) == 1 else None


def _unpieced(amount: str | None, counted: bool) -> str:
    return (amount or "").removesuffix(" pieces") if counted else amount or ""


def _number(text: str) -> float:
    return grams_of(text, None)


def _once(found: Sequence[Ingredient]) -> tuple[Ingredient, ...]:
    return tuple({item.name: item for item in found}.values())[:MOST_SHOWN]
