"""What the program's own words mean, each in one sentence, for every place that explains them."""

from __future__ import annotations

DRIFT = (
    "Drift says how far a swap takes the dough from what it is now: each reading's change divided by the smallest "
    "change that a baker notices, added up; 1 is one reading moved by as much as is just noticed."
)
