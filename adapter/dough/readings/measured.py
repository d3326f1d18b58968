"""The readings of a formula: every number a baker looks at, in one pass over the totals.

`measure` gives a Measured: its values at once, and gradients, spreads and readings when they are asked for.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from adapter.dough.models.leavening import CARBONIC
from adapter.dough.models.near_rise import NearRise
from adapter.dough.models.oven import Loaf, heating_rate_c_per_min
from adapter.dough.models.proof import Rise, RiseParts
from adapter.dough.models.warmth import cooling_hours
from adapter.dough.readings.doubts import Doubts, DoubtsBetween
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.leavening import co2_doubt, let_gas_go
from adapter.dough.readings.linear import Parts, parts_of
from adapter.dough.readings.living import bubbles_of, dough_plan, living_of, made_of, medium_of, mixed_c, spells_of
from adapter.dough.readings.loaf import BakeConditions, bake_conditions, loaf_of, proof_conditions
from adapter.dough.readings.reading import Terms
from adapter.dough.readings.registry import BY_KEY, READING_KEYS
from adapter.dough.readings.rise import proof_gradients
from adapter.dough.readings.stage_uses import pooled, uses_of
from adapter.dough.readings.totals import Vector
from adapter.dough.tables.bands import Band
from adapter.dough.tables.loaf_classes import LoafClass, choose_class
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula, Line, scale_step
from adapter.formula.problems import InputProblem

LEAST_FLOUR_G = 0.1
"""Below this a formula has no flour to speak of: everything counts in % of it."""

ACIDS_MADE = ("lactic", "acetic", "succinic", "fixed_charge")
MADE_SPREAD = 0.4
"""How far the acids that yeast and bacteria make may lie from the model's, relative half-width [A]."""

CRUMB_BAND = "tta"
ACID_READINGS = ("ph", "tta")


@dataclass(frozen=True, slots=True)
class ReadingValue:
    """A reading of one formula: its value with its half-width of about 95 %, and how it was worked out."""

    key: str
    value: float
    spread: float
    unit: str
    band: Band | None
    basis: str
    tag: str


Reweighed = tuple["Measured", float, Vector, float]
"""A line whose weight differs: the formula it stands in, its scale's step, its vector, and by how many grams."""


def measure(kitchen: Kitchen, formula: Formula, book: Measured | None = None, near: Measured | None = None) -> Measured:
    """Read a formula. `book` is the measured book formula; without it the formula's own book is read.

    `near` is a formula much like it, whose proof serves for this one's where many are read for a list.

    Raises InputProblem when the formula holds no flour.
    """
    if book is None and formula.adapted is not None:
        book = Measured(kitchen, formula.book(), None)
    return Measured(kitchen, formula, book, near)


def holds_flour(kitchen: Kitchen, formula: Formula) -> bool:
    """Whether a formula can be read: everything counts in % of its flour."""
    totals = kitchen.composer.totals(formula.lines, uses_of(formula))
    return totals[kitchen.composer.layout.index["flour"]] >= LEAST_FLOUR_G


