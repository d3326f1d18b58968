"""The equations of a ripening dough integrated once more, by Runge-Kutta in short steps, their constants written out.

The constants are this project's own, published or fitted (ripening.py and culture_pace.py say which); here they
stand a second time, so that neither they nor the integrator change unnoticed.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from adapter.dough.models.acidity import solve_ph
from adapter.dough.models.course import Living, Medium
from adapter.dough.models.ripening import ripen
from adapter.dough.models.warmth import steady
from tests.references.ripening_doughs import RYE, TAP, WHITE, medium

STEP_H = 0.05
CO2_ML = 24.45


def rosso(x: float, lowest: float, best: float, highest: float) -> float:
    """Rosso's cardinal temperature model."""
    if not lowest < x < highest:
        return 0.0
    above = (x - highest) * (x - lowest) ** 2
    return above / ((best - lowest) * ((best - lowest) * (x - best) - (best - highest) * (best + lowest - 2.0 * x)))


def rosso_ph(ph: float, lowest: float, best: float, highest: float) -> float:
    inside = (ph - lowest) * (ph - highest)
    return inside / (inside - (ph - best) ** 2) if lowest < ph < highest else 0.0


def worth(yeast: float) -> float:
    return yeast if yeast <= 2.5 else 2.5 * (yeast / 2.5) ** 0.7


def integrated(dough: Medium, start: Living, t_c: float, hours: float) -> dict[str, float]:
    """X, S, Y, the acids made and the gases after so many hours in a place of one temperature."""
    names = [kind.name for kind in dough.species]
    bacteria_c = float(np.interp(t_c, (4, 15, 20, 32, 37, 39, 41), (0, 0.25, 0.5, 1, 0.5, 0.25, 0)))
    wild_c = float(np.interp(t_c, (8, 14, 20, 28, 32, 34, 35), (0, 0.25, 0.5, 1, 0.5, 0.25, 0)))
    gas_c = rosso(t_c, 0.0, 38.0, 46.0) / rosso(28.5, 0.0, 38.0, 46.0)
    wild_gas_c = gas_c * float(np.interp(t_c, (0, 5, 15, 30, 42), (2.2, 2, 1, 1, 0)))
    yeast_c = rosso(t_c, 2.0, 32.0, 45.0) / rosso(28.0, 2.0, 32.0, 45.0)
    salt = max(1.0 - dough.salt_percent / 4.0, 0.0)
    acetic_share = (0.21 + 0.12 * dough.rye_share) * max(1.0 - 0.08 * max(t_c - 30.0, 0.0), 0.0)
    own = 0.5 * dough.flour_g / 1000.0 * 2.0 ** ((min(t_c, 50.0) - 27.0) / 7.0) * min(max((50.0 - t_c) / 8.0, 0.0), 1.0)
    most_meq = (10.0 + 12.0 * (dough.ash_percent - 0.55)) * dough.flour_g / 1000.0
    wakes_h = 0.5 if dough.working else 1.0
    lactic_gas = CO2_ML * 100.0 / dough.flour_g

    def slopes(t: float, state: np.ndarray) -> np.ndarray:
        x, s, y, lactic, acetic, gas, _, _ = state
        meq = most_meq * (1.0 - math.exp(-gas / 100.0 / CO2_ML / 0.08))
        amounts = list(dough.amounts_mmol)
        for name, made in (("lactic", lactic), ("acetic", acetic + meq * 2.0 / 12.8), ("succinic", meq * 4.0 / 12.8)):
            amounts[names.index(name)] += made
        ph = solve_ph(amounts, dough.species, dough.fixed_charge_mmol - meq * 6.0 / 12.8, dough.slurry_litres)
        stifling = amounts[names.index("acetic")] / (1.0 + 10.0 ** (ph - 4.76)) * 1000.0 / dough.water_g
        yeast_pace = rosso_ph(ph, 1.8, 5.0, 8.2) / rosso_ph(5.3, 1.8, 5.0, 8.2) * max(1.0 - stifling / 150.0, 0.0)
        acid_left = min(max(ph - 3.45, 0.0), 1.0)
        culture, breath, growing = min(1.0, t / wakes_h), min(1.0, t / 0.25), min(1.0, t / 2.0)
        made = 4.0 * bacteria_c * salt * acid_left * x * culture
        lively = dough.gas_ml * dough.pace * yeast_pace * breath
        return np.array([
            0.66 * bacteria_c * salt * rosso_ph(ph, 3.75, 5.3, 6.9) * (1.0 - x / 6.0) * culture * x,
            0.42 * wild_c * max(1.0 - stifling / 150.0, 0.0) * (1.0 - s / 8.0) * culture * s,
            0.17 * yeast_c * max(1.0 - y / 2.8, 0.0) * growing * y,
            max(made, own * acid_left * dough.own_bacteria),
            acetic_share * made,
            lively * gas_c * worth(y),
            lively * wild_gas_c * s * 100.0 / dough.flour_g,
            made * lactic_gas,
        ])  # fmt: skip

    state = np.array([start.bacteria, start.sourdough_yeast, start.bakers_yeast, 0.0, 0.0, 0.0, 0.0, 0.0])
    for number in range(round(hours / STEP_H)):
        t = number * STEP_H
        first = slopes(t, state)
        second = slopes(t + STEP_H / 2.0, state + STEP_H / 2.0 * first)
        third = slopes(t + STEP_H / 2.0, state + STEP_H / 2.0 * second)
        last = slopes(t + STEP_H, state + STEP_H * third)
        state = state + STEP_H / 6.0 * (first + 2.0 * second + 2.0 * third + last)
    names = ["bacteria", "sourdough yeast", "yeast", "lactic", "acetic", "gas", "wild gas", "bacteria's gas"]
    return dict(zip(names, map(float, state), strict=True))


