"""The Bake page as plain data, as figures in rows and as text: one shape for the screen, for JSON and for people."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

from adapter.dough.bake.note import Note, NoteKind
from adapter.dough.bake.plan import BakePlan
from adapter.dough.models.yeast import GAS_ML_PER_H_PER_G
from adapter.dough.readings.kitchen import Calibration
from adapter.dough.tables.loaf_classes import Range
from adapter.files.log_file import Bake
from adapter.words.bake_data import BakeData, BakePageData, CalibrationData, RangeData, SpanData
from adapter.words.recipe_times import told_bake, told_minutes
from adapter.words.reports import finite, number
from adapter.words.stage_report import ripe_state, span_data, stage_data, stage_in_short, stages_text
from adapter.words.text_report import NOTHING
from adapter.words.units import METRIC, Units

STAGE = "stage/"
"""What the keys of the stages' numbers begin with."""
THERMOMETER = "the thermometer in the core decides"
STARCH_RANKS = "Starch attack is for ranking variants only: no number is safe or unsafe, and low is not simply good."
BESIDE_A_FIGURE = ("tin", "liquid", "never rises", "rises in the oven")
"""Kinds of notes that are told beside a number of the page."""


def range_data(span: Range) -> RangeData:
    return {"low": finite(span.low), "high": finite(span.high)}


def _number(value: float | None) -> float | None:
    return None if value is None else number(value)


def bake_report(
    plan: BakePlan, bakes: Sequence[Bake] = (), more: Sequence[Note] = (), recipe: str = ""
) -> BakePageData:
    """The Bake page as plain data, with notes of the plan and `more`; `recipe` is what the formula's own note says."""
    liquid = plan.mixing.liquid
    return {
        "liquid_temperature_c": _number(liquid.liquid_temperature_c),
        "ice_g": finite(liquid.ice_g),
        "dough_temperature_c": finite(plan.mixing.dough_c),
        "wanted_dough_c": finite(plan.mixing.wanted_c),
        "liquid_reachable": liquid.reachable,
        "liquid_note": liquid.note,
        "liquid_hint": plan.mixing.hint,
        "rule_of_factors_c": finite(plan.mixing.rule_c),
        "why_rule_differs": plan.mixing.why_rule_differs,
        "dough_g": finite(plan.dough_g),
        "pieces": plan.pieces,
        "piece_g": finite(plan.piece_g),
        "tin_volume_l": _number(plan.tin_volume_l),
        "tin_fill": _number(plan.tin_fill),
        "tin_suits_g": _number(plan.tin_suits_g),
        "yeast_g": finite(plan.yeast_g),
        "proof_h": span_data(plan.proof_h),
        "proof_c": finite(plan.proof_c),
        "proof_place_c": finite(plan.place_c),
        "rise_percent": finite(plan.rise_percent),
        "bake_min": span_data(plan.bake_min),
        "recipe_bake_min": told_minutes(recipe),
        "oven_c": finite(plan.oven_c),
        "core_c": finite(plan.core_c),
        "crumb_warms_c_per_min": finite(plan.heating_c_per_min),
        "starch_attack": finite(plan.starch_attack),
        "class": plan.loaf_class.name,
        "class_why": plan.loaf_class.why,
        "loss_percent": range_data(plan.loss_percent),
        "wait_h": range_data(plan.wait_h),
        "keeps_d": range_data(plan.keeps_d),
        "plan": [{"at": f"{step.at:%Y-%m-%d %H:%M}", "step": step.step} for step in plan.plan],
        "stages": [stage_data(row) for row in plan.stages],
        "notes": [note.text for note in (*plan.notes, *more)],
        "cautions": list(plan.cautions),
        "kitchen": calibration_data(plan.calibration),
        "bakes": [bake_data(bake) for bake in bakes],
    }


def calibration_data(calibration: Calibration) -> CalibrationData:
    """What the log of this kitchen says of the model: factors, their relative half-widths, how many bakes speak."""
    return {
        "gas_factor": finite(calibration.gas_ml / GAS_ML_PER_H_PER_G),
        "gas_spread": finite(calibration.gas_spread),
        "rises": calibration.bakes,
        "oven_factor": finite(calibration.oven_factor),
        "oven_spread": finite(calibration.oven_spread),
        "oven_bakes": calibration.oven_bakes,
        "souring_factor": finite(calibration.souring),
        "raising_factor": finite(calibration.raising),
        "ripenings": calibration.ripenings,
    }


def bake_data(bake: Bake) -> BakeData:
    """One logged bake, without what was not measured."""
    given = {key: getattr(bake, key) for key in Bake.__slots__ if getattr(bake, key) not in (None, "")}
    return cast(BakeData, given | {"at": f"{bake.at:%Y-%m-%d %H:%M}"})  # the keys of BakeData are the fields of Bake


