"""An explanation of one number of the bake plan, and its plain text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from adapter.dough.readings.reading import Parameter
from adapter.formula.ingredient import TAGS

MOST_ROWS = 8
Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class BakeWhy:
    """Everything behind one number of the plan.

    `inputs` are pairs of what goes in and how much; `spread` pairs of an effect and what causes it, largest first.
    """

    key: str
    title: str
    value: str
    symbols: tuple[str, ...]
    steps: tuple[str, ...]
    inputs: tuple[Pair, ...]
    parameters: tuple[Parameter, ...]
    spread: tuple[Pair, ...]
    sure: str


def sorted_spread(effects: Mapping[str, float], unit: str) -> tuple[Pair, ...]:
    """What each cause changes, largest first."""
    ordered = sorted(effects.items(), key=lambda item: -abs(item[1]))[:MOST_ROWS]
    return tuple((f"{abs(effect):.3g} {unit}", cause) for cause, effect in ordered)


def sections_of(why: BakeWhy) -> tuple[tuple[str, tuple[Pair, ...]], ...]:
    """The parts of an explanation that are pairs, each with its heading; empty ones left out."""
    parameters = tuple((f"{item.name}: {item.value}", f"[{item.tag}] {item.source}") for item in why.parameters)
    sections = (
        ("what goes in", why.inputs),
        ("numbers it uses", parameters),
        ("how sure, and what contributes most", why.spread),
    )
    return tuple((head, pairs) for head, pairs in sections if pairs)


def lines_of_bake(why: BakeWhy) -> list[str]:
    """An explanation as plain lines of text."""
    lines = [f"{why.title} = {why.value}", "", *why.symbols, *(f"  {step}" for step in why.steps)]
    for head, pairs in sections_of(why):
        lines += ["", f"{head[:1].upper()}{head[1:]}:", *(f"  {first}  {second}" for first, second in pairs)]
    return [*lines, "", why.sure, "Tags: " + "; ".join(f"{tag} {meaning}" for tag, meaning in TAGS.items())]
