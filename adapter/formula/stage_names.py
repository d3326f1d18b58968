"""What a stage is by its name, as bakers write it: "sourdough, 14 h", "overnight sponge", "seed soaker"."""

from __future__ import annotations

import re
from functools import cache

from adapter.formula.model import LIVING_KINDS, STAGE_KINDS

SOAKED_STAGES = ("soak", "scald")
_WHAT_FOLLOWS = re.compile(r"\s*(?:[,;:(/]|\b(?:for|with|of|in|on|from|and|to)\b|\s\d+$).*")


@cache
def kind_named(stage: str) -> str:
    """The kind that a name begins with, or that its head ends with: "sponge 2" and "evening sponge" both are one."""
    name = stage.casefold()
    if name.startswith(SOAKED_STAGES):
        return "soaker"
    head = _WHAT_FOLLOWS.sub("", name)
    living = [kind for kind in STAGE_KINDS if kind in LIVING_KINDS]
    begun = [kind for kind in living if name.startswith(kind)]
    return next(iter(begun or [kind for kind in living if head.endswith(f" {kind}")]), "dough")
