"""What a person says of a line that is in doubt: another ingredient, a weight, a stage, or the line anew."""

from __future__ import annotations

from dataclasses import replace

from adapter.recipes.lines import LineReader
from adapter.recipes.measures import COUNT, Measure
from adapter.recipes.read_line import ReadLine, can_accept, percent_note
from adapter.recipes.weighing import weigh
from adapter.recipes.words import Words, vocabulary


def correct(
    line: ReadLine,
    reader: LineReader,
    *,
    ingredient: str | None = None,
    grams: float | None = None,
    stage: str | None = None,
    in_dough: bool | None = None,
    language: str = "english",
) -> ReadLine:
    """The line with what a person says of it; it is sure once it has an ingredient and a weight.

    `ingredient` is a name or an alias of the catalogue. With another ingredient a printed weight stays; one that came
    of cups, spoons or pieces is worked out anew. Raises InputProblem for a name that the catalogue does not have.
    """
    if ingredient is not None:
        found = reader.names.catalogue.resolve(ingredient).name
        line = replace(line, ingredient=found, reference=False)
        line = replace(line, grams=_weight(line, reader, vocabulary().languages[language]))
    if grams is not None:
        line = replace(_without_percent(line), grams=grams, reference=False)
    if stage is not None:
        line = replace(line, stage=stage)
    if in_dough is not None:
        line = replace(line, in_dough=in_dough)
        line = replace(line, grams=_weight(line, reader, vocabulary().languages[language]) if in_dough else None)
    return replace(line, doubts=()) if can_accept(line) else line


def reread(line: ReadLine, text: str, reader: LineReader, language: str = "english") -> list[ReadLine]:
    """The line as a person has written it anew, read like any other, in the same stage."""
    return reader.read(text, line.stage, vocabulary().languages[language], line.number)


def _without_percent(line: ReadLine) -> ReadLine:
    """Another weight is no longer that part of the flour."""
    if line.percent is None:
        return line
    kept = [part for part in line.note.split("; ") if part != percent_note(line.percent)]
    return replace(line, percent=None, note="; ".join(kept))


def _weight(line: ReadLine, reader: LineReader, words: Words) -> float | None:
    """Grams of the line's amount of its ingredient; what it weighed where the amount says nothing of it."""
    if line.amount_low is None or line.amount_high is None or line.ingredient is None:
        return line.grams
    unit = COUNT if not line.unit else words.unit(line.unit)
    if unit is None or unit.container:
        return line.grams
    measure = Measure(line.amount_low, line.amount_high, unit)
    weighed = weigh(measure, reader.names.catalogue.get(line.ingredient), (), words, reader.system)
    return weighed.grams if weighed.grams is not None else line.grams
