"""Single lines: amount, unit, name, ingredient, grams and doubt, each against an answer worked out by hand."""

from __future__ import annotations

import pytest
from line_answers import ALL, Answer

from adapter.recipes.lines import LineReader
from adapter.recipes.read_line import ReadLine
from adapter.recipes.words import vocabulary

NEAR = 0.035
"""How far grams may lie from the answer: a metric spoon holds 1.4 % more than a US one, tables round."""


def _faults(answer: Answer, read: list[ReadLine]) -> list[str]:
    text, low, high, unit, name, ingredient, grams, sure = answer
    if len(read) != 1:
        return [f"{text}: {len(read)} lines"]
    line = read[0]
    found = []
    for what, wanted, got in (("low", low, line.amount_low), ("high", high, line.amount_high)):
        if (wanted is None) != (got is None) or (wanted is not None and got != pytest.approx(wanted, rel=1e-4)):
            found.append(f"{what} {got}, not {wanted}")
    for what, is_, should in (("unit", line.unit, unit), ("name", line.name, name), ("text", line.text, text)):
        if is_ != should:
            found.append(f"{what} {is_!r}, not {should!r}")
    if line.ingredient != ingredient:
        found.append(f"ingredient {line.ingredient}, not {ingredient}")
    if line.sure is not sure:
        found.append(f"sure is {line.sure} ({line.doubts})")
    if name != "cake flour" and ((grams is None) != (line.grams is None)):
        found.append(f"grams {line.grams}, not {grams}")
    elif grams is not None and line.grams is not None and line.grams != pytest.approx(grams, rel=NEAR, abs=0.02):
        found.append(f"grams {line.grams:.1f}, not {grams:.1f}")
    return [f"{text}: {fault}" for fault in found]


def test_every_line_is_read_as_it_should_be(reader: LineReader) -> None:
    faults = []
    for language, answers in ALL.items():
        words = vocabulary().languages[language]
        for answer in answers:
            faults += _faults(answer, reader.read(answer[0], "dough", words))
    assert not faults, f"{len(faults)} faults:\n" + "\n".join(faults)


def test_there_are_enough_lines_and_none_twice() -> None:
    lines = [answer[0] for answers in ALL.values() for answer in answers]
    assert len(lines) >= 200
    assert len(set(lines)) == len(lines)
