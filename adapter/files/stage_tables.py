"""The [stage."…"] tables of a formula file, both ways: how long and how warm a stage stands, and of what kind it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from adapter.formula.amounts import temperature_c
from adapter.formula.model import STAGE_KINDS, Spell, StagePlan
from adapter.formula.plain_text import clean, shown
from adapter.formula.problems import InputProblem
from adapter.formula.row import Row

STAGE_KEYS = frozenset(("kind", "hours", "temperature_c"))
LONGEST_STAGE_H = 240.0
STAGE_RANGE_C = (-5.0, 60.0)
MOST_STAGES, MOST_SPELLS = 100, 50


def read_stages(whole: Row) -> tuple[StagePlan, ...]:
    """The plans of the stages by their names (their order says nothing); a table that says nothing known is none."""
    entry = whole.part_or_empty("stage", "[stage]")
    if len(entry.data) > MOST_STAGES:
        raise entry.problem(f"has {len(entry.data)} stages", f"at most {MOST_STAGES}")
    plans = []
    for name in entry.data:
        label = f'[stage."{shown(name)}"]'
        if not isinstance(entry.data[name], dict):
            raise InputProblem("is not a table", file=entry.file, where=label, right=f"write {label}")
        plan = _read_stage(clean(name), entry.part_or_empty(name, label))
        if plan != StagePlan(plan.name):
            plans.append(plan)
    return tuple(sorted(plans, key=lambda plan: plan.name))


def stage_table(plan: StagePlan) -> dict[str, Any]:
    """What a stage's table says; empty where nothing is planned."""
    table: dict[str, Any] = {"kind": plan.kind} if plan.kind else {}
    if plan.hours is not None and not plan.spells:
        table["hours"] = _plain(plan.hours)
    if plan.spells:
        table["temperature_c"] = [
            {"hours": _plain(spell.hours), "temperature_c": _plain(spell.temperature_c)} for spell in plan.spells
        ]
    elif plan.temperature_c is not None:
        table["temperature_c"] = _plain(plan.temperature_c)
    return table


def stage_tables(plans: tuple[StagePlan, ...]) -> dict[str, dict[str, Any]]:
    """Every planned stage by its name."""
    tables = {clean(plan.name): stage_table(plan) for plan in plans}
    return {name: table for name, table in tables.items() if table}


def unknown_stage_keys(data: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """What the stages' tables hold beyond our own keys, by stage."""
    stages = data.get("stage", {})
    if not isinstance(stages, dict):
        return {}
    found = {
        name: {key: value for key, value in table.items() if key not in STAGE_KEYS}
        for name, table in stages.items()
        if isinstance(table, dict)
    }
    return {name: keys for name, keys in found.items() if keys}


def _read_stage(name: str, entry: Row) -> StagePlan:
    kind = entry.line_of_text("kind") or None
    if kind is not None and kind not in STAGE_KINDS:
        raise entry.problem(f"kind '{shown(kind)}' is unknown", "one of " + ", ".join(STAGE_KINDS))
    # The spells of a stage may be listed under either key; they are written under the temperatures.
    lists = [key for key in ("hours", "temperature_c") if isinstance(entry.data.get(key), list)]
    if len(lists) > 1 or (lists == ["hours"] and "temperature_c" in entry.data):
        raise entry.problem("lists its spells under hours beside temperature_c", "one list of {hours, temperature_c}")
    hours = None if "hours" in lists else entry.maybe_number("hours", 0, LONGEST_STAGE_H)
    if hours == 0:
        raise entry.problem("hours is zero", f"more than 0 and at most {LONGEST_STAGE_H:g}")
    if not lists:
        return StagePlan(name, kind, hours, _degrees(entry, "temperature_c"))
    spells = tuple(_read_spell(part) for part in entry.parts(lists[0], f"{entry.where} spell", "name"))
    if not spells or len(spells) > MOST_SPELLS:
        raise entry.problem(f"{lists[0]} has no spells or too many", f"1 to {MOST_SPELLS}")
    whole = sum(spell.hours for spell in spells)
    if whole > LONGEST_STAGE_H:
        raise entry.problem(f"is {whole:g} h in all", f"at most {LONGEST_STAGE_H:g} h")
    if hours is not None and abs(hours - whole) > 0.01:
        raise entry.problem(f"hours = {hours:g}, but its spells are {whole:g} h", "leave hours out")
    return StagePlan(name, kind, None, None, spells)


def _read_spell(entry: Row) -> Spell:
    hours, degrees = entry.maybe_number("hours", 0, LONGEST_STAGE_H), _degrees(entry, "temperature_c")
    if not hours or degrees is None:
        raise entry.problem("needs hours above zero and temperature_c", "{ hours = 12, temperature_c = 5 }")
    return Spell(hours, degrees)


def _degrees(entry: Row, key: str) -> float | None:
    value = entry.data.get(key)
    if isinstance(value, str):
        try:
            value = temperature_c(value)
        except InputProblem as problem:
            raise entry.problem(f"{key}: {problem.what}", problem.right) from None
        entry = Row({key: value}, entry.file, entry.where)
    return entry.maybe_number(key, *STAGE_RANGE_C)


def _plain(number: float) -> int | float:
    number = float(number)
    return int(number) if number.is_integer() and abs(number) < 1e15 else number
