"""A pantry plan as plain data and as text."""

from __future__ import annotations

from typing import Any

from adapter.dough.allergens import allergens
from adapter.dough.readings.measured import difference
from adapter.dough.readings.registry import READING_KEYS
from adapter.swaps.pantry_plan import PantryPlan
from adapter.words.reports import amounts_data, change_data, lines_data, number, readings_data
from adapter.words.text_report import amounts_text, figure_text, grams_text, lines_text

Data = dict[str, Any]


def make_do_report(plan: PantryPlan) -> Data:
    """The swaps of a plan, what it changes, what is still short, and the whole formula after it."""
    lines = plan.before.formula.lines
    before, after = set(allergens(plan.before)), set(allergens(plan.after))
    return {
        "swaps": [
            {
                "rule": swap.rule.id,
                "say": swap.rule.say,
                "out": [
                    {"ingredient": lines[place].ingredient, "grams": number(lines[place].grams * swap.share)}
                    for place in swap.places
                ],
                "into": amounts_data(swap.into),
                "notice": swap.rule.notice,
            }
            for swap in plan.swaps
        ],
        "moved": [{"ingredient": item.ingredient, "grams_change": number(item.grams)} for item in plan.step.moved],
        "short": amounts_data(plan.short),
        "drift": number(plan.drift),
        "changes": {key: change_data(difference(plan.before, plan.after, key)) for key in READING_KEYS},
        "allergens_added": sorted(after - before),
        "allergens_removed": sorted(before - after),
        "lines": lines_data(plan.after),
        "readings": readings_data(plan.after),
    }


def make_do_text(data: Data) -> str:
    """A plan for people: each swap in a line, what is clear of the changes, what must be bought, the new formula."""
    return "\n".join([*plan_lines(data), "", *lines_text(data["lines"])])


def plan_lines(data: Data) -> list[str]:
    """Each swap of a plan in a line, what is clear of the changes, allergens, and what must be bought."""
    lines = [f"{amounts_text(swap['out'])} → {amounts_text(swap['into'])}" for swap in data["swaps"]]
    lines = lines or ["Nothing needs to be swapped."]
    clear = [
        f"{key} {figure_text(key, change['change'], True)}"
        for key, change in data["changes"].items()
        if change["clear"] and figure_text(key, abs(change["change"])) != figure_text(key, 0.0)
    ]
    lines.append(f"drift {data['drift']:.1f}; clear changes: {', '.join(clear) or 'none'}")
    for key, word in (("allergens_added", "brings in"), ("allergens_removed", "takes out")):
        if data[key]:
            lines.append(f"{word}: {', '.join(data[key])}")
    if data["short"]:
        missing = ", ".join(f"{grams_text(item['grams'])} g {item['ingredient']}" for item in data["short"])
        lines.append(f"Still short of {missing}: nothing in the pantry stands in for it.")
    return lines