class Measured:
    """A formula with its totals and the values of all readings; gradients and spreads come when first asked.

    It holds itself nowhere: one that is let go is freed with all it knows, and no key waits for a collection.
    """

    def __init__(self, kitchen: Kitchen, formula: Formula, book: Measured | None, near: Measured | None = None) -> None:
        self.near = near
        self.kitchen = kitchen
        self.quantities = kitchen.quantities
        self.formula = formula
        self._book = book
        composer = kitchen.composer
        self.layout = composer.layout
        self.uses = uses_of(formula)
        self.pooled = pooled(formula.lines, self.uses)
        if near is None or near.uses != self.uses:
            self._weighed = composer.totals_of(self.pooled, self.uses)
        else:
            self._weighed = composer.totals_near(near._weighed, near.pooled, self.pooled, self.uses)
        self.mixed = list(self._weighed)
        """The dough as it is mixed, with all that its stages have made: `totals` are those of the end of its proof."""
        if not self.amount("flour") >= LEAST_FLOUR_G:
            raise InputProblem("holds no flour", where=f"formula {formula.name!r}", right="at least one flour line")
        self._values: dict[str, float] = {}
        self._last_doubts: tuple[Measured, DoubtsBetween] | None = None
        self._last_reweighed: tuple[Measured, list[Reweighed]] | None = None
        self.stages = kitchen.follower.stages(formula)
        for place, made in [part for stage in self.stages for part in stage.made]:
            self.mixed[place] += made
        self.gas_mmol = let_gas_go(self)
        self.mixed[self.layout.index[CARBONIC]] -= self.gas_mmol

    @property
    def book(self) -> Measured:
        """The book formula; one that is its own book holds no second time to itself."""
        return self if self._book is None else self._book

    def value(self, key: str) -> float:
        """The value of a reading, or of another linear quantity. KeyError for a key that is neither."""
        found = self._values.get(key)
        if found is None:
            found = self._values[key] = self._work_out(key)
        return found

    @cached_property
    def totals(self) -> list[float]:
        """The additive amounts with the acids that the proof makes: it is followed when they are first asked for."""
        totals = list(self.mixed)
        moment = self.rise.at_bake() if self.amount("water") > 0.0 else None
        if moment is not None:
            for place, amount in made_of(self.layout, self.mixed, moment)[: len(ACIDS_MADE)]:
                totals[place] += amount
        return totals

    @cached_property
    def acids_made(self) -> tuple[tuple[int, float], ...]:
        """mmol of acid and fixed charge that stages and proof have made: (place among the totals, amount)."""
        layout = self.layout
        made = {layout.index[key]: 0.0 for key in ACIDS_MADE}
        for place, amount in [part for stage in self.stages for part in stage.made]:
            if place in made:
                made[place] += amount
        for place in made:
            made[place] += self.totals[place] - self.mixed[place]
        return tuple((place, amount) for place, amount in made.items() if amount)

    def amount(self, key: str) -> float:
        """One of the totals, by name. Only acids change in the proof."""
        return (self.totals if key in ACIDS_MADE else self.mixed)[self.layout.index[key]]

    def as_mixed(self, key: str) -> float:
        """A linear quantity of the dough before its proof: what no proof changes needs none to be followed."""
        return self.quantities[key].value(self.mixed)

    def _work_out(self, key: str) -> float:
        reading = BY_KEY.get(key)
        return self.quantities[key].value(self.totals) if reading is None else reading.value(self)

    def reading(self, key: str) -> ReadingValue:
        """A reading with its absolute spread: figures and model together."""
        reading = BY_KEY[key]
        return ReadingValue(
            key, self.value(key), self.spread(key), reading.unit, self.band(key), reading.basis, reading.tag
        )

    def readings(self) -> dict[str, ReadingValue]:
        return {key: self.reading(key) for key in READING_KEYS}

    def band(self, key: str) -> Band | None:
        """Where a reading normally lies. TTA bands are of the crumb: the dough has not lost its water yet."""
        band = self.kitchen.bands.band(self.value("rye_share"), key)
        if band is None or key != CRUMB_BAND:
            return band
        left = 1.0 - self.loaf_class.loss_percent.middle / 100.0
        return replace(band, low=round(left * band.low, 1), high=round(left * band.high, 1))

    def spread(self, key: str) -> float:
        """Half-width of an absolute reading: spread of the figures and error of the model, added in squares."""
        squares = sum(part * part for part in self.contributions(key).values())
        return math.sqrt(squares + self._model_squares(key))

    def model_spread(self, key: str) -> float:
        """The model's own share of that half-width."""
        return math.sqrt(self._model_squares(key))

    def _model_squares(self, key: str) -> float:
        tolerance, value = self.kitchen.tolerances.get(key), self.value(key)
        if tolerance is None or not math.isfinite(value):
            return 0.0
        relative = tolerance.model_spread_relative * BY_KEY[key].doubtful(value)
        kept = co2_doubt(self) if key == "ph" and self.gas_mmol > 0.0 else 0.0
        return tolerance.model_spread**2 + relative**2 + kept**2

    def contributions(self, key: str) -> dict[tuple[str, str], float]:
        """What one half-width of each (ingredient, figure) changes in a reading."""
        return _contributions(BY_KEY[key].spread_terms(self))

    def add_effects(self, effects: dict[tuple[str, str], float], slopes: Sequence[float], sign: float = 1.0) -> None:
        """Add what one half-width of each (ingredient, figure) changes, by the slopes along the totals."""
        self.doubts.add_effects(effects, slopes, sign)
        made = self.made_effect(enumerate(slopes))
        if made:
            figure = ("acids made in stages and proof", "amount")
            effects[figure] = effects.get(figure, 0.0) + sign * made

    def made_effect(self, slopes: Iterable[tuple[int, float]]) -> float:
        """What the acids made in stages and proof change when they are a half-width more."""
        made = dict(self.acids_made)
        return MADE_SPREAD * sum([slope * made[place] for place, slope in slopes if place in made])

    @cached_property
    def doubts(self) -> Doubts:
        return Doubts(self.kitchen.composer, self.pooled, self.uses)

    def doubts_from(self, before: Measured) -> DoubtsBetween:
        """What is unsure of differences from another formula; what was asked last is kept."""
        last = self._last_doubts
        if last is None or last[0] is not before:
            last = self._last_doubts = (before, DoubtsBetween(before.doubts, self.doubts))
        return last[1]

    def slope_parts(self, key: str) -> Parts:
        """The slopes of a reading that are not zero, with the places of their totals."""
        found = self._slope_parts.get(key)
        if found is None:
            found = self._slope_parts[key] = self._slope_parts_of(key)
        return found

    def _slope_parts_of(self, key: str) -> Parts:
        quantity = self.quantities.get(key)
        return parts_of(self.gradient(key)) if quantity is None else quantity.slope_parts(self.totals)

    @cached_property
    def _slope_parts(self) -> dict[str, Parts]:
        return {}

    def gradient(self, key: str) -> list[float]:
        """Change of a reading, or of another linear quantity, per unit of each total."""
        found = self._gradients.get(key)
        if found is None:
            found = self._gradients[key] = self._gradient(key)
        return found

    def _gradient(self, key: str) -> list[float]:
        reading = BY_KEY.get(key)
        if reading is None:
            return self.quantities[key].gradient(self.totals)
        if not math.isfinite(self.value(key)):
            return [0.0] * len(self.totals)
        return reading.gradient(self)

    def row(self, key: str) -> list[float]:
        """What one unit of each total does to something that the balancing programme keeps, in the tolerance's unit."""
        reading, quantity = BY_KEY.get(key), self.quantities.get(key)
        slopes = self.gradient(key) if quantity is None else quantity.slopes(self.totals)
        if reading is None or not reading.percent_of_book:
            return slopes
        per_cent = 100.0 / self.value(key)
        return [per_cent * slope for slope in slopes]

    def reweighed_from(self, before: Measured) -> list[Reweighed]:
        """The lines whose weights differ from another formula's; what was asked last is kept."""
        last = self._last_reweighed
        if last is None or last[0] is not before:
            last = self._last_reweighed = (before, _reweighed(before, self))
        return last[1]

    @cached_property
    def _gradients(self) -> dict[str, list[float]]:
        return {}

    @property
    def catalogue(self) -> Catalogue:
        return self.kitchen.catalogue

    @cached_property
    def allergens(self) -> frozenset[str]:
        """Allergen groups of everything in the formula (see dough/allergens.py)."""
        catalogue = self.kitchen.catalogue
        return frozenset().union(
            *(catalogue.get(line.ingredient).allergens for line in self.formula.lines if line.grams > 0)
        )

    @property
    def logged_rises(self) -> int:
        """How many rises of this kitchen's log the gas rate is from."""
        return self.kitchen.calibration.bakes

    def class_of(self, bake_hours: float | None = None) -> LoafClass:
        """The class of loaf: shares by the book, since a swap does not turn one kind of loaf into another.

        The piece is this formula's own. Long-baked classes fit only when it is known how long it bakes.
        """
        tin, book = self.formula.tin, self.book
        return choose_class(
            min(max(book.as_mixed("rye_share"), 0.0), 100.0),
            tin is not None and tin.lidded,
            tin is not None,
            bake_hours,
            self.amount("mass") / self.formula.pieces,
            book.as_mixed("sugar") + book.as_mixed("fat"),
            self.kitchen.classes,
        )

    @cached_property
    def loaf_class(self) -> LoafClass:
        return self.class_of()

    @cached_property
    def conditions(self) -> BakeConditions:
        return bake_conditions(self.formula, self.loaf_class)

    @cached_property
    def loaf(self) -> Loaf:
        rise = self.rise
        return loaf_of(
            self.formula, self.amount("mass"), rise.rye_share, self.loaf_class, rise.rise_fraction, self.sugar_fat
        )

    @property
    def sugar_fat(self) -> float:
        """Sugar and fat together, % of the flour: what browns a crust and makes a loaf rich."""
        return self.value("sugar") + self.value("fat")

    @cached_property
    def heating_c_per_min(self) -> float:
        """Mean warming of the crumb while its enzymes work, °C per minute, by the loaf's size and the oven."""
        conditions = self.conditions
        return heating_rate_c_per_min(
            self.loaf, conditions.oven_c, conditions.start_c, oven_factor=self.kitchen.calibration.oven_factor
        )

    @cached_property
    def rate(self) -> float:
        """mL CO2 per hour and 100 g flour, averaged over the proof."""
        return self.rise.rate(min(self.value("rise_time"), self.rise.longest_h))

    @cached_property
    def rise(self) -> Rise:
        """The proof of this dough."""
        parts = self._rise_parts(self.mixed)
        return Rise(*parts) if self.near is None else NearRise(*parts, before=self.near.rise)

    def rise_of(self, mixed: Sequence[float]) -> Rise:
        """The proof of a dough of these totals, in this formula's place and for its hours."""
        return Rise(*self._rise_parts(mixed))

    def _rise_parts(self, mixed: Sequence[float]) -> RiseParts:
        temperature_c, rise_percent = proof_conditions(self.formula, self.loaf_class)
        layout = self.layout
        plan = dough_plan(self.formula)
        spells = spells_of(plan, temperature_c) if plan else ()
        return (
            temperature_c,
            rise_percent / 100.0,
            medium_of(layout, mixed, self.kitchen.follower.pace, working=True),
            living_of(layout, mixed),
            bubbles_of(layout, mixed),
            spells,
            mixed_c(spells, temperature_c) if spells else None,
            cooling_hours(self.amount("mass") / self.formula.pieces),
        )

    @cached_property
    def proof_gradients(self) -> tuple[list[float], list[float]]:
        """Change of the hours of rise, and of the gas rate, per unit of each total.

        A dough that is read by the proof of another takes its slopes too, in proportion to its own hours and rate.
        """
        near = self.near
        if near is None or self.rise.is_followed:
            return proof_gradients(self)
        longer, faster = self.value("rise_time") / near.value("rise_time"), self.rate / near.rate
        hours, rates = near.proof_gradients
        return [longer * part for part in hours], [faster * part for part in rates]


