"""Why: how a number was worked out, what feeds it, where its parameters come from, and how sure it is."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from textual.content import Content

from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import BY_KEY, READING_KEYS, label
from adapter.dough.why.explain_reading import effect_told, explain, sentence
from adapter.formula.ingredient import TAGS, figure_words
from adapter.screens.parts.columns import cut, harmless
from adapter.screens.parts.dialogs import TextDialog
from adapter.words.glossary import DRIFT
from adapter.words.offer_words import gives_text, offer_sentences
from adapter.words.text_report import change_text, figure_text

if TYPE_CHECKING:
    from adapter.formula.ingredient import Ingredient
    from adapter.formula.pantry import Pantry
    from adapter.swaps.offer import Offer

MOST_CONTRIBUTORS = 8


class WhyReading(TextDialog):
    """How a reading of a formula was worked out."""

    def __init__(self, measured: Measured, key: str) -> None:
        super().__init__(f"why {label(key)}", reading_text(measured, key))


class WhyIngredient(TextDialog):
    """What the tables know of an ingredient."""

    def __init__(self, ingredient: Ingredient) -> None:
        super().__init__(f"what is known of {ingredient.name}", ingredient_text(ingredient))


class WhyLine(WhyIngredient):
    """The same of the ingredient of a line."""

    def __init__(self, measured: Measured, place: int) -> None:
        super().__init__(measured.kitchen.catalogue.get(measured.formula.lines[place].ingredient))


class WhyOffer(TextDialog):
    """What a swap changes, and the rule behind it."""

    def __init__(self, offer: Offer, pantry: Pantry | None) -> None:
        super().__init__("why this swap", offer_text(offer, pantry))


def reading_text(measured: Measured, key: str) -> Content:
    why = explain(measured, key)
    reading = why.reading
    value = f"{figure_text(key, reading.value)} {BY_KEY[key].short_unit}".strip()
    lines = [
        Content.assemble((f"{label(key)} = {value} ± {figure_text(key, reading.spread)}", "bold")),
        _plain(sentence(reading.basis)),
        *(_plain(f"  {step}") for step in why.steps),
        _plain(f"As a formula: {why.symbols}"),
        *([_plain(f"  where {why.meaning}")] if why.meaning else []),
        _head("what each line brings"),
        *_columns((item.told, f"from {item.grams:g} g {item.ingredient} ({item.stage})") for item in why.inputs),
    ]
    if why.parameters:
        lines.append(_head("numbers it uses"))
        lines += _columns((f"{item.name}: {item.value}", f"[{item.tag}] {item.source}") for item in why.parameters)
    lines.append(_head("how sure: what one half-width of each figure changes, largest first"))
    rows = [
        (effect_told(key, item.effect), f"{item.told} [{item.tag}] {item.source}")
        for item in why.contributors[:MOST_CONTRIBUTORS]
    ]
    if why.model_spread:
        rows.append((effect_told(key, why.model_spread), "the model itself"))
    lines += _columns(rows) if rows else [_plain("  nothing: it follows from the weights alone")]
    lines += [Content(""), _plain(why.claim), Content(""), _tags()]
    return Content("\n").join(lines)


def ingredient_text(item: Ingredient) -> Content:
    lines = [_plain(f"also called {', '.join(item.aliases)}")] if item.aliases else []
    lines.append(_plain(f"kinds: {', '.join(sorted(item.kinds))}"))
    lines.append(_plain("allergens: " + (", ".join(item.allergens) or "none of the fourteen groups")))
    if item.overrides:
        lines.append(_plain("own figures: " + ", ".join(item.overrides)))
    lines.append(_head("figures, g per 100 g"))
    lines += _columns(
        (f"{figure_words(key)} {figure.value:g} ± {figure.spread:g}", f"[{figure.tag}] {figure.source}")
        for key, figure in item.figures.items()
    )
    if item.properties:
        lines.append(_head("other figures"))
        lines += _columns(
            (f"{figure_words(key)} {figure.value:g} ± {figure.spread:g}", f"[{figure.tag}] {figure.source}")
            for key, figure in item.properties.items()
        )
    if item.acidity is not None:
        lines.append(_head("acidity"))
        if item.acidity.ph is not None:
            lines.append(_plain(f"pH {item.acidity.ph.value:g} ± {item.acidity.ph.spread:g} {item.acidity.ph.source}"))
        totals = f"acids and buffers ±{100 * item.acidity.spread_of_totals:.0f} %"
        lines.append(_plain(f"{totals} [{item.acidity.tag}] {item.acidity.source}"))
    lines += [Content(""), _tags()]
    return Content("\n").join(lines)


def offer_text(offer: Offer, pantry: Pantry | None) -> Content:
    from adapter.swaps.rules import slot_words

    lines = [_plain(text) for text, _ in offer_sentences(offer, pantry)]
    since = f", {offer.drift_from_book:.1f} since the book" if offer.before.book is not offer.before else ""
    lines.append(_plain(f"drift {offer.drift:.1f}{since}: what gives is {gives_text(offer)}"))
    lines.append(_plain(DRIFT))
    rule = offer.rule
    if rule is not None:
        lines.append(_head("the rule"))
        lines.append(_plain(rule.say))
        lines.append(_plain("kept: " + (", ".join(label(key) for key in rule.keep) or "nothing in particular")))
        lines.append(_plain("may move besides: " + (", ".join(map(slot_words, rule.moves)) or "nothing")))
        lines.append(_plain(f"[{rule.tag}] {rule.source}"))
    lines.append(_head("every change against the formula as it stands"))
    rows = []
    for key in READING_KEYS:
        change = offer.changes[key]
        if change.change:
            clear = "" if change.clear else "no clear change"
            rows.append((change_text(key, change.change), f"± {figure_text(key, change.spread)}  {clear}"))
    lines += _columns(rows) if rows else [_plain("nothing changes")]
    lines += [Content(""), _tags()]
    return Content("\n").join(lines)


def _plain(text: str) -> Content:
    return Content(harmless(text))


def _head(text: str) -> Content:
    return Content.styled(f"\n{text}", "bold $accent")


def _columns(rows: Iterable[tuple[str, str]]) -> list[Content]:
    pairs = [(harmless(first), harmless(second)) for first, second in rows]
    width = min(44, max((len(first) for first, _ in pairs), default=0))
    return [
        Content.assemble(f"  {cut(first, max(width, len(first)))}  ", (second, "$faint")) for first, second in pairs
    ]


def _tags() -> Content:
    return Content.styled("Tags: " + "; ".join(f"{tag} {meaning}" for tag, meaning in TAGS.items()), "$faint")
