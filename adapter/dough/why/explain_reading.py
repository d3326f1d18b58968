"""Why a reading is what it is: inputs by line, the formula, its parameters with their sources, and how sure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from adapter.dough.models import starch_attack, water_activity
from adapter.dough.models import yeast as yeast_pace
from adapter.dough.models.acidity import mean_charge
from adapter.dough.models.proof import retention, unrisen_density
from adapter.dough.readings.keys import READINGS
from adapter.dough.readings.linear import sparse_dot
from adapter.dough.readings.measured import Measured, Reading
from adapter.formula.ingredient import TAGS, Figure
from adapter.formula.problems import InputProblem


@dataclass(frozen=True, slots=True)
class Input:
    """What one line brings to a reading."""

    ingredient: str
    stage: str
    grams: float
    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class Parameter:
    """A number that the formula uses, with its tag and where it is from."""

    name: str
    value: str
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Contributor:
    """What one half-width of a figure changes in the reading, in the reading's unit."""

    ingredient: str
    figure: str
    effect: float
    spread: str
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """Everything behind one reading. Contributors come largest first; `model_spread` is the model's own share."""

    reading: Reading
    symbols: str
    inputs: tuple[Input, ...]
    steps: tuple[str, ...]
    parameters: tuple[Parameter, ...]
    contributors: tuple[Contributor, ...]
    model_spread: float
    claim: str


CLAIMS = {
    "ph": "Good to about ±0.4 as it stands; between two variants to ±0.3 with table values, ±0.1 with the acid "
    "liquid's own pH and TTA measured.",
    "tta": "Good to about ±2 as it stands; between two variants to ±2 with table values, ±0.6 with the acid "
    "liquid's own pH and TTA measured.",
    "starch_attack": "For ranking variants only: no number is safe or unsafe, and low is not simply good.",
    "water_activity": "Good to about ±0.015.",
    "rise_time": "One observed rise makes it this kitchen's own; the dough itself decides.",
    "pace": "Differences between variants are far better known than the hours themselves.",
}
USUAL_CLAIM = "Differences between variants are far better known than the value itself."


def explain(measured: Measured, key: str) -> Explanation:
    """How a reading was worked out. Raises InputProblem for a key that is no reading."""
    if key not in READINGS:
        raise InputProblem(f"{key!r} is no reading", right="one of " + ", ".join(READINGS))
    reading = measured.reading(key)
    tolerance = measured.kitchen.tolerances.get(key)
    model = 0.0
    if tolerance:
        model = (tolerance.model_spread**2 + (tolerance.model_spread_relative * reading.value) ** 2) ** 0.5
    symbols, steps, parameters = _worked(measured, key)
    return Explanation(
        reading,
        symbols,
        _inputs(measured, key),
        steps,
        parameters,
        _contributors(measured, key),
        model,
        CLAIMS.get(key, USUAL_CLAIM),
    )


def _inputs(measured: Measured, key: str) -> tuple[Input, ...]:
    amount, unit = _amount_of(measured, key)
    inputs = []
    for line in measured.formula.lines:
        vector = measured.kitchen.composer.vector(line, measured.fermented)
        brought = line.grams * amount(vector)
        if brought:
            inputs.append(Input(line.ingredient, line.stage, line.grams, brought, unit))
    return tuple(sorted(inputs, key=lambda item: -abs(item.amount)))


