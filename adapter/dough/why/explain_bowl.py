"""Why the liquid is so warm, what the dough weighs, and how full the tin will be."""

from __future__ import annotations

from adapter.dough.bake.plan import BakePlan
from adapter.dough.models import heat
from adapter.dough.models.proof import WHEAT_DENSITY, unrisen_density
from adapter.dough.models.tin import LEAST_FILL, MOST_FILL_OPEN, MOST_FILL_UNDER_LID
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.reading import Parameter
from adapter.dough.why.bake_explanation import BakeWhy, sorted_spread

MIXING_OFF, BOWL_C, WARMER_C = 0.5, 1.0, 2.0
"""How far off each may well be: heat of mixing (its share), the bowl's pull on the dough (°C), a line (°C) [A]."""
DENSITY_OFF, RISE_OFF = 0.02, 0.05
"""The same of the dough's density (its share) and of its rise (of the unrisen volume) [A]."""


def why_liquid(measured: Measured, plan: BakePlan) -> BakeWhy:
    mixing = plan.mixing
    liquid = mixing.liquid
    capacity = sum(line.kj_per_k for line in mixing.lines)
    wetting_kj = mixing.flour_g / 1000.0 * heat.WETTING_KJ_PER_KG
    wetting = heat.WETTING_SPREAD_KJ_PER_KG
    count = len(mixing.rule_factors_c) + 1
    factors = " + ".join(f"{value:.0f}" for value in mixing.rule_factors_c)
    steps = [
        f"all lines together hold {capacity:.2f} kJ for each °C",
        f"mixing brings {mixing.mixing_kj:.1f} kJ, the flour as it takes up water {wetting_kj:.1f} kJ",
    ]
    if liquid.balance_c is None:
        steps.append(f"no liquid to set: the dough comes to {mixing.dough_c:.1f} °C")
    else:
        poured = f"0 to {heat.WARMEST_LIQUID_C:g} °C"
        steps.append(f"the balance asks for {liquid.balance_c:.1f} °C; what can be poured is {poured}")
    if liquid.ice_g:
        ice = f"ice = W · c · (T tap − T) / ({heat.ICE_MELTING_KJ_PER_KG:g} + c · T tap)"
        most = f"at most {100.0 * heat.MOST_ICE_SHARE:.0f} % of the liquid"
        steps.append(f"{ice}, {most}: {liquid.ice_g:.0f} g")
    steps.append(
        f"rule of factors: {count} × {mixing.wanted_c:.1f} − ({factors}) − {mixing.rule_friction_c:.0f} "
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
                f"{heat.MIXING_BY_HAND_KJ_PER_KG:g} by hand, {heat.MIXING_BY_MACHINE_KJ_PER_KG:g} by a slow machine: "
                "assumed here",
            ),
            Parameter("melting of ice, kJ/kg", f"{heat.ICE_MELTING_KJ_PER_KG:g}", "M", "textbook, from memory"),
            Parameter("friction in the rule of factors, °C", f"{mixing.rule_friction_c:g}", "CP", "no source"),
        ),
        sorted_spread(
            {
                f"heat of wetting ± {wetting:g} kJ/kg": wetting * mixing.flour_g / 1000.0 / capacity,
                f"heat of mixing wrong by {100.0 * MIXING_OFF:.0f} %": MIXING_OFF * mixing.mixing_kj / capacity,
                "a cold or warm bowl": BOWL_C,
                **{
                    f"{line.name} {WARMER_C:g} °C warmer than thought": WARMER_C * line.kj_per_k / capacity
                    for line in mixing.lines
                    if not line.is_liquid
                },
            },
            "°C of the dough",
        ),
        "Good to a degree or two: bowl, table, room and hands are left out. A thermometer in the dough decides.",
    )


def why_dough(measured: Measured, plan: BakePlan) -> BakeWhy:
    lines = [line for line in measured.formula.lines if line.grams > 0]
    return BakeWhy(
        "dough_g",
        "weight of the dough",
        f"{plan.dough_g:.0f} g, {plan.pieces} × {plan.piece_g:.0f} g",
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


def why_tin(measured: Measured, plan: BakePlan) -> BakeWhy:
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
            Parameter(
                "density before the rise, g/mL",
                f"{density:.3f}",
                "CP",
                f"rye 1.15–1.20; wheat {WHEAT_DENSITY:g} assumed",
            ),
            Parameter("spring in the oven", f"{spring.low:g} to {spring.high:g}", row.tag, row.source),
            Parameter(
                "well filled",
                f"{100.0 * LEAST_FILL:.0f} to {100.0 * MOST_FILL_UNDER_LID:.0f} % under a lid, "
                f"to {100.0 * MOST_FILL_OPEN:.0f} % open",
                "CP",
                "common practice, no source",
            ),
        ),
        sorted_spread(
            {
                "spring at the end of its range": fill * (spring.high / spring.middle - 1.0),
                f"density {100.0 * DENSITY_OFF:.0f} % off": DENSITY_OFF * fill,
                f"rise stopped {100.0 * RISE_OFF:.0f} % late": RISE_OFF * fill / rise,
            },
            "% full",
        ),
        "Measure the tin inside, with water if it is no brick. Differences between variants are better known.",
    )
