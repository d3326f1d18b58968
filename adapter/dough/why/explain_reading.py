"""Why a reading is what it is: inputs by line, the formula, its parameters with their sources, and how sure."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from adapter.dough.readings.measured import MADE_SPREAD, Measured, ReadingValue
from adapter.dough.readings.reading import Parameter
from adapter.dough.readings.registry import BY_KEY, READING_KEYS, change_unit, label, rounded
from adapter.dough.readings.totals import BACTERIA_SPREAD, CELLS_SPREAD
from adapter.formula.ingredient import TAGS, Figure, figure_words
from adapter.formula.problems import InputProblem

LARGE = 1000.0
"""From here on an amount is told without decimals."""


@dataclass(frozen=True, slots=True)
class Input:
    """What one line brings to a reading."""

    ingredient: str
    stage: str
    grams: float
    amount: float
    unit: str

    @property
    def told(self) -> str:
        return f"{self.amount:.{0 if abs(self.amount) >= LARGE else 2}f} {self.unit}".replace("-", "−")


@dataclass(frozen=True, slots=True)
class Contributor:
    """What one half-width of a figure changes in the reading, in the reading's unit."""

    ingredient: str
    figure: str
    effect: float
    spread: str
    tag: str
    source: str

    @property
    def told(self) -> str:
        return f"{self.ingredient}, {figure_words(self.figure)} {self.spread}"


@dataclass(frozen=True, slots=True)
class Explanation:
    """Everything behind one reading. Contributors come largest first; `model_spread` is the model's own share."""

    reading: ReadingValue
    symbols: str
    inputs: tuple[Input, ...]
    steps: tuple[str, ...]
    parameters: tuple[Parameter, ...]
    contributors: tuple[Contributor, ...]
    model_spread: float
    claim: str
    meaning: str = ""


def explain(measured: Measured, key: str) -> Explanation:
    """How a reading was worked out. Raises InputProblem for a key that is no reading."""
    reading = BY_KEY.get(key)
    if reading is None:
        near = get_close_matches(key, READING_KEYS, 2, 0.6)
        right = "nearest: " + ", ".join(near) if near else "one of " + ", ".join(label(each) for each in READING_KEYS)
        raise InputProblem(f"{key!r} is no reading", right=right)
    working = reading.working(measured)
    return Explanation(
        measured.reading(key),
        working.symbols,
        _inputs(measured, key),
        working.steps,
        working.parameters,
        _contributors(measured, key),
        measured.model_spread(key),
        reading.claim,
        working.meaning,
    )


def _inputs(measured: Measured, key: str) -> tuple[Input, ...]:
    brought = BY_KEY[key].brings(measured)
    inputs = []
    for line in measured.formula.lines:
        amount = line.grams * brought.per_gram(measured.kitchen.composer.vector(line, measured.uses))
        if amount:
            inputs.append(Input(line.ingredient, line.stage, line.grams, amount, brought.unit))
    return tuple(sorted(inputs, key=lambda item: -abs(item.amount)))


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
    if item is None:
        return f"±{100 * MADE_SPREAD:.0f} %"
    return f"±{100 * (BACTERIA_SPREAD if figure == 'bacteria' else CELLS_SPREAD):.0f} %"


def _acid_source(measured: Measured, ingredient: str) -> tuple[str, str]:
    item = measured.kitchen.catalogue.ingredients.get(ingredient)
    if item is None or item.acidity is None:
        return "A", "assumed here"
    return item.acidity.tag, item.acidity.source


def headline(reading: ReadingValue) -> str:
    """A reading by its name, in the digits of its level: "pH 4.9 ± 0.4"."""
    decimals = max(rounded(reading.key, reading.value)[1], 0)
    spread = f"{rounded(reading.key, reading.spread)[0]:.{decimals}f}"
    return (
        f"{label(reading.key)} {rounded(reading.key, reading.value)[0]:.{decimals}f} ± {spread} {reading.unit}".rstrip()
    )


def effect_told(key: str, effect: float) -> str:
    """What a half-width changes in a reading, in its unit."""
    return f"{abs(effect):.3g} {change_unit(key)}".rstrip()


def sentence(text: str) -> str:
    """Words that stand alone: with a capital letter, but for pH, and a full stop."""
    first = text if text[:2] == "pH" else text[:1].upper() + text[1:]
    return first if first.endswith(".") else f"{first}."


def lines_of(explanation: Explanation, most: int = 8) -> list[str]:
    """An explanation as plain lines of text, for the command line and for a screen without more to show."""
    lines = [headline(explanation.reading), "", sentence(explanation.reading.basis)]
    lines += [f"  {step}" for step in explanation.steps]
    lines += ["", f"As a formula: {explanation.symbols}"]
    lines += [f"  where {explanation.meaning}"] if explanation.meaning else []
    lines += ["", "What each line brings:"]
    width = max((len(item.told) for item in explanation.inputs), default=0)
    lines += [f"  {item.told:>{width}}  from {item.grams:g} g {item.ingredient}" for item in explanation.inputs]
    if explanation.parameters:
        lines += ["", "Parameters:"]
        lines += [f"  {item.name}: {item.value}  [{item.tag}: {item.source}]" for item in explanation.parameters]
    lines += ["", "How sure, and what contributes most (effect of one half-width):"]
    key = explanation.reading.key
    lines += [
        f"  {effect_told(key, item.effect):>11}  {item.told}  [{item.tag}: {item.source}]"
        for item in explanation.contributors[:most]
    ]
    if explanation.model_spread:
        lines.append(f"  {effect_told(key, explanation.model_spread):>11}  the model itself")
    elif not explanation.contributors:
        lines.append("  nothing: it follows from the weights alone")
    lines += ["", explanation.claim, "Tags: " + "; ".join(f"{tag} {meaning}" for tag, meaning in TAGS.items())]
    return lines
