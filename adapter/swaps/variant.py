"""A variant: the book formula and the ordered steps since, each a formula of its own, so that undo is an index."""

from __future__ import annotations

from dataclasses import dataclass, replace

from adapter.formula.model import Adapted, Amount, Formula, Line, Step
from adapter.formula.problems import InputProblem

LARGEST_GRAMS = 1_000_000.0


@dataclass(frozen=True, slots=True)
class Variant:
    """Formulas from the book onwards; `at` is the one shown. Undone formulas stay until something new is done."""

    formulas: tuple[Formula, ...]
    at: int = 0

    @classmethod
    def of(cls, formula: Formula) -> Variant:
        """A variant that starts at a formula as it was opened (a saved variant keeps its book)."""
        return cls((formula,))

    @property
    def formula(self) -> Formula:
        return self.formulas[self.at]

    @property
    def can_undo(self) -> bool:
        return self.at > 0

    @property
    def can_redo(self) -> bool:
        return self.at < len(self.formulas) - 1

    @property
    def is_being_written(self) -> bool:
        """Whether it was begun with nothing and no swap was taken since: what is typed is the formula, no change."""
        return not self.formulas[0].lines and self.formula.adapted is None

    def undo(self) -> Variant:
        """One step back; itself at the start."""
        return replace(self, at=self.at - 1) if self.can_undo else self

    def redo(self) -> Variant:
        """One step forward again; itself at the end."""
        return replace(self, at=self.at + 1) if self.can_redo else self

    def then(self, formula: Formula, step: Step) -> Variant:
        """The variant with one more step; what had been undone is dropped."""
        taken = follow(self.formula, formula, step)
        return Variant((*self.formulas[: self.at + 1], taken), self.at + 1)

    def rewritten(self, formula: Formula) -> Variant:
        """The variant with the formula written otherwise, which is no step away from its book; undo goes back."""
        return Variant((*self.formulas[: self.at + 1], formula), self.at + 1)

    def begun_anew(self) -> Variant:
        """The variant with what is shown taken as a book formula: nothing before it counts, but undo goes back."""
        fresh = replace(self.formula, adapted=None)
        return Variant((*self.formulas[: self.at + 1], fresh), self.at + 1)

    def renamed(self, name: str) -> Variant:
        """The same variant under another name, at every step: undo does not take a name away.

        A formula that is still being written has no origin but itself.
        """
        begun = not self.formulas[0].lines
        kept = (formula if begun and formula.adapted is None else origin_kept(formula) for formula in self.formulas)
        return replace(self, formulas=tuple(replace(formula, name=name) for formula in kept))


def origin_kept(formula: Formula) -> Formula:
    """The formula with its origin written down: its own lines, when it is a book formula."""
    if formula.adapted is not None:
        return formula
    return replace(formula, adapted=Adapted(formula.name, formula.lines))


def follow(before: Formula, after: Formula, step: Step) -> Formula:
    """`after` as an adapted formula: the origin of `before`, and its steps with one more."""
    base = origin_kept(before).adapted
    assert base is not None
    return replace(after, adapted=replace(base, steps=(*base.steps, step)))


def with_amount(formula: Formula, place: int, grams: float, written: str | None = None) -> tuple[Formula, Step]:
    """A formula with one weight typed over, and the step that records it. `written` is the amount as people write it.

    What was written before ("2 cups") goes, unless the same grams were typed.
    Raises InputProblem for a weight that is negative, not finite or above a tonne.
    """
    _check_grams(grams)
    line = formula.lines[place]
    lines = list(formula.lines)
    if written is None and grams == line.grams:
        written = line.amount
    lines[place] = replace(line, grams=grams, amount=written)
    moved = (Amount(line.ingredient, grams - line.grams),)
    return formula.with_lines(lines), Step("amount", moved=moved)


def _check_grams(grams: float) -> None:
    if not 0 <= grams <= LARGEST_GRAMS:
        raise InputProblem(f"{grams:g} g cannot be weighed in", right="0 g to 1,000,000 g")


def without_line(formula: Formula, place: int) -> tuple[Formula, Step]:
    """A formula with one line struck out, and the step that records it."""
    line = formula.lines[place]
    lines = [other for number, other in enumerate(formula.lines) if number != place]
    return formula.with_lines(lines), Step("amount", out=(Amount(line.ingredient, line.grams),))


def with_line(formula: Formula, line: Line, at: int) -> tuple[Formula, Step]:
    """A formula with one line put in before place `at`, and the step that records it.

    Raises InputProblem for a weight that cannot be.
    """
    _check_grams(line.grams)
    lines = [*formula.lines[:at], line, *formula.lines[at:]]
    return formula.with_lines(lines), Step("amount", into=(Amount(line.ingredient, line.grams),))
