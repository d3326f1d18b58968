"""Rows of the balancing programme, worked out from the ingredient tables alone, to check the program's own by."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scipy.optimize import brentq

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured
from adapter.formula.ingredient import Ingredient
from adapter.formula.model import Formula

SUGARS = ("glucose", "fructose", "sucrose", "maltose", "lactose", "galactose")


class Reference:
    """Rows of the programme from the ingredient tables: no vector, quantity or solver of the program is used.

    What stages and proof make (mmol of acids and of fixed ions, by name) is taken as given: a swap leaves it as it is.
    """

    def __init__(self, kitchen: Kitchen, formula: Formula, made: Mapping[str, float]) -> None:
        self.kitchen, self.formula = kitchen, formula
        catalogue = kitchen.catalogue
        self.white_held = catalogue.get("white wheat flour").property("held_water")
        self.book = self.sum({line.ingredient: line.grams for line in formula.lines})
        for name, mmol in made.items():
            key = "ions" if name == "fixed_charge" else catalogue.substances.acids[name].pkas
            self.book[key] = self.book.get(key, 0.0) + mmol
        self.ph = brentq(lambda ph: self.charge(self.book, ph), 1.0, 12.0, xtol=1e-13)
        step = 1e-4
        self.slope = (self.charge(self.book, self.ph + step) - self.charge(self.book, self.ph - step)) / (2 * step)

    def brings(self, name: str) -> dict[Any, float]:
        """What one gram brings: grams of water, flour …, mmol of each group (by its pKa's) and of strong ions."""
        item = self.kitchen.catalogue.get(name)
        if item.preferment:
            share = 100 / (100 + item.preferment.hydration)
            inner = self.brings(item.preferment.flour)
            flour = inner["flour"]
            made = {key: share * value for key, value in inner.items() if isinstance(key, str) and key != "ions"}
            made["free water"] += 1 - share
            made["water"] += 1 - share
            made["mass"], made["prefermented"] = 1.0, share * flour
        else:
            grain = item.property("flour")
            water = item.figure("water") / 100
            made = {key: item.figure(key) / 100 for key in (*SUGARS, "dextrins", "polyols", "salt", "fat", "fibre")}
            made |= {"mass": 1.0, "water": water, "free water": water * (1 - grain), "flour": grain}
            made |= {"rye": grain * item.property("rye"), "prefermented": 0.0}
            made["held"] = item.property("held_water") - grain * self.white_held
            made["gluten"] = item.figure("protein") / 100 * item.property("gluten")
        made["ions"] = 0.0
        if item.acidity:
            made["ions"] = self.strong_ions(item) / 1000
            for _, pkas, mmol in item.acidity.groups:
                made[pkas] = made.get(pkas, 0.0) + mmol / 1000
        return made

    def strong_ions(self, item: Ingredient) -> float:
        acidity = item.acidity
        assert acidity is not None
        if acidity.ph is None:
            assert acidity.fixed_charge is not None
            return acidity.fixed_charge
        own = item.figure("water") / 100
        if item.preferment:
            own = item.preferment.hydration / (100 + item.preferment.hydration)
        litres = own + (10 if acidity.slurry else 0)
        ph = acidity.ph.value
        return sum(mmol * negative(pkas, ph) for _, pkas, mmol in acidity.groups) + litres * water_charge(ph)

    def sum(self, grams: Mapping[str, float]) -> dict[Any, float]:
        total: dict[Any, float] = {}
        for name, weight in grams.items():
            for key, value in self.brings(name).items():
                total[key] = total.get(key, 0.0) + weight * value
        return total

    def charge(self, total: Mapping[Any, float], ph: float) -> float:
        """Negative less positive charge of the slurry at a pH, mmol; linear in grams."""
        groups = sum(mmol * negative(pkas, ph) for pkas, mmol in total.items() if isinstance(pkas, tuple))
        litres = 0.01 * total["mass"] + total["water"] / 1000
        return groups + litres * water_charge(ph) - total["ions"]

    def amount(self, total: Mapping[Any, float], key: str) -> float:
        sugars = self.kitchen.catalogue.substances.sugars
        if key == "sugar":
            return sum(total[name] for name in SUGARS)
        if key == "sweetness":
            return sum(total[name] * sugar.sweetness for name, sugar in sugars.items())
        if key == "effective_hydration":
            return total["free water"] - total["held"]
        if key == "tta":
            groups = sum(mmol * negative(pkas, 8.5) for pkas, mmol in total.items() if isinstance(pkas, tuple))
            return groups - total["ions"]
        return total[{"rye_share": "rye", "prefermented_flour": "prefermented"}.get(key, key)]

    def sought(self) -> list[str]:
        """The readings that count in drift; some only where the formula has enough of it."""
        rows = {key: row for key, row in self.kitchen.tolerances.items() if row.in_drift}
        return [
            key
            for key, row in rows.items()
            if row.in_drift_above is None or 100 * self.book[key] / self.book["flour"] > row.in_drift_above
        ]

    def effect(self, name: str, key: str) -> float:
        """What a gram does to a reading, its base taken at the book formula."""
        one, book = self.brings(name), self.book
        # The carbonate of soda and powder goes off as gas; that of the water stays.
        if key in ("ph", "tta") and "leavening" in self.kitchen.catalogue.get(name).kinds:
            one.pop(self.kitchen.catalogue.substances.acids["carbonic"].pkas, None)
        if key == "ph":
            return -self.charge(one, self.ph) / self.slope
        if key in ("flour_mass", "dough_mass"):
            part = "flour" if key == "flour_mass" else "mass"
            return 100 * one[part] / book[part]
        base = "mass" if key == "tta" else "flour"
        ratio = self.amount(book, key) / book[base]
        return 100 * (self.amount(one, key) - ratio * one[base]) / book[base]


def negative(pkas: tuple[float, ...], ph: float) -> float:
    """Mean negative charge of a molecule, by the ladder of its dissociations."""
    states = [10 ** (count * ph - sum(pkas[:count])) for count in range(len(pkas) + 1)]
    return sum(count * state for count, state in enumerate(states)) / sum(states)


def water_charge(ph: float) -> float:
    return 1000 * (10 ** (ph - 14) - 10**-ph)


def made_by_name(measured: Measured) -> dict[str, float]:
    """mmol that stages and proof have made, by the name of the acid."""
    return {measured.layout.keys[place]: amount for place, amount in measured.acids_made}
