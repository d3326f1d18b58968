"""Leavening by chemistry: the gas that baking soda and powder set free in this dough."""

from __future__ import annotations

from adapter.dough.models.leavening import CARBONIC, CO2_ATM, DISSOLVED_MM_PER_ATM, GAS_ML_PER_MMOL, leaven
from adapter.dough.readings.acidity import slurry_litres
from adapter.dough.readings.reading import Brought, Dough, Parameter, Reading, Terms, Working

CO2_DOUBT = (1.0 / 3.0, 2.0)
"""How much less and how much more CO2 than assumed a baked or slurried dough may well keep [A]."""


def let_gas_go(dough: Dough) -> float:
    """mmol of CO2 that the dough's water does not keep."""
    layout = dough.layout
    kept_for_sure = DISSOLVED_MM_PER_ATM * CO2_ATM * dough.amount("water") / 1000.0
    if dough.mixed[layout.index[CARBONIC]] <= kept_for_sure or not dough.amount("water") > 0.0:
        return 0.0
    amounts, charge = dough.mixed[layout.first_species :], dough.mixed[layout.index["fixed_charge"]]
    return leaven(amounts, layout.species, charge, slurry_litres(dough), dough.amount("water") / 1000.0).gas_mmol


def co2_doubt(dough: Dough) -> float:
    """Half-width of the pH by how much CO2 the dough may keep: a third to twice of what is assumed [A]."""
    layout = dough.layout
    amounts = list(dough.totals[layout.first_species :])
    amounts[layout.index[CARBONIC] - layout.first_species] += dough.gas_mmol
    litres, charge = slurry_litres(dough), dough.amount("fixed_charge")
    water = dough.amount("water") / 1000.0
    open_, closed = (
        leaven(amounts, layout.species, charge, litres, water, factor * CO2_ATM).ph for factor in CO2_DOUBT
    )
    return 0.5 * abs(open_ - closed)


class LeaveningGas(Reading):
    """Gas that no living thing makes; its spread is the model's own (tolerances.toml)."""

    def value(self, dough: Dough) -> float:
        return GAS_ML_PER_MMOL * dough.gas_mmol * 100.0 / dough.amount("flour")

    def gradient(self, dough: Dough) -> list[float]:
        return [0.0] * len(dough.totals)

    def spread_terms(self, dough: Dough) -> Terms:
        return ()

    def brings(self, dough: Dough) -> Brought:
        place = dough.layout.index[CARBONIC]
        return Brought("mmol carbonate", lambda vector: vector[place])

    def working(self, dough: Dough) -> Working:
        kept = dough.amount(CARBONIC)
        steps = (
            f"carbonate {kept + dough.gas_mmol:.1f} mmol, of it {kept:.1f} mmol stay in the dough",
            f"{dough.gas_mmol:.1f} mmol × {GAS_ML_PER_MMOL:g} mL = {dough.gas_mmol * GAS_ML_PER_MMOL:.0f} mL in all",
        )
        parameters = (
            Parameter("CO2 over the dough, atm", f"{CO2_ATM:g}", "A", "assumed: how far a dough lets its gas go"),
            Parameter(
                "CO2 that water holds, mmol/L and atm", f"{DISSOLVED_MM_PER_ATM:g}", "M", "textbook, from memory"
            ),
        )
        return Working("gas = carbonate in all − carbonate that stays", steps, parameters)


READINGS = (
    LeaveningGas(
        key="leavening_gas",
        basis="CO2 of soda and powder that the dough's water does not keep, at 25 °C",
        tag="A",
        label="gas of soda",
        unit="mL per 100 g flour",
        short_unit="mL",
        change_unit="mL",
        decimals=0,
        claim="Good to about a fifth: how much gas stays dissolved is assumed. Such a dough rises in the oven.",
    ),
)