def _reweighed(before: Measured, after: Measured) -> list[Reweighed]:
    """What differs in weight between two formulas, of both sides; what stands in two lines is taken together.

    A line that a swap left alone stands in both as the same object.
    """
    in_both = set(map(id, before.formula.lines)) & set(map(id, after.formula.lines))
    sides = (before.formula.lines, after.formula.lines)
    others = {line.ingredient for lines in sides for line in lines if id(line) not in in_both}
    weights: list[dict[tuple[str, str, float | None], tuple[Line, float]]] = []
    for lines in sides:
        sums: dict[tuple[str, str, float | None], tuple[Line, float]] = {}
        for line in lines:
            if line.ingredient in others:
                key = (line.stage, line.ingredient, line.hydration)
                sums[key] = (line, line.grams + (sums[key][1] if key in sums else 0.0))
        weights.append(sums)
    found = []
    for side, own, other in ((before, weights[0], weights[1]), (after, weights[1], weights[0])):
        for key, (line, grams) in own.items():
            change = abs(grams - (other[key][1] if key in other else 0.0))
            if change:
                found.append((side, scale_step(grams), side.kitchen.composer.vector(line, side.uses), change))
    return found


def _contributions(terms: Terms) -> dict[tuple[str, str], float]:
    """Effect of one half-width of each figure on a signed sum of readings; shared figures meet and cancel."""
    effects: dict[tuple[str, str], float] = {}
    for sign, dough, slopes in terms:
        dough.add_effects(effects, slopes, sign)
    return effects
