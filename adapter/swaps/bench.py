"""The work on one book formula: its variants, what is held, the offers for a line. What the main screen shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.lately import Lately
from adapter.dough.readings.measured import Measured, holds_flour, measure
from adapter.formula.model import Formula, Line, Step
from adapter.formula.pantry import Pantry
from adapter.swaps.adapt import Answer, adapt
from adapter.swaps.offer import Offer
from adapter.swaps.programme import Solver
from adapter.swaps.request import LINE_HOLD
from adapter.swaps.rules import Rule
from adapter.swaps.swapper import Swapper
from adapter.swaps.taking_back import without_step
from adapter.swaps.variant import Variant, with_amount, with_line, without_line
from adapter.swaps.way import Way
from adapter.swaps.wishes import Wishes

MOST_VARIANTS = 26
MOST_MEASURED = 12
"""Formulas whose readings are kept: those that one goes back and forth between."""


@dataclass(frozen=True, slots=True)
class Work:
    """Everything that is not saved yet: variants, the one shown, the holds. Frozen, so a draft is just this."""

    variants: tuple[Variant, ...]
    shown: int = 0
    holds: tuple[str, ...] = ()

    @property
    def variant(self) -> Variant:
        return self.variants[self.shown]

    def with_variant(self, variant: Variant) -> Work:
        """The work with the shown variant changed."""
        variants = list(self.variants)
        variants[self.shown] = variant
        return replace(self, variants=tuple(variants))


@dataclass
class Bench:
    """One open formula with the tables it is worked with. Every action replaces `work`; readings follow."""

    kitchen: Kitchen
    rules: Sequence[Rule]
    solver: Solver
    work: Work
    _lately: Lately[Formula, Measured] = field(init=False, repr=False)
    _swapper: Swapper | None = field(default=None, init=False, repr=False)
    _searcher: Solver = field(default_factory=Solver, init=False, repr=False)
    """A search for ways takes seconds: with a solver of its own no swap waits for it."""

    def __post_init__(self) -> None:
        kitchen = self.kitchen
        self._lately = Lately(lambda formula: measure(kitchen, formula), MOST_MEASURED)

    @classmethod
    def open(cls, kitchen: Kitchen, rules: Sequence[Rule], solver: Solver, formula: Formula) -> Bench:
        return cls(kitchen, rules, solver, Work((Variant.of(formula),)))

    @property
    def formula(self) -> Formula:
        return self.work.variant.formula

    @property
    def book(self) -> Formula:
        return self.formula.book()

    @property
    def now(self) -> Measured:
        """The shown formula, measured."""
        return self.measured(self.formula)

    @property
    def has_flour(self) -> bool:
        """Whether the shown formula can be read; one that is being written has no flour at first."""
        return holds_flour(self.kitchen, self.formula)

    def measured(self, formula: Formula) -> Measured:
        """A formula of this bench, measured once as long as it is among those looked at last."""
        return self._lately.of(formula)

    def offers(self, line: int, share_percent: float | None = None, pantry: Pantry | None = None) -> list[Offer]:
        """Offers for a line of the shown formula under the present holds, as a baker would reach for them."""
        return self.swapper().offers(line, share_percent, self.work.holds, pantry)

    def swapper(self) -> Swapper:
        if self._swapper is None or self._swapper.formula is not self.formula:
            self._swapper = Swapper(self.kitchen, self.rules, self.formula, self.solver)
        return self._swapper

    def with_share(self, offer: Offer, share_percent: float) -> Offer:
        """The same offer for another share of the outgoing line."""
        return self.swapper().offer_again(offer, share_percent, self.work.holds)

    def adapt(self, wishes: Wishes) -> Answer:
        """The ways in which the shown formula meets wishes, under what is held as well; nothing changes by it."""
        swapper = Swapper(self.kitchen, self.rules, self.formula, self._searcher)
        return adapt(swapper, replace(wishes, holds=tuple(dict.fromkeys((*wishes.holds, *self.work.holds)))))

    def take_way(self, way: Way) -> None:
        """Take a way: one step of the shown variant."""
        self._step(way.after.formula, way.step)

    def refined(self, offer: Offer) -> Offer:
        """An offer of a list as it is shown by itself and taken."""
        return self.swapper().refined(offer)

    def apply(self, offer: Offer) -> None:
        """Take an offer: one more step of the shown variant."""
        offer = self.refined(offer)
        self._step(offer.after.formula, offer.step())

    def type_amount(self, line: int, grams: float, written: str | None = None) -> None:
        """Type a weight over; the same again is no step. Raises InputProblem where it cannot be or leaves no flour.

        `written` is the amount as people write it, where it is no number of grams.
        """
        old = self.formula.lines[line]
        if grams == old.grams and written in (None, old.amount):
            return
        formula, step = with_amount(self.formula, line, grams, written)
        if grams == old.grams:
            self.rewrite(formula)
        else:
            self._checked(formula, step)

    def strike(self, line: int) -> None:
        """Take a line out. Raises InputProblem when no flour would be left."""
        self._checked(*without_line(self.formula, line))

    def add(self, line: Line, at: int) -> None:
        """Put a line in. Raises InputProblem for an ingredient that is not known or a weight that cannot be."""
        self.kitchen.catalogue.resolve(line.ingredient)
        self._checked(*with_line(self.formula, line, at))

    def rewrite(self, formula: Formula) -> None:
        """Write the shown formula otherwise where no weight changes, such as a note: no step away from its book."""
        if formula != self.formula:
            if holds_flour(self.kitchen, formula):
                measure(self.kitchen, formula)
            self._become(self.work.variant.rewritten(formula))

    def begin_here(self) -> bool:
        """Take the shown formula as the book that everything is measured against; false where it is one already."""
        if self.formula.adapted is None:
            return False
        return self._become(self.work.variant.begun_anew())

    def undo(self) -> bool:
        """One step back; whether there was one."""
        return self._become(self.work.variant.undo())

    def redo(self) -> bool:
        """One step forward; whether there was one."""
        return self._become(self.work.variant.redo())

    def take_back(self, number: int) -> int | None:
        """Take one step since the book back, whichever it is. Raises InputProblem where a later one needs it.

        Gives how many later swaps were worked out again; None where the later steps keep their grams.
        """
        taken = without_step(self.work.variant, number, self._swapper_of)
        measure(self.kitchen, taken.variant.formula)
        self._become(taken.variant)
        return taken.again

    def _swapper_of(self, formula: Formula) -> Swapper:
        return Swapper(self.kitchen, self.rules, formula, self.solver)

    def toggle_hold(self, hold: str) -> bool:
        """Hold a reading ("ph") or a line ("line:honey"), or let it go; whether it is held now."""
        holds = self.work.holds
        held = hold not in holds
        kept = (*holds, hold) if held else tuple(other for other in holds if other != hold)
        self.work = replace(self.work, holds=kept)
        return held

    def is_line_held(self, line: int) -> bool:
        return f"{LINE_HOLD}{self.formula.lines[line].ingredient}" in self.work.holds

    def new_variant(self) -> None:
        """A further variant that goes on from the shown formula, its steps with it; it is shown. At most 26."""
        if len(self.work.variants) >= MOST_VARIANTS:
            return
        now = self.work.variant
        so_far = Variant.of(now.formula) if now.is_being_written else Variant(now.formulas[: now.at + 1], now.at)
        started = so_far.renamed(self._free_name())
        self.work = replace(self.work, variants=(*self.work.variants, started), shown=len(self.work.variants))

    def show(self, number: int) -> None:
        """Show another variant, counted round from 0."""
        self.work = replace(self.work, shown=number % len(self.work.variants))

    def drop_variant(self) -> bool:
        """Strike the shown variant; false for the last one, which stays."""
        if len(self.work.variants) == 1:
            return False
        variants = tuple(variant for number, variant in enumerate(self.work.variants) if number != self.work.shown)
        self.work = replace(self.work, variants=variants, shown=min(self.work.shown, len(variants) - 1))
        return True

    def rename(self, name: str) -> None:
        self.work = self.work.with_variant(self.work.variant.renamed(name))

    def letter(self, number: int) -> str:
        """What a variant is called on screen: A, B, C … Z, AA, AB …"""
        first, last = divmod(number, 26)
        return (chr(ord("A") + first - 1) if first else "") + chr(ord("A") + last)

    def _free_name(self) -> str:
        taken = {variant.formula.name for variant in self.work.variants}
        number = len(self.work.variants)
        while (name := f"{self.book.name}, variant {self.letter(number)}") in taken:
            number += 1
        return name

    def _checked(self, formula: Formula, step: Step) -> None:
        if self.work.variant.is_being_written:
            if holds_flour(self.kitchen, formula):
                measure(self.kitchen, formula)
            self._become(self.work.variant.rewritten(formula))
            return
        measure(self.kitchen, formula)
        self._step(formula, step)

    def _step(self, formula: Formula, step: Step) -> None:
        self._become(self.work.variant.then(formula, step))

    def _become(self, variant: Variant) -> bool:
        changed = variant.at != self.work.variant.at or variant.formulas is not self.work.variant.formulas
        self.work = self.work.with_variant(variant)
        return changed
