"""The tin of a loaf: its litres, how full it is, and the dough that would suit it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from adapter.dough.bake.note import Note
from adapter.dough.models.proof import unrisen_density
from adapter.dough.models.tin import TinTooSmall, dough_for_tin, fill_of_tin, fill_warning
from adapter.dough.readings.loaf import tin_volume_l
from adapter.dough.readings.measured import Measured
from adapter.formula.problems import InputProblem

T = TypeVar("T")

USUAL_FILL = 0.93
"""How full a tin is wanted where the class of loaf does not say [CP]."""


def told(work: Callable[[], T], name: str) -> T:
    """Run a calculation whose ValueError is a sentence for the baker."""
    try:
        return work()
    except ValueError as fault:
        about = "dough_g" if isinstance(fault, TinTooSmall) else None
        raise InputProblem(str(fault), where=f"formula {name!r}", about=about) from None


def tin_suits_g(measured: Measured, rise_percent: float) -> float | None:
    """Grams of dough that suit one tin of the formula after such a rise; None without a tin."""
    tin = measured.formula.tin
    if tin is None:
        return None
    loaf_class = measured.loaf_class
    wanted = loaf_class.fill.middle if loaf_class.fill else USUAL_FILL
    rise, density = 1.0 + rise_percent / 100.0, unrisen_density(measured.rise.rye_share)
    return told(
        lambda: dough_for_tin(tin_volume_l(tin), wanted, density, rise, loaf_class.spring.middle),
        measured.formula.name,
    )


def filled_tin(measured: Measured, rise_percent: float) -> tuple[float | None, float | None, float | None, list[Note]]:
    """Litres, fill, grams of dough that suit one tin, and what to say of it."""
    tin, suits = measured.formula.tin, tin_suits_g(measured, rise_percent)
    if tin is None or suits is None:
        return None, None, None, []
    density = unrisen_density(measured.rise.rye_share)
    rise, spring = 1.0 + rise_percent / 100.0, measured.loaf_class.spring.middle
    piece = measured.amount("mass") / measured.formula.pieces
    volume = tin_volume_l(tin)
    fill = told(lambda: fill_of_tin(piece, volume, density, rise, spring), measured.formula.name)
    warning = fill_warning(fill, tin.lidded)
    return volume, fill, suits, [Note("tin", f"{warning} {suits:.0f} g of dough a tin would suit.")] if warning else []
