"""Flours, acids and mixtures as the catalogue gives them, read through the program.

P published (seen in print), M from memory, CP common practice, A assumed here.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import numpy
import pytest

from adapter.dough.models.acidity import mean_charge
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured
from adapter.formula.ingredient import Ingredient
from adapter.formula.model import Line

Read = Callable[..., Measured]


# --- wholemeal as white flour and bran ------------------------------------------------------------


@pytest.mark.parametrize("bran", [16, 17, 18, 19, 20, 21])
def test_white_flour_with_bran_has_the_fibre_of_wholemeal(bran: int, read: Read) -> None:
    """USDA SR28 figures [P]: 16 to 21 % bran and white flour match wholemeal's fibre within 15 %."""
    mixed = read({"white wheat flour": 1000 - 10 * bran, "wheat bran": 10 * bran, "water": 700})
    whole = read({"wholemeal wheat flour": 1000, "water": 700})
    assert mixed.value("fibre") == pytest.approx(whole.value("fibre"), rel=0.15)


@pytest.mark.parametrize("bran", [16, 17, 18, 19, 20, 21])
def test_white_flour_with_bran_is_as_soft_as_wholemeal(bran: int, read: Read) -> None:
    """A regression test: the held water of bran was fitted so. Less than a point of effective hydration."""
    mixed = read({"white wheat flour": 1000 - 10 * bran, "wheat bran": 10 * bran, "water": 700})
    whole = read({"wholemeal wheat flour": 1000, "water": 700})
    assert abs(mixed.value("effective_hydration") - whole.value("effective_hydration")) < 1.0


def test_mass_balance_of_the_kernel_ties_bran_to_wholemeal(kitchen: Kitchen) -> None:
    """A regression test, no evidence: the three figures of held water were tied to each other so."""
    white, bran, whole = (
        kitchen.catalogue.get(name).property("held_water")
        for name in ("white wheat flour", "wheat bran", "wholemeal wheat flour")
    )
    assert 0.84 * white + 0.16 * bran == pytest.approx(whole, abs=0.01)


@pytest.mark.parametrize(
    ("name", "low", "high", "standard"),
    [
        ("white wheat flour", 0.51, 0.63, "DIN 10355 type 550 [P]"),
        ("wheat flour type 812", 0.64, 0.90, "DIN 10355 [P]"),
        ("wholemeal wheat flour", 1.21, 1.90, "DIN 10355: beyond type 1600 [P]"),
        ("light rye flour", 0.0, 0.90, "DIN 10355 type 815 [M]"),
        ("rye flour type 997", 0.91, 1.10, "DIN 10355 [M]"),
        ("rye flour type 1150", 1.11, 1.30, "DIN 10355 [M]"),
        ("rye flour type 1370", 1.31, 1.60, "DIN 10355 [M]"),
        ("rye flour type 1740", 1.61, 1.80, "DIN 10355 [M]"),
    ],
)
def test_ash_in_dry_matter(name: str, low: float, high: float, standard: str, kitchen: Kitchen) -> None:
    """Extraction types are named by the ash of their dry matter."""
    flour = kitchen.catalogue.get(name)
    ash = flour.figure("ash") / (1 - flour.figure("water") / 100)
    assert low <= ash <= high, standard


def test_wheat_flour_is_dry_enough(kitchen: Kitchen) -> None:
    """Codex CXS 152 [P]: at most 15.5 % moisture."""
    flours = [kitchen.catalogue.get(name) for name in kitchen.catalogue.of_kind("wheat flour")]
    assert flours
    assert all(flour.figure("water") <= 15.5 for flour in flours)