@dataclass(frozen=True, slots=True)
class BakeFigure:
    """One number of the page as it is printed: what it is, the number with its range, and what belongs to it.

    `sentences` are what there is to say of it, each with whether it warns.
    """

    key: str
    label: str
    value: str
    beside: str = ""
    sentences: tuple[tuple[str, bool], ...] = ()


def bake_figures(data: BakePageData, notes: Sequence[Note], units: Units = METRIC) -> list[BakeFigure]:
    """The numbers of the page in their order, printed the same on the screen and by the command line.

    Notes of the kinds in BESIDE_A_FIGURE are told at the number that they are about.
    """
    told = [Note(note.kind, units.told(note.text)) for note in notes]
    figures = [*_dough_figures(data, units), *_tin_figures(data, told, units), *_oven_figures(data, told, units)]
    return [*figures, *_later_figures(data)]


def _warnings(notes: Sequence[Note], kind: NoteKind) -> tuple[tuple[str, bool], ...]:
    return tuple((note.text, True) for note in notes if note.kind == kind)


def stage_figures(data: BakePageData, units: Units = METRIC) -> list[BakeFigure]:
    """A number for each living stage: how it stands when it is used, when it is ripe, and what is done for it."""
    figures = []
    for stage in data["stages"]:
        stands, ripe = stage_in_short(stage)
        warns = ripe_state(stage) in ("never", "young", "past it")
        said = [(text.strip(), warns and number == 0) for number, text in enumerate(stages_text([stage], units))]
        figures.append(BakeFigure(f"{STAGE}{stage['stage']}", stage["stage"], stands, ripe, tuple(said)))
    return figures


def _dough_figures(data: BakePageData, units: Units) -> list[BakeFigure]:
    liquid_c, reachable = data["liquid_temperature_c"], data["liquid_reachable"]
    said = [(data["liquid_note"], not reachable), (data["liquid_hint"], False), (data["why_rule_differs"], False)]
    sentences = tuple((units.told(text), warns) for text, warns in said if text)
    rule = f"rule of factors {units.temperature(data['rule_of_factors_c'], 0)}"
    if liquid_c is None:
        liquid = BakeFigure("liquid", "liquid", "none to set", "", sentences)
    else:
        short = "" if reachable else "not enough; "
        liquid = BakeFigure("liquid", "liquid", units.temperature(liquid_c, 0), short + rule, sentences)
    figures = [liquid]
    if data["ice_g"]:
        figures.append(BakeFigure("ice", "ice", units.amount(data["ice_g"]), "in place of liquid", sentences))
    wanted = f"wanted {units.temperature(data['wanted_dough_c'], 1)}"
    figures.append(BakeFigure("dough_c", "dough", units.temperature(data["dough_temperature_c"], 1), wanted, sentences))
    return figures


def _tin_figures(data: BakePageData, notes: Sequence[Note], units: Units) -> list[BakeFigure]:
    pieces = data["pieces"]
    each = f"{pieces} pieces of {units.amount(data['piece_g'])}" if pieces > 1 else ""
    figures = [BakeFigure("dough_g", "weight", units.amount(data["dough_g"]), each)]
    if data["tin_fill"] is not None and data["tin_suits_g"] is not None:
        beside = f"{data['tin_volume_l']:.2f} L, {units.amount(data['tin_suits_g'])} would suit it"
        full = f"{100 * data['tin_fill']:.0f} % full"
        figures.append(BakeFigure("tin", "tin", full, beside, _warnings(notes, "tin")))
    yeast = units.amount(data["yeast_g"]) if data["yeast_g"] else "none"
    raised = any(note.kind == "rises in the oven" for note in notes)
    figures.append(BakeFigure("yeast", "yeast", yeast, "soda and powder raise it" if raised else ""))
    return figures


def _oven_figures(data: BakePageData, notes: Sequence[Note], units: Units) -> list[BakeFigure]:
    beside = f"to {data['rise_percent']:.0f} %, dough at about {units.temperature(data['proof_c'], 1)}"
    planned = [stage["hours"] for stage in data["stages"] if stage["kind"] == "dough"]
    if planned:
        beside = f"to {data['rise_percent']:.0f} %; {planned[-1]:.1f} h are planned"
    warnings = _warnings(notes, "never rises")
    proof = span_text(data["proof_h"], "h", 1)
    at_once = tuple((note.text, False) for note in notes if note.kind == "rises in the oven")
    if at_once:
        proof, beside, warnings = "none", "bake at once: it rises in the oven", at_once
    oven = f"at {units.temperature(data['oven_c'], 0)} to a core of {units.temperature(data['core_c'], 1)}"
    recipe_min = data["recipe_bake_min"]
    told = () if recipe_min is None else ((f"{_capital(told_bake(recipe_min))}.", False),)
    return [
        BakeFigure("proof", "proof", proof, beside, warnings),
        BakeFigure(
            "bake",
            "in the oven",
            span_text(data["bake_min"], "min"),
            oven,
            (*told, (f"{_capital(THERMOMETER)}.", False)),
        ),
        BakeFigure(
            "starch",
            "starch attack",
            f"{data['starch_attack']:.0f}",
            f"crumb warms {units.difference(data['crumb_warms_c_per_min'], 2)} a minute",
            ((STARCH_RANKS, False),),
        ),
    ]


