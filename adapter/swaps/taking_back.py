"""Taking back any step since the book, not only the last: what it did is undone, what came after it stays."""

from __future__ import annotations

from dataclasses import replace

from adapter.formula.model import DEFAULT_STAGE, Formula, Line, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.variant import Variant

SPECK_G = 0.05
"""Less than this is nothing left of a line."""


def steps_of(formula: Formula) -> tuple[Step, ...]:
    """What was done to a formula since its book."""
    return () if formula.adapted is None else formula.adapted.steps


def without_step(variant: Variant, number: int) -> Variant:
    """The variant with one step taken back, as something that undo brings back.

    Raises InputProblem where a later step has used up what this one brought in.
    """
    formula = variant.formula
    steps = steps_of(formula)
    assert formula.adapted is not None
    if number == len(steps) - 1 and variant.at > 0 and steps_of(variant.formulas[variant.at - 1]) == steps[:-1]:
        lines = variant.formulas[variant.at - 1].lines
    else:
        lines = _lines_without(variant, number)
    adapted = replace(formula.adapted, steps=(*steps[:number], *steps[number + 1 :]))
    taken = replace(formula.with_lines(list(lines)), adapted=adapted)
    return Variant((*variant.formulas[: variant.at + 1], taken), variant.at + 1)


def effect_of(step: Step) -> dict[str, float]:
    """What a step did to each ingredient, grams."""
    grams: dict[str, float] = {}
    for sign, amounts in ((-1.0, step.out), (1.0, step.into), (1.0, step.moved)):
        for amount in amounts:
            grams[amount.ingredient] = grams.get(amount.ingredient, 0.0) + sign * amount.grams
    return grams


def _lines_without(variant: Variant, number: int) -> tuple[Line, ...]:
    formula = variant.formula
    steps = steps_of(formula)
    lines = list(formula.lines)
    for name, grams in effect_of(steps[number]).items():
        _change(lines, variant, name, -grams, _users(steps, number, name))
    return tuple(lines)


def _users(steps: tuple[Step, ...], number: int, name: str) -> str:
    """The later steps that touch an ingredient, by their numbers as they are listed."""
    later = [str(place + 1) for place in range(number + 1, len(steps)) if effect_of(steps[place]).get(name)]
    return " and ".join(later)


def _change(lines: list[Line], variant: Variant, name: str, grams: float, users: str) -> None:
    """Put grams to, or take them from, the lines of an ingredient; one that is no longer there comes back."""
    places = sorted(
        (place for place, line in enumerate(lines) if line.ingredient == name), key=lambda p: -lines[p].grams
    )
    if not places and grams > 0:
        at, line = _home(lines, variant, name)
        lines.insert(at, line.with_grams(_clean(grams)))
        return
    if sum(lines[place].grams for place in places) + grams < -SPECK_G:
        raise InputProblem(
            f"{name} is used by a later step", right=f"take back step {users} first" if users else "undo with u"
        )
    for place in places:
        line = lines[place]
        left = max(0.0, line.grams + grams)
        grams += line.grams - left
        lines[place] = line.with_grams(_clean(left))
        if abs(grams) < 1e-9:
            break
    book = variant.formula.book().lines
    gone = {place for place in places if lines[place].grams < SPECK_G and all(each.ingredient != name for each in book)}
    lines[:] = [line for place, line in enumerate(lines) if place not in gone]


def _home(lines: list[Line], variant: Variant, name: str) -> tuple[int, Line]:
    """Where an ingredient stood before it went, and its line as it was then."""
    for formula in (*reversed(variant.formulas[: variant.at + 1]), variant.formula.book()):
        for place, line in enumerate(formula.lines):
            if line.ingredient != name:
                continue
            before = [other.ingredient for other in formula.lines[:place] if other.stage == line.stage]
            for at in range(len(lines) - 1, -1, -1):
                if lines[at].stage == line.stage and lines[at].ingredient in before:
                    return at + 1, line
            same = [at for at, other in enumerate(lines) if other.stage == line.stage]
            return (same[0] if same else len(lines)), line
    return len(lines), Line(name, 0.0, DEFAULT_STAGE)


def _clean(grams: float) -> float:
    return round(grams, 6)