def _amount_of(measured: Measured, key: str) -> tuple[Callable[[tuple[float, ...]], float], str]:
    """What a gram brings to the reading, and its unit: grams, or mmol of acid for pH and what follows from it."""
    index = measured.layout.index
    quantity = measured.kitchen.quantities.get(key)
    if quantity is not None:
        return lambda vector: sparse_dot(quantity.top_parts, vector), "mmol" if key == "tta" else "g"
    if key == "starch_attack":
        place = index["liquefaction"]
        return lambda vector: vector[place], "g x liquefaction"
    if key == "water_activity":
        dissolved = [
            index[name] for name in ("glucose", "fructose", "sucrose", "maltose", "lactose", "salt", "alcohol")
        ]
        return lambda vector: sum(vector[place] for place in dissolved), "g dissolved"
    if key in ("pace", "rise_time"):
        yeast, cells = index["yeast"], index["cells"]
        return lambda vector: vector[yeast] + vector[cells], "g as fresh yeast"
    ph = measured.values["ph"]
    first = measured.layout.first_species
    charges = [mean_charge(kind.pkas, ph) for kind in measured.layout.species]
    fixed = index["fixed_charge"]

    def acid(vector: tuple[float, ...]) -> float:
        return sum(n * amount for n, amount in zip(charges, vector[first:], strict=True)) - vector[fixed]

    return acid, "mmol acid given up"


def _worked(measured: Measured, key: str) -> tuple[str, tuple[str, ...], tuple[Parameter, ...]]:
    if key == "ph":
        return _ph(measured)
    if key == "tta":
        return _tta(measured)
    if key in ("rise_time", "pace"):
        return _rise(measured, key)
    if key == "starch_attack":
        return _starch(measured)
    if key == "water_activity":
        return _water_activity(measured)
    return _linear(measured, key)


def _linear(measured: Measured, key: str) -> tuple[str, tuple[str, ...], tuple[Parameter, ...]]:
    quantity = measured.kitchen.quantities[key]
    top = sparse_dot(quantity.top_parts, measured.totals)
    steps = [f"top {top:.1f} g"]
    symbols = f"{key} = {quantity.how}"
    if quantity.below is not None:
        below = sparse_dot(quantity.below_parts, measured.totals)
        symbols = f"{key} = 100 x {quantity.how}"
        steps = [f"100 x {top:.1f} g / {below:.1f} g = {100.0 * top / below:.2f}"]
        if quantity.cap is not None and 100.0 * top / below > quantity.cap:
            steps.append(f"shown as {quantity.cap:g}: there is bran for more wholemeal than there is flour")
    parameters: list[Parameter] = []
    if key in ("sweetness", "fermentable_sugar"):
        for sugar in measured.kitchen.catalogue.substances.sugars.values():
            number = sugar.sweetness if key == "sweetness" else sugar.hexose
            parameters.append(Parameter(sugar.name, f"{number:g}", sugar.tag, sugar.source))
    if key == "effective_hydration":
        white = measured.kitchen.catalogue.get("white wheat flour").properties["held_water"]
        parameters.append(Parameter("water held by white flour, g/g", f"{white.value:g}", white.tag, white.source))
    return symbols, tuple(steps), tuple(parameters)


def _acids(measured: Measured) -> tuple[Parameter, ...]:
    acids = measured.kitchen.catalogue.substances.acids
    present = [
        kind.name
        for place, kind in enumerate(measured.layout.species, start=measured.layout.first_species)
        if measured.totals[place] > 0 and kind.name in acids
    ]
    return tuple(
        Parameter(
            f"pKa of {name} acid", ", ".join(f"{p:g}" for p in acids[name].pkas), acids[name].tag, acids[name].source
        )
        for name in present
    )


def _ph(measured: Measured) -> tuple[str, tuple[str, ...], tuple[Parameter, ...]]:
    litres = measured.slurry_litres
    steps = [
        f"fixed ions (SID) {measured.amount('fixed_charge'):.1f} mmol",
        f"water of the slurry {litres:.2f} L (10 g dough in 100 mL)",
        f"charges balance at pH {measured.values['ph']:.2f}",
    ]
    if measured.fermented:
        steps.append("the acids that yeast makes while it works are counted")
    symbols = "SID = Σ amount · n(pH) + L · (10^(pH−14) − 10^(−pH)) · 1000, solved for pH"
    return symbols, tuple(steps), _acids(measured)


def _tta(measured: Measured) -> tuple[str, tuple[str, ...], tuple[Parameter, ...]]:
    quantity = measured.kitchen.quantities["tta"]
    taken = sparse_dot(quantity.top_parts, measured.totals)
    mass = measured.amount("mass")
    steps = (f"100 x {taken:.1f} mmol / {mass:.0f} g dough = {100.0 * taken / mass:.2f} mL",)
    return "TTA = 100 · [Σ amount · n(8.5) − SID] / dough", steps, _acids(measured)


