"""Heat in the bowl: specific heats, dough temperature, and the liquid's temperature that gives a wanted one.

    Σ m·c·(T dough − T line) = heat of mixing + heat of wetting          [kJ]

Grams, °C, kJ, kJ/(kg K). The bowl, the room and the hands are left out: a cold stone trough takes a degree
or two.
Impossible input raises ValueError with one sentence.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

# a + b·T + c·T² in kJ/(kg K) and °C: Choi & Okos 1986, as in the ASHRAE Refrigeration handbook,
# "Thermal properties of foods" [P].
COMPONENTS: Mapping[str, tuple[float, float, float]] = {
    "water": (4.1762, -9.0864e-5, 5.4731e-6),
    "protein": (2.0082, 1.2089e-3, -1.3129e-6),
    "fat": (1.9842, 1.4733e-3, -4.8008e-6),
    "carbohydrate": (1.5488, 1.9625e-3, -5.9399e-6),
    "fibre": (1.8459, 1.8306e-3, -4.6509e-6),
    "ash": (1.0926, 1.8896e-3, -3.6817e-6),
}
SPECIFIC_HEAT_RANGE_C = (0.0, 150.0)

# Flour from the bag, 12–13.5 % water: 1.80–1.88 in Geankoplis, Transport Processes, table A.4-1 [P]. The sum
# of components gives about 1.95, because it counts the water that flour holds tightly as free.
DRY_FLOUR = 1.85

# kJ per kg of flour set free when it takes up water: 5–15 [M]; a bakers' dictionary gives 6.5 Btu/lb, which
# is 15, at 11–12 % moisture [P]. Flour that is moister, or soaked before, gives less.
WETTING_KJ_PER_KG = 10.0
WETTING_SPREAD_KJ_PER_KG = 5.0

# kJ per kg of dough [A]. Machine: what the customary friction of 22–26 °F in the rule of factors comes to
# after the heat of wetting is taken off; well below the 40 of intensive mixing (11 Wh/kg, Chorleywood
# process [M]).
MIXING_BY_HAND_KJ_PER_KG = 3.0
MIXING_BY_MACHINE_KJ_PER_KG = 12.0

# °C, for the rule of factors only [CP]: it stands for wetting as well.
FRICTION_BY_HAND_C = 3.0
FRICTION_BY_MACHINE_C = 13.0

ICE_MELTING_KJ_PER_KG = 333.6
WARMEST_LIQUID_C = 45.0
MOST_ICE_SHARE = 0.5
WARMEST_FLOUR_C = 40.0
LINE_RANGE_C = (-30.0, 100.0)
DOUGH_RANGE_C = (1.0, 45.0)


@dataclass(frozen=True, slots=True)
class HeatLine:
    """One line in the bowl, with its specific heat in kJ/(kg K).

    `is_liquid` marks the liquid whose temperature is sought, `is_flour` what can be warmed instead; where
    no line is marked as flour, everything that is not the liquid counts as such.
    """

    name: str
    grams: float
    specific_heat: float
    temperature_c: float
    is_liquid: bool
    is_flour: bool = False

    @property
    def kj_per_k(self) -> float:
        return self.grams / 1000.0 * self.specific_heat


@dataclass(frozen=True, slots=True)
class LiquidPlan:
    """How warm to take the liquid.

    `liquid_temperature_c` is always one that can be poured, 0 to 45 °C; None where the dough has no liquid
    to set. With `ice_g`, that much of the liquid goes in as ice and the rest at `liquid_temperature_c`.
    `dough_c` is what the dough comes to with it. `balance_c` is what the heat balance asks for, possible or not.
    `flour_temperature_c` is given where the liquid alone does not reach the wanted temperature: what the flour would
    need beside it.
    """

    liquid_temperature_c: float | None
    ice_g: float
    reachable: bool
    note: str
    flour_temperature_c: float | None
    balance_c: float | None
    dough_c: float


def specific_heat(composition: Mapping[str, float], t_c: float) -> float:
    """kJ/(kg K) of a food above freezing, from its mass fractions, 0 to 150 °C.

    Keys: water protein fat carbohydrate fibre ash. Each component's specific heat (Choi & Okos 1986 /
    ASHRAE [P]) weighed by its fraction; fractions that do not quite add up are scaled to 1. For flour as it
    comes from the bag use DRY_FLOUR.

    >>> round(specific_heat({"water": 0.7342, "protein": 0.2029, "fat": 0.0525, "ash": 0.0106}, 5.0), 2)
    3.59
    """
    low, high = SPECIFIC_HEAT_RANGE_C
    if not low <= t_c <= high:
        raise ValueError(f"specific heats hold from {low:g} to {high:g} °C, not at {t_c:g} °C")
    for name, share in composition.items():
        if name not in COMPONENTS:
            raise ValueError(f"{name!r} is not one of " + ", ".join(COMPONENTS))
        if not share >= 0.0:
            raise ValueError(f"the fraction of {name} is {share:g}, which is not between 0 and 1")
    whole = sum(composition.values())
    if not 0.9 <= whole <= 1.1:
        raise ValueError(f"the fractions add up to {whole:.3g}, which is not about 1")
    weighed = 0.0
    for name, share in composition.items():
        a, b, c = COMPONENTS[name]
        weighed += share * (a + b * t_c + c * t_c * t_c)
    return weighed / whole


def mixing_heat_kj(dough_g: float, by_machine: bool) -> float:
    """kJ that mixing leaves in a dough: 3 kJ/kg by hand, 12 kJ/kg by a slow machine; both assumed [A].

    A long or fast mix gives more (40 kJ/kg at the most intensive), rye mixed short and gently less.
    """
    _not_negative("the dough's weight", dough_g)
    per_kg = MIXING_BY_MACHINE_KJ_PER_KG if by_machine else MIXING_BY_HAND_KJ_PER_KG
    return dough_g / 1000.0 * per_kg


def dough_temperature(
    lines: Sequence[HeatLine],
    flour_g: float,
    mixing_kj: float,
    wetting_kj_per_kg: float = WETTING_KJ_PER_KG,
) -> float:
    """°C of the dough when the lines are mixed as they are: Σ m·c·T and the heats over Σ m·c. No ice."""
    _check(lines, flour_g, mixing_kj, wetting_kj_per_kg)
    capacity = sum(line.kj_per_k for line in lines)
    if capacity <= 0.0:
        raise ValueError("a dough without weight has no temperature")
    warmth = sum(line.kj_per_k * line.temperature_c for line in lines)
    return (warmth + mixing_kj + flour_g / 1000.0 * wetting_kj_per_kg) / capacity


def liquid_temperature(
    lines: Sequence[HeatLine],
    wanted_c: float,
    flour_g: float,
    mixing_kj: float,
    wetting_kj_per_kg: float = WETTING_KJ_PER_KG,
    tap_c: float = 12.0,
) -> LiquidPlan:
    """How warm the liquid has to be for a dough of `wanted_c`.

    T = wanted + [Σ m·c·(wanted − T line) − mixing − wetting] / (m·c of the liquid), the sum over all other
    lines (conservation of energy [P]). The temperature that the liquid's own lines carry does not matter.
    From 0 to 45 °C it is poured so; below 0 °C part of it becomes ice, m = W·c·(T tap − T)/(333.6 + c·T
    tap), at most half; above 45 °C yeast suffers and it counts as out of reach.
    """
    _check(lines, flour_g, mixing_kj, wetting_kj_per_kg)
    _within("the wanted dough temperature", wanted_c, *DOUGH_RANGE_C)
    _within("the tap water", tap_c, 0.0, WARMEST_LIQUID_C)
    heat_kj = mixing_kj + flour_g / 1000.0 * wetting_kj_per_kg
    others = [line for line in lines if not line.is_liquid]
    missing_kj = sum(line.kj_per_k * (wanted_c - line.temperature_c) for line in others) - heat_kj
    liquid_g = sum(line.grams for line in lines if line.is_liquid)
    liquid_kj_per_k = sum(line.kj_per_k for line in lines if line.is_liquid)
    if liquid_kj_per_k <= 0.0:
        return _without_liquid(others, wanted_c, missing_kj)

    liquid_c = liquid_kj_per_k / liquid_g * 1000.0
    balance_c = wanted_c + missing_kj / liquid_kj_per_k
    if balance_c > WARMEST_LIQUID_C:
        short_kj = (balance_c - WARMEST_LIQUID_C) * liquid_kj_per_k
        reached_c = wanted_c - short_kj / sum(line.kj_per_k for line in lines)
        flour_c, help_in = _flour_instead(others, short_kj)
        note = f"Cannot be reached with the liquid alone: at {WARMEST_LIQUID_C:g} °C it gives a dough of "
        return LiquidPlan(
            WARMEST_LIQUID_C, 0.0, False, f"{note}{reached_c:.1f} °C; {help_in}.", flour_c, balance_c, reached_c
        )
    ice_g = liquid_g * liquid_c * (tap_c - balance_c) / (ICE_MELTING_KJ_PER_KG + liquid_c * tap_c)
    if balance_c >= 0.0:
        note = f"Take the liquid at {balance_c:.0f} °C."
        if balance_c < tap_c - 0.5:
            note = f"Chill the liquid to {balance_c:.0f} °C, or swap {ice_g:.0f} g of it for ice."
        return LiquidPlan(balance_c, 0.0, True, note, None, balance_c, wanted_c)
    most_g = MOST_ICE_SHARE * liquid_g
    if ice_g <= most_g:
        note = f"Swap {ice_g:.0f} g of the liquid for ice and take the rest at {tap_c:.0f} °C."
        return LiquidPlan(tap_c, ice_g, True, note, None, balance_c, wanted_c)
    # What the liquid is worth with half of it ice, as a temperature of water that did not freeze.
    coldest_c = tap_c - most_g * (ICE_MELTING_KJ_PER_KG + liquid_c * tap_c) / (liquid_g * liquid_c)
    short_kj = (balance_c - coldest_c) * liquid_kj_per_k
    reached_c = wanted_c - short_kj / sum(line.kj_per_k for line in lines)
    flour_c, help_in = _flour_instead(others, short_kj)
    note = f"Cannot be reached with ice alone: {most_g:.0f} g, half the liquid, gives a dough of "
    return LiquidPlan(tap_c, most_g, False, f"{note}{reached_c:.1f} °C; {help_in}.", flour_c, balance_c, reached_c)


def _without_liquid(others: Sequence[HeatLine], wanted_c: float, missing_kj: float) -> LiquidPlan:
    capacity = sum(line.kj_per_k for line in others)
    if capacity <= 0.0:
        raise ValueError("a dough without weight has no temperature")
    reached_c = wanted_c - missing_kj / capacity
    if abs(reached_c - wanted_c) < 0.5:
        note = f"There is no liquid to set, and none is needed: the dough comes to {reached_c:.0f} °C."
        return LiquidPlan(None, 0.0, True, note, None, None, reached_c)
    flour_c, help_in = _flour_instead(others, missing_kj)
    note = f"There is no liquid to set: the dough comes to {reached_c:.1f} °C; {help_in}."
    return LiquidPlan(None, 0.0, False, note, flour_c, None, reached_c)


def _flour_instead(others: Sequence[HeatLine], missing_kj: float) -> tuple[float | None, str]:
    """The temperature at which the flour brings the missing heat, and the sentence's end that says so."""
    flour = [line for line in others if line.is_flour]
    named = "the flour" if flour else "everything else"
    flour = flour or list(others)
    capacity = sum(line.kj_per_k for line in flour)
    if capacity <= 0.0:
        return None, "there is nothing else to warm or cool"
    now_c = sum(line.kj_per_k * line.temperature_c for line in flour) / capacity
    needed_c = now_c + missing_kj / capacity
    verb = "warm" if missing_kj > 0.0 else "cool"
    end = f"{verb} {named} to about {needed_c:.0f} °C"
    if needed_c > WARMEST_FLOUR_C:
        end = f"{named} would need {needed_c:.0f} °C, too hot for it: let the dough rise longer instead"
    return needed_c, end


