"""Doughs for the checks of ripening: flours with the ash and pH that the check values were worked out with."""

from collections.abc import Sequence
from dataclasses import dataclass

from adapter.dough.models.acidity import Species, charge
from adapter.dough.models.course import Course, Living, Medium
from adapter.dough.models.culture_pace import dough_pace
from adapter.dough.models.ripening import ripen
from adapter.dough.models.warmth import steady

FLOUR_GROUPS = ((3.6, 8, 32), (4.5, 10, 44), (5.6, 2, 11), (6.8, 2, 15), (8.0, 3, 12))
SPECIES = (
    Species("lactic", (3.86,)),
    Species("acetic", (4.76,)),
    Species("succinic", (4.21, 5.64)),
    Species("carbonic", (6.35, 10.33)),
    *(Species(f"buffer {pka}", (pka,)) for pka, _, _ in FLOUR_GROUPS),
)
RIPE_BACTERIA, RIPE_YEAST = 4.0, 3.0
"""10^9 and 10^7 per g of ripe culture."""


@dataclass(frozen=True)
class Part:
    """mmol and g per g of something that goes into a dough."""

    amounts: tuple[float, ...]
    fixed_charge: float
    flour: float
    water: float


def part(flour: float, ash: float, ph: float, moisture: float, lactic: float = 0.0, acetic: float = 0.0) -> Part:
    """Flour, or a culture of `flour` g in a g, the rest water, with the pH it has in a slurry."""
    groups = [flour * (a + b * ash) for _, a, b in FLOUR_GROUPS]
    amounts = [lactic, acetic, 0.0, 0.0, *groups]
    water = 1.0 - flour + moisture * flour if flour < 1.0 else moisture
    litres = 10.0 + 1.0 - flour if flour < 1.0 else 10.0 + moisture
    sid = charge(amounts, SPECIES, ph, litres)
    return Part(tuple(amount / 1000.0 for amount in amounts), sid / 1000.0, flour, water)


WHITE = part(1.0, 0.55, 6.0, 0.12)
RYE = part(1.0, 1.75, 6.35, 0.11)
RIPE_RYE = part(0.5, 1.75, 3.9, 0.11, 105.0, 35.0)
RIPE_WHEAT = part(0.5, 0.55, 3.8, 0.12, 60.0, 12.0)
_TAP = (0.0, 0.0, 0.0, 2.7, 0.0, 0.0, 0.0, 0.0, 0.0)
TAP = Part(tuple(x / 1000.0 for x in _TAP), charge(_TAP, SPECIES, 7.6, 1.0) / 1000.0, 0.0, 1.0)
SALT = Part((0.0,) * 9, 0.0, 0.0, 0.0)


def medium(
    parts: Sequence[tuple[float, Part]],
    rye_share: float,
    salt_g: float = 0.0,
    working: bool = False,
    pace: float | None = None,
    own_bacteria: bool = True,
) -> Medium:
    grams = sum(weight for weight, _ in parts) + salt_g
    kg = grams / 1000.0
    flour = sum(weight * item.flour for weight, item in parts)
    water = sum(weight * item.water for weight, item in parts)
    poured = water - flour * (0.11 if rye_share else 0.12)
    return Medium(
        SPECIES,
        tuple(sum(weight * item.amounts[place] for weight, item in parts) / kg for place in range(len(SPECIES))),
        sum(weight * item.fixed_charge for weight, item in parts) / kg,
        10.0 + water / grams,
        water / kg,
        flour / kg,
        rye_share,
        100.0 * salt_g / flour,
        1.75 if rye_share else 0.55,
        dough_pace(100.0 * salt_g / poured, 0.0, 1.0, False) if pace is None else pace,
        working=working,
        own_bacteria=own_bacteria,
    )


def rye_sourdough(starter_percent: float, temperature_c: float, hours: float) -> Course:
    """Wholemeal rye and as much water, with so much ripe rye sourdough in a hundred of the whole."""
    starter = 10.0 * starter_percent
    half = 500.0 - starter / 2.0
    share = starter / 1000.0
    dough = medium([(half, RYE), (half, TAP), (starter, RIPE_RYE)], 1.0)
    return ripen(dough, Living(RIPE_BACTERIA * share, RIPE_YEAST * share), steady(temperature_c), hours)
