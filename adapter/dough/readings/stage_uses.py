"""What decides what a gram of a line brings: its ingredient, and what becomes of its stage's flour."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from adapter.formula.model import LIVING_KINDS, Formula, Line
from adapter.formula.stage_names import kind_named

RIPE, FOLLOWED, PREFERMENTED, PLAIN = "ripe", "followed", "prefermented", "plain"
"""What becomes of a stage's flour: taken as ripe sourdough; followed hour by hour; fermented, nobody said how long."""

Uses = Mapping[str, str]
BY_NAME: Uses = {}
"""Stages without a plan: by their names."""

Key = tuple[str, float | None, float | None, str]
Pooled = dict[Key, tuple[Line, float]]


def kind_of_stage(formula: Formula, stage: str) -> str:
    """Sourdough, yeast preferment (or poolish, sponge, biga), old dough, soaker or dough: as planned, else by name."""
    plan = formula.plan_of(stage)
    return kind_named(stage) if plan is None or plan.kind is None else plan.kind


def uses_of(formula: Formula) -> Uses:
    """What becomes of the flour of each planned stage; stages without a plan go by their names."""
    uses = {}
    for plan in formula.plans:
        kind = kind_of_stage(formula, plan.name)
        followed = kind in LIVING_KINDS and plan.total_hours
        uses[plan.name] = FOLLOWED if followed else _untimed_use(kind)
    return uses


def use_of(stage: str, uses: Uses) -> str:
    found = uses.get(stage)
    return found if found is not None else _untimed_use(kind_named(stage))


def _untimed_use(kind: str) -> str:
    if kind not in LIVING_KINDS:
        return PLAIN
    return RIPE if kind == "sourdough" else PREFERMENTED


def key_of(line: Line, uses: Uses) -> Key:
    """What decides what a gram of a line brings."""
    return line.ingredient, line.hydration, line.reaches, use_of(line.stage, uses)


def pooled(lines: Iterable[Line], uses: Uses) -> Pooled:
    """Lines that bring the same to the gram taken together, each with the grams of all of them."""
    found: Pooled = {}
    stages: dict[str, str] = {}
    for line in lines:
        use = stages.get(line.stage)
        if use is None:
            use = stages[line.stage] = use_of(line.stage, uses)
        key = (line.ingredient, line.hydration, line.reaches, use)
        so_far = found.get(key)
        found[key] = (line, line.grams) if so_far is None else (so_far[0], so_far[1] + line.grams)
    return found


def differing(before: Pooled, after: Pooled) -> list[tuple[Key, Line, float]]:
    """What differs in weight between the lines of two formulas, each with by how many grams it is more."""
    found = []
    for key, (line, grams) in after.items():
        was = before.get(key)
        more = grams if was is None else grams - was[1]
        if more:
            found.append((key, line, more))
    found += [(key, line, -grams) for key, (line, grams) in before.items() if grams and key not in after]
    return found