def rule_of_factors(wanted_c: float, factors: Sequence[float], friction_c: float) -> float:
    """°C of the liquid by the classical rule of bakeries: n·wanted − sum of the factors − friction [CP].

    With two factors (flour, room) it is the three-factor rule, with a preferment as the third the four-factor
    rule: n counts the liquid too.

    >>> rule_of_factors(25.0, [20.0, 22.0], 5.0)
    28.0
    """
    if not factors:
        raise ValueError("the rule of factors needs the temperature of the flour and of the room")
    return (len(factors) + 1) * wanted_c - sum(factors) - friction_c


def why_they_differ(lines: Sequence[HeatLine], wanted_c: float, balance_c: float, rule_c: float, factors: int) -> str:
    """One sentence on why the heat balance and the rule differ; `factors` as given to the rule."""
    number = {2: "three", 3: "four"}[factors]
    capacity = sum(line.kj_per_k for line in lines)
    share = 100.0 * sum(line.kj_per_k for line in lines if line.is_liquid) / capacity
    gap = rule_c - balance_c
    said = f"The heat balance asks for {balance_c:.0f} °C and the {number}-factor rule for {rule_c:.0f} °C"
    if not LINE_RANGE_C[0] <= balance_c <= LINE_RANGE_C[1]:
        degree = "warm" if balance_c > wanted_c else "cold"
        said = f"By the heat balance no liquid is {degree} enough, the {number}-factor rule asks for {rule_c:.0f} °C"
    if abs(gap) < 1.0:
        return f"{said}: they agree here."
    weighs = (
        f"the rule lets each of its {number} temperatures count the same ({100.0 / (factors + 1):.0f} %) and "
        f"guesses the heat of mixing, while the liquid carries {share:.0f} % of what warms this dough"
    )
    others = [line for line in lines if not line.is_liquid and not line.is_flour]
    if others:
        pull = max(others, key=lambda line: abs(line.kj_per_k * (line.temperature_c - wanted_c)))
        by_c = pull.kj_per_k * (pull.temperature_c - wanted_c) / capacity
        if abs(by_c) >= 0.5:
            weighs += (
                f"; {pull.name} ({pull.grams:.0f} g at {pull.temperature_c:.0f} °C) alone moves it by {by_c:+.0f} °C"
            ).replace(" by -", " by −")
    return f"{said}: {weighs}."


def _check(lines: Sequence[HeatLine], flour_g: float, mixing_kj: float, wetting_kj_per_kg: float) -> None:
    _not_negative("the flour's weight", flour_g)
    _not_negative("the heat of mixing", mixing_kj)
    _not_negative("the heat of wetting", wetting_kj_per_kg)
    for line in lines:
        _not_negative(f"the weight of {line.name}", line.grams)
        if not (math.isfinite(line.specific_heat) and line.specific_heat > 0.0):
            raise ValueError(f"the specific heat of {line.name} has to be above zero")
        _within(line.name, line.temperature_c, *LINE_RANGE_C)


def _within(what: str, t_c: float, low: float, high: float) -> None:
    if not low <= t_c <= high:
        raise ValueError(f"{what} at {t_c:g} °C is not possible: between {low:g} and {high:g} °C")


def _not_negative(what: str, value: float) -> None:
    if not (math.isfinite(value) and value >= 0.0):
        raise ValueError(f"{what} is {value:g}, which has to be zero or more")
