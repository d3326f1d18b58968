"""The pH of a dough while acids grow in it: the charge balance of acidity.py, moved on step by step.

Per kg of dough. Only lactic, acetic and succinic acid and the fixed charge change; one Newton step from the last
pH follows them, since a time step changes pH by little.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from adapter.dough.models.acidity import KW, LN10, Species, mean_and_variance, solve_ph

GROWING = ("lactic", "acetic", "succinic")
NODE_PH = 0.25
ONE_IS_ENOUGH_PH = 0.03
"""A Newton step no longer than this leaves less than a thousandth of a pH unit."""


@dataclass(frozen=True, slots=True)
class YeastAcids:
    """mmol of each acid and of fixed charge that yeast makes for each milliequivalent of its acids."""

    succinic: float
    acetic: float
    fixed_charge: float


YEAST_ACIDS = YeastAcids(4.0 / 12.8, 2.0 / 12.8, -6.0 / 12.8)
"""6 strong : 4 succinic : 2 acetic make 12.8 meq at the pH of dough [A]."""


class GrowingAcids:
    """`amounts_mmol` run parallel to `species`, which must hold lactic, acetic and succinic acid."""

    def __init__(
        self,
        species: Sequence[Species],
        amounts_mmol: Sequence[float],
        fixed_charge_mmol: float,
        slurry_litres: float,
        water_g: float,
    ) -> None:
        places = {kind.name: place for place, kind in enumerate(species)}
        for acid in GROWING:
            if acid not in places:
                raise ValueError(f"a living stage makes {acid} acid, which the table of acids does not have")
        self._charge, self._water_mmol, self._water_g = fixed_charge_mmol, slurry_litres * 1000.0, water_g
        self._still = [
            (amount, kind._betas)
            for kind, amount in zip(species, amounts_mmol, strict=True)
            if amount and kind.name not in GROWING
        ]
        self._nodes: dict[int, tuple[float, float]] = {}
        self._lactic, self._acetic, self._succinic = (amounts_mmol[places[acid]] for acid in GROWING)
        self._lactic_beta = species[places["lactic"]]._betas[0]
        self._acetic_beta = species[places["acetic"]]._betas[0]
        self._succinic_betas = species[places["succinic"]]._betas
        self._acetic_now = self._acetic
        self.ph = solve_ph(amounts_mmol, species, fixed_charge_mmol, slurry_litres)
        self._thinness: float = 10.0**self.ph
        # What the cubic is off at the start is taken off everywhere: where nothing is made the pH stands still.
        self._bias = 0.0
        self._bias = self._excess(0.0, 0.0, 0.0)[0]

    def follow(self, lactic: float, acetic: float, yeast_meq: float) -> None:
        """Move the pH on to so much acid made since mixing, mmol and meq per kg."""
        for _ in range(2):
            excess, slope = self._excess(lactic, acetic, yeast_meq)
            self.ph -= excess / slope
            self._thinness = 10.0**self.ph
            if abs(excess) < ONE_IS_ENOUGH_PH * slope:
                break

    def _excess(self, lactic: float, acetic: float, yeast_meq: float) -> tuple[float, float]:
        """Charge beyond balance at the pH now, mmol, and its change with pH."""
        acetic_now = self._acetic_now = self._acetic + acetic + YEAST_ACIDS.acetic * yeast_meq
        lactic_now = self._lactic + lactic
        succinic_now = self._succinic + YEAST_ACIDS.succinic * yeast_meq
        thinness = self._thinness
        excess, slope = self._still_charge()
        excess -= self._bias + YEAST_ACIDS.fixed_charge * yeast_meq
        first = self._lactic_beta * thinness
        lactate = lactic_now * first / (1.0 + first)
        variance = lactate / (1.0 + first)
        first = self._acetic_beta * thinness
        acetate = acetic_now * first / (1.0 + first)
        variance += acetate / (1.0 + first)
        excess += lactate + acetate
        if succinic_now:
            mean, spread = _two_protons(self._succinic_betas, thinness)
            excess += succinic_now * mean
            variance += succinic_now * spread
        return excess, slope + LN10 * variance

    def _still_charge(self) -> tuple[float, float]:
        """Charge of all that does not grow, less the fixed charge, and its change with pH, at the pH now.

        A cubic through values and slopes at every quarter of a pH unit, which are worked out where the pH comes by:
        it is within 0.001 mmol of the sum over the buffers, and they need not be summed at every step.
        """
        place = self.ph / NODE_PH
        node = math.floor(place)
        start, start_slope = self._node(node)
        end, end_slope = self._node(node + 1)
        t = place - node
        rise, first, last = end - start, NODE_PH * start_slope, NODE_PH * end_slope
        square, cube = 3.0 * rise - 2.0 * first - last, first + last - 2.0 * rise
        value = start + t * (first + t * (square + t * cube))
        return value, (first + t * (2.0 * square + 3.0 * t * cube)) / NODE_PH

    def _node(self, node: int) -> tuple[float, float]:
        found = self._nodes.get(node)
        if found is None:
            thinness = 10.0 ** (node * NODE_PH)
            hydroxide, protons = self._water_mmol * KW * thinness, self._water_mmol / thinness
            value, variance = hydroxide - protons - self._charge, hydroxide + protons
            for amount, betas in self._still:
                mean, spread = mean_and_variance(betas, thinness)
                value += amount * mean
                variance += amount * spread
            found = self._nodes[node] = (value, LN10 * variance)
        return found

    def undissociated_acetic_mm(self) -> float:
        """Undissociated acetic acid in the dough's water, mmol/L."""
        return self._acetic_now / (1.0 + self._acetic_beta * self._thinness) * 1000.0 / self._water_g


def _two_protons(betas: Sequence[float], thinness: float) -> tuple[float, float]:
    """Mean and variance of the charge of an acid with two protons."""
    first = betas[0] * thinness
    second = betas[1] * thinness * thinness
    states = 1.0 + first + second
    mean = (first + second + second) / states
    return mean, (first + 4.0 * second) / states - mean * mean
