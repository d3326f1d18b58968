"""Why a number of the bake plan is what it is: inputs, formula, parameters with their sources, and how sure."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from adapter.dough import heat
from adapter.dough.bake_plan import DRIFT_TO_ROOM_H, BakePlan, at_temperature
from adapter.dough.baking import RYE_HEAT_KJ, WHEAT_HEAT_KJ
from adapter.dough.oven import CONDUCTIVITY, HEAT_TRANSFER, SPREAD, bake_minutes
from adapter.dough.proof import unrisen_density
from adapter.dough.readings import Measured
from adapter.dough.why import Explanation, Parameter, explain
from adapter.dough.yeast_pace import LAG_H, effective_yeast
from adapter.formula.ingredient import TAGS
from adapter.formula.problems import InputProblem

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


def explain_bake(measured: Measured, plan: BakePlan, key: str) -> BakeWhy:
    """How a number of the plan was worked out. Raises InputProblem for a key that is none of BAKE_KEYS."""
    found = _KEYS.get(key)
    if found is None:
        raise InputProblem(f"{key!r} is no number of the bake plan", right="one of " + ", ".join(BAKE_KEYS))
    if key == "tin" and plan.tin_fill is None:
        raise InputProblem("this formula has no tin", right="a [tin] in its file")
    return found(measured, plan)


# ---------------------------------------------------------------- the bowl


def _liquid(measured: Measured, plan: BakePlan) -> BakeWhy:
    mixing = plan.mixing
    liquid = mixing.liquid
    capacity = sum(line.kj_per_k for line in mixing.lines)
    wetting_kj = mixing.flour_g / 1000.0 * heat.WETTING_KJ_PER_KG
    count = len(mixing.rule_factors_c) + 1
    factors = " + ".join(f"{value:.0f}" for value in mixing.rule_factors_c)
    steps = [
        f"all lines together hold {capacity:.2f} kJ for each °C",
        f"mixing brings {mixing.mixing_kj:.1f} kJ, the flour as it takes up water {wetting_kj:.1f} kJ",
    ]
    if liquid.balance_c is None:
        steps.append(f"no liquid to set: the dough comes to {mixing.dough_c:.1f} °C")
    else:
        steps.append(f"the balance asks for {liquid.balance_c:.1f} °C; what can be poured is 0 to 45 °C")
    if liquid.ice_g:
        steps.append(f"ice = W · c · (T tap − T) / (333.6 + c · T tap), at most half the liquid: {liquid.ice_g:.0f} g")
    steps.append(
        f"rule of factors: {count} x {mixing.wanted_c:.1f} − ({factors}) − {mixing.rule_friction_c:.0f} "
        f"= {mixing.rule_c:.0f} °C"
    )
    if mixing.why_rule_differs:
        steps.append(mixing.why_rule_differs)
    value = "none to set" if liquid.liquid_temperature_c is None else f"{liquid.liquid_temperature_c:.1f} °C"
    return BakeWhy(
        "liquid",
        "liquid and dough temperature",
        f"liquid {value}, ice {liquid.ice_g:.0f} g, dough {mixing.dough_c:.1f} °C (wanted {mixing.wanted_c:.1f} °C)",
        ("T liquid = wanted + [Σ m·c·(wanted − T line) − mixing − wetting] / (m·c) of the liquid",),
        tuple(steps),
        tuple(
            (
                f"{line.kj_per_k:.2f} kJ/°C at {line.temperature_c:.1f} °C",
                f"{line.name}, {line.grams:.0f} g, {line.specific_heat:.2f} kJ/(kg °C)"
                + (", the liquid that is sought" if line.is_liquid else ""),
            )
            for line in sorted(mixing.lines, key=lambda line: -line.kj_per_k)
        ),
        (
            Parameter("specific heat by composition", "each line", "P", "Choi & Okos 1986, as in the ASHRAE handbook"),
            Parameter("flour from the bag, kJ/(kg °C)", f"{heat.DRY_FLOUR:g}", "P", "Geankoplis, 1.80–1.88"),
            Parameter("heat of wetting, kJ per kg flour", f"{heat.WETTING_KJ_PER_KG:g}", "M", "5–15, textbooks"),
            Parameter(
                "heat of mixing, kJ per kg dough",
                f"{1000.0 * mixing.mixing_kj / plan.dough_g:.0f}",
                "A",
                "3 by hand, 12 by a slow machine: assumed here",
            ),
            Parameter("melting of ice, kJ/kg", f"{heat.ICE_MELTING_KJ_PER_KG:g}", "P", "handbook"),
            Parameter("friction in the rule of factors, °C", f"{mixing.rule_friction_c:g}", "CP", "no source"),
        ),
        _sorted_spread(
            {
                "heat of wetting ± 5 kJ/kg": 5.0 * mixing.flour_g / 1000.0 / capacity,
                "heat of mixing wrong by half": 0.5 * mixing.mixing_kj / capacity,
                "a cold or warm bowl": 1.0,
                **{
                    f"{line.name} 2 °C warmer than thought": 2.0 * line.kj_per_k / capacity
                    for line in mixing.lines
                    if not line.is_liquid
                },
            },
            "°C of the dough",
        ),
        "Good to a degree or two: bowl, table, room and hands are left out. A thermometer in the dough decides.",
    )


def _dough(measured: Measured, plan: BakePlan) -> BakeWhy:
    lines = [line for line in measured.formula.lines if line.grams > 0]
    return BakeWhy(
        "dough_g",
        "weight of the dough",
        f"{plan.dough_g:.0f} g, {plan.pieces} x {plan.piece_g:.0f} g",
        ("dough = Σ grams of all lines; piece = dough / pieces",),
        (),
        tuple(
            (f"{line.grams:g} g", f"{line.ingredient} ({line.stage})")
            for line in sorted(lines, key=lambda line: -line.grams)
        ),
        (),
        (),
        "As sure as the scale. What sticks to bowl and hands is not taken off.",
    )


def _tin(measured: Measured, plan: BakePlan) -> BakeWhy:
    assert plan.tin_volume_l is not None and plan.tin_fill is not None and plan.tin_suits_g is not None
    row = measured.loaf_class
    density = unrisen_density(measured.rise.rye_share)
    rise, spring = 1.0 + plan.rise_percent / 100.0, row.spring
    fill = 100.0 * plan.tin_fill
    return BakeWhy(
        "tin",
        "how full the tin will be",
        f"{fill:.0f} %; {plan.tin_suits_g:.0f} g of dough would suit it",
        ("volume = h/6 · (A top + 4 · A middle + A bottom)", "fill = dough / density · rise · spring / volume"),
        (
            f"volume {plan.tin_volume_l:.3f} L",
            f"{plan.piece_g:.0f} g / {density:.3f} g/mL = {plan.piece_g / density:.0f} mL before it rises",
            f"· {rise:.2f} rise · {spring.middle:.2f} spring / {1000 * plan.tin_volume_l:.0f} mL = {fill:.1f} %",
        ),
        (("piece", f"{plan.piece_g:.0f} g"), ("rise", f"{plan.rise_percent:.0f} %"), ("class", row.name)),
        (
            Parameter("density before the rise, g/mL", f"{density:.3f}", "CP", "rye 1.15–1.20; wheat 1.12 assumed"),
            Parameter("spring in the oven", f"{spring.low:g} to {spring.high:g}", row.tag, row.source),
            Parameter("well filled", "80 to 97 % under a lid, to 125 % open", "CP", "common practice, no source"),
        ),
        _sorted_spread(
            {
                "spring at the end of its range": fill * (spring.high / spring.middle - 1.0),
                "density 2 % off": 0.02 * fill,
                "rise stopped 5 % late": fill * 0.05 / rise,
            },
            "% full",
        ),
        "Measure the tin inside, with water if it is no brick. Differences between variants are better known.",
    )


# ---------------------------------------------------------------- yeast and proof


def _proof(measured: Measured, plan: BakePlan) -> BakeWhy:
    found = explain(measured, "rise_time")
    rise = at_temperature(measured, replace(measured.rise, rise_fraction=plan.rise_percent / 100.0), plan.proof_c)
    hours = plan.proof_h.value
    steps = [
        f"dough of {plan.mixing.dough_c:.1f} °C in a place of {plan.place_c:.1f} °C: {plan.proof_c:.1f} °C on average",
        f"gas that a rise of {plan.rise_percent:.0f} % takes: {rise.gas_needed():.0f} mL per 100 g flour",
        f"pace of the yeast there against the reference dough: {rise.activity:.2f}",
    ]
    value = "it does not rise"
    if math.isfinite(hours):
        value = f"{hours:.2f} h ({plan.proof_h.low:.1f} to {plan.proof_h.high:.1f})"
        steps += [
            f"yeast {rise.yeast_percent:.2f} % of flour as fresh, the sourdough's own worth {rise.own_yeast(hours):.2f} %",
            f"gas made: {rise.rate(hours):.0f} mL per hour and 100 g flour",
            f"{LAG_H:g} + {rise.gas_needed():.0f} / {rise.rate(hours):.0f} = {hours:.2f} h",
        ]
    drift = Parameter("dough goes over to the place's warmth, h", f"{DRIFT_TO_ROOM_H:g}", "A", "assumed here")
    return BakeWhy(
        "proof",
        "proof",
        value,
        (
            "hours = 0.25 + gas needed / (gas rate · [E(yeast) + S] · G)",
            "T mean = place + (dough − place) · τ/t · (1 − e^(−t/τ))",
        ),
        tuple(steps),
        _brought(found),
        (*found.parameters, drift),
        _figures_behind(found, "h"),
        "The hours are rough, the finger in the dough decides. One logged rise makes them this kitchen's own.",
    )


def _yeast(measured: Measured, plan: BakePlan) -> BakeWhy:
    rise = measured.rise
    catalogue = measured.kitchen.catalogue
    lines = [line for line in measured.formula.lines if catalogue.get(line.ingredient).property("yeast") > 0]
    return BakeWhy(
        "yeast",
        "yeast",
        f"{plan.yeast_g:g} g, {rise.yeast_percent:.2f} % of the flour as fresh",
        ("for a wanted time t:  E(yeast) = gas needed / [(t − 0.25) · gas rate · G] − S",),
        (
            f"worth {effective_yeast(rise.yeast_percent):.2f} % after crowding (E = Y up to 2.5 %, then 2.5·(Y/2.5)^0.7)",
            "type a time at “rises in”: the yeast that this takes is put in, as a step of the variant",
        ),
        tuple(
            (f"{line.grams:g} g", f"{line.ingredient}, {catalogue.get(line.ingredient).property('yeast'):g} as fresh")
            for line in lines
        ),
        tuple(
            Parameter(f"{line.ingredient} for 1 g fresh", f"{1.0 / figure.value:.2f} g", figure.tag, figure.source)
            for line in lines
            if (figure := catalogue.get(line.ingredient).properties.get("yeast")) is not None and figure.value > 0
        ),
        (),
        "Yeast changes with its age: half as lively is common in an old packet.",
    )


# ---------------------------------------------------------------- the oven


def _bake(measured: Measured, plan: BakePlan) -> BakeWhy:
    loaf, kitchen = plan.loaf, plan.calibration

    def minutes(core_c: float = plan.core_c, oven_c: float = plan.oven_c, k: float = 1.0, h: float = 1.0) -> float:
        changed = replace(loaf, conductivity=CONDUCTIVITY * k)
        return bake_minutes(
            changed, oven_c, core_c, plan.place_c, HEAT_TRANSFER * h, oven_factor=kitchen.oven_factor
        ).value

    value = plan.bake_min.value
    length, width, height = (100.0 * side for side in (loaf.length_m, loaf.width_m, loaf.height_m))
    effects = {
        "conductivity 15 % less": minutes(k=0.85) - value,
        "heat from the oven 20 % less": minutes(h=0.8) - value,
        "oven 10 °C cooler than it says": minutes(oven_c=max(plan.oven_c - 10.0, 105.0)) - value,
        "core one degree more": minutes(core_c=min(plan.core_c + 1.0, 99.5)) - value,
    }
    factor = "no bake is logged: the model as it is"
    if kitchen.oven_bakes:
        factor = f"x {kitchen.oven_factor:.2f} by {kitchen.oven_bakes} bakes of this kitchen's log"
    return BakeWhy(
        "bake",
        "minutes in the oven",
        f"{value:.0f} min ({plan.bake_min.low:.0f} to {plan.bake_min.high:.0f})",
        (
            "(100 − T core)/(100 − T start) = S(a·τ/L²) · S(a·τ/W²) · S(a·τ/H²),  a = k/(rho·c)",
            "t = τ + D · [1 − exp(−(τ/s)^1.65)],  D from td = rho·c·(V/A)/h · ln[(T oven − T start)/(T oven − 100)]",
        ),
        (
            f"the risen loaf as a brick of {length:.1f} x {width:.1f} x {height:.1f} cm, {loaf.mass_g:.0f} g",
            f"a = {1e7 * loaf.diffusivity_m2_s:.2f}·10⁻⁷ m²/s",
            f"from {plan.place_c:.1f} °C to a core of {plan.core_c:.1f} °C in an oven of {plan.oven_c:.0f} °C",
            f"the crumb warms {plan.heating_c_per_min:.2f} °C a minute between 55 and 85 °C",
            factor,
        ),
        (
            ("oven", f"{plan.oven_c:.0f} °C"),
            ("core", f"{plan.core_c:.1f} °C"),
            ("dough as it goes in", f"{plan.place_c:.1f} °C"),
        ),
        (
            Parameter("conductivity k, W/(m °C)", f"{CONDUCTIVITY:g}", "A", "assumed here; crumb alone 0.2–0.5 [M]"),
            Parameter("oven to loaf h, W/(m² °C)", f"{HEAT_TRANSFER:g}", "A", "assumed here; 10–25 in still ovens [M]"),
            Parameter(
                "specific heat of the dough, kJ/(kg °C)",
                f"{loaf.specific_heat_kj:.2f}",
                "A",
                f"wheat {WHEAT_HEAT_KJ:g}, rye {RYE_HEAT_KJ:g} at 60 °C, by rye share",
            ),
            Parameter("delay 3.15, growth 0.96, power 1.65", "", "F", "fitted to a finite-volume brick, 105–260 °C"),
            Parameter(
                "spread",
                f"± {100.0 * kitchen.oven_spread:.0f} %",
                "own" if kitchen.oven_bakes else "A",
                "this kitchen's log" if kitchen.oven_bakes else f"± {100.0 * SPREAD:.0f} % until bakes are logged",
            ),
        ),
        _sorted_spread(effects, "min"),
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
        _figures_behind(found, "index"),
        found.claim,
    )


# ---------------------------------------------------------------- after


def _after(key: str) -> Callable[[Measured, BakePlan], BakeWhy]:
    titles = {
        "loss": ("weight lost", "%", lambda plan: plan.loss_percent),
        "wait": ("hours before the first slice", "h", lambda plan: plan.wait_h),
        "keeps": ("days it keeps", "days", lambda plan: plan.keeps_d),
    }
    title, unit, span_of = titles[key]

    def worked(measured: Measured, plan: BakePlan) -> BakeWhy:
        row, span, book = plan.loaf_class, span_of(plan), measured.book
        tin = measured.formula.tin
        stands = "no tin" if tin is None else "a tin under a lid" if tin.lidded else "an open tin"
        return BakeWhy(
            key,
            title,
            f"{span.low:g} to {span.high:g} {unit}",
            ("the range of the first class of loaf that fits",),
            (f"class: {row.name}", row.why),
            (
                ("rye", f"{book.values['rye_share']:.0f} % of the flour"),
                ("sugar and fat", f"{book.values['sugar'] + book.values['fat']:.0f} % of the flour"),
                ("stands in", stands),
                ("piece", f"{plan.piece_g:.0f} g"),
                ("in the oven", f"{plan.bake_min.value / 60.0:.1f} h"),
            ),
            (Parameter(title, f"{span.low:g} to {span.high:g} {unit}", row.tag, row.source),),
            (),
            "A range of experience, no prediction: room, cloth and cut count for as much. Mould ends it at once.",
        )

    return worked


_KEYS: Mapping[str, Callable[[Measured, BakePlan], BakeWhy]] = {
    "liquid": _liquid,
    "ice": _liquid,
    "dough_c": _liquid,
    "dough_g": _dough,
    "tin": _tin,
    "yeast": _yeast,
    "proof": _proof,
    "bake": _bake,
    "starch": _starch,
    "loss": _after("loss"),
    "wait": _after("wait"),
    "keeps": _after("keeps"),
}
BAKE_KEYS = tuple(_KEYS)


# ---------------------------------------------------------------- shared


def _brought(found: Explanation) -> tuple[Pair, ...]:
    return tuple(
        (f"{item.amount:.2f} {item.unit}", f"from {item.grams:g} g {item.ingredient} ({item.stage})")
        for item in found.inputs
    )


def _figures_behind(found: Explanation, unit: str) -> tuple[Pair, ...]:
    """What one half-width of each figure changes, largest first, and the model's own share."""
    rows = [
        (f"{abs(item.effect):.3g} {unit}", f"{item.ingredient}, {item.figure} {item.spread} [{item.tag}] {item.source}")
        for item in found.contributors[:MOST_ROWS]
    ]
    if found.model_spread:
        rows.insert(0, (f"{found.model_spread:.3g} {unit}", "the model itself"))
    return tuple(rows)


def _sorted_spread(effects: Mapping[str, float], unit: str) -> tuple[Pair, ...]:
    ordered = sorted(effects.items(), key=lambda item: -abs(item[1]))[:MOST_ROWS]
    return tuple((f"{abs(effect):.3g} {unit}", cause) for cause, effect in ordered)


def lines_of_bake(why: BakeWhy) -> list[str]:
    """An explanation as plain lines of text."""
    lines = [f"{why.title} = {why.value}", "", *why.symbols, *(f"  {step}" for step in why.steps)]
    sections: tuple[tuple[str, tuple[Pair, ...]], ...] = (
        ("What goes in:", why.inputs),
        (
            "Parameters:",
            tuple((f"{item.name}: {item.value}", f"[{item.tag}] {item.source}") for item in why.parameters),
        ),
        ("How sure, and what contributes most:", why.spread),
    )
    for head, pairs in sections:
        if pairs:
            lines += ["", head, *(f"  {first}  {second}" for first, second in pairs)]
    return [*lines, "", why.sure, "Tags: " + "; ".join(f"{tag} {meaning}" for tag, meaning in TAGS.items())]
