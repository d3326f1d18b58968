"""The pH of a dough while acids grow in it: the charge balance of acidity.py, moved on step by step.

Per kg of dough. Only lactic, acetic and succinic acid and the fixed charge change; one Newton step from the last
pH follows them, since a time step changes pH by little.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from adapter.dough.models.acidity import KW, LN10, Species, solve_ph

GROWING = ("lactic", "acetic", "succinic")


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
        self._species, self._amounts = species, amounts_mmol
        self._charge, self._water_mmol, self._water_g = fixed_charge_mmol, slurry_litres * 1000.0, water_g
        still = [
            (amount, kind._betas)
            for kind, amount in zip(species, amounts_mmol, strict=True)
            if amount and kind.name not in GROWING
        ]
        self._single = [(amount, betas[0]) for amount, betas in still if len(betas) == 1]
        self._many = [(amount, betas) for amount, betas in still if len(betas) > 1]
        self._lactic, self._acetic, self._succinic = (amounts_mmol[places[acid]] for acid in GROWING)
        self._lactic_beta = species[places["lactic"]]._betas[0]
        self._acetic_beta = species[places["acetic"]]._betas[0]
        self._succinic_betas = species[places["succinic"]]._betas
        self._acetic_now = self._acetic
        self.ph = solve_ph(amounts_mmol, species, fixed_charge_mmol, slurry_litres)

    def follow(self, lactic: float, acetic: float, yeast_meq: float) -> None:
        """Move the pH on to so much acid made since mixing, mmol and meq per kg."""
        self._acetic_now = self._acetic + acetic + YEAST_ACIDS.acetic * yeast_meq
        succinic = self._succinic + YEAST_ACIDS.succinic * yeast_meq
        thinness: float = 10.0**self.ph
        hydroxide, protons = self._water_mmol * KW * thinness, self._water_mmol / thinness
        excess = hydroxide - protons - self._charge - YEAST_ACIDS.fixed_charge * yeast_meq
        variance = hydroxide + protons
        growing = ((self._lactic + lactic, self._lactic_beta), (self._acetic_now, self._acetic_beta))
        for amount, beta in (*self._single, *growing):
            first = beta * thinness
            held = amount * first / (1.0 + first)
            excess += held
            variance += held / (1.0 + first)
        for amount, betas in (*self._many, (succinic, self._succinic_betas)):
            if not amount:
                continue
            states, charges, squares, power = 1.0, 0.0, 0.0, 1.0
            for lost, beta in enumerate(betas, 1):
                power *= thinness
                weight = beta * power
                states += weight
                charges += lost * weight
                squares += lost * lost * weight
            mean = charges / states
            excess += amount * mean
            variance += amount * (squares / states - mean * mean)
        self.ph -= excess / (LN10 * variance)

    def undissociated_acetic_mm(self) -> float:
        """Undissociated acetic acid in the dough's water, mmol/L."""
        thinness: float = 10.0**self.ph
        return self._acetic_now / (1.0 + self._acetic_beta * thinness) * 1000.0 / self._water_g