def _later_figures(data: BakePageData) -> list[BakeFigure]:
    why = ((data["class_why"], False),)
    return [
        BakeFigure("loss", "loses", range_text(data["loss_percent"], "%"), data["class"], why),
        BakeFigure("wait", "waits", _wait_text(data["wait_h"]), "before the first slice", why),
        BakeFigure("keeps", "keeps", _keeps_text(data["keeps_d"]), "uncut or wrapped", why),
    ]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def span_text(span: SpanData, unit: str, decimals: int = 0) -> str:
    """A number with its range."""
    if span["value"] is None:
        return NOTHING
    return f"{span['value']:.{decimals}f} {unit} ({span['low']:.{decimals}f} to {span['high']:.{decimals}f})"


def range_text(span: RangeData, unit: str, decimals: int = 0) -> str:
    low, high = f"{span['low']:.{decimals}f}", f"{span['high']:.{decimals}f}"
    return f"{low} to {high} {unit}" if low != high else f"{low} {unit}"


def _keeps_text(span: RangeData) -> str:
    return range_text(span, "days", 1 if span["low"] < 1 else 0)


def _wait_text(span: RangeData) -> str:
    return range_text(span, "h", 1 if span["low"] < 2 else 0)


def kitchen_text(data: CalibrationData) -> list[str]:
    """What the log says of this kitchen, in sentences; none where nothing is logged."""
    sentences = []
    if data["rises"]:
        sentences.append(
            f"Yeast makes {data['gas_factor']:.2f} times the model's gas here (± {100 * data['gas_spread']:.0f} %), "
            f"by {_times(data['rises'], 'logged rise')}."
        )
    if data["oven_bakes"]:
        sentences.append(
            f"Loaves take {data['oven_factor']:.2f} times the model's minutes here "
            f"(± {100 * data['oven_spread']:.0f} %), by {_times(data['oven_bakes'], 'logged bake')}."
        )
    if data["ripenings"]:
        sentences.append(
            f"The culture sours {data['souring_factor']:.2f} times and rises {data['raising_factor']:.2f} times "
            f"as fast as the model's here, by {_times(data['ripenings'], 'logged stage')}."
        )
    return sentences


def _times(count: int, what: str) -> str:
    return f"{count} {what}" + ("s" if count > 1 else "")


def bake_text(data: BakePageData, notes: Sequence[Note], units: Units = METRIC) -> str:
    """The Bake page for the command line, with all notes."""
    figures = bake_figures(data, notes, units)
    label = max(len(figure.label) for figure in figures)
    value = max(len(figure.value) for figure in figures)
    lines = [f"{figure.label:<{label}}  {figure.value:<{value}}  {figure.beside}".rstrip() for figure in figures]
    said = dict.fromkeys(text for figure in figures for text, _ in figure.sentences)
    lines += ["", *said]
    if data["stages"]:
        lines += ["", *stages_text(data["stages"], units)]
    if data["plan"]:
        lines += ["", *(f"{step['at']}  {units.told(step['step'])}" for step in data["plan"])]
    kitchen = kitchen_text(data["kitchen"])
    if data["bakes"] or kitchen:
        lines += ["", "Baked before:", *(logged_text(bake, units) for bake in data["bakes"]), *kitchen]
    others = [units.told(note.text) for note in notes if note.kind not in BESIDE_A_FIGURE]
    if others:
        lines += ["", *others]
    return "\n".join([*lines, "", *data["cautions"]])


def logged_text(bake: BakeData, units: Units = METRIC) -> str:
    """One logged bake in a line."""
    parts = [bake["at"]]
    if "dough_c" in bake:
        parts.append(f"dough {units.temperature(bake['dough_c'])}")
    if "rise_h" in bake:
        parts.append(
            f"rose {bake['rise_percent']:g} % in {bake['rise_h']:.2f} h"
            if "rise_percent" in bake
            else f"rise {bake['rise_h']:.2f} h"
        )
    if "bake_min" in bake:
        parts.append(f"{bake['bake_min']:g} min in the oven")
    if "core_c" in bake:
        parts.append(f"core {units.temperature(bake['core_c'])}")
    if "stage" in bake:
        measured = [f"pH {bake['stage_ph']:g}"] if "stage_ph" in bake else []
        measured += [f"TTA {bake['stage_tta']:g}"] if "stage_tta" in bake else []
        measured += [f"highest after {bake['peak_h']:g} h"] if "peak_h" in bake else []
        parts.append(f"{bake['stage']}: {', '.join(measured) or 'noted'}")
    parts += [bake["crumb"]] if "crumb" in bake else []
    parts += [bake["notes"]] if "notes" in bake else []
    if "mark" in bake:
        parts.append(f"mark {bake['mark']}/5")
    return ", ".join(parts)
