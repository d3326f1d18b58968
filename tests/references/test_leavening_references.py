"""Baking soda and powder against worked examples, published pH and stoichiometry."""

import math
from itertools import pairwise

import pytest

from adapter.dough.models.acidity import Species, solve_ph
from adapter.dough.models.leavening import GAS_ML_PER_MMOL, leaven
from adapter.dough.readings.kitchen import load_kitchen
from adapter.dough.readings.leavening import co2_doubt
from adapter.dough.readings.measured import measure
from adapter.formula.model import Formula, Line

KITCHEN = load_kitchen()
SODA_WATER = (("white wheat flour", 2.0), ("water", 1000.0), ("baking soda", 40.0), ("spirit vinegar", 250.0))
SODA_MMOL_PER_G = 1000.0 / 84.007


def leavened(lines, soda_g=0.0, tartar_g=0.0):
    composer = KITCHEN.composer
    layout, totals = composer.layout, composer.totals([Line(*line) for line in lines])
    totals[layout.index["carbonic"]] += SODA_MMOL_PER_G * soda_g
    totals[layout.index["tartaric"]] += tartar_g / 0.18818
    totals[layout.index["fixed_charge"]] += SODA_MMOL_PER_G * soda_g + tartar_g / 0.18818
    litres = totals[layout.index["water"]] / 1000.0
    slurry = 0.010 * totals[layout.index["mass"]] + litres
    amounts = totals[layout.first_species :]
    return leaven(amounts, layout.species, totals[layout.index["fixed_charge"]], slurry, litres)


@pytest.mark.parametrize(("soda_g", "ph", "gas"), [(3.0, 6.5, 26.0), (5.0, 7.1, 32.0), (8.0, 7.5, 35.0)])
def test_soda_bread_against_the_second_implementation(soda_g, ph, gas) -> None:
    """450 g flour, 400 g buttermilk: another program with the same parameters. Published: pH 6.5 to 8 [M]."""
    bread = leavened([("white wheat flour", 450.0), ("buttermilk", 400.0)], soda_g)
    assert bread.ph == pytest.approx(ph, abs=0.05)
    assert bread.gas_mmol == pytest.approx(gas, rel=0.05)


def test_the_open_dough_by_bisecting_its_charges() -> None:
    """Mass action written out: sodium = acetate + bicarbonate + 2 carbonate + OH − H, with 33 mM/atm · 0.3 atm kept."""
    acetic, carbonic = Species("acetic", (4.76,)), Species("carbonic", (6.35, 10.33))
    litres, water, sodium, acid, soda = 2.0, 0.3, 60.0, 30.0, 60.0
    dissolved = 33.0 * 0.3 * water

    def parts(ph: float) -> tuple[float, float, float]:
        h = 10.0**-ph
        bicarbonate = dissolved * 10.0**-6.35 / h
        return acid / (1.0 + h / 10.0**-4.76), bicarbonate, bicarbonate * 10.0**-10.33 / h

    low, high = 0.0, 14.0
    for _ in range(60):
        ph = 0.5 * (low + high)
        acetate, bicarbonate, carbonate = parts(ph)
        charge = acetate + bicarbonate + 2.0 * carbonate + 1000.0 * litres * (1e-14 * 10.0**ph - 10.0**-ph)
        low, high = (low, ph) if charge > sodium else (ph, high)
    found = leaven((acid, soda), (acetic, carbonic), sodium, litres, water)
    assert found.ph == pytest.approx(ph, abs=1e-8)
    assert found.gas_mmol == pytest.approx(soda - dissolved - bicarbonate - carbonate, abs=1e-6)
    assert found.gas_ml == pytest.approx(24.45 * found.gas_mmol)
    for amounts, species in (
        ((acid, 2.0), (acetic, carbonic)),
        ((acid, 0.0), (acetic, carbonic)),
        ((acid,), (acetic,)),
    ):
        closed = leaven(amounts, species, 20.0, litres, water)
        assert (closed.ph, closed.gas_mmol) == (solve_ph(amounts, species, 20.0, litres), 0.0), "all of it dissolves"


def test_too_much_soda_is_held_by_bicarbonate() -> None:
    """However much: a solution of bicarbonate is at pH 8.3 (0.1 M closed 8.34, analytic); never the 11 of sodium."""
    assert 7.0 < leavened([("white wheat flour", 450.0), ("water", 300.0)], 50.0).ph < 9.0


