"""A formula as a loaf: its class, its shape in the tin and how its crumb heats."""

from __future__ import annotations

from dataclasses import dataclass

from adapter.dough.models.oven import Loaf
from adapter.dough.models.oven_kinds import KINDS, LIDDED, OPEN
from adapter.dough.models.proof import unrisen_density
from adapter.dough.models.tin import tapered_volume_l
from adapter.dough.tables.loaf_classes import LoafClass
from adapter.formula.model import Formula, Tin

HEARTH_LENGTH, HEARTH_WIDTH = 2.4, 1.6
PIECE_SIDE = 1.5
LARGEST_ROLL_G = 150.0
WHEAT_HEAT_KJ, RYE_HEAT_KJ = 2.85, 3.0


@dataclass(frozen=True, slots=True)
class BakeConditions:
    """Oven, core and the dough's temperature when it goes in, °C: the formula's own or those of its class."""

    oven_c: float
    core_c: float
    start_c: float


def bake_conditions(formula: Formula, loaf_class: LoafClass) -> BakeConditions:
    return BakeConditions(
        loaf_class.default_oven_c if formula.bake.oven_c is None else formula.bake.oven_c,
        loaf_class.core_c if formula.bake.core_c is None else formula.bake.core_c,
        proof_conditions(formula, loaf_class)[0],
    )


def proof_conditions(formula: Formula, loaf_class: LoafClass) -> tuple[float, float]:
    """Proof temperature (°C) and rise (%): the formula's own or those of its class."""
    proof = formula.proof
    return (
        loaf_class.default_proof_c if proof.temperature_c is None else proof.temperature_c,
        loaf_class.default_rise_percent if proof.rise_percent is None else proof.rise_percent,
    )


def tin_volume_l(tin: Tin) -> float:
    """Litres of a tin by the prismoidal rule."""
    return tapered_volume_l(tin.top_length_m, tin.top_width_m, tin.bottom_length_m, tin.bottom_width_m, tin.height_m)


def oven_kind(formula: Formula, loaf_class: LoafClass) -> str:
    """How it is baked: under a lid, in an open tin or on a sheet, or on the hearth."""
    if formula.tin is not None:
        return LIDDED if formula.tin.lidded else OPEN
    return loaf_class.oven


def loaf_of(
    formula: Formula,
    dough_g: float,
    rye_share: float,
    loaf_class: LoafClass,
    rise_fraction: float,
    sugar_fat_percent: float = 0.0,
) -> Loaf:
    """One loaf of a formula as a brick of risen dough.

    `dough_g` is all the dough, `rye_share` 0 to 1. In a tin it takes the tin's mean length and width, and the
    height that its risen volume needs, at most the tin's own under a lid. Free-standing it is taken as
    2.4 : 1.6 : 1, a small piece as 1.5 : 1.5 : 1 [A]. Heat comes as the kind of bake has it; the crust of what has no
    lid, with so much sugar and fat, takes its time.
    """
    kind = oven_kind(formula, loaf_class)
    heating = KINDS[kind]
    crust = None if kind == LIDDED else sugar_fat_percent
    grams = dough_g / formula.pieces
    volume_m3 = grams / unrisen_density(rye_share) * (1.0 + rise_fraction) * loaf_class.spring.middle / 1e6
    heat = WHEAT_HEAT_KJ + (RYE_HEAT_KJ - WHEAT_HEAT_KJ) * rye_share
    tin = formula.tin
    if tin is None:
        length, width = (PIECE_SIDE, PIECE_SIDE) if grams <= LARGEST_ROLL_G else (HEARTH_LENGTH, HEARTH_WIDTH)
        height = (volume_m3 / (length * width)) ** (1.0 / 3.0)
        return Loaf(
            grams,
            length * height,
            width * height,
            height,
            heat,
            heating.conductivity,
            heating.surface,
            crust,
        )
    length = 0.5 * (tin.top_length_m + tin.bottom_length_m)
    width = 0.5 * (tin.top_width_m + tin.bottom_width_m)
    height = volume_m3 / (length * width)
    height = min(height, tin.height_m) if tin.lidded else height
    return Loaf(grams, length, width, height, heat, heating.conductivity, heating.surface, crust)