SOUR_RYE = medium([(450.0, RYE), (450.0, TAP)], 1.0)
WHEAT = medium([(1000.0, WHITE), (600.0, TAP)], 0.0, salt_g=20.0)
MIXED = medium([(600.0, RYE), (400.0, WHITE), (700.0, TAP)], 0.6, salt_g=12.0, working=True)
STILL = medium([(1000.0, WHITE), (600.0, TAP)], 0.0, salt_g=10.0, own_bacteria=False)


@pytest.mark.parametrize(
    ("dough", "start", "t_c", "hours"),
    [
        pytest.param(SOUR_RYE, Living(0.4, 0.3), 26.0, 12.0, id="rye sourdough"),
        pytest.param(WHEAT, Living(bakers_yeast=0.6), 24.0, 8.0, id="wheat with yeast"),
        pytest.param(MIXED, Living(1.5, 1.2, 1.0), 34.0, 4.0, id="both, warm"),
        pytest.param(MIXED, Living(1.0, 1.0, 3.5), 10.0, 15.0, id="both, cold and crowded"),
        pytest.param(WHEAT, Living(bakers_yeast=1.0), 44.5, 3.0, id="too hot"),
        pytest.param(STILL, Living(3.0, 5.0), 30.5, 5.0, id="much culture"),
    ],
)
def test_the_equations_integrated_otherwise(dough: Medium, start: Living, t_c: float, hours: float) -> None:
    """Within 0.4 %, what the steps of the program leave."""
    end, wanted = ripen(dough, start, steady(t_c), hours).end, integrated(dough, start, t_c, hours)
    found = {
        "bacteria": end.living.bacteria, "sourdough yeast": end.living.sourdough_yeast,
        "yeast": end.living.bakers_yeast, "lactic": end.lactic, "acetic": end.acetic, "gas": end.bakers_gas_ml,
        "wild gas": end.wild_gas_ml, "bacteria's gas": end.bacteria_gas_ml,
    }  # fmt: skip
    assert found == pytest.approx(wanted, rel=0.004, abs=1e-3)