def _rise(measured: Measured, key: str) -> tuple[str, tuple[str, ...], tuple[Parameter, ...]]:
    rise = measured.rise
    hours = measured.values["rise_time"]
    own_yeast = rise.own_yeast(min(hours, 4.0))
    steps = [
        f"gas that the rise of {100 * rise.rise_fraction:.0f} % takes: {rise.gas_needed():.0f} mL per 100 g flour",
        f"yeast {rise.yeast_percent:.2f} % of flour as fresh; sourdough's own worth {own_yeast:.2f} %",
        f"pace of the yeast at {rise.temperature_c:g} °C in this dough against the reference: {rise.activity:.2f}",
        f"gas made: {measured.rate:.0f} mL per hour and 100 g flour",
    ]
    symbols = "hours = 0.25 + gas needed / (gas rate · [E(yeast) + S] · G)"
    if key == "pace":
        symbols = "pace = gas made here / gas made in the book formula"
        steps.append(f"book: {measured.book.rate:.0f} mL per hour and 100 g flour")
    calibration = measured.kitchen.calibration
    gas_source = (
        f"{calibration.bakes} bakes of this kitchen's log"
        if calibration.bakes
        else "fitted to published gas rates, 28.5 °C"
    )
    parameters = (
        Parameter("gas rate, mL/h per g", f"{calibration.gas_ml:.0f}", "own" if calibration.bakes else "F", gas_source),
        Parameter("lag, h", f"{yeast_pace.LAG_H:g}", "M", "textbook, from memory"),
        Parameter("retention of gas", f"{retention(rise.rye_share):.2f}", "M", "coarse rye 0.45–0.65, wheat 0.9"),
        Parameter("density of the dough, g/mL", f"{unrisen_density(rise.rye_share):.2f}", "CP", "rye 1.15–1.20"),
        Parameter(
            "temperatures of gas making, °C", "4 / 37 / 48", "F", "Rosso model fitted to Q10 2.1 from 20 to 30 °C"
        ),
        Parameter("pH of gas making", "1.8 / 5.0 / 8.2", "F", "grows 2.5–8.0, Praphailong & Fleet 1997"),
        Parameter("least water activity", f"{yeast_pace.LEAST_WATER_ACTIVITY:g}", "F", "0.86–0.91"),
    )
    return symbols, tuple(steps), parameters


def _starch(measured: Measured) -> tuple[str, tuple[str, ...], tuple[Parameter, ...]]:
    liquefaction = measured.amount("liquefaction") / measured.amount("flour")
    steps = (
        f"liquefaction number of all flour {liquefaction:.0f} (falling number {6000 / liquefaction + 50:.0f} s)"
        if liquefaction > 0
        else "no enzymes",
        f"pH {measured.values['ph']:.2f}, rye {measured.values['rye_share']:.0f} % of the flour",
        f"crumb warms by {measured.heating_c_per_min:.2f} °C a minute between 55 and 85 °C, "
        f"to {measured.conditions.core_c:g} °C",
    )
    parameters = (
        Parameter(
            "index 100", "pure rye, falling number 150, pH 5.5, 2 °C/min", "A", "the reference dough, chosen here"
        ),
        Parameter("amylase fastest at pH", f"{starch_attack.REFERENCE_PH:g}", "P", "published: 5.5–5.7"),
        Parameter(
            "starch gelatinises, °C",
            f"rye {starch_attack.RYE_GELATINISES_C:g}, wheat {starch_attack.WHEAT_GELATINISES_C:g}",
            "A",
            "rye 55–70 °C from memory",
        ),
        Parameter(
            "amylase half-life at 75 °C, min",
            f"{starch_attack.HALF_LIFE_MIN:g}",
            "A",
            "destroyed at 75–85 °C, from memory",
        ),
    )
    return "S = 100 · I / I_ref,  I = ∫ enzyme · alive · gelatinised starch · f(pH) · k(T) dt", steps, parameters


