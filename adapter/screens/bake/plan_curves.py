"""What the two curves of the Bake screen show: the dough and the core of its loaf, or one stage as it ripens."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from adapter.dough.bake.plan import BakePlan
    from adapter.dough.bake.stages import StageRow
    from adapter.screens.bake.curves import Curve
    from adapter.words.units import Units

LEAST_PH, MOST_PH = 3.0, 6.5


def show_dough(plan: BakePlan, rise: Curve, core: Curve, units: Units) -> None:
    """How the dough rises in its proof, and how the core of the loaf warms in the oven."""
    hours, minutes = plan.proof_h, plan.bake_min
    if math.isfinite(hours.value):
        short = f"{plan.rise_percent:g} % in {hours.value:.1f} h"
        rise.show_curve(
            plan.rise_curve,
            (hours.value, plan.rise_percent),
            (f"{short} ({hours.low:.1f} to {hours.high:.1f})", short),
            title="rise",
            units=("h", "%"),
        )
    elif plan.rise_curve:
        planned_h = plan.rise.stated_h or 0.0
        risen = next((row.rise_percent for row in reversed(plan.stages) if row.kind == "dough"), 0.0)
        said = f"{risen:.0f} % in {planned_h:.1f} h, not {plan.rise_percent:g} %"
        rise.show_curve(plan.rise_curve, (planned_h, risen), (said, said), title="rise", units=("h", "%"))
    else:
        in_oven = any(note.kind == "rises in the oven" for note in plan.notes)
        said = "rises in the oven" if in_oven else "does not rise"
        rise.show_curve((), None, (said,), title="rise", units=("h", "%"))
    start = 10.0 * math.floor(plan.core_curve[0][1] / 10.0)
    short = f"{units.temperature(plan.core_c)} in {minutes.value:.0f} min"
    core.show_curve(
        [(at, units.degree(celsius)) for at, celsius in plan.core_curve],
        (minutes.value, units.degree(plan.core_c)),
        (f"{short} ({minutes.low:.0f} to {minutes.high:.0f})", short),
        minutes.high,
        units.degree(start),
        units.degree(100.0),
        title="core",
        units=("min", units.degrees),
    )


def show_stage(row: StageRow, rise: Curve, sour: Curve) -> None:
    """How a stage rises and how its pH falls; the lines cross where its hours end."""
    ripe = row.ripe_h
    when = "" if ripe is None else f", ripe at {ripe.value:.1f} h"
    past = "" if row.past_h is None else f", past it at {row.past_h:.1f} h"
    risen, ph = f"+{row.rise_percent:.0f} % after {row.hours:.4g} h", f"pH {row.ph:.1f}"
    rise.show_curve(
        [(hours, percent) for hours, _, percent in row.curve],
        (row.hours, row.rise_percent),
        (f"{risen}{when}", risen),
        title=row.stage,
        units=("h", "%"),
    )
    acid = [(hours, value) for hours, value, _ in row.curve]
    sour.show_curve(
        acid,
        (row.hours, row.ph),
        (f"{ph}{when}{past}", f"{ph}{when}", ph),
        y_from=min(LEAST_PH, *(value for _, value in acid)),
        y_to=MOST_PH,
        title="sours",
        units=("h", "pH"),
    )
