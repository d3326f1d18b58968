"""Why a number of the bake plan is what it is: inputs, formula, parameters with their sources, and how sure."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from adapter.dough.bake.clock import PREHEAT_H
from adapter.dough.bake.plan import BakePlan
from adapter.dough.models.oven import (
    COLDEST_OVEN_C,
    DELAY_FIRST,
    DELAY_GROWTH,
    DELAY_POWER,
    FACE_C,
    HOTTEST_CORE_C,
    SPREAD,
    STARCH_FROM_C,
    STARCH_TO_C,
    bake_minutes,
)
from adapter.dough.models.oven_kinds import crust_minutes
from adapter.dough.models.proof import Rise
from adapter.dough.models.yeast import CROWDING_EXPONENT, PROPORTIONAL_UP_TO_PERCENT, effective_yeast
from adapter.dough.readings.loaf import RYE_HEAT_KJ, WHEAT_HEAT_KJ, oven_kind
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.reading import Parameter
from adapter.dough.readings.rise import RISE_SYMBOLS, UNTIL_IT_RISES
from adapter.dough.tables.loaf_classes import Range
from adapter.dough.tables.work_steps import MIX
from adapter.dough.why.bake_explanation import BakeWhy, Pair, lines_of_bake, sections_of, sorted_spread
from adapter.dough.why.explain_bowl import why_dough, why_liquid, why_tin
from adapter.dough.why.explain_reading import Explanation, explain
from adapter.formula.problems import InputProblem

LESS_CONDUCTING, LESS_HEAT = 0.15, 0.20
COOLER_OVEN_C, HOTTER_CORE_C = 10.0, 1.0
"""How far off each may well be, to show what that does to the minutes in the oven [A]."""

__all__ = ["BAKE_KEYS", "BakeWhy", "explain_bake", "lines_of_bake", "sections_of"]


def explain_bake(measured: Measured, plan: BakePlan, key: str) -> BakeWhy:
    """How a number of the plan was worked out. Raises InputProblem for a key that is none of BAKE_KEYS."""
    found = _KEYS.get(key)
    if found is None:
        raise InputProblem(f"{key!r} is no number of the bake plan", right="one of " + ", ".join(BAKE_KEYS))
    if key == "tin" and plan.tin_fill is None:
        raise InputProblem("this formula has no tin", right="a [tin] in its file")
    return found(measured, plan)


# ---------------------------------------------------------------- yeast and proof


def _places(rise: Rise) -> str:
    if not rise.spells:
        return f"a place of {rise.temperature_c:.1f} °C"
    return ", then ".join(f"{spell.temperature_c:.1f} °C for {spell.hours:.3g} h" for spell in rise.spells)


def _proof(measured: Measured, plan: BakePlan) -> BakeWhy:
    found = explain(measured, "rise_time")
    rise = plan.rise
    hours = plan.proof_h.value
    steps = [
        f"dough of {plan.mixing.dough_c:.1f} °C in {_places(rise)}: {plan.proof_c:.1f} °C on average",
        f"gas that a rise of {plan.rise_percent:.0f} % takes: {rise.gas_needed():.0f} mL per 100 g flour",
        f"what salt and sugar leave of the yeast's speed, against the reference dough: {rise.medium.pace:.2f}",
    ]
    value = "it does not rise"
    if math.isfinite(hours):
        value = f"{hours:.2f} h ({plan.proof_h.low:.1f} to {plan.proof_h.high:.1f})"
        end = rise.over(hours).end
        steps += [
            f"yeast {rise.yeast_percent:.2f} % of flour as fresh, {end.living.bakers_yeast:.2f} % by then",
            f"gas made by then: {end.yeast_gas_ml:.0f} mL by yeast, {end.bacteria_gas_ml:.0f} mL by bacteria",
            f"pH then: {end.ph:.1f}",
        ]
    drift = Parameter("dough goes over to the place's warmth, h", f"{rise.tau_h:.3g}", "A", "assumed here")
    return BakeWhy(
        "proof",
        "proof",
        value,
        (
            UNTIL_IT_RISES,
            "T = place + (dough − place) · e^(−t/τ)",
            f"where {RISE_SYMBOLS}; T, place, dough: °C; τ: hours in which the dough nears its place by two thirds",
        ),
        tuple(steps),
        _brought(found),
        (*found.parameters, drift),
        _figures_behind(found, "h", *_shares(measured, plan, found)),
        "The hours are rough, the finger in the dough decides. One logged rise makes them this kitchen's own.",
    )


def _shares(measured: Measured, plan: BakePlan, found: Explanation) -> tuple[float, float]:
    """The model's share of the proof's spread in hours, and by what the effects on the reading are multiplied here."""
    usual, hours = measured.value("rise_time"), plan.proof_h.value
    if not (math.isfinite(usual) and math.isfinite(hours)):
        return 0.0, 1.0
    scale = hours / usual
    figures = sum((scale * item.effect) ** 2 for item in found.contributors)
    return math.sqrt(max((plan.proof_h.high - hours) ** 2 - figures, 0.0)), scale


def _yeast(measured: Measured, plan: BakePlan) -> BakeWhy:
    rise = measured.rise
    catalogue = measured.kitchen.catalogue
    lines = [line for line in measured.formula.lines if catalogue.fresh_yeast(line.ingredient) > 0]
    return BakeWhy(
        "yeast",
        "yeast",
        f"{plan.yeast_g:g} g, {rise.yeast_percent:.2f} % of the flour as fresh",
        ("for a wanted time t:  the yeast with which gas made in t = gas needed",),
        (
            f"worth {effective_yeast(rise.yeast_percent):.2f} %: "
            "E = Y up to {0:g} %, then {0:g}·(Y/{0:g})^{1:g}".format(PROPORTIONAL_UP_TO_PERCENT, CROWDING_EXPONENT),
            "type a time at “rises in”: the yeast that this takes is put in, as a step of the variant",
        ),
        tuple(
            (f"{line.grams:g} g", f"{line.ingredient}, {catalogue.get(line.ingredient).property('yeast'):g} as fresh")
            for line in lines
        ),
        tuple(
            Parameter(f"{line.ingredient} for 1 g fresh", f"{1.0 / figure.value:.2f} g", figure.tag, figure.source)
            for line in lines
            for figure in [catalogue.get(line.ingredient).properties["yeast"]]
        ),
        (),
        "Yeast changes with its age: half as lively is common in an old packet.",
    )


# ---------------------------------------------------------------- the oven


def _bake(measured: Measured, plan: BakePlan) -> BakeWhy:
    loaf, kitchen = plan.loaf, plan.calibration

    def minutes(core_c: float = plan.core_c, oven_c: float = plan.oven_c, k: float = 1.0, h: float = 1.0) -> float:
        changed = replace(loaf, conductivity=loaf.conductivity * k, heat_transfer=loaf.heat_transfer * h)
        return bake_minutes(changed, oven_c, core_c, plan.start_c, oven_factor=kitchen.oven_factor).value

    value = plan.bake_min.value
    length, width, height = (100.0 * side for side in (loaf.length_m, loaf.width_m, loaf.height_m))
    cooler_c = max(plan.oven_c - COOLER_OVEN_C, COLDEST_OVEN_C)
    hotter_c = min(plan.core_c + HOTTER_CORE_C, HOTTEST_CORE_C)
    effects = {
        f"conductivity {100.0 * LESS_CONDUCTING:.0f} % less": minutes(k=1.0 - LESS_CONDUCTING) - value,
        f"heat from the oven {100.0 * LESS_HEAT:.0f} % less": minutes(h=1.0 - LESS_HEAT) - value,
        f"oven {COOLER_OVEN_C:g} °C cooler than it says": minutes(oven_c=cooler_c) - value,
        f"core {HOTTER_CORE_C:g} °C more": minutes(core_c=hotter_c) - value,
    }
    face = f"{FACE_C:g}"
    kind = oven_kind(measured.formula, plan.loaf_class)
    crust: tuple[str, ...] = ()
    if loaf.crust_sugar_fat is not None:
        least = kitchen.oven_factor * crust_minutes(loaf.browns_as_g, plan.oven_c, loaf.crust_sugar_fat)
        crust = (f"the crust has no colour before {least:.0f} min: small pieces are done by their crust",)
    factor = "no bake is logged: the model as it is"
    if kitchen.oven_bakes:
        factor = f"x {kitchen.oven_factor:.2f} by {kitchen.oven_bakes} bakes of this kitchen's log"
    return BakeWhy(
        "bake",
        "minutes in the oven",
        f"{value:.0f} min ({plan.bake_min.low:.0f} to {plan.bake_min.high:.0f})",
        (
            f"({face} − T core)/({face} − T start) = S(a·τ/L²) · S(a·τ/W²) · S(a·τ/H²),  a = k/(rho·c)",
            f"t = τ + D · [1 − exp(−(τ/s)^{DELAY_POWER:g})],  "
            f"D from td = rho·c·(V/A)/h · ln[(T oven − T start)/(T oven − {face})]",
        ),
        (
            f"the risen loaf as a brick of {length:.1f} × {width:.1f} × {height:.1f} cm, {loaf.mass_g:.0f} g",
            f"a = {1e7 * loaf.diffusivity_m2_s:.2f}·10⁻⁷ m²/s",
            f"from {plan.start_c:.1f} °C to a core of {plan.core_c:.1f} °C in an oven of {plan.oven_c:.0f} °C",
            f"the crumb warms {plan.heating_c_per_min:.2f} °C a minute between {STARCH_FROM_C:g} and "
            f"{STARCH_TO_C:g} °C",
            *crust,
            factor,
        ),
        (
            ("oven", f"{plan.oven_c:.0f} °C"),
            ("core", f"{plan.core_c:.1f} °C"),
            ("dough as it goes in", f"{plan.start_c:.1f} °C"),
        ),
        (
            Parameter("conductivity k, W/(m °C)", f"{loaf.conductivity:g}", "F", f"{kind}, fitted to textbook times"),
            Parameter("oven to loaf h, W/(m² °C)", f"{loaf.heat_transfer:g}", "F", f"{kind}, fitted to textbook times"),
            Parameter(
                "specific heat of the dough, kJ/(kg °C)",
                f"{loaf.specific_heat_kj:.2f}",
                "A",
                f"wheat {WHEAT_HEAT_KJ:g}, rye {RYE_HEAT_KJ:g} at 60 °C, by rye share",
            ),
            Parameter(
                f"delay {DELAY_FIRST:g}, growth {DELAY_GROWTH:g}, power {DELAY_POWER:g}",
                "",
                "F",
                "fitted to a finite-volume brick, 105–260 °C",
            ),
            Parameter(
                "spread",
                f"± {100.0 * kitchen.oven_spread:.0f} %",
                "own" if kitchen.oven_bakes else "A",
                "this kitchen's log" if kitchen.oven_bakes else f"± {100.0 * SPREAD:.0f} % until bakes are logged",
            ),
        ),
        sorted_spread(effects, "min"),
        "The thermometer in the core decides. Lid, steam, stone and place in the oven are not in the model.",
    )


def _starch(measured: Measured, plan: BakePlan) -> BakeWhy:
    found = explain(measured, "starch_attack")
    return BakeWhy(
        "starch",
        "starch attack in this oven",
        f"{plan.starch_attack:.0f}",
        (found.symbols,),
        (
            *found.steps[:-1],
            f"crumb warms by {plan.heating_c_per_min:.2f} °C a minute in today's oven, to {plan.core_c:g} °C",
        ),
        _brought(found),
        found.parameters,
        _figures_behind(found, "index", found.model_spread),
        found.claim,
    )


# ---------------------------------------------------------------- after


def _clock(measured: Measured, plan: BakePlan) -> BakeWhy:
    steps = {step.step: step.at for step in plan.plan}
    mix_at = steps.get(MIX)
    value = "no plan: the dough does not rise"
    if plan.plan:
        value = f"{plan.plan[0].at:%Y-%m-%d %H:%M} to {plan.plan[-1].at:%Y-%m-%d %H:%M}"
    return BakeWhy(
        "clock",
        "clock times",
        value,
        ("into the oven = mixing + shaping + proof;  sliced = out of the oven + shortest wait",),
        (
            "early steps are counted back from the start of mixing; "
            f"the oven is lit {60.0 * PREHEAT_H:.0f} minutes before",
            "times carry no zone: a night in which the clock is changed moves what lies behind it by that hour",
        ),
        tuple((f"{(at - mix_at).total_seconds() / 3600.0:+.2f} h", name) for name, at in steps.items() if mix_at),
        tuple(
            Parameter(f"{step.name}, h", f"{step.hours:g}", step.tag, step.source)
            for step in plan.work
            if step.name in steps
        ),
        sorted_spread(
            {
                "the proof": plan.proof_h.high - plan.proof_h.value,
                "the oven": (plan.bake_min.high - plan.bake_min.value) / 60.0,
                "the wait": plan.wait_h.high - plan.wait_h.low,
            },
            "h later",
        )
        if plan.plan
        else (),
        "Plan with the long end of the proof when the oven must be free at a fixed hour.",
    )


def _loss(measured: Measured, plan: BakePlan) -> BakeWhy:
    return _by_class(measured, plan, "loss", "weight lost", plan.loss_percent, "%")


def _wait(measured: Measured, plan: BakePlan) -> BakeWhy:
    return _by_class(measured, plan, "wait", "wait before the first slice", plan.wait_h, "h")


def _keeps(measured: Measured, plan: BakePlan) -> BakeWhy:
    return _by_class(measured, plan, "keeps", "how long it keeps", plan.keeps_d, "days")


def _by_class(measured: Measured, plan: BakePlan, key: str, title: str, span: Range, unit: str) -> BakeWhy:
    row, book = plan.loaf_class, measured.book
    tin = measured.formula.tin
    stands = "no tin" if tin is None else "a tin under a lid" if tin.lidded else "an open tin"
    return BakeWhy(
        key,
        title,
        f"{span.low:g} to {span.high:g} {unit}",
        ("the range of the first class of loaf that fits",),
        (f"class: {row.name}", row.why),
        (
            ("rye", f"{book.value('rye_share'):.0f} % of the flour"),
            ("sugar and fat", f"{book.value('sugar') + book.value('fat'):.0f} % of the flour"),
            ("stands in", stands),
            ("piece", f"{plan.piece_g:.0f} g"),
            ("in the oven", f"{plan.bake_min.value / 60.0:.1f} h"),
        ),
        (Parameter(title, f"{span.low:g} to {span.high:g} {unit}", row.tag, row.source),),
        (),
        "A range of experience, no prediction: room, cloth and cut count for as much. Mould ends it at once.",
    )


_KEYS: Mapping[str, Callable[[Measured, BakePlan], BakeWhy]] = {
    "liquid": why_liquid,
    "ice": why_liquid,
    "dough_c": why_liquid,
    "dough_g": why_dough,
    "tin": why_tin,
    "yeast": _yeast,
    "proof": _proof,
    "bake": _bake,
    "starch": _starch,
    "loss": _loss,
    "wait": _wait,
    "keeps": _keeps,
    "clock": _clock,
}
BAKE_KEYS = tuple(_KEYS)


# ---------------------------------------------------------------- shared


def _brought(found: Explanation) -> tuple[Pair, ...]:
    return tuple((item.told, f"from {item.grams:g} g {item.ingredient} ({item.stage})") for item in found.inputs)


def _figures_behind(found: Explanation, unit: str, model: float, scale: float = 1.0) -> tuple[Pair, ...]:
    """What one half-width of each figure changes, and the model's own share; largest first."""
    effects = {f"{item.told} [{item.tag}] {item.source}": scale * item.effect for item in found.contributors}
    return sorted_spread({"the model itself": model, **effects} if model else effects, unit)
