"""Taking back any step since the book, not only the last: what came after it is done again without it.

Later swaps are worked out again for the formula as it is without the step; weights typed and lines put in or struck out
stay what they are. Where a later swap cannot be worked out again (a saved variant has no formulas between, a rule is
gone), every later step keeps its grams.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple

from adapter.formula.model import DEFAULT_STAGE, Formula, Line, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.offer import Offer
from adapter.swaps.request import Request
from adapter.swaps.swapper import Swapper
from adapter.swaps.variant import Variant, follow

SPECK_G = 0.05
"""Less than this is nothing left of a line."""


def steps_of(formula: Formula) -> tuple[Step, ...]:
    """What was done to a formula since its book."""
    return () if formula.adapted is None else formula.adapted.steps


class TakenBack(NamedTuple):
    """The variant with the step taken back, and how many later swaps were worked out again (None: none could be)."""

    variant: Variant
    again: int | None


def without_step(variant: Variant, number: int, swapper: Callable[[Formula], Swapper]) -> TakenBack:
    """The variant with one step taken back, as something that undo brings back.

    Raises InputProblem where a later step needs what this one brought in.
    """
    formula = variant.formula
    steps = steps_of(formula)
    assert formula.adapted is not None
    later = steps[number + 1 :]
    known = {len(done): before for before, done in _before(variant, steps)}
    if all(place in known for place in range(number, len(steps))):
        try:
            taken = _done_again(known, formula, number, swapper)
        except _CannotDoAgain:
            pass
        else:
            again = sum(step.kind == "swap" for step in later)
            return TakenBack(Variant((*variant.formulas[: variant.at + 1], taken), variant.at + 1), again)
    adapted = replace(formula.adapted, steps=(*steps[:number], *later))
    taken = replace(formula.with_lines(list(_lines_without(variant, number))), adapted=adapted)
    return TakenBack(Variant((*variant.formulas[: variant.at + 1], taken), variant.at + 1), None if later else 0)


class _CannotDoAgain(Exception):
    """A later swap finds no line or no rule any more."""


def _before(variant: Variant, steps: tuple[Step, ...]) -> Iterator[tuple[Formula, tuple[Step, ...]]]:
    """The formulas on the way to what is shown, each with the steps done by then."""
    for formula in variant.formulas[: variant.at + 1]:
        done = steps_of(formula)
        if formula.lines and done == steps[: len(done)]:
            yield formula, done


def _done_again(
    known: dict[int, Formula], last: Formula, number: int, swapper: Callable[[Formula], Swapper]
) -> Formula:
    """The formula before a step, with the later steps done again on it, one after another."""
    steps = steps_of(last)
    formula = known[number]
    for place in range(number + 1, len(steps)):
        step = steps[place]
        if step.kind == "swap":
            offer = _swapped(step, known[place], formula, swapper(formula))
            formula = follow(formula, offer.after.formula, offer.step())
        else:
            lines = list(formula.lines)
            home = Variant((known[place], last), 1)
            for name, grams in effect_of(step).items():
                _change(lines, home, name, grams, f"{place + 1}")
            formula = follow(formula, replace(known[place], lines=tuple(lines)), step)
    return replace(last, lines=formula.lines, adapted=formula.adapted)


def _swapped(step: Step, then: Formula, now: Formula, swapper: Swapper) -> Offer:
    """A recorded swap worked out for another formula: the same lines, the same things coming in, the same holds."""
    out = tuple(_same_line(then, now, amount.ingredient, amount.grams, step.share_percent) for amount in step.out)
    wanted = {amount.ingredient for amount in step.into}
    if step.rule is None:
        try:
            return swapper.free_swap(
                out, tuple(amount.ingredient for amount in step.into), step.share_percent, step.holds
            )
        except InputProblem as problem:
            raise _CannotDoAgain from problem
    for rule, places, chosen in swapper.fitting(out[0], step.holds):
        if rule.id == step.rule and set(places) == set(out) and wanted <= set(chosen):
            return swapper.solve(Request.by_rule(rule, places, chosen, step.share_percent, step.holds))
    raise _CannotDoAgain


def _same_line(then: Formula, now: Formula, name: str, grams: float, share_percent: float) -> int:
    """The line that a swap took from, as it stands in another formula: in the same stage where there is one."""
    took = [line for line in then.lines if line.ingredient == name]
    here = list(now.find(name))
    if not took or not here:
        raise _CannotDoAgain
    line = min(took, key=lambda each: abs(each.grams * share_percent / 100.0 - grams))
    return min(here, key=lambda place: (now.lines[place].stage != line.stage, -now.lines[place].grams))


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
        left = _clean(max(0.0, line.grams + grams))
        grams = _clean(grams + line.grams - left)
        lines[place] = line.with_grams(left)
        if not grams:
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
