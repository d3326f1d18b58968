"""Quantities that are linear in grams: a weighted sum of the totals, absolute or over another.

One definition serves three uses: the value of a reading, its gradient for the spread, and its row in the
balancing programme.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from adapter.dough.models.acidity import TTA_END_POINT_PH, mean_charge
from adapter.dough.readings.totals import SUGARS, Layout
from adapter.formula.substances import Substances

Weights = tuple[float, ...]
Parts = tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class Quantity:
    """scale x (top . totals) / (below . totals); `below` None means an absolute amount in grams."""

    key: str
    top: Weights
    below: Weights | None
    scale: float
    unit: str
    how: str
    tag: str
    cap: float | None = None
    top_parts: Parts = field(init=False, repr=False, compare=False)
    below_parts: Parts = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "top_parts", parts_of(self.top))
        object.__setattr__(self, "below_parts", parts_of(self.below or ()))

    def value(self, totals: Sequence[float]) -> float:
        raw = self.scale * sparse_dot(self.top_parts, totals)
        if self.below is not None:
            raw /= sparse_dot(self.below_parts, totals)
        return raw if self.cap is None else min(raw, self.cap)

    def gradient(self, totals: Sequence[float]) -> list[float]:
        """Change of the value per unit of each total."""
        if self.below is None:
            return [self.scale * weight for weight in self.top]
        base = dot(self.below, totals)
        value = dot(self.top, totals) / base
        if self.cap is not None and self.scale * value >= self.cap:
            return [0.0] * len(self.top)
        return [self.scale * (top - value * below) / base for top, below in zip(self.top, self.below, strict=True)]


def parts_of(weights: Sequence[float]) -> Parts:
    """The weights that are not zero, with their places."""
    return tuple((place, weight) for place, weight in enumerate(weights) if weight)


def sparse_dot(parts: Parts, totals: Sequence[float]) -> float:
    return sum([weight * totals[place] for place, weight in parts])


def dot(weights: Sequence[float], totals: Sequence[float]) -> float:
    return sum([w * t for w, t in zip(weights, totals, strict=True)])


def quantities(layout: Layout, substances: Substances) -> Mapping[str, Quantity]:
    """Every linear quantity, by key; those that are readings and those that a rule may only keep."""

    def weights(**amounts: float) -> Weights:
        return tuple(amounts.get(key, 0.0) for key in layout.keys)

    def of_flour(key: str, top: Weights, how: str, tag: str, cap: float | None = None) -> Quantity:
        return Quantity(key, top, weights(flour=1.0), 100.0, "% of flour", how, tag, cap)

    sweetness = {name: sugar.sweetness for name, sugar in substances.sugars.items() if name in layout.index}
    hexose = {name: sugar.hexose for name, sugar in substances.sugars.items() if name in layout.index}
    uptake = {kind.name: mean_charge(kind.pkas, TTA_END_POINT_PH) for kind in layout.species}
    made = (
        of_flour(
            "hydration",
            weights(water=1.0, flour=-1.0, dry_flour=1.0),
            "water in every ingredient but the flour's own moisture / flour",
            "CP",
        ),
        of_flour(
            "effective_hydration",
            weights(water=1.0, flour=-1.0, dry_flour=1.0, held=-1.0),
            "(water, without the flour's own moisture − water held beyond what white flour would hold) / flour",
            "CP",
        ),
        of_flour("sugar", weights(**dict.fromkeys(SUGARS, 1.0)), "mono- and disaccharides / flour", "P"),
        of_flour("sweetness", weights(**sweetness), "sugars x their sweetness (sucrose = 1) / flour", "M"),
        of_flour("fermentable_sugar", weights(**hexose), "hexose that yeast gets from the sugars / flour", "P"),
        Quantity(
            "tta",
            weights(**uptake, fixed_charge=-1.0),
            weights(mass=1.0),
            100.0,
            "mL",
            "0.1 M NaOH that 10 g take up to pH 8.5: charge taken up / dough",
            "A",
        ),
        of_flour("salt", weights(salt=1.0), "kitchen salt / flour; sodium of soda and powder is none", "P"),
        of_flour("label_salt", weights(label_salt=1.0), "sodium x 2.5 / flour, as a label counts salt", "P"),
        of_flour("gluten", weights(gluten=1.0), "protein x its share that forms gluten / flour", "M"),
        of_flour("fat", weights(fat=1.0), "fat / flour", "P"),
        of_flour("fibre", weights(fibre=1.0), "fibre / flour", "P"),
        of_flour("ash", weights(ash=1.0), "ash / flour", "P"),
        of_flour("protein", weights(protein=1.0), "protein / flour", "P"),
        of_flour("starch", weights(starch=1.0), "starch / flour", "P"),
        of_flour("lactose", weights(lactose=1.0), "lactose / flour", "P"),
        of_flour("rye_share", weights(rye=1.0), "rye flour / flour", "P"),
        of_flour(
            "wholegrain_share",
            weights(wholegrain=1.0),
            "wholemeal, with bran counted as the wholemeal it can make by its fibre / flour",
            "F",
            cap=100.0,
        ),
        of_flour("prefermented_flour", weights(prefermented=1.0), "flour inside sourdough / flour", "P"),
        of_flour("yeast", weights(yeast=1.0), "yeast as fresh yeast / flour", "CP"),
        Quantity("flour_mass", weights(flour=1.0), None, 1.0, "g", "milled grain, that in sourdough too", "P"),
        Quantity("dough_mass", weights(mass=1.0), None, 1.0, "g", "everything weighed in", "P"),
    )
    return {quantity.key: quantity for quantity in made}
