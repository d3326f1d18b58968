"""Why the kitchen's own factors are what they are: what each logged bake says, and how they are taken together."""

from __future__ import annotations

from collections.abc import Sequence

from adapter.dough.bake.calibration import HUBER_SIGMAS, ONE_BAKE_SPREAD
from adapter.dough.models.oven import SPREAD
from adapter.dough.models.yeast import GAS_ML_PER_H_PER_G
from adapter.dough.readings.kitchen import GAS_SPREAD, Calibration
from adapter.dough.readings.reading import Parameter
from adapter.dough.why.bake_explanation import BakeWhy
from adapter.files.log_file import Bake


def explain_kitchen(calibration: Calibration, bakes: Sequence[Bake]) -> BakeWhy:
    """How the factors on yeast and oven come from this kitchen's logged bakes; `bakes` are those of the formula."""
    gas = calibration.gas_ml / GAS_ML_PER_H_PER_G
    said = []
    for bake in bakes:
        parts = [
            f"{name} × {factor:.2f}"
            for name, factor in (("gas", bake.gas_factor), ("minutes", bake.oven_factor))
            if factor is not None
        ]
        said.append((f"{bake.at:%Y-%m-%d %H:%M}", ", ".join(parts) or "teaches neither yeast nor oven"))
    return BakeWhy(
        "kitchen",
        "this kitchen's own factors",
        f"gas × {gas:.2f} ± {100 * calibration.gas_spread:.0f} % from {calibration.bakes} rises; "
        f"minutes × {calibration.oven_factor:.2f} ± {100 * calibration.oven_spread:.0f} % "
        f"from {calibration.oven_bakes} bakes",
        (
            "what a bake says:  gas it took / gas the model makes;  minutes it took / minutes of the model",
            "robust mean of the logarithms, with the model's own 1 as the first voice (Huber 1964)",
        ),
        (
            f"a bake further than {HUBER_SIGMAS:g} standard deviations from the mean pulls no harder than one that "
            "stands there: one odd bake does not swing the rest",
            "a rise teaches the yeast; minutes together with the core's temperature teach the oven",
        ),
        tuple(said),
        (
            Parameter("gas rate of a kitchen", f"± {100 * GAS_SPREAD:.0f} %", "A", "assumed here, before any bake"),
            Parameter("bake time of a kitchen", f"± {100 * SPREAD:.0f} %", "A", "assumed here, before any bake"),
            Parameter(
                "what one bake says", f"± {100 * ONE_BAKE_SPREAD:.0f} %", "A", "clock, ruler and eye: assumed here"
            ),
        ),
        (),
        "Every log in the folder of this formula and among your own counts, whatever the loaf.",
    )