# --- titratable acidity alone ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "low", "high", "source"),
    [
        ("wine vinegar", 98, 103, "stoichiometry: 6 g acetic acid per 100 g take 100 mL"),
        ("cider vinegar", 82, 90, "stoichiometry: 5 g take 83 mL"),
        ("spirit vinegar", 82, 90, "stoichiometry: 5 g take 83 mL"),
        ("lemon juice", 60, 95, "about 48 g citric acid per litre [P]"),
        ("malt syrup", 9.8, 15.5, "malt-extract specification [P]"),
        ("date syrup", 5, 21, "published range [P]"),
        ("molasses", 5, 15, "assumed here [A]"),
        ("white wheat flour", 1.3, 3, "from memory [M]"),
        ("wholemeal wheat flour", 3, 6, "from memory [M]"),
        ("wheat bran", 8, 18, "assumed here [A]"),
        ("light rye flour", 1.5, 4, "from memory [M]; PN-86/A-74032 allows up to 6 [P]"),
        ("wholemeal rye flour", 3, 6, "from memory [M]; PN-86/A-74032 allows up to 8 [P]"),
        ("milk", 1.4, 2.0, "from memory [M]"),
        ("sour whey", 4.5, 7.5, "from memory [M]"),
        ("beer", 1.2, 2.5, "from memory [M]"),
        ("apple juice", 4, 9, "from memory [M]"),
        ("rye sourdough", 12, 20, "common practice, no source"),
        ("wheat sourdough", 6, 10, "from memory [M]"),
        ("honey", 2.0, 2.9, "White 1962: free 22, total 29.1 meq/kg [P]; at most 50, Directive 2001/110/EC [P]"),
    ],
)
def test_titratable_acidity_alone(name: str, low: float, high: float, source: str, kitchen: Kitchen) -> None:
    """mL of 0.1 M NaOH for 10 g to pH 8.5, by the reading that a dough has."""
    tta = kitchen.quantities["tta"].value(kitchen.composer.vector(Line(name, 0.0)))
    assert low <= tta <= high, source


@pytest.mark.parametrize(
    ("name", "least", "most", "source"),
    [
        ("buttermilk", 0.8, 0.9, "0.8 to 0.9 % as lactic acid [P]"),
        ("yoghurt", 0.6, 1.5, "Codex CXS 243 [M]: at least 0.6 %; commonly below 1.5"),
        ("kefir", 0.6, 1.5, "Codex CXS 243 [M]: at least 0.6 %; commonly below 1.5"),
    ],
)
def test_fermented_milks_as_lactic_acid(name: str, least: float, most: float, source: str, kitchen: Kitchen) -> None:
    """1 mL of 0.1 M NaOH for 10 g is 0.09008 g lactic acid in 100 g."""
    tta = kitchen.quantities["tta"].value(kitchen.composer.vector(Line(name, 0.0)))
    assert least <= 0.09008 * tta <= most, source


def test_baking_soda_takes_up_its_acid(read: Read) -> None:
    """Stoichiometry: 1 g (11.904 mmol) in 1,000 g of dough takes up 1.19 mL of acid for 10 g, were all its CO2 gone.

    What carbonate stays takes up n(8.5) of it again in the titration, here about one for one.
    """
    plain = read({"white wheat flour": 500, "buttermilk": 250, "water": 240, "salt": 10})
    soda = read({"white wheat flour": 500, "buttermilk": 250, "water": 239, "salt": 10, "baking soda": 1})
    stays = soda.amount("carbonic") - plain.amount("carbonic")
    assert soda.gas_mmol == pytest.approx(11.904 - stays, abs=5e-3)  # a gram of tap water less
    again = mean_charge((6.35, 10.33), 8.5) * stays / 10.0
    assert soda.value("tta") - plain.value("tta") == pytest.approx(-1.190 + again, abs=0.005)


# --- mixtures by a reference library --------------------------------------------------------------


