"""A line of a recipe as it was read: what was understood, how surely, and what is in doubt."""

from __future__ import annotations

from dataclasses import dataclass, replace

from adapter.formula.model import DEFAULT_STAGE
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem

UNKNOWN = "no such ingredient is known"
"""How the doubt begins that no ingredient is called so."""


@dataclass(frozen=True, slots=True)
class ReadLine:
    """One ingredient line. `text` is the line unchanged; `doubts` say in plain words what is not sure.

    `name` is the ingredient's own words, `ingredient` the catalogue's name for it (None: it has none). `grams` is None
    where nothing is weighed: for a `reference` ("all of the soaker"), for what stays out of the dough (`in_dough`
    false: dusting flour, egg wash) and where no weight can be told. `percent` is a baker's percentage as written.
    """

    text: str
    name: str
    ingredient: str | None = None
    stage: str = DEFAULT_STAGE
    amount_low: float | None = None
    amount_high: float | None = None
    unit: str = ""
    grams: float | None = None
    doubts: tuple[str, ...] = ()
    reference: bool = False
    in_dough: bool = True
    note: str = ""
    candidates: tuple[str, ...] = ()
    percent: float | None = None
    hydration: float | None = None
    temperature_c: float | None = None
    number: int = 0
    """Which line of the text it stands in, from 1; 0 for a line of a table or a page."""

    @property
    def sure(self) -> bool:
        return not self.doubts

    def doubting(self, *doubts: str) -> ReadLine:
        return replace(self, doubts=tuple(dict.fromkeys((*self.doubts, *doubts))))

    def noting(self, *notes: str) -> ReadLine:
        kept = [note for note in (self.note, *notes) if note]
        return replace(self, note="; ".join(dict.fromkeys(kept)))


def percent_note(percent: float) -> str:
    return f"{percent:g} % of the flour"


def can_accept(line: ReadLine) -> bool:
    """Whether a line says enough to be taken as it was read: an ingredient and a weight, or none to be weighed."""
    return line.reference or not line.in_dough or (line.ingredient is not None and line.grams is not None)


def accept(line: ReadLine) -> ReadLine:
    """The line as a person takes it: what was understood, without doubt.

    Raises InputProblem for a line that names no known ingredient or has no weight: those must be given (`correct`).
    """
    if not can_accept(line):
        lacking = "ingredient" if line.ingredient is None else "weight"
        raise InputProblem(f"'{clean(line.text, 60)}' has no {lacking} yet", right=f"give its {lacking}")
    return replace(line, doubts=())