def _water_activity(measured: Measured) -> tuple[str, tuple[str, ...], tuple[Parameter, ...]]:
    water, dry = measured.amount("water"), measured.amount("dry_flour")
    steps = (
        f"water {water:.0f} g, of it free to dissolve {water_activity.solvent_water(water, dry):.0f} g",
        f"sorption of the flour: factor {water_activity.sorption_factor(water, dry):.4f}",
    )
    parameters = (
        Parameter(
            "Norrish K",
            "sucrose 6.47, glucose 2.25, fructose 2.15, maltose 4.54, lactose 10.2",
            "M",
            "textbook, two published",
        ),
        Parameter("salt", "Pitzer, 25 °C", "M", "textbook"),
        Parameter(
            "water that dissolves nothing",
            f"{water_activity.UNSOLVENT_WATER_G_PER_G_FLOUR:g} g per g dry flour",
            "M",
            "textbook",
        ),
    )
    return "aw = Π aw of each solute alone (Ross) · r/(1 + r),  r = (X/0.12)^2.5", steps, parameters


def _contributors(measured: Measured, key: str) -> tuple[Contributor, ...]:
    found = []
    for (ingredient, figure), effect in measured.contributions(key).items():
        shown = _figure_behind(measured, ingredient, figure)
        spread = f"{shown.value:g} ± {shown.spread:g}" if shown else _own_words(measured, ingredient, figure)
        tag, source = (shown.tag, shown.source) if shown else _acid_source(measured, ingredient)
        found.append(Contributor(ingredient, figure, effect, spread, tag, source))
    return tuple(sorted(found, key=lambda item: -abs(item.effect)))


def _figure_behind(measured: Measured, ingredient: str, figure: str) -> Figure | None:
    item = measured.kitchen.catalogue.ingredients.get(ingredient)
    if item is None:
        return None
    if figure == "ph":
        return item.acidity.ph if item.acidity else None
    return item.figures.get(figure) or item.properties.get(figure)


def _own_words(measured: Measured, ingredient: str, figure: str) -> str:
    item = measured.kitchen.catalogue.ingredients.get(ingredient)
    if figure == "acids" and item and item.acidity:
        return f"±{100 * item.acidity.spread_of_totals:.0f} %"
    return "±50 %" if item is None else "±60 %"


def _acid_source(measured: Measured, ingredient: str) -> tuple[str, str]:
    item = measured.kitchen.catalogue.ingredients.get(ingredient)
    if item is None or item.acidity is None:
        return "A", "assumed here"
    return item.acidity.tag, item.acidity.source


def lines_of(explanation: Explanation, most: int = 8) -> list[str]:
    """An explanation as plain lines of text, for the command line and for a screen without more to show."""
    reading = explanation.reading
    spread = f" ± {reading.spread:.3g}"
    lines = [f"{reading.key} = {reading.value:.4g}{spread} {reading.unit}".rstrip(), "", explanation.symbols]
    lines += [f"  {step}" for step in explanation.steps]
    lines += ["", "What each line brings:"]
    lines += [
        f"  {item.amount:10.2f} {item.unit}  from {item.grams:g} g {item.ingredient}" for item in explanation.inputs
    ]
    if explanation.parameters:
        lines += ["", "Parameters:"]
        lines += [f"  {item.name}: {item.value}  [{item.tag}: {item.source}]" for item in explanation.parameters]
    lines += ["", "How sure, and what contributes most (effect of one half-width):"]
    lines += [
        f"  {abs(item.effect):8.3g}  {item.ingredient}, {item.figure} {item.spread}  [{item.tag}: {item.source}]"
        for item in explanation.contributors[:most]
    ]
    if explanation.model_spread:
        lines.append(f"  {explanation.model_spread:8.3g}  the model itself")
    lines += ["", explanation.claim, "Tags: " + "; ".join(f"{tag} {meaning}" for tag, meaning in TAGS.items())]
    return lines