class ByLibrary:
    """Mixtures by pHcalc 0.2.0 alone: its ladder of charges, its solver; from the ingredient tables."""

    def __init__(self, kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
        if not hasattr(numpy, "cumproduct"):  # pHcalc still asks numpy for the old name of cumprod
            monkeypatch.setattr(numpy, "cumproduct", numpy.cumprod, raising=False)
        from pHcalc.pHcalc import Acid, Inert, System  # type: ignore[import-untyped]

        self.catalogue = kitchen.catalogue
        self.acid, self.inert, self.system = Acid, Inert, System

    def charge(self, pkas: tuple[float, ...], mmol: float, ph: float) -> float:
        shares = self.acid(pKa=list(pkas), charge=0, conc=1.0).alpha(ph)
        return mmol * float(sum(number * share for number, share in enumerate(shares)))

    def litres_per_kg(self, ingredient: Ingredient) -> float:
        assert ingredient.acidity is not None
        return ingredient.figure("water") / 100 + (10.0 if ingredient.acidity.slurry else 0.0)

    def strong_ions(self, ingredient: Ingredient) -> float:
        """mmol/kg that give the ingredient its handbook pH alone (neat, or 10 g in 100 mL)."""
        acidity = ingredient.acidity
        assert acidity is not None
        if acidity.ph is None:
            assert acidity.fixed_charge is not None
            return acidity.fixed_charge
        ph = acidity.ph.value
        water = 1000 * self.litres_per_kg(ingredient) * (10 ** (ph - 14) - 10**-ph)
        return water + sum(self.charge(pkas, mmol, ph) for _, pkas, mmol in acidity.groups)

    def dough(self, amounts: dict[str, float]) -> tuple[float, float]:
        """pH of 10 g in 100 mL water, and TTA."""
        kilos = [(self.catalogue.get(name), grams / 1000) for name, grams in amounts.items()]
        litres = sum(kg * (10 + ingredient.figure("water") / 100) for ingredient, kg in kilos)
        totals: dict[tuple[float, ...], float] = {}
        ions = 0.0
        for ingredient, kg in kilos:
            if ingredient.acidity:
                ions += kg * self.strong_ions(ingredient)
                for _, pkas, mmol in ingredient.acidity.groups:
                    totals[pkas] = totals.get(pkas, 0.0) + kg * mmol
        parts: list[Any] = [
            self.acid(pKa=list(pkas), charge=0, conc=mmol / litres / 1000) for pkas, mmol in totals.items()
        ]
        system = self.system(*parts, self.inert(charge=1, conc=ions / litres / 1000))
        system.pHsolve(guess_est=True, tol=1e-10)
        uptake = sum(self.charge(pkas, mmol, 8.5) for pkas, mmol in totals.items()) - ions
        return float(system.pH), uptake / sum(kg for _, kg in kilos) / 10


MIXTURES: list[dict[str, float]] = [
    {"wholemeal rye flour": 420, "white wheat flour": 180, "wheat bran": 60, "buttermilk": 520, "honey": 60},
    {"wholemeal rye flour": 1000, "water": 700, "cider vinegar": 40, "molasses": 60},
    {"white wheat flour": 500, "yoghurt": 300, "lemon juice": 20, "malt syrup": 30, "salt": 9},
    {"spelt flour": 600, "kefir": 250, "orange juice": 100, "date syrup": 40, "butter": 50},
    {"medium rye flour": 700, "sour whey": 400, "beer": 200, "ascorbic acid": 0.5},
]


@pytest.mark.parametrize("amounts", MIXTURES)
def test_mixtures_as_the_library(
    amounts: dict[str, float], read: Read, kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    """pHcalc 0.2.0 on the ingredient tables, strong ions and all: pH within 1e-6, TTA within 1e-9."""
    ph, tta = ByLibrary(kitchen, monkeypatch).dough(amounts)
    dough = read(amounts)
    assert dough.value("ph") == pytest.approx(ph, abs=1e-6)
    assert dough.value("tta") == pytest.approx(tta, rel=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_random_mixtures_as_the_library(
    seed: int, read: Read, kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same over random doughs of six ingredients."""
    chance = random.Random(seed)
    known = [item.name for item in kitchen.catalogue if item.acidity and item.acidity.ph and not item.preferment]
    known = [
        name for name in known if "reaches" not in kitchen.catalogue.get(name).properties
    ]  # not what keeps its acid
    amounts = {name: chance.uniform(1, 200) for name in chance.sample(known, 5)}
    amounts["wholemeal rye flour"] = chance.uniform(300, 900)
    ph, tta = ByLibrary(kitchen, monkeypatch).dough(amounts)
    dough = read(amounts)
    assert dough.value("ph") == pytest.approx(ph, abs=1e-6)
    assert dough.value("tta") == pytest.approx(tta, rel=1e-9)
