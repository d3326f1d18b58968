"""A baker's own figures over the table's: off a packet, or measured. The spread shrinks and every reading follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from adapter.dough.models.acidity import TTA_END_POINT_PH, charge, mean_charge
from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Acidity, Contents, Figure, Ingredient
from adapter.formula.on_demand import OnDemand
from adapter.formula.pantry import Measurement, Pantry
from adapter.formula.problems import InputProblem
from adapter.formula.substances import Group

SUGARS = ("glucose", "fructose", "sucrose", "maltose", "lactose", "galactose")
FILLERS = ("water", "starch", "dextrins", "other")
"""What gives way when a packet's figure differs from the table's: the largest of these that is not given itself."""

OWN_SPREAD_RELATIVE = 0.05
OWN_SPREAD_PH = 0.05
SLURRY_LITRES_PER_KG = 10.0
ACETIC_G_PER_MOL = 60.05


def with_own_figures(catalogue: Catalogue, pantry: Pantry) -> Catalogue:
    """The catalogue with every measured or labelled figure of the pantry laid over it.

    Raises InputProblem where a figure cannot be meant (more than 100 g in 100 g; a TTA below what the buffers take).
    """
    changed: dict[str, Ingredient] = {}
    for stock in pantry.stock:
        if stock.measurement is not None and any(stock.measurement.given()):
            base = changed.get(stock.ingredient, catalogue.get(stock.ingredient))
            changed[stock.ingredient] = own(base, stock.measurement)
    if not changed:
        return catalogue
    return Catalogue({**catalogue.ingredients, **changed}, catalogue.substances)


def own(ingredient: Ingredient, measurement: Measurement) -> Ingredient:
    """One ingredient with its own figures, each tagged "own"."""
    given = {key: _figure(key, number.value, number.spread) for key, number in measurement.given()}
    figures = _composition(ingredient, given)
    properties = dict(ingredient.properties)
    if "falling_number" in given:
        if "falling_number" not in properties:
            raise _wrong(ingredient, "falling_number", "belongs to flour only")
        properties["falling_number"] = given["falling_number"]
    acidity = _acidity(ingredient, figures, given)
    return replace(
        ingredient,
        contents=OnDemand(lambda: Contents(figures, properties, acidity)),
        overrides=tuple(dict.fromkeys((*ingredient.overrides, *given))),
    )


def _figure(key: str, value: float, spread: float | None) -> Figure:
    usual = OWN_SPREAD_PH if key == "ph" else OWN_SPREAD_RELATIVE * value
    return Figure(value, usual if spread is None else spread, "own", "measured or read off the packet")


def _wrong(ingredient: Ingredient, key: str, what: str) -> InputProblem:
    return InputProblem(f"{key} {what}", where=f"own figures of {ingredient.name}")


def _composition(ingredient: Ingredient, given: Mapping[str, Figure]) -> dict[str, Figure]:
    figures = dict(ingredient.figures)
    if ingredient.preferment and any(key in given for key in ("sugar", "salt", "fat", "protein", "fibre", "water")):
        raise _wrong(ingredient, "composition", "of a sourdough follows its flour and its hydration on the line")
    shift = 0.0
    for key in ("fat", "protein", "fibre", "water"):
        if key in given:
            shift += given[key].value - ingredient.figure(key)
            figures[key] = given[key]
    if "salt" in given:
        more = given["salt"].value - ingredient.figure("salt")
        shift += more
        figures["salt"] = given["salt"]
        ash = figures.get("ash", Figure(0.0, 0.0, "own", "with the salt"))
        figures["ash"] = replace(ash, value=max(ash.value + more, 0.0))
    if "sugar" in given:
        total = sum(ingredient.figure(key) for key in SUGARS)
        shift += given["sugar"].value - total
        if total > 0:
            factor = given["sugar"].value / total
            for key in SUGARS:
                if key in figures:
                    own_part = ingredient.figure(key) * factor
                    figures[key] = replace(
                        given["sugar"], value=own_part, spread=given["sugar"].spread * _share(own_part, given)
                    )
        else:
            figures["sucrose"] = given["sugar"]
    _make_room(ingredient, figures, given, shift)
    return figures


def _make_room(ingredient: Ingredient, figures: dict[str, Figure], given: Mapping[str, Figure], shift: float) -> None:
    """Let what is not given give way, so that the figures add up as before.

    Where water is given the dry parts are thinned or thickened alike; else the largest filler gives way, or the
    largest figure there is.
    """
    fixed = {*given, "salt", "ash", *(SUGARS if "sugar" in given else ())}
    open_keys = [key for key, figure in figures.items() if key not in fixed and figure.value > 0]
    if not shift:
        return
    if not open_keys and shift < 0:
        figures["other"] = Figure(-shift, abs(shift), "own", "what the packet leaves open")
        return
    if not open_keys:  # table salt: its ash is all there is to give way
        open_keys = [key for key in ("ash", "salt") if key in figures and key not in given]
        for key in open_keys:
            figures[key] = replace(figures[key], value=max(figures[key].value * (1.0 - shift / 100.0), 0.0))
        return
    if "water" in given:
        giving = open_keys
    else:
        giving = [max([key for key in FILLERS if key in open_keys] or open_keys, key=lambda key: figures[key].value)]
    room = sum(figures[key].value for key in giving)
    if shift > room:
        raise _wrong(ingredient, ", ".join(given), f"leave no room: {', '.join(giving)} would be below zero")
    for key in giving:
        figures[key] = replace(figures[key], value=figures[key].value * (room - shift) / room)


def _share(part: float, given: Mapping[str, Figure]) -> float:
    whole = given["sugar"].value
    return part / whole if whole > 0 else 0.0


def _acidity(ingredient: Ingredient, figures: Mapping[str, Figure], given: Mapping[str, Figure]) -> Acidity | None:
    asked = [key for key in ("ph", "tta", "acid_percent") if key in given]
    acidity = ingredient.acidity
    if not asked:
        return acidity
    if acidity is None or acidity.ph is None:
        raise _wrong(ingredient, asked[0], "cannot be used: the table knows no acids of it")
    if "ph" in given:
        acidity = replace(acidity, ph=given["ph"])
    if "acid_percent" in given:
        figure = given["acid_percent"]
        mmol = figure.value * 10.0 / ACETIC_G_PER_MOL * 1000.0
        if not any(name == "acetic" for name, _, _ in acidity.groups):
            raise _wrong(ingredient, "acid_percent", "is the strength of a vinegar")
        groups = tuple((name, pkas, mmol if name == "acetic" else amount) for name, pkas, amount in acidity.groups)
        acidity = replace(acidity, groups=groups, spread_of_totals=_relative(figure))
    if "tta" in given:
        litres = figures["water"].value / 100.0 if "water" in figures else 0.0
        if ingredient.preferment:
            litres = ingredient.preferment.hydration / (100.0 + ingredient.preferment.hydration)
        if acidity.slurry:
            litres += SLURRY_LITRES_PER_KG
        acidity = _titrated(ingredient, acidity, given["tta"], litres)
    return acidity


def _relative(figure: Figure) -> float:
    return figure.spread / figure.value if figure.value > 0 else 0.0


def _titrated(ingredient: Ingredient, acidity: Acidity, tta: Figure, litres: float) -> Acidity:
    """Scale the acids (the buffers where there are none) so that the TTA is the measured one at the same pH.

    At a given pH every group takes up n(8.5) − n(pH) more: the TTA is linear in the amounts.
    """
    assert acidity.ph is not None
    ph = acidity.ph.value
    acids = [group for group in acidity.groups if not group[0].startswith("buffer")]
    scaled = acids or list(acidity.groups)
    fixed = [group for group in acidity.groups if group not in scaled]

    def uptake(groups: list[Group]) -> float:
        return sum(amount * (mean_charge(pkas, TTA_END_POINT_PH) - mean_charge(pkas, ph)) for _, pkas, amount in groups)

    water_mmol = charge([], [], ph, litres)
    wanted = tta.value * 10.0 - uptake(fixed) + water_mmol
    factor = wanted / uptake(scaled) if uptake(scaled) > 0 else -1.0
    if factor < 0:
        raise _wrong(ingredient, "tta", f"of {tta.value:g} is less than its buffers alone take up")
    groups = tuple(
        (name, pkas, amount * factor if (name, pkas, amount) in scaled else amount)
        for name, pkas, amount in acidity.groups
    )
    return replace(acidity, groups=groups, spread_of_totals=_relative(tta))