def test_cream_of_tartar_takes_its_soda() -> None:
    """45 g soda to 100 g cream of tartar (trade [M]); by its one acid hydrogen 84.007/188.18 = 44.6 (stoichiometry)."""
    tartar = 100.0 * 2.0 / 45.0
    both = leavened([("white wheat flour", 100.0), ("water", 65.0)], 2.0, tartar)
    soda = leavened([("white wheat flour", 100.0), ("water", 65.0)], 2.0)
    assert both.gas_mmol > 0.8 * 2.0 * SODA_MMOL_PER_G > 2.0 * soda.gas_mmol


def test_gas_of_soda_is_one_for_one() -> None:
    """Stoichiometry: a mole of soda gives at most a mole of CO2, 24.45 L at 25 °C."""
    assert pytest.approx(24_450.0, rel=1e-3) == 1000.0 * GAS_ML_PER_MMOL
    for soda_g in (0.0, 1.0, 3.0, 9.0):
        bread = leavened([("white wheat flour", 450.0), ("buttermilk", 400.0)], soda_g)
        assert 0.0 <= bread.gas_mmol <= soda_g * SODA_MMOL_PER_G + 1e-9


def test_without_soda_the_ph_is_as_ever() -> None:
    composer = KITCHEN.composer
    layout, totals = composer.layout, composer.totals([Line("white wheat flour", 500.0), Line("water", 300.0)])
    slurry = 0.010 * totals[layout.index["mass"]] + totals[layout.index["water"]] / 1000.0
    species, charge = layout.species, totals[layout.index["fixed_charge"]]
    whole = solve_ph(totals[layout.first_species :], species, charge, slurry)
    assert leavened([("white wheat flour", 500.0), ("water", 300.0)]).ph == whole


def test_more_soda_more_gas_and_higher_ph() -> None:
    breads = [leavened([("white wheat flour", 450.0), ("buttermilk", 400.0)], soda / 2.0) for soda in range(1, 20)]
    assert all(a.ph < b.ph and a.gas_mmol < b.gas_mmol for a, b in pairwise(breads))


def test_what_a_doubtful_pressure_of_carbon_dioxide_does_to_the_ph() -> None:
    """Between a third and twice the CO2 over a bicarbonate solution, half of it turned to acetate, lie log10(6) pH
    (Henderson and Hasselbalch): half of that is the doubt. A pinch of flour buffers next to nothing.
    """
    soda = measure(KITCHEN, Formula("soda", tuple(Line(*line) for line in SODA_WATER)))
    assert co2_doubt(soda) == pytest.approx(0.5 * math.log10(6.0), rel=0.04)


def test_the_same_doubt_in_a_dough_that_buffers() -> None:
    """Soda bread, its carbonate bisected until 33 mM/atm of a third, or twice, of 0.3 atm are dissolved."""
    lines = (Line("white wheat flour", 450.0), Line("buttermilk", 400.0), Line("baking soda", 8.0))
    bread = measure(KITCHEN, Formula("soda bread", lines))
    layout, totals = bread.layout, bread.totals
    water_l = totals[layout.index["water"]] / 1000.0
    slurry = 10.0 * totals[layout.index["mass"]] / 1000.0 + water_l
    place = layout.index["carbonic"] - layout.first_species

    def ph_at(atm: float) -> float:
        amounts = list(totals[layout.first_species :])
        low, high = 0.0, amounts[place] + bread.gas_mmol
        for _ in range(60):
            amounts[place] = 0.5 * (low + high)
            ph = solve_ph(amounts, layout.species, totals[layout.index["fixed_charge"]], slurry)
            dissolved = amounts[place] / (1.0 + 10.0 ** (ph - 6.35) + 10.0 ** (2.0 * ph - 6.35 - 10.33))
            low, high = (low, amounts[place]) if dissolved > 33.0 * atm * water_l else (amounts[place], high)
        return ph

    assert ph_at(0.3) == pytest.approx(bread.value("ph"), abs=1e-4)
    assert co2_doubt(bread) == pytest.approx(0.5 * (ph_at(0.1) - ph_at(0.6)), rel=1e-4)
