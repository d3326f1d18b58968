"""A card for readers, in Markdown: what to weigh, what was changed and why, what to expect and how sure that is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from adapter.dough.readings.measured import Measured
from adapter.exports.form import FormulaForm
from adapter.exports.markdown import escaped, escaped_block, table
from adapter.words.reader_card import EACH_ALONE, GRAMS_COUNT, HOW_SURE, ReaderCard, reader_card
from adapter.words.timetable import TimetableRow


def card(
    measured: Measured,
    options: Sequence[str] = (),
    reasons: Mapping[str, str] | None = None,
    cautions: Sequence[str] | None = None,
    cups: bool = False,
    day: Sequence[TimetableRow] = (),
) -> str:
    """The card of a formula (see reader_card)."""
    return markdown_of(reader_card(measured, options, reasons, cautions, cups, day))


def markdown_of(told: ReaderCard) -> str:
    parts = [
        [f"# {escaped(told.name)}"],
        [escaped(told.summary)],
        *_changes(told),
        ["## What to weigh", "", *_lines(told)],
        *([["## How", "", escaped_block("\n".join(told.method))]] if told.method else []),
        ["## Tin, proof and oven", "", *(f"- {word}: {escaped(text)}" for word, text in told.baking)],
        *([["## When", "", *_times(told)]] if told.times else []),
        ["## What to expect", "", *_readings(told), "", HOW_SURE],
        ["## Allergens", "", *_allergens(told)],
        *([["## Mind", "", *(f"- {escaped(text)}" for text in told.cautions)]] if told.cautions else []),
        *([["## If you lack something too", "", *_options(told)]] if told.options else []),
    ]
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def _changes(told: ReaderCard) -> list[list[str]]:
    """What was changed from which formula, step by step, and what came of it."""
    if not told.credit:
        return []
    part = ["## What was changed", "", f"Adapted from the book formula *{escaped(told.credit)}*."]
    if told.changes:
        part += ["", *(f"{number}. {escaped(text)}" for number, text in enumerate(told.changes, start=1))]
    return [part, [escaped(told.difference)]]


def _lines(told: ReaderCard) -> list[str]:
    cups = any(line.cups for stage in told.stages for line in stage.lines)
    rows = [
        [
            escaped(stage.name),
            escaped(line.name),
            line.grams,
            line.percent,
            *([line.cups] if cups else []),
            escaped(line.note),
        ]
        for stage in told.stages
        for line in stage.lines
    ]
    heads = ("stage", "ingredient", "g", "% of flour", *(["about"] if cups else []), "")
    shown = table(heads, rows, (2, 3))
    return [*shown, "", GRAMS_COUNT] if told.has_cups else shown


def _times(told: ReaderCard) -> list[str]:
    if told.times[0].clock is not None:
        return table(("when", "step"), [[time.when, escaped(time.step)] for time in told.times], (0,))
    return table(("after", "step"), [[time.at, escaped(time.step)] for time in told.times], (0,))


def _readings(told: ReaderCard) -> list[str]:
    is_variant = any(each.steps is not None for each in told.readings)
    heads = ["reading", "value", "±", "usual", *(["book", "change"] if is_variant else [])]
    rows = [
        [each.label, each.value, each.spread, each.usual, *([each.book, each.change] if is_variant else [])]
        for each in told.readings
    ]
    shown = table(heads, rows, (1, 2, 4))
    return [*shown, "", *(f"- {escaped(text)}" for text in told.on_purpose)] if told.on_purpose else shown


def _allergens(told: ReaderCard) -> list[str]:
    contains = "Contains " + escaped(", ".join(told.allergens)) + "."
    shown = [contains if told.allergens else "None of the groups that must be named."]
    shown += [f"**{escaped(text)}.**" for text in told.allergen_changes]
    return ["  \n".join(shown), "", "The packets' own labels come first."]


def _options(told: ReaderCard) -> list[str]:
    return [EACH_ALONE, "", *(f"- {escaped(text)}" for text in told.options)]


FORM = FormulaForm(
    ".md",
    "card for readers",
    2,
    lambda measured, told: card(measured, told.options, told.reasons, cups=told.cups, day=told.timetable),
    for_readers=True,
)
