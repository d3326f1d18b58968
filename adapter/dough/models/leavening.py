"""Leavening by chemistry: how much CO2 baking soda and powder set free, and the pH of what is left.

Baking soda is carbonate and sodium; an acid turns carbonate into CO2. Of that the dough's water keeps only so much,
and what is beyond goes off as gas:

    dissolved CO2 = [H2CO3] at most 33·p mmol per litre of the dough's water, p = 0.3 atm   [33 M; p A: the one knob]
    gas           = carbonate in all − carbonate that stays, 24.45 mL per mmol at 25 °C

p stands for how far a baked or slurried dough has let its CO2 go. Where an acid carries no sodium of its own, its
strength is told by its neutralising value, grams of baking soda for 100 g of it [M]. An open dough of soda and
flour alone keeps most of its carbonate and stays at pH 8 to 9.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from adapter.dough.models.acidity import LN10, Species, charge, charge_slope, solve_ph

GAS_ML_PER_MMOL = 24.45
DISSOLVED_MM_PER_ATM = 33.0
CO2_ATM = 0.3
CARBONIC = "carbonic"

_LOWEST_PH, _HIGHEST_PH = 0.0, 14.0
_NEWTON_STEP = 1e-9


@dataclass(frozen=True, slots=True)
class Leavened:
    """pH after the gas has gone, and mmol of CO2 that go."""

    ph: float
    gas_mmol: float

    @property
    def gas_ml(self) -> float:
        return GAS_ML_PER_MMOL * self.gas_mmol


def leaven(
    amounts_mmol: Sequence[float],
    species: Sequence[Species],
    fixed_charge_mmol: float,
    slurry_litres: float,
    dough_water_litres: float,
    co2_atm: float = CO2_ATM,
) -> Leavened:
    """Let the CO2 go that the dough's water cannot keep. pH as in solve_ph, in the slurry; carbonate by name.

    Where all of it dissolves nothing goes, and the pH is that of solve_ph to the last digit.
    """
    ph = solve_ph(amounts_mmol, species, fixed_charge_mmol, slurry_litres)
    place = next((place for place, kind in enumerate(species) if kind.name == CARBONIC), None)
    if place is None or not amounts_mmol[place]:
        return Leavened(ph, 0.0)
    total = amounts_mmol[place]
    most = DISSOLVED_MM_PER_ATM * co2_atm * dough_water_litres
    ratios = _ratios(species[place], ph)
    if total <= most * sum(ratios):
        return Leavened(ph, 0.0)
    others = [0.0 if at == place else amount for at, amount in enumerate(amounts_mmol)]
    ph = _open_ph(others, species, fixed_charge_mmol, slurry_litres, most, species[place])
    kept = min(most * sum(_ratios(species[place], ph)), total)
    return Leavened(ph, total - kept)


def _ratios(carbonic: Species, ph: float) -> tuple[float, float, float]:
    """H2CO3, bicarbonate and carbonate for one of H2CO3."""
    first = 10.0 ** (ph - carbonic.pkas[0])
    return 1.0, first, first * 10.0 ** (ph - carbonic.pkas[1])


def _open_ph(
    others: Sequence[float],
    species: Sequence[Species],
    fixed_charge_mmol: float,
    litres: float,
    dissolved_mmol: float,
    carbonic: Species,
) -> float:
    """The pH at which dissolved CO2 is just what the water keeps: Newton kept inside a bracket."""
    low, high, ph = _LOWEST_PH, _HIGHEST_PH, 7.0
    for _ in range(100):
        _, bicarbonate, carbonate = _ratios(carbonic, ph)
        excess = charge(others, species, ph, litres) + dissolved_mmol * (bicarbonate + 2.0 * carbonate)
        excess -= fixed_charge_mmol
        slope = charge_slope(others, species, ph, litres)
        slope += LN10 * dissolved_mmol * (bicarbonate + 4.0 * carbonate)
        if excess > 0.0:
            high = ph
        else:
            low = ph
        step = excess / slope
        ph -= step
        if abs(step) < _NEWTON_STEP:
            break
        if not low < ph < high:
            ph = 0.5 * (low + high)
    return ph
