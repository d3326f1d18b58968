"""The readings of a formula: every number a baker looks at, in one pass over the totals.

`measure` gives a Measured: its values at once, and gradients, spreads and readings when they are asked for.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from adapter.dough.bake.loaf import BakeConditions, bake_conditions, loaf_of, proof_conditions
from adapter.dough.kitchen import Kitchen
from adapter.dough.models.acidity import solve_ph, undissociated
from adapter.dough.models.leavening import CARBONIC, GAS_ML_PER_MMOL, leaven
from adapter.dough.models.oven import Loaf, heating_rate_c_per_min
from adapter.dough.models.proof import LONGEST_RISE_H, Rise
from adapter.dough.models.starch_attack import starch_attack_index
from adapter.dough.models.warmth import cooling_hours
from adapter.dough.models.water_activity import water_activity
from adapter.dough.readings.gradients import AW_INPUTS, AW_SUGARS, gradient, proof_gradients, rate_gradient
from adapter.dough.readings.keys import READINGS
from adapter.dough.readings.linear import dot
from adapter.dough.readings.living import bubbles_of, dough_plan, living_of, made_of, medium_of, spells_of
from adapter.dough.readings.totals import SLURRY_LITRES_PER_G, uses_of
from adapter.dough.tables.bands import Band
from adapter.dough.tables.loaf_classes import LoafClass, choose_class
from adapter.formula.model import Formula, Line, scale_step
from adapter.formula.problems import InputProblem

LEAST_FLOUR_G = 0.1
"""Below this a formula has no flour to speak of: everything counts in % of it."""

ACIDS_MADE = ("lactic", "acetic", "succinic", "fixed_charge")
MADE_SPREAD = 0.4
"""How far the acids that yeast and bacteria make may lie from the model's, relative half-width [A]."""

GAS_SPREAD = 0.15
"""The same for the gas of soda and powder: how much the dough keeps dissolved is an assumption [A]."""

EXCHANGED_SHARE = 0.3
"""From this share of the dough exchanged, the whole of `model_spread_difference` counts, in proportion below [A]."""

CURVED = {
    "ph": ("", "pH of 10 g dough in 100 mL water, from the charge balance of its acids and buffers", "A"),
    "pace": ("x book", "gas made per hour and flour / that of the book formula", "F"),
    "rise_time": ("h", "hours until the gas made is the gas that the rise takes", "F"),
    "leavening_gas": ("mL per 100 g flour", "CO2 of soda and powder that the dough's water does not keep", "A"),
    "starch_attack": (
        "index",
        "work of amylase on gelatinised starch while the crumb heats; for ranking only",
        "A",
    ),
    "water_activity": ("", "product of each solute's water activity, times the flour's sorption", "M"),
}
"""Unit, how it is worked out, and tag of the readings that are not linear in grams."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One number worked out from the totals, with its half-width of about 95 % and how it was worked out."""

    key: str
    value: float
    spread: float
    unit: str
    band: Band | None
    basis: str
    tag: str


@dataclass(frozen=True, slots=True)
class Change:
    """How a reading differs between two formulas; `clear` is false when the change is inside its own spread."""

    key: str
    before: float
    after: float
    change: float
    spread: float
    clear: bool


class Values(dict[str, float]):
    """Values of a formula's readings by key, each worked out when it is first looked at."""

    def __init__(self, measured: Measured) -> None:
        self._measured = measured

    def __missing__(self, key: str) -> float:
        value = self[key] = self._measured.work_out(key)
        return value


def measure(kitchen: Kitchen, formula: Formula, book: Measured | None = None) -> Measured:
    """Read a formula. `book` is the measured book formula; without it the formula's own book is read.

    Raises InputProblem when the formula holds no flour.
    """
    if book is None and formula.adapted is not None:
        book = Measured(kitchen, formula.book(), None)
    return Measured(kitchen, formula, book)


