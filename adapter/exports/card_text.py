"""A card for readers as plain text, 76 columns wide: to be printed as it is, or sent in a letter."""

from __future__ import annotations

from textwrap import wrap

from adapter.exports.form import FormulaForm
from adapter.formula.plain_text import clean_block
from adapter.words.reader_card import EACH_ALONE, GRAMS_COUNT, HOW_SURE, ReaderCard, reader_card

WIDTH = 76
MOST_CHARACTERS = 1_000_000


def text_of(told: ReaderCard) -> str:
    parts = [
        [told.name.upper(), "=" * min(len(told.name), WIDTH)],
        _filled(told.summary),
        *_changes(told),
        _headed("What to weigh", _lines(told)),
        *([_headed("How", [line for text in told.method for line in _filled(text)])] if told.method else []),
        _headed("Tin, proof and oven", [line for word, text in told.baking for line in _filled(f"{word}: {text}", 2)]),
        *([_headed("When", _times(told))] if told.times else []),
        _headed("What to expect", [*_readings(told), "", *_filled(HOW_SURE)]),
        _headed("Allergens", _allergens(told)),
        *([_headed("Mind", _listed(told.cautions))] if told.cautions else []),
        *([_headed("If you lack something too", _options(told))] if told.options else []),
    ]
    return clean_block("\n\n".join("\n".join(part) for part in parts), MOST_CHARACTERS) + "\n"


def _headed(head: str, lines: list[str]) -> list[str]:
    return [head, "-" * len(head), *lines]


def _filled(text: str, hang: int = 0) -> list[str]:
    return wrap(text, WIDTH, subsequent_indent=" " * hang, break_long_words=False, break_on_hyphens=False) or [""]


def _listed(texts: tuple[str, ...]) -> list[str]:
    return [line for text in texts for line in _filled(f"* {text}", 2)]


def _changes(told: ReaderCard) -> list[list[str]]:
    if not told.credit:
        return []
    steps = [line for number, text in enumerate(told.changes, start=1) for line in _filled(f"{number}. {text}", 3)]
    origin = _filled(f"Adapted from the book formula {told.credit}.")
    return [_headed("What was changed", [*origin, *steps, *_filled(told.difference)])]


def _lines(told: ReaderCard) -> list[str]:
    name_width = max(len(line.name) for stage in told.stages for line in stage.lines)
    shown = []
    for stage in told.stages:
        shown.append(stage.name)
        for line in stage.lines:
            cups = f"  {line.cups:<10}" if line.cups else ""
            row = f"  {line.name:<{name_width}} {line.grams:>7} g {line.percent:>6} %{cups}"
            note = f"  {line.note}" if line.note else ""
            if len(row) + len(note) <= WIDTH:
                shown.append((row + note).rstrip())
            else:
                shown += [row.rstrip(), *(f"      {part}" for part in wrap(line.note, WIDTH - 6))]
    return [*shown, "", *_filled(GRAMS_COUNT)] if told.has_cups else shown


def _times(told: ReaderCard) -> list[str]:
    width = max(len(time.when) for time in told.times)
    return [f"{time.when:>{width}}  {time.step}" for time in told.times]


def _readings(told: ReaderCard) -> list[str]:
    label = max(len(each.label) for each in told.readings)
    shown = []
    for each in told.readings:
        usual = f"usual {each.usual}" if each.usual else ""
        spread = f"± {each.spread}" if each.spread else ""
        row = f"{each.label:<{label}} {each.value:>10} {spread:<9} {usual}".rstrip()
        shown.append(row)
        if each.change:
            shown.append(f"{'':<{label}}   book {each.book}: {each.change}")
    return [*shown, *_listed(told.on_purpose)]


def _allergens(told: ReaderCard) -> list[str]:
    contains = f"Contains {', '.join(told.allergens)}." if told.allergens else "None of the groups that must be named."
    changes = [line for text in told.allergen_changes for line in _filled(f"{text}.")]
    return [*_filled(contains), *changes, "The packets' own labels come first."]


def _options(told: ReaderCard) -> list[str]:
    return [*_filled(EACH_ALONE), *_listed(told.options)]


FORM = FormulaForm(
    ".txt",
    "card as plain text",
    3,
    lambda measured, told: text_of(
        reader_card(measured, told.options, told.reasons, cups=told.cups, day=told.timetable)
    ),
    for_readers=True,
)
