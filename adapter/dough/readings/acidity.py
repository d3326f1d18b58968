"""Acidity: TTA and pH of the dough, from the charge balance of its acids and buffers."""

from __future__ import annotations

from adapter.dough.models.acidity import TTA_END_POINT_PH, charge_slope, mean_charge, solve_ph
from adapter.dough.models.growing_acids import GROWING
from adapter.dough.readings.linear import dot, sparse_dot
from adapter.dough.readings.reading import Brought, Dough, LinearReading, Parameter, Reading, Working
from adapter.dough.readings.totals import SLURRY_LITRES_PER_G, Layout, Vector
from adapter.formula.substances import Substances

LEAST_TOLD_MMOL = 0.05
FIRST_GUESS_PH = 5.0
"""Always the same, so that the same dough has the same pH to the last digit."""


def slurry_litres(dough: Dough) -> float:
    """Water of the slurry that pH is read in: 100 mL for each 10 g of dough, and the dough's own."""
    return SLURRY_LITRES_PER_G * dough.amount("mass") + dough.amount("water") / 1000.0


def _acids(dough: Dough) -> tuple[Parameter, ...]:
    """The pKa's of the acids that are in the dough."""
    acids = dough.catalogue.substances.acids
    present = [
        acids[kind.name]
        for place, kind in enumerate(dough.layout.species, start=dough.layout.first_species)
        if dough.totals[place] > 0 and kind.name in acids
    ]
    return tuple(
        Parameter(f"pKa of {acid.name} acid", ", ".join(f"{p:g}" for p in acid.pkas), acid.tag, acid.source)
        for acid in present
    )


def _uptake(layout: Layout, substances: Substances) -> dict[str, float]:
    """Charge that each total takes up to the end point of the titration, mmol."""
    uptake = {kind.name: mean_charge(kind.pkas, TTA_END_POINT_PH) for kind in layout.species}
    return {**uptake, "fixed_charge": -1.0}


class Tta(LinearReading):
    """Titratable acidity: mL of 0.1 M sodium hydroxide for 10 g."""

    def working(self, dough: Dough) -> Working:
        quantity = dough.quantities[self.key]
        taken, mass = sparse_dot(quantity.top_parts, dough.totals), dough.amount("mass")
        value = quantity.scale * taken / mass
        steps = [f"{quantity.scale:g} × {taken:.1f} mmol / {mass:.0f} g dough = {value:.2f} mL"]
        if self.shown_in_steps_of:
            steps.append(f"shown to the nearest {self.shown_in_steps_of:g} mL, as finely as a titration is read")
        uptake = dict(quantity.top_parts)
        made = sum(amount * uptake.get(place, 0.0) for place, amount in dough.acids_made)
        if abs(made) >= LEAST_TOLD_MMOL:
            steps.append(f"of it {made:.1f} mmol made in stages and proof by yeast and bacteria, the rest by the lines")
        symbols = f"TTA = {quantity.scale:g} · [Σ amount · n({TTA_END_POINT_PH:g}) − SID] / dough"
        return Working(symbols, tuple(steps), _acids(dough), CHARGES)


class Ph(Reading):
    """pH of the dough in a slurry. At a fixed pH the charges are linear in grams, so the programme can keep it."""

    def value(self, dough: Dough) -> float:
        return solve_ph(
            dough.totals[dough.layout.first_species :],
            dough.layout.species,
            dough.amount("fixed_charge"),
            slurry_litres(dough),
            guess=FIRST_GUESS_PH,
        )

    def gradient(self, dough: Dough) -> list[float]:
        return self._slopes_at(dough, dough.value(self.key))

    def above(self, dough: Dough, value: float) -> tuple[float, list[float]]:
        """At a fixed pH the charges sum to zero, which is straight in grams: the sum over the buffer capacity there."""
        slopes = self._slopes_at(dough, value)
        return dot(slopes, dough.totals), slopes

    def _slopes_at(self, dough: Dough, ph: float) -> list[float]:
        layout = dough.layout
        slope = charge_slope(dough.totals[layout.first_species :], layout.species, ph, slurry_litres(dough))
        gradient = [0.0] * len(dough.totals)
        for place, kind in enumerate(layout.species, start=layout.first_species):
            gradient[place] = -mean_charge(kind.pkas, ph) / slope
        gradient[layout.index["fixed_charge"]] = 1.0 / slope
        water_charge = 1000.0 * (10.0 ** (ph - 14.0) - 10.0**-ph)
        gradient[layout.index["mass"]] = -SLURRY_LITRES_PER_G * water_charge / slope
        gradient[layout.index["water"]] = -water_charge / 1000.0 / slope
        return gradient

    def brings(self, dough: Dough) -> Brought:
        ph, first = dough.value(self.key), dough.layout.first_species
        charges = [mean_charge(kind.pkas, ph) for kind in dough.layout.species]
        fixed = dough.layout.index["fixed_charge"]

        def acid(vector: Vector) -> float:
            return sum(n * amount for n, amount in zip(charges, vector[first:], strict=True)) - vector[fixed]

        return Brought("mmol acid given up", acid)

    def working(self, dough: Dough) -> Working:
        steps = [
            f"fixed ions (SID) {dough.amount('fixed_charge'):.1f} mmol",
            f"water of the slurry {slurry_litres(dough):.2f} L (10 g dough in {10_000.0 * SLURRY_LITRES_PER_G:.0f} mL)",
            f"charges balance at pH {dough.value(self.key):.2f}",
        ]
        made = dict(dough.acids_made)
        if made:
            index = dough.layout.index
            acids = ", ".join(
                f"{made[index[acid]]:.1f} mmol {acid}"
                for acid in GROWING
                if made.get(index[acid], 0.0) >= LEAST_TOLD_MMOL
            )
            steps.append(f"made in stages and proof by yeast and bacteria, and counted: {acids or 'next to nothing'}")
        symbols = "SID = Σ amount · n(pH) + L · (10^(pH−14) − 10^(−pH)) · 1000, solved for pH"
        return Working(symbols, tuple(steps), _acids(dough), f"{CHARGES}; L: litres of water in the slurry")


CHARGES = (
    "amount: mmol of an acid or buffer group; n(pH): how many charges one molecule of it has given up at that pH; "
    "SID: charge of the ions that no acid can change, mmol"
)


READINGS = (
    Tta(
        key="tta",
        top=_uptake,
        below="mass",
        basis=f"0.1 M NaOH that 10 g take up to pH {TTA_END_POINT_PH:g}: charge taken up / dough",
        tag="A",
        label="TTA",
        unit="mL",
        short_unit="mL",
        signed_decimals=1,
        shown_in_steps_of=0.5,
        may_be_negative=True,
        claim="Good to about ±2 as it stands; between two variants to ±2 with table values, ±0.6 with the acid "
        "liquid's own pH and TTA measured.",
        on_card=True,
        brings_unit="mmol",
    ),
    Ph(
        key="ph",
        is_row=True,
        basis="pH of 10 g dough in 100 mL water, from the charge balance of its acids and buffers",
        tag="A",
        label="pH",
        unit="",
        short_unit="",
        decimals=1,
        signed_decimals=2,
        moved=("more sour", "less sour"),
        claim="Good to about ±0.4 as it stands; between two variants to ±0.3 with table values, ±0.1 with the acid "
        "liquid's own pH and TTA measured.",
        on_card=True,
    ),
)