class Measured:
    """A formula with its totals and the values of all readings; gradients and spreads come when first asked."""

    def __init__(self, kitchen: Kitchen, formula: Formula, book: Measured | None) -> None:
        self.kitchen = kitchen
        self.formula = formula
        self.book = book or self
        composer = kitchen.composer
        self.layout = composer.layout
        self.uses = uses_of(formula)
        self.totals = composer.totals(formula.lines, self.uses)
        if not self.amount("flour") >= LEAST_FLOUR_G:
            raise InputProblem("holds no flour", where=f"formula {formula.name!r}", right="at least one flour line")
        self.values = Values(self)
        self.stages = kitchen.follower.stages(formula)
        for place, made in [part for stage in self.stages for part in stage.made]:
            self.totals[place] += made
        self.gas_mmol = self._let_gas_go()
        self.mixed = self.totals
        """The dough as it is mixed, with all that its stages have made: `totals` are those of the end of its proof."""
        self.totals = self._proofed()

    def _let_gas_go(self) -> float:
        """mmol of CO2 that soda and powder set free; what goes is carbonate no more."""
        place = self.layout.index[CARBONIC]
        if not self.totals[place] > 0.0 or not self.amount("water") > 0.0:
            return 0.0
        first = self.layout.first_species
        gone = leaven(
            self.totals[first:],
            self.layout.species,
            self.amount("fixed_charge"),
            self.slurry_litres,
            self.amount("water") / 1000.0,
        ).gas_mmol
        self.totals[place] -= gone
        return gone

    def _proofed(self) -> list[float]:
        """The totals with the acids that the proof makes."""
        moment = self.rise.at_bake() if self.amount("water") > 0.0 else None
        totals = list(self.mixed)
        if moment is not None:
            for place, amount in made_of(self.layout, self.mixed, moment)[: len(ACIDS_MADE)]:
                totals[place] += amount
        return totals

    @cached_property
    def acids_made(self) -> tuple[tuple[int, float], ...]:
        """mmol of acid and fixed charge that stages and proof have made: (place among the totals, amount)."""
        layout = self.layout
        made = dict.fromkeys((layout.index[key] for key in ACIDS_MADE), 0.0)
        for place, amount in [part for stage in self.stages for part in stage.made]:
            if place in made:
                made[place] += amount
        for place in made:
            made[place] += self.totals[place] - self.mixed[place]
        return tuple(made.items())

    def amount(self, key: str) -> float:
        """One of the totals, by name."""
        return self.totals[self.layout.index[key]]

    def per_flour(self, key: str) -> float:
        return 100.0 * self.amount(key) / self.amount("flour")

    def work_out(self, key: str) -> float:
        """The value of a reading, or of another linear quantity. KeyError for a key that is neither."""
        quantity = self.kitchen.quantities.get(key)
        if quantity is not None:
            return quantity.value(self.totals)
        if key == "ph":
            return self._ph()
        if key == "water_activity":
            return self.aw_value([self.amount(name) for name in AW_INPUTS])
        if key == "rise_time":
            return self.rise.hours()
        if key == "leavening_gas":
            return GAS_ML_PER_MMOL * self.gas_mmol * 100.0 / self.amount("flour")
        if key == "pace":
            if self.rate == self.book.rate:
                return 1.0
            return self.rate / self.book.rate if self.book.rate > 0 else math.inf
        if key == "starch_attack":
            return self.starch_value(self.starch_inputs())
        raise KeyError(key)

    def reading(self, key: str) -> Reading:
        """A reading with its absolute spread: figures and model together."""
        value = self.values[key]
        if key in CURVED:
            unit, how, tag = CURVED[key]
        else:
            quantity = self.kitchen.quantities[key]
            unit, how, tag = quantity.unit, quantity.how, quantity.tag
        return Reading(key, value, self.spread(key), unit, self.band(key), how, tag)

    def readings(self) -> dict[str, Reading]:
        return {key: self.reading(key) for key in READINGS}

    def band(self, key: str) -> Band | None:
        return self.kitchen.bands.band(self.values["rye_share"], key)

    def spread(self, key: str) -> float:
        """Half-width of an absolute reading: spread of the figures and error of the model, added in squares."""
        tolerance = self.kitchen.tolerances.get(key)
        squares = sum(part * part for part in self.contributions(key).values())
        value = self.values[key]
        if tolerance and math.isfinite(value):
            size = value - 1.0 if key == "pace" else value  # the book's own pace is 1 without a doubt
            squares += tolerance.model_spread**2 + (tolerance.model_spread_relative * size) ** 2
        return math.sqrt(squares)

    def contributions(self, key: str) -> dict[tuple[str, str], float]:
        """What one half-width of each (ingredient, figure) changes in a reading."""
        if key == "pace":
            return self._pace_contributions()
        if key == "leavening_gas":
            return {("baking soda and powder", "gas"): GAS_SPREAD * self.values[key]} if self.gas_mmol else {}
        return _contributions([(1.0, self, self.gradient(key))])

    def _pace_contributions(self) -> dict[tuple[str, str], float]:
        """Pace is against the book: what both doughs share cancels, and the book itself is 1 without a doubt."""
        if self.book is self or not math.isfinite(self.values["pace"]) or self.book.rate <= 0:
            return {}
        own, book = 1.0 / self.book.rate, -self.rate / self.book.rate**2
        return _contributions([(own, self, rate_gradient(self)), (book, self.book, rate_gradient(self.book))])

    def gradient(self, key: str) -> list[float]:
        """Change of a reading per unit of each total."""
        found = self._gradients.get(key)
        if found is None:
            found = self._gradients[key] = gradient(self, key)
        return found

    @cached_property
    def _gradients(self) -> dict[str, list[float]]:
        return {}

    @cached_property
    def proof_gradients(self) -> tuple[list[float], list[float]]:
        return proof_gradients(self)

    def _ph(self) -> float:
        return solve_ph(
            self.totals[self.layout.first_species :],
            self.layout.species,
            self.amount("fixed_charge"),
            self.slurry_litres,
            guess=5.0,  # always the same, so that the same dough has the same pH to the last digit
        )

    @property
    def slurry_litres(self) -> float:
        """Water of the slurry that pH is read in: 100 mL for each 10 g of dough, and the dough's own."""
        return SLURRY_LITRES_PER_G * self.amount("mass") + self.amount("water") / 1000.0

    def acetic_mm(self, ph: float) -> float:
        """Undissociated acetic acid in the dough's water, mmol/L."""
        acid = self.kitchen.catalogue.substances.acids["acetic"]
        litres = self.amount("water") / 1000.0
        return undissociated(self.amount("acetic"), acid.pkas, ph) / litres if litres > 0 else 0.0

    def class_of(self, bake_hours: float | None = None) -> LoafClass:
        """The class of loaf: shares by the book, since a swap does not turn one kind of loaf into another.

        The piece is this formula's own. Long-baked classes fit only when it is known how long it bakes.
        """
        tin, book = self.formula.tin, self.book.values
        return choose_class(
            min(max(book["rye_share"], 0.0), 100.0),
            tin is not None and tin.lidded,
            tin is not None,
            bake_hours,
            self.amount("mass") / self.formula.pieces,
            book["sugar"] + book["fat"],
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
        return loaf_of(self.formula, self.amount("mass"), self.rise.rye_share, self.loaf_class, self.rise.rise_fraction)

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
        return self.rise.rate(min(self.values["rise_time"], LONGEST_RISE_H))

    def aw_value(self, inputs: Sequence[float]) -> float:
        sugars = dict(zip(AW_SUGARS, inputs, strict=False))
        salt, alcohol, water, dry_flour = inputs[len(AW_SUGARS) :]
        return water_activity(sugars, salt, alcohol, water, dry_flour, True) if water > 0 else 0.0

    @cached_property
    def rise(self) -> Rise:
        """The proof of this dough."""
        return self.rise_of(self.mixed)

    def rise_of(self, mixed: Sequence[float]) -> Rise:
        """The proof of a dough of these totals, in this formula's place and for its hours."""
        temperature, rise_percent = proof_conditions(self.formula, self.loaf_class)
        layout, pace = self.layout, self.kitchen.follower.pace
        plan = dough_plan(self.formula)
        return Rise(
            temperature,
            rise_percent / 100.0,
            medium_of(layout, mixed, pace, working=True),
            living_of(layout, mixed),
            bubbles_of(layout, mixed),
            spells_of(plan, temperature) if plan else (),
            None,
            cooling_hours(self.amount("mass") / self.formula.pieces),
        )

    def starch_inputs(self) -> list[float]:
        return [
            self.values["rye_share"] / 100.0,
            self.amount("liquefaction") / self.amount("flour"),
            self.values["ph"],
        ]

    def starch_value(self, inputs: Sequence[float]) -> float:
        rye, liquefaction, ph = inputs
        return starch_attack_index(
            min(max(rye, 0.0), 1.0), max(liquefaction, 0.0), ph, self.heating_c_per_min, self.conditions.core_c
        )


def difference(before: Measured, after: Measured, key: str) -> Change:
    """How a reading differs, with the spread of the difference: figures that both share cancel.

    What is left is the spread of the figures that do not cancel, half a step of the scale on each weight that
    differs, and the part of the model's error that does not cancel when much of the dough is exchanged.
    """
    first, second = before.values[key], after.values[key]
    change = second - first
    if first == second:
        return Change(key, first, second, 0.0, 0.0, False)
    if not math.isfinite(change):
        return Change(key, first, second, change, 0.0, False)
    parts = _contributions([(-1.0, before, before.gradient(key)), (1.0, after, after.gradient(key))])
    squares = sum(part * part for part in parts.values())
    exchanged = 0.0
    for side, line, grams in _reweighed(before, after):
        vector = side.kitchen.composer.vector(line, side.uses)
        squares += (0.5 * scale_step(line.grams) * dot(side.gradient(key), vector)) ** 2
        exchanged += 0.5 * grams / side.amount("mass")
    tolerance = after.kitchen.tolerances.get(key)
    if tolerance and tolerance.model_spread_difference:
        squares += (tolerance.model_spread_difference * min(1.0, exchanged / EXCHANGED_SHARE)) ** 2
    spread = math.sqrt(squares)
    return Change(key, first, second, change, spread, abs(change) > spread)


def _reweighed(before: Measured, after: Measured) -> list[tuple[Measured, Line, float]]:
    """The lines whose weights differ, each with the formula it stands in and the grams by which it differs."""
    weights = [
        {(line.stage, line.ingredient, line.hydration): line.grams for line in side.formula.lines}
        for side in (before, after)
    ]
    found = []
    for side, other in ((before, weights[1]), (after, weights[0])):
        for line in side.formula.lines:
            grams = abs(line.grams - other.get((line.stage, line.ingredient, line.hydration), 0.0))
            if grams:
                found.append((side, line, grams))
    return found


def drift(measured: Measured) -> float:
    """Sum over the readings that count of weight x |change| / tolerance, against the book formula."""
    total = 0.0
    book = measured.book
    for key, tolerance in measured.kitchen.tolerances.items():
        if tolerance.in_drift:
            total += tolerance.weight * abs(tolerance_steps(measured, book, key))
    return total


def tolerance_steps(measured: Measured, book: Measured, key: str) -> float:
    """Change of a reading in tolerances, signed; masses count in % of the book's."""
    tolerance = measured.kitchen.tolerances[key]
    change = measured.values[key] - book.values[key]
    if key in ("flour_mass", "dough_mass"):
        change *= 100.0 / book.values[key]
    return change / tolerance.value


def _contributions(
    terms: Sequence[tuple[float, Measured, list[float]]],
) -> dict[tuple[str, str], float]:
    """Effect of one half-width of each figure on a signed sum of readings; shared figures meet and cancel."""
    effects: dict[tuple[str, str], float] = {}
    for sign, measured, slopes in terms:
        composer = measured.kitchen.composer
        for line in measured.formula.lines:
            weight = sign * line.grams
            for figure, parts in composer.directions(line, measured.uses):
                effect = sum([slopes[place] * delta for place, delta in parts])
                if effect:
                    effects[figure] = effects.get(figure, 0.0) + weight * effect
        effect = sum([slopes[place] * amount for place, amount in measured.acids_made])
        if effect:
            made = ("acids made in stages and proof", "amount")
            effects[made] = effects.get(made, 0.0) + sign * MADE_SPREAD * effect
    return effects
