"""The Bake page as plain data and as text: one shape for the screen, for JSON and for people."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from adapter.dough.bake_plan import BakePlan, Span
from adapter.dough.keeping import Range
from adapter.files.bake_log import Bake
from adapter.files.plain_report import NOTHING
from adapter.files.reports import number

Data = dict[str, Any]


def span_data(span: Span | Range) -> Data:
    data = {"low": number(span.low), "high": number(span.high)}
    return {"low": data["low"], "value": number(span.value), "high": data["high"]} if isinstance(span, Span) else data


def bake_report(plan: BakePlan, bakes: Sequence[Bake] = ()) -> Data:
    """The Bake page as plain data."""
    liquid = plan.mixing.liquid
    return {
        "liquid_temperature_c": None if liquid.liquid_temperature_c is None else number(liquid.liquid_temperature_c),
        "ice_g": number(liquid.ice_g),
        "dough_temperature_c": number(plan.mixing.dough_c),
        "wanted_dough_c": number(plan.mixing.wanted_c),
        "liquid_note": liquid.note,
        "rule_of_factors_c": number(plan.mixing.rule_c),
        "why_rule_differs": plan.mixing.why_rule_differs,
        "dough_g": number(plan.dough_g),
        "piece_g": number(plan.piece_g),
        "tin_volume_l": None if plan.tin_volume_l is None else number(plan.tin_volume_l),
        "tin_fill": None if plan.tin_fill is None else number(plan.tin_fill),
        "tin_suits_g": None if plan.tin_suits_g is None else number(plan.tin_suits_g),
        "proof_h": span_data(plan.proof_h),
        "proof_c": number(plan.proof_c),
        "rise_percent": number(plan.rise_percent),
        "bake_min": span_data(plan.bake_min),
        "oven_c": number(plan.oven_c),
        "core_c": number(plan.core_c),
        "class": plan.loaf_class.name,
        "class_why": plan.loaf_class.why,
        "loss_percent": span_data(plan.loss_percent),
        "wait_h": span_data(plan.wait_h),
        "keeps_d": span_data(plan.keeps_d),
        "plan": [{"at": f"{step.at:%Y-%m-%d %H:%M}", "step": step.step} for step in plan.plan],
        "notes": list(plan.notes),
        "cautions": list(plan.cautions),
        "bakes": [bake_data(bake) for bake in bakes],
    }


def bake_data(bake: Bake) -> Data:
    """One logged bake, without what was not measured."""
    data = {key: getattr(bake, key) for key in Bake.__slots__}
    data["at"] = f"{bake.at:%Y-%m-%d %H:%M}"
    return {key: value for key, value in data.items() if value not in (None, "")}


def span_text(span: Data, unit: str, decimals: int = 0) -> str:
    """A range, with its middle where it has one."""
    if span.get("value", 0.0) is None:
        return NOTHING
    low, high = f"{span['low']:.{decimals}f}", f"{span['high']:.{decimals}f}"
    if "value" in span:
        return f"{span['value']:.{decimals}f} {unit} ({low} to {high})"
    return f"{low} to {high} {unit}" if low != high else f"{low} {unit}"


def _wait_text(span: Data) -> str:
    return span_text(span, "h", 1 if span["low"] < 2 else 0)


def bake_text(data: Data) -> str:
    """The Bake page for the command line."""
    lines = [f"liquid   {data['liquid_note']}"]
    if data["why_rule_differs"]:
        lines.append(f"         {data['why_rule_differs']}")
    lines.append(f"dough    {data['dough_g']:.0f} g")
    if data["tin_fill"] is not None:
        lines.append(
            f"tin      {data['tin_volume_l']:.2f} L, {100 * data['tin_fill']:.0f} % full; "
            f"{data['tin_suits_g']:.0f} g of dough would suit it"
        )
    lines += [
        f"proof    {span_text(data['proof_h'], 'h', 1)} to a rise of {data['rise_percent']:.0f} %, "
        f"dough at {data['proof_c']:.1f} °C on average",
        f"oven     {span_text(data['bake_min'], 'min')} at {data['oven_c']:.0f} °C to a core of {data['core_c']:.1f} °C;"
        " the thermometer in the core decides",
        f"after    {data['class']}: loses {span_text(data['loss_percent'], '%')}, waits {_wait_text(data['wait_h'])}, "
        f"keeps {span_text(data['keeps_d'], 'days')}",
        f"         {data['class_why']}",
    ]
    if data["plan"]:
        lines += ["", *(f"{step['at']}  {step['step']}" for step in data["plan"])]
    if data["bakes"]:
        lines += ["", "Baked before:", *(logged_text(bake) for bake in data["bakes"])]
    notes = [note for note in data["notes"] if note != data["liquid_note"]]
    if notes:
        lines += ["", *notes]
    return "\n".join([*lines, "", *data["cautions"]])


def logged_text(bake: Data) -> str:
    """One logged bake in a line."""
    parts = [bake["at"]]
    if "dough_c" in bake:
        parts.append(f"dough {bake['dough_c']:g} °C")
    if "rise_h" in bake:
        parts.append(
            f"rose {bake['rise_percent']:g} % in {bake['rise_h']:.2f} h"
            if "rise_percent" in bake
            else f"rise {bake['rise_h']:.2f} h"
        )
    if "bake_min" in bake:
        parts.append(f"{bake['bake_min']:g} min in the oven")
    if "core_c" in bake:
        parts.append(f"core {bake['core_c']:g} °C")
    parts += [bake[key] for key in ("crumb", "notes") if key in bake]
    if "mark" in bake:
        parts.append(f"mark {bake['mark']}/5")
    return ", ".join(parts)
